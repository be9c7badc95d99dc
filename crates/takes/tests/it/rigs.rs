//! Rigs by lot, with what may be wrong with them planted in the rig itself: no code is shared with what looks for it.

use quantity::{Farads, Henries, Length, Ohms, Seconds};
use rig::{
    Bypass, Device, Known, Pickup, PickupKind, Port, PortRef, PortRole, Provenance, Rig, Run, Sink, Source,
    Stop,
};
use signal::{Complex, Config, Input, LeadLength};

use crate::recorded::Lot;

/// A device of a chain.
#[derive(Clone, Debug)]
pub(crate) struct Pedal {
    pub(crate) bypass: Bypass,
    pub(crate) ohms: f64,
    pub(crate) out: f64,
    pub(crate) inverts: bool,
    /// A passive volume pedal, as far up.
    pub(crate) travel: Option<f64>,
}

/// Whether a dry lead runs beside a chain, from a splitter before it to a mixer behind it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Dry {
    None,
    Whole,
    Broken,
}

/// A chain from a guitar to an amp.
#[derive(Clone, Debug)]
pub(crate) struct Chain {
    pub(crate) pedals: Vec<Pedal>,
    /// Lengths of the leads before and after each, in mm.
    pub(crate) cuts: Vec<f64>,
    pub(crate) on: Vec<usize>,
    pub(crate) dry: Dry,
}

/// A rig with what the engine asks of it.
pub(crate) struct Board {
    rig: Rig,
    leads: Vec<LeadLength>,
    travel: Vec<(String, f64)>,
}

pub(crate) fn known<T>(value: T) -> Known<T> {
    Known::new(value, Provenance::Measured)
}

pub(crate) fn port(name: &str, role: PortRole, ohms: f64) -> Port {
    Port { name: name.into(), role: known(role), z: known(Ohms::of(ohms)), ..Port::default() }
}

pub(crate) fn tag(at: usize) -> String {
    format!("D{}", at + 1)
}

pub(crate) fn device(tag: &str, bypass: Bypass, inverts: bool, ports: Vec<Port>) -> Device {
    let mut device = Device { tag: tag.into(), ports, ..Device::default() };
    device.signal.bypass = known(bypass);
    device.signal.bare_pickup = known(false);
    device.signal.inverts = known(inverts);
    device.signal.latency = known(Seconds::of(0.0));
    device
}

impl Chain {
    pub(crate) fn by_lot(lot: &mut Lot) -> Self {
        let count = 4 + lot.below(5);
        let pedals: Vec<Pedal> = (0..count)
            .map(|_| {
                let travel = (lot.below(6) == 0).then(|| [0.3, 0.5, 0.7][lot.below(3)]);
                let bypass = [Bypass::Hard, Bypass::Hard, Bypass::Buffered, Bypass::Relay][lot.below(4)];
                Pedal {
                    bypass: if travel.is_some() { Bypass::AlwaysOn } else { bypass },
                    ohms: if travel.is_some() { 250e3 } else { [470e3, 1e6, 2.2e6][lot.below(3)] },
                    out: [100.0, 1e3, 4.7e3][lot.below(3)],
                    inverts: lot.below(5) == 0,
                    travel,
                }
            })
            .collect();
        let outer = |at: usize| at == 0 || at == count;
        let cuts = (0..=count)
            .map(|at| if outer(at) { lot.between(3e3, 6e3) } else { lot.between(150.0, 900.0) })
            .collect();
        let on = (0..count).filter(|at| pedals[*at].travel.is_none() && lot.below(5) == 0).collect();
        let dry = if lot.below(3) == 0 { Dry::Whole } else { Dry::None };
        Self { pedals, cuts, on, dry }
    }

    pub(crate) fn engaged(&self) -> Vec<String> {
        self.on.iter().map(|at| tag(*at)).collect()
    }

    /// The two jacks of each lead of the chain.
    pub(crate) fn leads(&self) -> Vec<(PortRef, PortRef)> {
        let last = self.pedals.len();
        let has_dry = self.dry != Dry::None;
        (0..=last)
            .map(|at| {
                let from = match at {
                    0 if has_dry => PortRef::new("X1", "OUT_A"),
                    0 => PortRef::new("guitar", ""),
                    at => PortRef::new(tag(at - 1), "OUT"),
                };
                let to = match at {
                    at if at == last && has_dry => PortRef::new("X2", "IN_A"),
                    at if at == last => PortRef::new("amp", ""),
                    at => PortRef::new(tag(at), "IN"),
                };
                (from, to)
            })
            .collect()
    }

    pub(crate) fn board(&self) -> Board {
        let mut rig = Rig { sources: vec![guitar(3_000)], sinks: vec![amp("amp")], ..Rig::default() };
        let mut travel = Vec::new();
        for (at, pedal) in self.pedals.iter().enumerate() {
            let ports = vec![port("IN", PortRole::In, pedal.ohms), port("OUT", PortRole::Out, pedal.out)];
            let mut device = device(&tag(at), pedal.bypass, pedal.inverts, ports);
            if let Some(share) = pedal.travel {
                device.signal.passive = true;
                device.treadle = Some(known(Length::from_mm(30)));
                travel.push((tag(at), share));
            }
            rig.devices.push(device);
        }
        let mut steps = self.leads();
        let length = |mm: f64| known(Length::from_mm_rounded(mm));
        let mut lengths: Vec<f64> = self.cuts.clone();
        if self.dry != Dry::None {
            let (low, high) = (1e3, 1e6);
            let split = vec![
                port("IN", PortRole::In, high),
                port("OUT_A", PortRole::Out, low),
                port("OUT_B", PortRole::Out, low),
            ];
            let mix = vec![
                port("IN_A", PortRole::In, high),
                port("IN_B", PortRole::In, high),
                port("OUT", PortRole::Out, low),
            ];
            rig.devices.push(device("X1", Bypass::AlwaysOn, false, split));
            rig.devices.push(device("X2", Bypass::AlwaysOn, false, mix));
            steps.insert(0, (PortRef::new("guitar", ""), PortRef::new("X1", "IN")));
            steps.push((PortRef::new("X2", "OUT"), PortRef::new("amp", "")));
            lengths.insert(0, 3e3);
            lengths.push(3e3);
        }
        rig.runs.push(run("main", &steps));
        if self.dry == Dry::Whole {
            steps.push((PortRef::new("X1", "OUT_B"), PortRef::new("X2", "IN_B")));
            lengths.push(800.0);
            rig.runs.push(run("dry", &steps[steps.len() - 1..]));
        }
        let leads = steps
            .into_iter()
            .zip(lengths)
            .map(|((from, to), mm)| LeadLength { from, to, length: length(mm) })
            .collect();
        Board { rig, leads, travel }
    }
}

/// A run along leads that follow each other.
pub(crate) fn run(name: &str, steps: &[(PortRef, PortRef)]) -> Run {
    let stop = |arrives: Option<&PortRef>, leaves: Option<&PortRef>| Stop {
        text: arrives.or(leaves).map(|port| port.device.clone()).unwrap_or_default(),
        arrives: arrives.cloned(),
        leaves: leaves.cloned(),
    };
    let mut stops = vec![stop(None, Some(&steps[0].0))];
    for pair in steps.windows(2) {
        stops.push(stop(Some(&pair[0].1), Some(&pair[1].0)));
    }
    stops.push(stop(Some(&steps[steps.len() - 1].1), None));
    Run { name: name.into(), stops, ..Run::default() }
}

/// A guitar by a lead of so many mm.
pub(crate) fn guitar(lead: i64) -> Source {
    Source {
        id: "guitar".into(),
        pickup: Pickup {
            kind: known(PickupKind::Coil),
            inductance: known(Henries::of(3.2)),
            resistance: known(Ohms::of(8.6e3)),
            capacitance: known(Farads::of(120e-12)),
            volume_pot: known(Ohms::of(250e3)),
            tone_pot: known(Ohms::of(250e3)),
            tone_capacitor: known(Farads::of(22e-9)),
            ..Pickup::default()
        },
        lead: known(Length::from_mm(lead)),
        ..Source::default()
    }
}

/// An amp by a lead of 3 m.
pub(crate) fn amp(id: &str) -> Sink {
    Sink { id: id.into(), z: known(Ohms::of(1e6)), lead: known(Length::from_mm(3_000)), ..Sink::default() }
}

impl Board {
    pub(crate) fn new(rig: Rig, leads: Vec<LeadLength>) -> Self {
        Self { rig, leads, travel: Vec::new() }
    }

    pub(crate) fn input(&self) -> Input<'_> {
        let mut input = Input::new(&self.rig, self.leads.clone());
        input.travel.extend(self.travel.iter().cloned());
        input
    }

    /// What it does from guitar to amp, by crate `signal` alone, at its own frequencies; `None` where nothing arrives.
    pub(crate) fn response(&self, engaged: &[String]) -> Option<Vec<Complex>> {
        self.response_at("amp", engaged)
    }

    /// The same to an amp by its name.
    pub(crate) fn response_at(&self, sink: &str, engaged: &[String]) -> Option<Vec<Complex>> {
        let found = signal::in_state(&self.input(), &Config::default(), engaged, "guitar", sink)?.response;
        (!found.is_empty()).then_some(found)
    }

    /// The straight lead into the same input.
    pub(crate) fn straight(&self) -> Vec<Complex> {
        let circuit = signal::reference_circuit(&self.input(), &Config::default(), "guitar", 1e6);
        let at = circuit.sinks[0].node;
        signal::grid::frequencies()
            .into_iter()
            .map(|hertz| signal::nodal::voltages(&circuit, 0, hertz).expect("an answer")[at])
            .collect()
    }
}

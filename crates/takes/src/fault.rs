//! What may be wrong with a board, each as a change of its circuit.

use std::collections::BTreeSet;

use rig::Bypass;
use signal::model::{Circuit, EARTH, Element, Node, Part, Stage};

use crate::expected::Question;

/// A wire instead of a buffer, in ohms: a switch contact. Common practice, no source.
const CONTACT: f64 = 0.05;

/// A device whose gain is stated within this of nothing is a buffer, in dB. Common practice, no source.
const NO_GAIN_DB: f64 = 0.5;

/// A tip that is not connected, in ohms. Common practice, no source.
const BROKEN: f64 = 1e10;

/// A gain between two recordings is turned by this or less in two of three cases, in dB. Common practice, no source.
const LEVEL_DB: f64 = 20.0;

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq)]
pub enum Fault {
    /// A lead has another capacitance than it should.
    Capacitance {
        /// The lead, as `D6.OUT > D7.IN`, or the leg of one with a joint, as `D6.OUT leg`.
        lead: String,
        /// How much more, in farads; below zero is less.
        farads: f64,
        /// What it should have, in farads.
        planned: f64,
    },
    /// An input has a capacitance that it should not have.
    Input {
        /// The jack.
        port: String,
        /// How much, in farads.
        farads: f64,
    },
    /// The tip of a lead is not connected.
    Broken {
        /// The lead.
        lead: String,
    },
    /// A device passes the signal without the buffer that it should have.
    NoBuffer {
        /// Its tag.
        device: String,
    },
    /// The buffer is not in this device, but elsewhere.
    BufferElsewhere {
        /// The device that should have it.
        device: String,
        /// The lead at whose beginning it sits.
        lead: String,
    },
    /// A device inverts that should not, or does not that should.
    Inverts {
        /// Its tag.
        device: String,
    },
    /// A device or loop is in though it should be out, or out though it should be in.
    Stays {
        /// Its tag, or `TAG.loop`.
        name: String,
        /// Whether it is in.
        is_in: bool,
    },
    /// Everything is louder or quieter than it should be: a gain was turned between two recordings, or a volume stands elsewhere.
    Level {
        /// How much louder, in dB.
        db: f64,
    },
    /// Something hangs on a jack that should not.
    Load {
        /// The jack.
        port: String,
        /// How much it loads, in ohms.
        ohms: f64,
    },
}

impl Fault {
    /// How often it is met, against the others. Common practice, no source: leads are made by hand, and switches forgotten; that
    /// a buffer sits elsewhere is rare, and an input with a capacitor across rarer.
    pub(crate) fn odds(&self) -> f64 {
        match self {
            Self::Broken { .. } | Self::NoBuffer { .. } | Self::Inverts { .. } | Self::Load { .. } => 1.0,
            Self::Capacitance { .. } | Self::Stays { .. } => 2.0,
            // At each of a dozen leads and more.
            Self::BufferElsewhere { .. } => 0.02,
            Self::Input { .. } | Self::Level { .. } => 0.3,
        }
    }

    /// The same fault with another size, where it has one.
    #[must_use]
    pub(crate) fn sized(&self, size: f64) -> Self {
        match self.clone() {
            Self::Capacitance { lead, planned, .. } => Self::Capacitance { lead, farads: size, planned },
            Self::Input { port, .. } => Self::Input { port, farads: size },
            Self::Load { port, .. } => Self::Load { port, ohms: size },
            Self::Level { .. } => Self::Level { db: size },
            other => other,
        }
    }

    /// Sizes to begin from, in order; nothing where it has none.
    pub(crate) fn sizes(&self) -> Vec<f64> {
        let more = [30e-12, 60e-12, 120e-12, 250e-12, 500e-12, 1e-9, 2e-9, 5e-9, 12e-9];
        match self {
            Self::Capacitance { planned, .. } => {
                [-0.95, -0.7, -0.45, -0.2].iter().map(|share| share * planned).chain(more).collect()
            }
            Self::Input { .. } => more.to_vec(),
            Self::Load { .. } => vec![1e3, 3e3, 10e3, 30e3, 70e3, 150e3, 330e3, 700e3, 1.5e6, 4e6],
            Self::Level { .. } => {
                vec![-66.0, -50.0, -36.0, -25.0, -15.0, -9.0, -5.0, -2.0, 2.0, 5.0, 9.0, 15.0, 25.0, 36.0]
            }
            _ => Vec::new(),
        }
    }

    /// Whether a size goes by factors and not by steps.
    pub(crate) fn goes_by_factors(&self) -> bool {
        matches!(self, Self::Load { .. })
    }

    /// How seldom a size is, in nepers of likelihood: a nanofarad is ten metres of cable. Common practice, no source.
    pub(crate) fn seldom(&self) -> f64 {
        match self {
            Self::Capacitance { farads, .. } | Self::Input { farads, .. } => {
                0.5 * (farads / 1e-9) * (farads / 1e-9)
            }
            Self::Level { db } => 0.5 * (db / LEVEL_DB) * (db / LEVEL_DB),
            _ => 0.0,
        }
    }

    /// Whether two are of one kind, or in one device, so that what is found of one may as well be the other.
    pub(crate) fn is_like(&self, other: &Self) -> bool {
        let capacitance = |fault: &Self| matches!(fault, Self::Capacitance { .. } | Self::Input { .. });
        capacitance(self) && capacitance(other)
            || std::mem::discriminant(self) == std::mem::discriminant(other)
            || self.device().is_some() && self.device() == other.device()
    }

    /// The device that does it.
    fn device(&self) -> Option<&str> {
        match self {
            Self::NoBuffer { device } | Self::Inverts { device } => Some(device),
            Self::Stays { name, .. } => Some(name),
            _ => None,
        }
    }

    /// What this adds to the straight lead, in farads: the lead from the source is in both recordings.
    pub(crate) fn in_straight(&self, source: &str) -> f64 {
        match self {
            Self::Capacitance { lead, farads, .. }
                if lead.strip_prefix(source).is_some_and(|rest| rest.starts_with(" > ")) =>
            {
                *farads
            }
            _ => 0.0,
        }
    }

    /// The circuit of a state with this wrong; `None` where it changes nothing in that state. What is on in it stands there with
    /// its loops.
    pub(crate) fn applied(&self, way: &Question<'_>, engaged: &[String]) -> Option<Circuit> {
        if let Self::Stays { name, is_in } = self {
            if engaged.contains(name) == *is_in {
                return None;
            }
            let mut state: Vec<String> = engaged.iter().filter(|other| *other != name).cloned().collect();
            if *is_in {
                state.push(name.clone());
            } else if way.input.rig.device(name).is_none() {
                // A loop is out whatever is on in it.
                state.push(format!("{name}{}", signal::OUT));
            }
            return Some(way.circuit(&state));
        }
        let mut circuit = way.circuit(engaged);
        match self {
            Self::Capacitance { lead, farads, .. } => {
                let (_, to) = core(&circuit, lead)?;
                circuit.elements.push(element("fault", to, EARTH, Part::Capacitor(*farads)));
            }
            Self::Input { port, farads } => {
                let at = node(&circuit, port)?;
                circuit.elements.push(element("fault", at, EARTH, Part::Capacitor(*farads)));
            }
            Self::Load { port, ohms } => {
                let at = node(&circuit, port)?;
                circuit.elements.push(element("fault", at, EARTH, Part::Resistor(*ohms)));
            }
            Self::Broken { lead } => {
                let name = format!("{lead} core");
                circuit.elements.iter_mut().find(|element| element.name == name)?.part =
                    Part::Resistor(BROKEN);
            }
            Self::Inverts { device } => {
                // What is bypassed does nothing that could be wrong.
                let bypass = way.input.rig.device(device).and_then(|device| device.signal.bypass.value);
                if bypass != Some(Bypass::AlwaysOn) && !engaged.contains(device) {
                    return None;
                }
                let own = circuit.stages.iter_mut().filter(|stage| stage.device == *device);
                if own.map(|stage| stage.inverts = !stage.inverts).count() == 0 {
                    return None;
                }
            }
            Self::NoBuffer { device } => {
                without_buffer(way, engaged, &mut circuit, device)?;
            }
            Self::BufferElsewhere { device, lead } => {
                let (input, output) = without_buffer(way, engaged, &mut circuit, device)?;
                put_buffer(&mut circuit, lead, input, output)?;
            }
            Self::Stays { .. } | Self::Level { .. } => {}
        }
        Some(circuit)
    }
}

/// A buffer of each device at the beginning of each lead.
pub(crate) fn elsewhere(way: &Question<'_>, devices: &BTreeSet<String>) -> Vec<Fault> {
    let circuit = way.circuit(&[]);
    let leads = circuit.elements.iter().filter_map(|element| element.name.strip_suffix(" core"));
    let leads: Vec<&str> = leads.collect();
    let at = |device: &String| {
        let of = |lead: &&str| Fault::BufferElsewhere { device: device.clone(), lead: (*lead).to_owned() };
        leads.iter().map(of).collect::<Vec<_>>()
    };
    devices.iter().flat_map(at).collect()
}

/// Everything that may be wrong with a rig in some states, each fault at each place, but a buffer that is elsewhere; sizes are
/// zero.
pub(crate) fn all(way: &Question<'_>, states: &[&[String]]) -> Vec<Fault> {
    let mut out = vec![Fault::Level { db: 0.0 }];
    let circuits: Vec<Circuit> = states.iter().map(|state| way.circuit(state)).collect();
    let Some(circuit) = circuits.first() else { return out };
    let mut leads = Vec::new();
    for element in &circuit.elements {
        if let Some(lead) = element.name.strip_suffix(" core") {
            leads.push(lead.to_owned());
        }
    }
    for lead in &leads {
        let planned = planned(circuit, lead);
        out.push(Fault::Capacitance { lead: lead.clone(), farads: 0.0, planned });
        out.push(Fault::Broken { lead: lead.clone() });
    }
    let is_jack = |port: &&String| {
        port.split_once('.').is_some_and(|(tag, jack)| {
            way.input.rig.device(tag).is_some_and(|device| device.ports.iter().any(|own| own.name == jack))
        })
    };
    for port in circuit.nodes.iter().filter(is_jack) {
        let own = format!("{port} input");
        out.push(Fault::Load { port: port.clone(), ohms: 0.0 });
        if circuits.iter().any(|circuit| circuit.elements.iter().any(|element| element.name == own)) {
            out.push(Fault::Input { port: port.clone(), farads: 0.0 });
        }
    }
    let stages = circuits.iter().flat_map(|circuit| &circuit.stages);
    let devices: BTreeSet<&String> = stages.map(|stage| &stage.device).collect();
    for device in devices {
        out.push(Fault::Inverts { device: device.clone() });
        out.push(Fault::NoBuffer { device: device.clone() });
    }
    for name in signal::switches(way.input, way.config) {
        for is_in in [true, false] {
            if states.iter().any(|state| state.contains(&name) != is_in) {
                out.push(Fault::Stays { name: name.clone(), is_in });
            }
        }
    }
    out
}

/// The capacitance that a lead should have, in farads.
fn planned(circuit: &Circuit, lead: &str) -> f64 {
    let ends = [format!("{lead} near end"), format!("{lead} far end")];
    let own = circuit.elements.iter().filter(|element| ends.contains(&element.name));
    own.map(|element| if let Part::Capacitor(farads) = element.part { farads } else { 0.0 }).sum()
}

fn element(name: &str, a: Node, b: Node, part: Part) -> Element {
    Element { name: name.to_owned(), a, b, part }
}

fn node(circuit: &Circuit, name: &str) -> Option<Node> {
    circuit.nodes.iter().position(|node| node == name)
}

/// The two ends of a lead.
fn core(circuit: &Circuit, lead: &str) -> Option<(Node, Node)> {
    let name = format!("{lead} core");
    circuit.elements.iter().find(|element| element.name == name).map(|element| (element.a, element.b))
}

/// Takes the buffer of a device away, so that a wire is left; gives what its input and output had in ohms.
///
/// `None` where it is no buffer in that state: a device that is on does its own work.
fn without_buffer(
    way: &Question<'_>,
    engaged: &[String],
    circuit: &mut Circuit,
    device: &str,
) -> Option<(f64, f64)> {
    let signal = &way.input.rig.device(device)?.signal;
    let is_buffer = match signal.bypass.value? {
        Bypass::Buffered => !engaged.iter().any(|tag| tag == device),
        Bypass::AlwaysOn => {
            !signal.passive && signal.gain.value.is_none_or(|gain| gain.get().abs() <= NO_GAIN_DB)
        }
        Bypass::Hard | Bypass::Relay => false,
    };
    if !is_buffer {
        return None;
    }
    let (own, rest): (Vec<Stage>, Vec<Stage>) =
        std::mem::take(&mut circuit.stages).into_iter().partition(|stage| stage.device == device);
    circuit.stages = rest;
    let mut sizes = None;
    for stage in own {
        let [input] = stage.inputs.as_slice() else { return None };
        let port = circuit.nodes[*input].clone();
        let mut load = 1e6;
        circuit.elements.retain(|element| {
            let is_load = [" input", " input C", " coupling"]
                .iter()
                .any(|end| element.name.strip_suffix(end) == Some(port.as_str()));
            if let (true, Part::Resistor(ohms)) = (is_load, element.part) {
                load = ohms;
            }
            !is_load
        });
        let driven =
            circuit.elements.iter_mut().find(|element| [element.a, element.b].contains(&stage.output));
        let driven = driven?;
        let output = if let Part::Resistor(ohms) = driven.part { ohms } else { 1e3 };
        let outer = if driven.a == stage.output { driven.b } else { driven.a };
        *driven = Element { name: driven.name.clone(), a: *input, b: outer, part: Part::Resistor(CONTACT) };
        sizes = Some((load, output));
    }
    sizes
}

/// Puts a buffer at the beginning of a lead.
fn put_buffer(circuit: &mut Circuit, lead: &str, input: f64, output: f64) -> Option<()> {
    let (from, _) = core(circuit, lead)?;
    let ends = [format!("{lead} core"), format!("{lead} near end")];
    circuit.nodes.extend(["fault drive".to_owned(), "fault output".to_owned()]);
    let (drive, after) = (circuit.nodes.len() - 2, circuit.nodes.len() - 1);
    for element in circuit.elements.iter_mut().filter(|element| ends.contains(&element.name)) {
        if element.a == from {
            element.a = after;
        }
    }
    circuit.elements.push(element("fault output", drive, after, Part::Resistor(output)));
    circuit.elements.push(element("fault input", from, EARTH, Part::Resistor(input)));
    circuit.stages.push(Stage {
        device: "fault".to_owned(),
        inputs: vec![from],
        output: drive,
        gain: 1.0,
        own_gain: 1.0,
        inverts: false,
        delay: 0.0,
        noise: None,
    });
    Some(())
}

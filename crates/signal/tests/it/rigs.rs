//! Rigs made in code, by hand or by lot.

use quantity::{Farads, Henries, Length, Ohms, Volts};
use rig::{
    Bypass, Device, Insert, Known, Loop, Normal, Pickup, PickupKind, Port, PortRef, PortRole, Provenance,
    Rig, Run, Sink, Source, Stop,
};
use signal::{Input, LeadLength};

/// A value somebody measured.
pub(crate) fn known<T>(value: T) -> Known<T> {
    Known::new(value, Provenance::Measured)
}

/// The single coil of the reference tables, 2.2 H, 6.05 kΩ, 110 pF, pots 250 kΩ, 22 nF.
pub(crate) fn guitar(id: &str) -> Source {
    Source {
        id: id.into(),
        pickup: Pickup {
            kind: known(PickupKind::Coil),
            inductance: known(Henries::of(2.2)),
            resistance: known(Ohms::of(6050.0)),
            capacitance: known(Farads::of(110e-12)),
            volume_pot: known(Ohms::of(250e3)),
            tone_pot: known(Ohms::of(250e3)),
            tone_capacitor: known(Farads::of(22e-9)),
            peak: known(Volts::of(1.0)),
        },
        lead: known(Length::from_mm(5000)),
        ..Source::default()
    }
}

/// Makes a source one of another kind, without the pots of a coil.
pub(crate) fn without_pots(source: &mut Source, kind: PickupKind) {
    source.pickup = Pickup {
        kind: known(kind),
        volume_pot: Known::default(),
        tone_pot: Known::default(),
        tone_capacitor: Known::default(),
        ..source.pickup.clone()
    };
}

pub(crate) fn amp(id: &str) -> Sink {
    Sink { id: id.into(), z: known(Ohms::of(1e6)), lead: known(Length::from_mm(3000)), ..Sink::default() }
}

pub(crate) fn port(name: &str, role: PortRole, z: Option<f64>) -> Port {
    let z = z.map(|z| known(Ohms::of(z))).unwrap_or_default();
    Port { name: name.into(), role: known(role), z, ..Port::default() }
}

/// A device with ports IN and OUT.
pub(crate) fn device(tag: &str, bypass: Bypass, input: f64, output: f64) -> Device {
    let mut device = Device { tag: tag.into(), ..Device::default() };
    device.ports = vec![port("IN", PortRole::In, Some(input)), port("OUT", PortRole::Out, Some(output))];
    device.signal.bypass = known(bypass);
    device.signal.bare_pickup = known(false);
    device.signal.inverts = known(false);
    device
}

/// A passive volume pedal, with a tuner output.
pub(crate) fn volume(tag: &str, bypass: Bypass, pot: f64) -> Device {
    let mut device = device(tag, bypass, pot, pot / 4.0);
    device.signal.passive = true;
    device.treadle = Some(known(Length::from_mm(30)));
    device.ports.push(port("TUNER", PortRole::Out, None));
    device
}

/// A switcher of relay loops; with `buffered` its input is.
pub(crate) fn switcher(tag: &str, loops: usize, buffered: bool) -> Device {
    let bypass = if buffered { Bypass::Buffered } else { Bypass::Relay };
    let mut device = device(tag, bypass, 1e6, 100.0);
    for number in 1..=loops {
        let (send, back) = (format!("S{number}"), format!("R{number}"));
        device.ports.push(port(&send, PortRole::Send, None));
        device.ports.push(port(&back, PortRole::Return, None));
        device.loops.push(Loop { name: format!("L{number}"), send, back });
    }
    device
}

/// A panel with one insert.
pub(crate) fn panel(tag: &str, normal: Normal) -> Device {
    let mut device = Device { tag: tag.into(), role: rig::Role::Panel, ..Device::default() };
    device.ports = vec![port("S", PortRole::Through, None), port("R", PortRole::Through, None)];
    device.inserts = vec![Insert {
        name: "P".into(),
        send: "S".into(),
        back: "R".into(),
        normal: known(normal),
        wiring: Known::default(),
        return_z: Known::default(),
    }];
    device
}

/// A run from stops: a name alone is an end, or a device passed from IN to OUT; `TAG.PORT` is a port.
pub(crate) fn run(rig: &Rig, name: &str, stops: &[String]) -> Run {
    let last = stops.len() - 1;
    let mut out = Vec::new();
    for (index, text) in stops.iter().enumerate() {
        let (mut arrives, mut leaves) = match text.split_once('.') {
            Some((tag, port)) => (Some(PortRef::new(tag, port)), Some(PortRef::new(tag, port))),
            None if rig.device(text).is_some() => {
                (Some(PortRef::new(text, "IN")), Some(PortRef::new(text, "OUT")))
            }
            None => (Some(PortRef::new(text, "")), Some(PortRef::new(text, ""))),
        };
        if index == 0 {
            arrives = None;
        } else if index == last {
            leaves = None;
        }
        out.push(Stop { text: text.clone(), arrives, leaves });
    }
    Run { name: name.into(), stops: out, ..Run::default() }
}

/// Adds a run from words.
pub(crate) fn add_run(rig: &mut Rig, name: &str, stops: &[&str]) {
    let stops: Vec<String> = stops.iter().map(|&stop| stop.to_owned()).collect();
    let run = run(rig, name, &stops);
    rig.runs.push(run);
}

/// A rig of one guitar, one amp and devices in a string.
pub(crate) fn string(devices: Vec<Device>) -> Rig {
    let mut rig = Rig { sources: vec![guitar("guitar")], sinks: vec![amp("amp")], ..Rig::default() };
    let mut stops = vec!["guitar".to_owned()];
    stops.extend(devices.iter().map(|device| device.tag.clone()));
    stops.push("amp".to_owned());
    rig.devices = devices;
    let run = run(&rig, "main", &stops);
    rig.runs.push(run);
    rig
}

/// Lengths for all leads: the outside ones as stated, half a metre on the board.
pub(crate) fn lengths(rig: &Rig) -> Vec<LeadLength> {
    let mut out = Vec::new();
    for run in &rig.runs {
        for (from, to) in run.steps() {
            let length = rig
                .source(&from.device)
                .map(|source| source.lead)
                .or_else(|| rig.sink(&to.device).map(|sink| sink.lead))
                .unwrap_or(known(Length::from_mm(500)));
            out.push(LeadLength { from: from.clone(), to: to.clone(), length });
        }
    }
    out
}

pub(crate) fn input(rig: &Rig) -> Input<'_> {
    Input::new(rig, lengths(rig))
}

/// Numbers by lot, the same ones each time: a linear congruential generator after Knuth (MMIX).
pub(crate) struct Lot(u64);

impl Lot {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x1234_5678)
    }

    pub(crate) fn below(&mut self, bound: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).expect("31 bits") % bound
    }

    pub(crate) fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }

    pub(crate) fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.below(from.len())]
    }
}

/// A rig by lot and the settings that go with it.
pub(crate) struct Drawn {
    pub(crate) rig: Rig,
    pub(crate) travel: Vec<(String, f64)>,
    pub(crate) together: Vec<Vec<String>>,
    pub(crate) exclusive: Vec<Vec<String>>,
}

impl Drawn {
    pub(crate) fn input(&self) -> Input<'_> {
        let mut input = input(&self.rig);
        input.travel.extend(self.travel.iter().cloned());
        input.together.clone_from(&self.together);
        input.exclusive.clone_from(&self.exclusive);
        input
    }
}

/// A rig by lot with up to `most` switches: strings, loops, splits, tuner outputs, passive engaged devices, devices
/// of two channels on one switch, switches that act in two places, exclusive sets, and mixers now and then.
pub(crate) fn draw(seed: u64, most: usize) -> Drawn {
    let mut lot = Lot::new(seed);
    let mut drawn = Drawn {
        rig: Rig { sources: vec![guitar("guitar")], sinks: vec![amp("amp")], ..Rig::default() },
        travel: Vec::new(),
        together: Vec::new(),
        exclusive: Vec::new(),
    };
    let mut switched: Vec<String> = Vec::new();
    let mut number = 0;
    let mut main: Vec<String> = vec!["guitar".into()];
    let mut side: Option<Vec<String>> = None;
    let parts = 2 + lot.below(6);
    for _ in 0..parts {
        match lot.below(10) {
            0 | 1 if switched.len() + 3 < most => {
                number += 1;
                let tag = format!("D{number}");
                let loops = 1 + lot.below(2);
                drawn.rig.devices.push(switcher(&tag, loops, lot.chance(30)));
                main.push(format!("{tag}.IN"));
                for at in 1..=loops {
                    main.push(format!("{tag}.S{at}"));
                    switched.push(format!("{tag}.L{at}"));
                    for _ in 0..lot.below(3) {
                        if switched.len() < most {
                            main.push(pedal(&mut lot, &mut drawn, &mut number, &mut switched));
                        }
                    }
                    if main.last().is_some_and(|last| *last == format!("{tag}.S{at}")) {
                        main.push(pedal(&mut lot, &mut drawn, &mut number, &mut switched));
                    }
                    main.push(format!("{tag}.R{at}"));
                }
                main.push(format!("{tag}.OUT"));
            }
            2 if side.is_none() => {
                number += 1;
                let tag = format!("D{number}");
                let mut split = device(&tag, Bypass::AlwaysOn, 1e6, 1e3);
                split.signal.passive = lot.chance(60);
                if split.signal.passive {
                    split.ports = vec![port("IN", PortRole::In, None), port("OUT", PortRole::Out, None)];
                }
                let z = split.ports[1].z.value.map(Ohms::get);
                split.ports.push(port("OUT_2", PortRole::Out, z));
                drawn.rig.devices.push(split);
                main.push(tag.clone());
                side = Some(vec![format!("{tag}.OUT_2")]);
            }
            3 if switched.len() < most => {
                // Two channels on one switch, both on the way.
                number += 1;
                let tag = format!("D{number}");
                let mut double = device(&tag, Bypass::Hard, 500e3, 10e3);
                double.ports = vec![
                    port("IN_A", PortRole::In, Some(lot.pick(&[100e3, 1e6]))),
                    port("OUT_A", PortRole::Out, Some(1e3)),
                    port("IN_B", PortRole::In, Some(470e3)),
                    port("OUT_B", PortRole::Out, Some(lot.pick(&[100.0, 20e3]))),
                ];
                drawn.rig.devices.push(double);
                switched.push(tag.clone());
                main.extend([format!("{tag}.IN_A"), format!("{tag}.OUT_A")]);
                let between = pedal(&mut lot, &mut drawn, &mut number, &mut switched);
                main.push(between);
                main.extend([format!("{tag}.IN_B"), format!("{tag}.OUT_B")]);
            }
            _ if switched.len() < most => {
                let tag = pedal(&mut lot, &mut drawn, &mut number, &mut switched);
                main.push(tag);
            }
            _ => {}
        }
    }
    main.push("amp".into());
    if let Some(mut stops) = side {
        for _ in 0..lot.below(3) {
            if switched.len() < most {
                stops.push(pedal(&mut lot, &mut drawn, &mut number, &mut switched));
            }
        }
        if lot.chance(25) {
            // The branches come together again in a mixer.
            number += 1;
            let tag = format!("D{number}");
            let mut mixer = device(&tag, Bypass::AlwaysOn, 1e6, 1e3);
            mixer.ports = vec![
                port("IN_1", PortRole::In, Some(470e3)),
                port("IN_2", PortRole::In, Some(100e3)),
                port("OUT", PortRole::Out, Some(1e3)),
            ];
            drawn.rig.devices.push(mixer);
            main.insert(main.len() - 1, format!("{tag}.IN_1"));
            main.insert(main.len() - 1, format!("{tag}.OUT"));
            stops.push(format!("{tag}.IN_2"));
        } else {
            drawn.rig.sinks.push(amp("wet"));
            stops.push("wet".into());
        }
        let run = run(&drawn.rig, "side", &stops);
        drawn.rig.runs.push(run);
    }
    let main = run(&drawn.rig, "main", &main);
    drawn.rig.runs.insert(0, main);
    if lot.chance(30) && 2 < switched.len() {
        let (a, b) = (lot.below(switched.len()), lot.below(switched.len()));
        if a != b {
            drawn.together.push(vec![switched[a].clone(), switched[b].clone()]);
        }
    }
    if lot.chance(20) && 3 < switched.len() {
        drawn.exclusive.push(vec![switched[0].clone(), switched[switched.len() - 1].clone()]);
    }
    drawn
}

/// A device by lot; its tag. It may have a tuner on a tuner output.
fn pedal(lot: &mut Lot, drawn: &mut Drawn, number: &mut usize, switched: &mut Vec<String>) -> String {
    *number += 1;
    let tag = format!("D{number}");
    let input = lot.pick(&[8e3, 100e3, 470e3, 1e6]);
    let output = lot.pick(&[100.0, 1e3, 10e3, 50e3]);
    match lot.below(10) {
        0..=4 => {
            drawn.rig.devices.push(device(&tag, lot.pick(&[Bypass::Hard, Bypass::Relay]), input, output));
            switched.push(tag.clone());
        }
        5 => drawn.rig.devices.push(device(&tag, Bypass::Buffered, input, output)),
        6 => drawn.rig.devices.push(device(&tag, Bypass::AlwaysOn, input, output)),
        kind => {
            let bypass = if kind == 7 { Bypass::AlwaysOn } else { Bypass::Hard };
            drawn.rig.devices.push(volume(&tag, bypass, lot.pick(&[25e3, 250e3, 500e3])));
            drawn.travel.push((tag.clone(), lot.pick(&[1.0, 0.7, 0.5, 0.1])));
            if kind != 7 {
                switched.push(tag.clone());
            }
            if lot.chance(40) {
                *number += 1;
                let tuner = format!("D{number}");
                let hard = lot.chance(50);
                let bypass = if hard { Bypass::Hard } else { Bypass::Buffered };
                drawn.rig.devices.push(device(&tuner, bypass, 100e3, 1e3));
                if hard {
                    switched.push(tuner.clone());
                }
                let run = run(&drawn.rig, &tuner, &[format!("{tag}.TUNER"), format!("{tuner}.IN")]);
                drawn.rig.runs.push(run);
            }
        }
    }
    tag
}

//! The circuit files, solved by ngspice, give what the engine gives: within 0.01 dB from 20 Hz to 20 kHz.
//!
//! ngspice is a general circuit simulator of others (<https://ngspice.sourceforge.io>); Debian's package `ngspice`.

use std::path::Path;
use std::process::Command;

use quantity::{Farads, Henries, Length, Ohms};
use rig::{
    Bypass, Device, Known, Pickup, PickupKind, Port, PortRef, PortRole, Provenance, Rig, Run, Sink, Source,
    Stop,
};
use signal::{Config, Input, LeadLength, Sweep, circuit, network, respond, spice};

/// Largest difference allowed, in dB.
const SAME: f64 = 0.01;

fn known<T>(value: T) -> Known<T> {
    Known::new(value, Provenance::Measured)
}

/// Frequency, real and imaginary part of each `.print` line of a circuit file, sink by sink.
fn ngspice(text: &str, folder: &Path) -> Vec<Vec<(f64, f64, f64)>> {
    let file = folder.join("chain.cir");
    std::fs::write(&file, text).expect("written");
    let out = Command::new("ngspice")
        .arg("-b")
        .arg(&file)
        .output()
        .expect("ngspice runs; install it with `apt-get install -y ngspice`");
    let said = String::from_utf8_lossy(&out.stdout);
    let mut tables: Vec<Vec<(f64, f64, f64)>> = Vec::new();
    for line in said.lines() {
        let fields: Vec<f64> = line.split_whitespace().map_while(|field| field.parse().ok()).collect();
        let [index, hertz, re, im] = fields[..] else { continue };
        // Each sink's table begins at 0; long ones are printed in pages that go on counting.
        if index.abs() < 0.5 {
            tables.push(Vec::new());
        }
        tables.last_mut().expect("one has begun").push((hertz, re, im));
    }
    assert!(!tables.is_empty(), "{said}\n{}", String::from_utf8_lossy(&out.stderr));
    tables
}

/// Compares one state; gives the largest difference in dB over all sinks that signal reaches.
fn compare(input: &Input<'_>, source: usize, engaged: &[String], folder: &Path) -> Option<f64> {
    let config = Config::default();
    let circuit = circuit(input, &config, engaged);
    let model = network(input, &config);
    // A model of this circuit alone: every element fixed.
    let mut fixed = signal::model::Model::new();
    fixed.nodes.clone_from(&circuit.nodes);
    fixed.fixed.elements.clone_from(&circuit.elements);
    fixed.fixed.stages.clone_from(&circuit.stages);
    fixed.sources.clone_from(&circuit.sources);
    fixed.sinks.clone_from(&circuit.sinks);
    assert_eq!(model.sinks, circuit.sinks);
    let tables = ngspice(&spice(&circuit, "a chain", source), folder);
    assert_eq!(tables.len(), circuit.sinks.len());
    let mut worst: Option<f64> = None;
    for (sink, table) in tables.iter().enumerate() {
        // 48 points to the decade over three decades, both ends included.
        assert_eq!(table.len(), 145);
        assert!((table[0].0 - 20.0).abs() < 1e-6 && (table[144].0 - 20e3).abs() < 1e-3);
        // As the file asks for them: the table has seven digits, and where late branches cancel, the eighth decides how much
        // is left.
        let sweep = Sweep::new((0..145).map(|k| 20.0 * libm::pow(10.0, f64::from(k) / 48.0)).collect());
        let Some(own) = respond(&fixed, &[], source, sink, &sweep) else {
            assert!(table.iter().all(|(_, re, im)| re * re + im * im < 1e-12), "nothing should arrive");
            continue;
        };
        for (value, (_, re, im)) in own.iter().zip(table) {
            let apart = 10.0 * libm::log10(value.square() / (re * re + im * im));
            worst = Some(worst.unwrap_or(0.0).max(apart.abs()));
            // Phase too: the distance of the two is no more than the same hundredth of a dB.
            let distance = (value.re - re) * (value.re - re) + (value.im - im) * (value.im - im);
            let apart = 20.0 * libm::log10(1.0 + (distance / value.square()).sqrt());
            worst = worst.map(|worst| worst.max(apart));
        }
    }
    worst
}

/// Numbers by lot, the same ones each time: a linear congruential generator after Knuth (MMIX).
struct Lot(u64);

impl Lot {
    fn below(&mut self, bound: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).expect("31 bits") % bound
    }

    fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.below(from.len())]
    }

    /// A length between two, in whole millimetres.
    fn millimetres(&mut self, from: i64, to: i64) -> Length {
        let span = usize::try_from(to - from).expect("a span");
        Length::from_mm(from + i64::try_from(self.below(span)).expect("small"))
    }
}

/// A rig by lot, its leads, what is on, and how far passive volumes are open.
struct Chain {
    rig: Rig,
    leads: Vec<LeadLength>,
    engaged: Vec<String>,
    travel: Vec<(String, f64)>,
}

/// A guitar, up to ten devices of all kinds of bypass, passive volumes among them, an amp.
fn chain(seed: u64) -> Chain {
    let mut lot = Lot(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x51);
    let kind = lot.pick(&[
        PickupKind::Coil,
        PickupKind::Coil,
        PickupKind::Coil,
        PickupKind::Piezo,
        PickupKind::Active,
    ]);
    let pot = lot.pick(&[250e3, 500e3, 1e6]);
    let resistance = if kind == PickupKind::Active { 1e3 } else { lot.pick(&[5e3, 6.05e3, 8e3, 14e3]) };
    let pickup = Pickup {
        kind: known(kind),
        inductance: known(Henries::of(lot.pick(&[1.5, 2.2, 2.8, 5.0, 9.0]))),
        resistance: known(Ohms::of(resistance)),
        capacitance: known(Farads::of(lot.pick(&[60e-12, 110e-12, 160e-12, 500e-12]))),
        volume_pot: known(Ohms::of(pot)),
        tone_pot: known(Ohms::of(pot)),
        tone_capacitor: known(Farads::of(lot.pick(&[10e-9, 22e-9, 47e-9]))),
        peak: Known::default(),
    };
    let mut rig = Rig {
        sources: vec![Source { id: "guitar".into(), pickup, ..Source::default() }],
        sinks: vec![Sink {
            id: "amp".into(),
            z: known(Ohms::of(lot.pick(&[47e3, 500e3, 1e6]))),
            ..Sink::default()
        }],
        ..Rig::default()
    };
    let (mut stops, mut engaged, mut travel) = (vec!["guitar".to_owned()], Vec::new(), Vec::new());
    for number in 1..=lot.below(11) {
        let tag = format!("D{number}");
        let mut device = Device { tag: tag.clone(), ..Device::default() };
        let port = |name: &str, role: PortRole, z: f64| Port {
            name: name.into(),
            role: known(role),
            z: known(Ohms::of(z)),
            ..Port::default()
        };
        let (input, output) = (lot.pick(&[8e3, 100e3, 470e3, 1e6]), lot.pick(&[100.0, 1e3, 10e3, 62e3]));
        device.ports = vec![port("IN", PortRole::In, input), port("OUT", PortRole::Out, output)];
        device.signal.bypass =
            known(lot.pick(&[Bypass::Hard, Bypass::Hard, Bypass::Relay, Bypass::Buffered, Bypass::AlwaysOn]));
        if lot.below(6) == 0 {
            device.signal.passive = true;
            travel.push((tag.clone(), lot.pick(&[1.0, 0.8, 0.5, 0.2])));
        }
        if lot.below(2) == 0 {
            engaged.push(tag.clone());
        }
        stops.push(tag);
        rig.devices.push(device);
    }
    stops.push("amp".to_owned());
    let last = stops.len() - 1;
    let own = |text: &str, port: &str| {
        let port = if text == "guitar" || text == "amp" { "" } else { port };
        Some(PortRef::new(text, port))
    };
    rig.runs.push(Run {
        name: "main".into(),
        stops: stops
            .iter()
            .enumerate()
            .map(|(index, text)| Stop {
                text: text.clone(),
                arrives: if index == 0 { None } else { own(text, "IN") },
                leaves: if index == last { None } else { own(text, "OUT") },
            })
            .collect(),
        ..Run::default()
    });
    let ends: Vec<(PortRef, PortRef)> =
        rig.runs[0].steps().map(|(from, to)| (from.clone(), to.clone())).collect();
    let leads = ends
        .into_iter()
        .map(|(from, to)| LeadLength { from, to, length: known(lot.millimetres(100, 6000)) })
        .collect();
    Chain { rig, leads, engaged, travel }
}

#[test]
fn three_hundred_chains_by_lot() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut worst = 0.0_f64;
    for seed in 0..300 {
        let Chain { rig, leads, engaged, travel } = chain(seed);
        let mut input = Input::new(&rig, leads);
        input.travel.extend(travel);
        let apart = compare(&input, 0, &engaged, folder.path()).expect("signal arrives");
        assert!(apart <= SAME, "seed {seed}: {apart} dB");
        worst = worst.max(apart);
    }
    eprintln!("largest difference over 300 chains: {worst:e} dB");
}

#[test]
fn every_state_of_the_six_examples() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut compared, mut worst) = (0, 0.0_f64);
    for path in external::examples() {
        let job = document::read(&path, None).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        let design = design::derive(job.rig, job.limits);
        let input = design.signal_input();
        let sources = network(&input, &Config::default()).sources.len();
        let off = rig::State { name: "everything off".into(), engaged: Vec::new() };
        for state in std::iter::once(&off).chain(&design.rig.states) {
            for source in 0..sources {
                // From some sources nothing arrives in some states: an open normal is planted in one example.
                let Some(apart) = compare(&input, source, &state.engaged, folder.path()) else { continue };
                assert!(apart <= SAME, "{}, state {}: {apart} dB", path.display(), state.name);
                compared += 1;
                worst = worst.max(apart);
            }
        }
    }
    assert!(12 <= external::examples().len() && 40 <= compared, "{compared} states");
    eprintln!("largest difference over {compared} states: {worst:e} dB");
}

/// States of rigs by lot with what a builder of networks gets wrong planted in them: loops, inserts, panels, sums.
#[test]
fn three_hundred_states_of_rigs_with_loops_inserts_panels_and_sums() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut compared, mut worst, mut met) = (0, 0.0_f64, [0; 4]);
    // The first hundred and twenty; each with everything off, its two named states, and the worst of its band.
    for case in crate::circuits::drawn(0, 120) {
        let document = case["document"].as_str().expect("text");
        let job = document::read_text("rig.toml", document, None).unwrap_or_else(|error| panic!("{error:?}"));
        let design = design::derive(job.rig, job.limits);
        let input = design.signal_input();
        let has = |what: fn(&Device) -> bool| usize::from(design.rig.devices.iter().any(what));
        let kinds = [
            has(|device| !device.loops.is_empty()),
            has(|device| device.role != rig::Role::Panel && !device.inserts.is_empty()),
            has(|device| device.role == rig::Role::Panel),
            has(|device| {
                device.ports.iter().any(|port| port.name == "IN_A")
                    && device.ports.iter().all(|port| port.name != "OUT_B")
            }),
        ];
        let outcome = signal::solve_with(&input, &Config::default(), signal::BufferSearch::Skip);
        let mut states: Vec<Vec<String>> = vec![Vec::new()];
        states.extend(design.rig.states.iter().map(|state| state.engaged.clone()));
        // What the answer names can be named back, loops too.
        let named = outcome.ways.iter().filter_map(|way| way.band.worst.state.clone());
        states.extend(named.take(1).filter(|state| state.iter().any(|name| name.contains('.'))));
        for engaged in states {
            for source in 0..network(&input, &Config::default()).sources.len() {
                let Some(apart) = compare(&input, source, &engaged, folder.path()) else { continue };
                assert!(apart <= SAME, "{}, {engaged:?}: {apart} dB", case["name"]);
                compared += 1;
                worst = worst.max(apart);
                met.iter_mut().zip(kinds).for_each(|(met, kind)| *met += kind);
            }
        }
    }
    let [loops, inserts, panels, sums] = met;
    assert!(300 <= compared && met.iter().all(|met| 40 <= *met), "{compared} states: {met:?}");
    eprintln!(
        "largest difference over {compared} states ({loops} with loops, {inserts} inserts, {panels} panels, {sums} sums): \
         {worst:e} dB"
    );
}

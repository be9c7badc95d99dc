//! Guitars, leads and inputs through the engine, against figures worked apart and against measured coils.

use quantity::{Farads, Henries, Length, Ohms};
use rig::{Known, Pickup, PickupKind, PortRef, Provenance, Rig, Run, Sink, Source, Stop};
use signal::model::{EARTH, Model, Part, Terminal};
use signal::{Complex, Config, Controls, Input, LeadLength, Sweep, network, respond, solve_without_advice};

const CHAINS: &str = include_str!("../../pickups/chains.tsv");
const SPLIT: &str = include_str!("../../pickups/split.tsv");

fn known<T>(value: T) -> Known<T> {
    Known::new(value, Provenance::Measured)
}

/// A coil in ohms, henries and farads.
#[derive(Clone, Copy)]
struct Coil(f64, f64, f64);

/// A pot that is not there: nothing flows through it.
const NO_POT: f64 = 1e15;
/// A capacitor that is not there.
const NO_CAPACITOR: f64 = 1e-21;

/// A guitar into a lead of so many metres at 100 pF a metre into an input.
fn rig(coil: Coil, pots: f64, tone_farads: f64, input: f64) -> Rig {
    let end = |name: &str| Some(PortRef::new(name, ""));
    let stop = |name: &str, arrives, leaves| Stop { text: name.into(), arrives, leaves };
    Rig {
        sources: vec![Source {
            id: "guitar".into(),
            pickup: Pickup {
                kind: known(PickupKind::Coil),
                resistance: known(Ohms::of(coil.0)),
                inductance: known(Henries::of(coil.1)),
                capacitance: known(Farads::of(coil.2)),
                volume_pot: known(Ohms::of(pots)),
                tone_pot: known(Ohms::of(pots)),
                tone_capacitor: known(Farads::of(tone_farads)),
                peak: Known::default(),
            },
            ..Source::default()
        }],
        sinks: vec![Sink { id: "amp".into(), z: known(Ohms::of(input)), ..Sink::default() }],
        runs: vec![Run {
            name: "main".into(),
            stops: vec![stop("guitar", None, end("guitar")), stop("amp", end("amp"), None)],
            ..Run::default()
        }],
        ..Rig::default()
    }
}

/// The settings of that rig: a lead of this capacitance at 100 pF a metre, plugs and core without any.
fn settings(rig: &Rig, lead_pf: f64, controls: Controls) -> (Input<'_>, Config) {
    #[expect(clippy::cast_possible_truncation, reason = "a few metres")]
    let length = Length::from_mm((lead_pf * 10.0).round() as i64);
    let lead =
        LeadLength { from: PortRef::new("guitar", ""), to: PortRef::new("amp", ""), length: known(length) };
    let mut input = Input::new(rig, vec![lead]);
    input.controls.insert("guitar".into(), controls);
    (input, Config { plug: 0.0, cable_resistance: 0.0, ..Config::default() })
}

fn at(model: &Model, hertz: &[f64]) -> Vec<Complex> {
    respond(model, &model.at_rest(), 0, 0, &Sweep::new(hertz.to_vec())).expect("it arrives")
}

#[test]
fn ten_chains_of_coil_controls_lead_and_input() {
    let points = [100.0, 1000.0, 2000.0, 3000.0, 4000.0, 5000.0, 8000.0, 10_000.0];
    let mut cases = 0;
    for line in CHAINS.lines().filter(|line| !line.starts_with('#')) {
        let fields: Vec<&str> = line.split('\t').collect();
        let number = |index: usize| fields[index].parse::<f64>().expect("a number");
        let coil = if fields[1] == "SC" { Coil(6050.0, 2.2, 110e-12) } else { Coil(7600.0, 5.0, 120e-12) };
        let tone = if number(3) > 0.0 { number(3) * 1e-9 } else { NO_CAPACITOR };
        let rig = rig(coil, number(2) * 1e3, tone, number(7) * 1e3);
        let controls = Controls { volume: number(4), tone: number(5), eddy: None };
        let (input, config) = settings(&rig, number(6), controls);
        let model = network(&input, &config);
        for (column, value) in at(&model, &points).iter().enumerate() {
            let (found, wanted) = (value.decibels(), number(8 + column));
            assert!(
                (found - wanted).abs() <= 0.002,
                "{} at {} Hz: {found} for {wanted}",
                fields[0],
                points[column]
            );
        }
        let outcome = solve_without_advice(&input, &config, false);
        let [(_, peak)] = outcome.ways[0].resonance.variants.as_slice() else { panic!("one variant") };
        match (fields[16].parse::<f64>(), peak) {
            (Ok(wanted), Some(found)) => {
                assert!((found - wanted).abs() <= 1.0, "{}: {found} for {wanted}", fields[0]);
                assert!((at(&model, &[*found])[0].decibels() - number(17)).abs() <= 0.002, "{}", fields[0]);
            }
            (Err(_), None) => {}
            other => panic!("{}: {other:?}", fields[0]),
        }
        cases += 1;
    }
    assert_eq!(cases, 10);
}

#[test]
fn coils_with_eddy_loss_peak_where_and_as_high_as_worked_apart() {
    let mut cases = 0;
    for line in SPLIT.lines().filter(|line| !line.starts_with('#')) {
        let fields: Vec<&str> = line.split('\t').collect();
        let number = |index: usize| fields[index].parse::<f64>().expect("a number");
        let rig = rig(Coil(number(3), number(1), number(2) * 1e-12), NO_POT, NO_CAPACITOR, 10e6);
        let controls = Controls { eddy: Some((0.5, number(4))), ..Controls::default() };
        let (input, config) = settings(&rig, 470.0, controls);
        let outcome = solve_without_advice(&input, &config, false);
        let (_, peak) = &outcome.ways[0].resonance.variants[0];
        let peak = peak.expect("it peaks");
        assert!((peak - number(5)).abs() <= 0.2, "{}: {peak} Hz", fields[0]);
        let height = at(&network(&input, &config), &[peak])[0].size();
        assert!((height - number(6)).abs() <= 0.001, "{}: {height}", fields[0]);
        cases += 1;
    }
    assert_eq!(cases, 7);
}

#[test]
fn the_peak_is_gone_at_47_kilohms() {
    // Published with the table of pickups/split.tsv: the peak is gone at 47 kΩ or less. H. Lemme.
    let rig = rig(Coil(6050.0, 2.2, 110e-12), NO_POT, NO_CAPACITOR, 47e3);
    let controls = Controls { eddy: Some((0.5, 276.7e3)), ..Controls::default() };
    let (input, config) = settings(&rig, 470.0, controls);
    let outcome = solve_without_advice(&input, &config, false);
    assert_eq!(outcome.ways[0].resonance.variants[0].1, None);
    let base = at(&network(&input, &config), &[100.0])[0].size();
    let highest = outcome.ways[0].states[0].response.iter().map(|value| value.size()).fold(0.0, f64::max);
    assert!(highest / base <= 1.05, "{}", highest / base);
}

/// The frequency where the impedance of a coil with capacitance across is greatest, by the network: a large
/// resistance makes a current of 1 V, so that the voltage at the coil is its impedance.
fn highest_impedance(coil: Coil, added: f64, around: f64) -> f64 {
    let mut model = Model::new();
    let (emf, top, wire) = (model.node("EMF"), model.node("top"), model.node("wire"));
    model.sources.push(Terminal { id: "current".into(), node: emf });
    model.add("current", emf, top, Part::Resistor(1e12));
    model.add("R", top, wire, Part::Resistor(coil.0));
    model.add("L", wire, EARTH, Part::Inductor(coil.1));
    model.add("C", top, EARTH, Part::Capacitor(coil.2 + added));
    model.sinks.push(Terminal { id: "top".into(), node: top });
    let points: Vec<f64> = (-5000..=5000).map(|step| around + 0.1 * f64::from(step)).collect();
    let sizes = at(&model, &points);
    let best =
        (0..sizes.len()).max_by(|a, b| sizes[*a].square().total_cmp(&sizes[*b].square())).expect("some");
    points[best]
}

#[test]
fn zollners_coil_is_highest_where_he_measured_it() {
    // Iron-free screw coil, 4420 Ω, 1.125 H, 43 pF; measured with 330, 700 and 1030 pF. Zollner, Physics of the
    // Electric Guitar, §5.9; the computed column was worked apart from this program.
    let coil = Coil(4420.0, 1.125, 43e-12);
    for (added, computed, measured) in
        [(330.0, 7769.4, 7.7e3), (700.0, 5504.7, 5.5e3), (1030.0, 4580.4, 4.6e3)]
    {
        let found = highest_impedance(coil, added * 1e-12, measured);
        assert!((found - computed).abs() <= 0.5, "{added} pF: {found} Hz");
        assert!((found - measured).abs() / measured <= 0.03, "{added} pF: {found} Hz");
    }
    // Without added capacitance he measured 21 to 23 kHz.
    let alone = highest_impedance(coil, 0.0, 22_900.0);
    assert!((21e3..=23e3).contains(&alone), "{alone}");
}

#[test]
fn half_turn_of_a_pot_is_the_worst_source() {
    // A quarter of the pot at half its resistance; 62.5 kΩ of a 250 kΩ pot, with 500 pF a corner of 5093 Hz. Divider
    // of two equal parts; worked apart from this program.
    let ohms = signal::loading::pot_output(250e3, 0.5, 0.0);
    assert!((ohms - 62.5e3).abs() < 1e-6);
    assert!((signal::loading::corner(ohms, 500e-12) - 5092.958).abs() < 1e-3);
    for step in 0..=20 {
        assert!(signal::loading::pot_output(250e3, f64::from(step) / 20.0, 0.0) <= ohms);
    }
}

#[test]
fn inductive_corners_into_low_inputs() {
    // (R + Rload)/(2πL), worked apart: a single coil into 10 kΩ and 20 kΩ, a humbucker into 10 kΩ.
    for (r, load, l, wanted) in
        [(6050.0, 10e3, 2.2, 1161.1), (7600.0, 10e3, 5.0, 560.2), (6050.0, 20e3, 2.2, 1884.5)]
    {
        let found = signal::loading::inductive_corner(r, load, l);
        assert!((found - wanted).abs() < 0.1, "{found} for {wanted}");
    }
}

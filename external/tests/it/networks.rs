//! Guitars, leads and inputs through the engine, against figures worked apart and against measured coils.

use quantity::{Farads, Henries, Length, Ohms};
use rig::{Known, Pickup, PickupKind, PortRef, Provenance, Rig, Run, Sink, Source, Stop};
use signal::{BufferSearch, Config, Controls, Input, LeadLength, solve_with};

use crate::chain::level;

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
        let outcome = solve_with(&input, &config, BufferSearch::Skip);
        for (column, hertz) in points.iter().enumerate() {
            let (found, wanted) = (level(&outcome, *hertz), number(8 + column));
            assert!(
                (found - wanted).abs() <= 0.002,
                "{} at {} Hz: {found} for {wanted}",
                fields[0],
                points[column]
            );
        }
        let [(_, peak)] = outcome.ways[0].resonance.variants.as_slice() else { panic!("one variant") };
        match (fields[16].parse::<f64>(), peak) {
            (Ok(wanted), Some(found)) => {
                assert!((found - wanted).abs() <= 1.0, "{}: {found} for {wanted}", fields[0]);
                assert!((level(&outcome, *found) - number(17)).abs() <= 0.002, "{}", fields[0]);
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
        let outcome = solve_with(&input, &config, BufferSearch::Skip);
        let (_, peak) = &outcome.ways[0].resonance.variants[0];
        let peak = peak.expect("it peaks");
        assert!((peak - number(5)).abs() <= 0.2, "{}: {peak} Hz", fields[0]);
        let height = libm::pow(10.0, level(&outcome, peak) / 20.0);
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
    let outcome = solve_with(&input, &config, BufferSearch::Skip);
    assert_eq!(outcome.ways[0].resonance.variants[0].1, None);
    let highest = outcome.ways[0].states[0].level_db().into_iter().fold(f64::NEG_INFINITY, f64::max);
    let rise = highest - level(&outcome, 100.0);
    assert!(rise <= 0.42, "{rise} dB");
}

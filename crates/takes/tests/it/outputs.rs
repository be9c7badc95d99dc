//! Each output of a board is held against its own amp; a loop is known by what hangs in it; a mark is met through any resonance; a
//! level that was turned, and a straight lead recorded twice, are what they are.

use realfft::num_complex::Complex64;
use rig::{Bypass, Loop, PortRef, PortRole, Rig};
use signal::grid::frequencies;
use signal::{Config, LeadLength};
use takes::signals::{Side, played};
use takes::{Fault, Heard, Named, Question, Refusal, rows};

use crate::recorded::{Lot, after, curve, heard, straight, through, with_noise};
use crate::rigs::{Board, amp, device, guitar, known, port, run};

const RATE: u32 = 44_100;

fn state(name: &str, engaged: &[&str]) -> rig::State {
    rig::State { name: name.to_owned(), engaged: engaged.iter().map(|tag| (*tag).to_owned()).collect() }
}

fn lead(from: (&str, &str), to: (&str, &str), mm: f64) -> LeadLength {
    LeadLength {
        from: PortRef::new(from.0, from.1),
        to: PortRef::new(to.0, to.1),
        length: known(quantity::Length::from_mm_rounded(mm)),
    }
}

/// A rig of one run for each list of leads.
fn board(mut rig: Rig, runs: &[Vec<LeadLength>]) -> Board {
    for (at, leads) in runs.iter().enumerate() {
        let steps: Vec<(PortRef, PortRef)> =
            leads.iter().map(|lead| (lead.from.clone(), lead.to.clone())).collect();
        rig.runs.push(run(&format!("run {at}"), &steps));
    }
    Board::new(rig, runs.concat())
}

/// A splitter with a passive volume and a long lead behind each of its two outputs.
fn stereo(right_mm: f64) -> Board {
    let box_of = |tag: &str| {
        device(tag, Bypass::Hard, false, vec![port("IN", PortRole::In, 1e6), port("OUT", PortRole::Out, 1e3)])
    };
    let split = device(
        "X1",
        Bypass::AlwaysOn,
        false,
        vec![
            port("IN", PortRole::In, 1e6),
            port("OUT_A", PortRole::Out, 10e3),
            port("OUT_B", PortRole::Out, 10e3),
        ],
    );
    let rig = Rig {
        sources: vec![guitar(4_000)],
        sinks: vec![amp("amp"), amp("right")],
        devices: vec![split, box_of("D1"), box_of("D2")],
        ..Rig::default()
    };
    let left = vec![
        lead(("guitar", ""), ("X1", "IN"), 4e3),
        lead(("X1", "OUT_A"), ("D1", "IN"), 400.0),
        lead(("D1", "OUT"), ("amp", ""), 3e3),
    ];
    let right = vec![lead(("X1", "OUT_B"), ("D2", "IN"), right_mm), lead(("D2", "OUT"), ("right", ""), 3e3)];
    board(rig, &[left, right])
}

fn recorded(built: &Board, sinks: &[Option<&str>], engaged: &[String], lot: &mut Lot) -> Heard {
    let channels: Vec<Vec<f64>> = sinks
        .iter()
        .map(|sink| {
            let all = played(RATE, Side::Left);
            let through_board = match sink {
                Some(sink) => {
                    let own = built.response_at(sink, engaged).expect("signal arrives");
                    let over = own.iter().zip(built.straight()).map(|(a, b)| *a / b).collect();
                    through(&all, RATE, curve(frequencies(), over))
                }
                None => vec![0.0; all.len()],
            };
            with_noise(through_board, 1e-5, lot)
        })
        .collect();
    let channels: Vec<&[f64]> = channels.iter().map(Vec::as_slice).collect();
    heard(RATE, &channels).expect("it is read")
}

#[test]
fn each_output_is_held_against_its_own_amp() {
    let mut lot = Lot(21);
    let planned = stereo(900.0);
    let (input, config) = (planned.input(), Config::default());
    let way = Question { input: &input, config: &config, source: "guitar", sink: "amp" };
    assert_eq!(way.outputs().iter().map(|way| way.sink).collect::<Vec<_>>(), ["amp", "right"]);
    let reference = heard(RATE, &[&straight(RATE, &mut lot)]).expect("it is read");
    let bypassed = state("bypassed", &[]);
    let judged = |board: &Heard| {
        let one = Named { name: "bypassed", heard: board, state: Some(&bypassed) };
        way.judged(&[one], &reference, &[]).expect("it is judged")
    };
    let both = [Some("amp"), Some("right")];
    // As planned, both pass, though the two leads are not alike.
    let (one, suspects) = judged(&recorded(&planned, &both, &[], &mut lot));
    assert!(one[0].passes() && suspects.is_none(), "{:?}", one[0].outputs.iter().map(|one| &one.bands));
    // Twelve metres too much on the right: that output alone is off, and that lead is named.
    let built = stereo(12_900.0);
    let (one, suspects) = judged(&recorded(&built, &both, &[], &mut lot));
    let passes: Vec<(Option<&str>, bool)> =
        one[0].outputs.iter().map(|one| (one.sink.as_deref(), one.passes())).collect();
    assert_eq!(passes, [(Some("amp"), true), (Some("right"), false)]);
    let first = &suspects.expect("one output is off").list[0];
    let places: Vec<&Fault> = std::iter::once(&first.fault).chain(&first.or).collect();
    let is_it = |fault: &&&Fault| {
        matches!(fault, Fault::Capacitance { lead, farads, .. }
            if lead == "X1.OUT_B > D2.IN" && (farads - 1.2e-9).abs() < 0.15e-9)
    };
    assert!(places.iter().any(|fault| is_it(&fault)), "{places:?}");
    let said = rows(&recorded(&built, &both, &[], &mut lot), &reference, &one[0]);
    assert_eq!(said.iter().map(|one| one.sink.as_str()).collect::<Vec<_>>(), ["amp", "right"]);
    assert!(said.iter().all(|one| one.polarity == Some(true) && one.hum == "none"), "{said:?}");
    // Nothing in the first input: what is in the second one is the second output, and the first is not judged.
    let right = recorded(&built, &[None, Some("right")], &[], &mut lot);
    assert_eq!(right.silent, [0]);
    let (one, _) = judged(&right);
    assert_eq!(one[0].outputs.len(), 1);
    assert_eq!((one[0].outputs[0].sink.as_deref(), one[0].passes()), (Some("right"), false));
}

/// A port of a relay, which has no impedance of its own.
fn contact(name: &str, role: PortRole) -> rig::Port {
    rig::Port { name: name.into(), role: known(role), ..rig::Port::default() }
}

/// A switcher with one loop, in which a device hangs that is always on and inverts.
fn looped() -> Board {
    let mut switcher = device(
        "S1",
        Bypass::Hard,
        false,
        vec![
            port("IN", PortRole::In, 1e6),
            contact("SEND", PortRole::Send),
            contact("BACK", PortRole::Return),
            contact("OUT", PortRole::Out),
        ],
    );
    switcher.loops.push(Loop { name: "1".into(), send: "SEND".into(), back: "BACK".into() });
    let drive = device(
        "D1",
        Bypass::AlwaysOn,
        true,
        vec![port("IN", PortRole::In, 500e3), port("OUT", PortRole::Out, 1e3)],
    );
    let rig = Rig {
        sources: vec![guitar(4_000)],
        sinks: vec![amp("amp")],
        devices: vec![switcher, drive],
        ..Rig::default()
    };
    let leads = vec![
        lead(("guitar", ""), ("S1", "IN"), 4e3),
        lead(("S1", "SEND"), ("D1", "IN"), 400.0),
        lead(("D1", "OUT"), ("S1", "BACK"), 400.0),
        lead(("S1", "OUT"), ("amp", ""), 3e3),
    ];
    board(rig, &[leads])
}

#[test]
fn a_loop_that_is_named_by_its_device_stays_in_or_out() {
    let mut lot = Lot(22);
    let board = looped();
    let (input, config) = (board.input(), Config::default());
    let way = Question { input: &input, config: &config, source: "guitar", sink: "amp" };
    let reference = heard(RATE, &[&straight(RATE, &mut lot)]).expect("it is read");
    let drive = vec!["D1".to_owned()];
    for (said, is, is_in) in [(&drive[..], &[][..], false), (&[], &drive, true)] {
        let said = rig::State { name: "said".to_owned(), engaged: said.to_vec() };
        let recording = recorded(&board, &[Some("amp")], is, &mut lot);
        let one = Named { name: "", heard: &recording, state: Some(&said) };
        let (_, suspects) = way.judged(&[one], &reference, &[]).expect("it is judged");
        let first = suspects.expect("it is not as expected").list.remove(0);
        let is_it = |fault: &Fault| *fault == Fault::Stays { name: "S1.1".to_owned(), is_in };
        assert!(std::iter::once(&first.fault).chain(&first.or).any(is_it), "{first:?}");
    }
    // Out of the way, its polarity is nobody's.
    let expected = way.expected(&[], &signal::Sweep::new(frequencies())).expect("signal arrives");
    assert!(!expected.inverts);
}

#[test]
fn marks_are_met_through_any_resonance() {
    for (at, hertz) in [1_200.0, 1_500.0, 1_900.0, 2_300.0, 2_800.0, 3_500.0].into_iter().enumerate() {
        for q in [0.7, 1.5, 3.0] {
            let mut lot = Lot(100 + u64::try_from(at).expect("a few"));
            let low_pass = |f: f64| {
                let x = f / hertz;
                Complex64::new(1.0, 0.0) / Complex64::new(1.0 - x * x, x / q)
            };
            let own = through(&played(RATE, Side::Left), RATE, low_pass);
            let own: Vec<f64> = own.iter().map(|value| 0.15 * value).collect();
            let begins = lot.between(0.3, 2.0);
            let found = heard(RATE, &[&after(begins, RATE, &with_noise(own, 3e-5, &mut lot))]);
            let found = found.unwrap_or_else(|why| panic!("{hertz} Hz, Q {q}: {why}"));
            assert!(found.found.drift.abs() < 3e-6, "{hertz} Hz, Q {q}: {} ppm", found.found.drift * 1e6);
        }
    }
}

#[test]
fn a_gain_that_was_turned_is_no_device_that_stays_in() {
    let mut lot = Lot(23);
    let planned = stereo(900.0);
    let (input, config) = (planned.input(), Config::default());
    let way = Question { input: &input, config: &config, source: "guitar", sink: "amp" };
    let reference = heard(RATE, &[&straight(RATE, &mut lot)]).expect("it is read");
    let bypassed = state("bypassed", &[]);
    let own = planned.response(&[]).expect("signal arrives");
    let over: Vec<signal::Complex> = own.iter().zip(planned.straight()).map(|(a, b)| *a / b).collect();
    let sound = through(&played(RATE, Side::Left), RATE, curve(frequencies(), over));
    let quiet: Vec<f64> = sound.iter().map(|value| 0.02 * value).collect();
    let quiet = heard(RATE, &[&with_noise(quiet, 1e-6, &mut lot)]).expect("it is read");
    let one = Named { name: "", heard: &quiet, state: Some(&bypassed) };
    let (_, suspects) = way.judged(&[one], &reference, &[]).expect("it is judged");
    let first = suspects.expect("it is not as expected").list.remove(0);
    assert!(
        matches!(first.fault, Fault::Level { db } if (db + 34.0).abs() < 0.5) && 0.8 < first.share,
        "{first:?}"
    );
    // The straight lead in the place of a board whose long lead makes it dull.
    let long = stereo(12_900.0);
    let input = long.input();
    let way = Question { input: &input, config: &config, source: "guitar", sink: "right" };
    let again = heard(RATE, &[&straight(RATE, &mut lot)]).expect("it is read");
    let one = Named { name: "", heard: &again, state: Some(&bypassed) };
    assert!(matches!(way.judged(&[one], &reference, &[]), Err(Refusal::Twice { .. })));
}

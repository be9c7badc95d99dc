//! The band from the graph is the band from visiting every state.

use rig::{Bypass, PortRole, Rig};
use signal::model::Model;
use signal::{Config, Envelope, Sweep, enumerate, envelope, network, respond};

use crate::rigs::{Lot, amp, device, draw, guitar, input, port, run, string};

fn sweep() -> Sweep {
    Sweep::new(vec![20.0, 100.0, 1000.0, 2500.0, 4000.0, 6300.0, 20_000.0])
}

/// Slack for sums taken in another order, in dB.
const SAME: f64 = 1e-9;

fn same(a: &Envelope, b: &Envelope, what: &str) {
    for (k, (a, b)) in a.upper.iter().chain(&a.lower).zip(b.upper.iter().chain(&b.lower)).enumerate() {
        assert!((a.db - b.db).abs() < SAME, "{what}, column {k}: {} and {}", a.db, b.db);
    }
    let (a, b) = (a.difference.expect("asked for"), b.difference.expect("asked for"));
    for (a, b) in a.iter().zip(&b) {
        assert!((a.db - b.db).abs() < SAME, "{what}, difference: {} and {}", a.db, b.db);
    }
}

/// Compares graph and enumeration on rigs by lot; counts what kinds were met.
pub(crate) fn compare(seeds: std::ops::Range<u64>, most: usize) -> [usize; 4] {
    let (mut compared, mut outer, mut one_by_one, mut multi) = (0, 0, 0, 0);
    for seed in seeds {
        let drawn = draw(seed, most);
        let input = drawn.input();
        let model = network(&input, &Config::default());
        let sweep = sweep();
        for sink in 0..model.sinks.len() {
            let fast = envelope(&model, 0, sink, &sweep, Some((2, 4)));
            let slow = enumerate(&model, 0, sink, &sweep, Some((2, 4))).expect("few switches");
            assert_eq!(fast.arrives, slow.arrives, "seed {seed}");
            if !slow.arrives {
                continue;
            }
            if !fast.exact {
                // Only where more than twelve switches sum: bounds, and they hold.
                assert!(12 < model.switches.len(), "seed {seed}");
                assert!(fast.upper.iter().zip(&slow.upper).all(|(bound, level)| level.db <= bound.db + SAME));
                assert!(fast.lower.iter().zip(&slow.lower).all(|(bound, level)| bound.db - SAME <= level.db));
                compared += 1;
                continue;
            }
            same(&fast, &slow, &format!("seed {seed}, sink {sink}"));
            // The states named do reach the extremes.
            for (k, extreme) in fast.upper.iter().enumerate().chain(fast.lower.iter().enumerate()) {
                let state = &fast.states[extreme.state.expect("exact")];
                assert!(model.allows(state), "seed {seed}");
                let single = Sweep::new(vec![sweep.hertz[k]]);
                let level = respond(&model, state, 0, sink, &single).expect("it arrives")[0].decibels();
                assert!((level - extreme.db).abs() < SAME, "seed {seed}: {level} and {}", extreme.db);
            }
            compared += 1;
            outer += usize::from(1 < fast.work.outer);
            one_by_one += usize::from(0 < fast.work.states);
            multi += usize::from(0 < sink);
        }
    }
    [compared, outer, one_by_one, multi]
}

#[test]
fn graph_and_enumeration_agree_on_rigs_by_lot() {
    let [compared, outer, one_by_one, multi] = compare(0..340, 8);
    assert!(340 <= compared, "{compared}");
    // Every way of working is met often enough to mean something.
    assert!(40 <= outer && 10 <= one_by_one && 40 <= multi, "{outer} {one_by_one} {multi}");
}

#[test]
fn graph_and_enumeration_agree_where_one_at_a_time_is_on() {
    let mut lot = Lot::new(31);
    let (mut compared, mut inside) = (0, 0);
    for seed in 8000..8200 {
        let mut drawn = draw(seed, 9);
        let names = signal::switches(&drawn.input(), &Config::default());
        if names.len() < 4 {
            continue;
        }
        // Sets of neighbours, and sets by lot that lie across each other.
        drawn.exclusive.clear();
        for _ in 0..=lot.below(3) {
            let (size, first) = (2 + lot.below(3), lot.below(names.len()));
            let far = lot.chance(40);
            let member = |at: usize| {
                names[if far { (first + at * 3) % names.len() } else { (first + at) % names.len() }].clone()
            };
            let mut set: Vec<String> = (0..size).map(member).collect();
            set.sort();
            set.dedup();
            drawn.exclusive.push(set);
        }
        let model = network(&drawn.input(), &Config::default());
        let sweep = sweep();
        for sink in 0..model.sinks.len() {
            let fast = envelope(&model, 0, sink, &sweep, Some((2, 4)));
            let slow = enumerate(&model, 0, sink, &sweep, Some((2, 4))).expect("few switches");
            assert!(fast.exact, "seed {seed}");
            assert_eq!(fast.arrives, slow.arrives, "seed {seed}");
            if !slow.arrives {
                continue;
            }
            same(&fast, &slow, &format!("seed {seed}, sink {sink}"));
            assert!(fast.states.iter().all(|state| model.allows(state)), "seed {seed}");
            compared += 1;
            inside += usize::from(fast.work.outer == 1);
        }
    }
    // Most of them without holding a switch from outside.
    assert!(150 < compared && compared < 3 * inside, "{compared} {inside}");
}

#[test]
fn graph_and_enumeration_agree_on_larger_rigs() {
    // `BOARDWRIGHT_SOAK` asks for more, and larger ones.
    let soak = std::env::var_os("BOARDWRIGHT_SOAK").is_some();
    let (seeds, most) = if soak { (400..1000, 14) } else { (400..430, 10) };
    let [compared, ..] = compare(seeds.clone(), most);
    assert!(seeds.end - seeds.start <= compared as u64);
    if soak {
        println!("soak: {compared} bands of rigs of up to {most} devices, each as enumeration has it");
    }
}

/// The level of a state at each frequency.
fn levels(model: &Model, state: &[u8], sweep: &Sweep) -> Vec<f64> {
    respond(model, state, 0, 0, sweep).expect("it arrives").iter().map(|value| value.decibels()).collect()
}

/// States by lot lie within what the band says.
fn holds(model: &Model, band: &Envelope, sweep: &Sweep) {
    let mut lot = Lot::new(99);
    for _ in 0..200 {
        let state: Vec<u8> = model.switches.iter().map(|_| u8::from(lot.chance(50))).collect();
        for (k, level) in levels(model, &state, sweep).into_iter().enumerate() {
            assert!(
                band.lower[k].db - SAME <= level && level <= band.upper[k].db + SAME,
                "{state:?}: {level}"
            );
        }
    }
}

#[test]
fn too_many_summing_states_get_bounds_that_hold() {
    let mut rig = Rig { sources: vec![guitar("guitar")], sinks: vec![amp("amp")], ..Rig::default() };
    let mut split = device("SPLIT", Bypass::AlwaysOn, 1e6, 100.0);
    split.ports.push(port("OUT_2", PortRole::Out, Some(100.0)));
    let mut mix = device("MIX", Bypass::AlwaysOn, 1e6, 100.0);
    mix.ports = vec![
        port("IN_1", PortRole::In, Some(1e6)),
        port("IN_2", PortRole::In, Some(1e6)),
        port("OUT", PortRole::Out, Some(100.0)),
    ];
    rig.devices = vec![split, mix];
    let (mut dry, mut wet) = (vec!["guitar".to_owned(), "SPLIT".into()], vec!["SPLIT.OUT_2".to_owned()]);
    for number in 1..=14 {
        let tag = format!("D{number}");
        rig.devices.push(device(&tag, Bypass::Hard, 470e3, 10e3));
        if number % 2 == 0 { dry.push(tag) } else { wet.push(tag) }
    }
    dry.extend(["MIX.IN_1".into(), "MIX.OUT".into(), "amp".into()]);
    wet.push("MIX.IN_2".into());
    let runs = [run(&rig, "dry", &dry), run(&rig, "wet", &wet)];
    rig.runs.extend(runs);
    let model = network(&input(&rig), &Config::default());
    let band = envelope(&model, 0, 0, &sweep(), None);
    assert!(
        !band.exact && band.upper.iter().all(|extreme| extreme.state.is_none() && extreme.db.is_finite())
    );
    holds(&model, &band, &sweep());
}

#[test]
fn too_many_shared_switches_get_bounds_that_hold() {
    // Fourteen switches that each work two devices, all but one pair far apart: 2¹³ combinations.
    let devices: Vec<_> = (1..=28).map(|n| device(&format!("D{n}"), Bypass::Hard, 470e3, 10e3)).collect();
    let rig = string(devices);
    let mut input = input(&rig);
    input.together = (1..=14).map(|n| vec![format!("D{n}"), format!("D{}", 29 - n)]).collect();
    let model = network(&input, &Config::default());
    let band = envelope(&model, 0, 0, &sweep(), None);
    assert!(!band.exact && band.upper.iter().all(|extreme| extreme.db.is_finite()));
    holds(&model, &band, &sweep());
}

#[test]
fn forty_devices_are_exact() {
    let devices: Vec<_> = (1..=40).map(|n| device(&format!("D{n}"), Bypass::Hard, 500e3, 10e3)).collect();
    let rig = string(devices);
    let model = network(&input(&rig), &Config::default());
    let band = envelope(&model, 0, 0, &sweep(), None);
    assert!(band.exact);
    // n(n+1)/2 edges between devices, one more to the sink from each of the n+1 drivers.
    assert_eq!((band.work.drivers, band.work.edges), (41, 40 * 41 / 2 + 41));
    holds(&model, &band, &sweep());
}

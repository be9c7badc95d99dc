//! The band from the graph is the band from visiting every state.

use signal::{Config, Envelope, Sweep, enumerate, envelope, network, respond};

use crate::rigs::draw;

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
            assert!(fast.exact, "seed {seed}");
            assert_eq!(fast.arrives, slow.arrives, "seed {seed}");
            if !slow.arrives {
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

//! Random boards: what is handed back fits, what is locked stays, threads change nothing.

use layout::verify::verify;
use layout::{Config, NeverCancelled, NoProgress, Outcome, json, solve};

use crate::boards;

/// Two hundred boards; the soak gives larger numbers.
fn seeds() -> std::ops::Range<u64> {
    let number = |name: &str| std::env::var(name).ok().and_then(|text| text.parse::<u64>().ok());
    let first = number("BOARDWRIGHT_SEED").unwrap_or(0).wrapping_mul(1 << 32);
    first..first + number("BOARDWRIGHT_SOAK").unwrap_or(200)
}

fn config() -> Config {
    Config { moves: 4_000, relax: false, ..Config::standard() }
}

fn solved(input: &layout::Input, config: &Config) -> Outcome {
    solve(input, config, &NoProgress, &NeverCancelled)
}

/// Whether everything locked stands where it stood.
fn locks_hold(before: &rig::Rig, after: &rig::Rig) -> bool {
    before.devices.iter().zip(&after.devices).all(|(before, after)| {
        before.place.as_ref().is_none_or(|place| !place.locked || Some(place) == after.place.as_ref())
    })
}

#[test]
fn no_random_placement_fails_the_verifier() {
    let mut counts = [0_u64, 0, 0];
    for seed in seeds() {
        let job = boards::read(&boards::random(seed));
        let input = boards::input(&job);
        let outcome = solved(&input, &config());
        let breaches = verify(&input.rig, &outcome.rig, &input.limits);
        assert_eq!(outcome.feasible, breaches.is_empty(), "seed {seed}: {breaches:?}");
        assert!(locks_hold(&input.rig, &outcome.rig), "seed {seed}: a locked device moved");
        // The search and the verifier share no code; where the search says it fits, the verifier must.
        assert_eq!(outcome.first_fit.is_some(), outcome.feasible, "seed {seed}: {breaches:?}");
        assert!(!(outcome.feasible && outcome.proof.is_some()), "seed {seed}");
        for other in &outcome.alternatives {
            let mut rig = input.rig.clone();
            assert_eq!(other.placements.len(), outcome.placements.len(), "seed {seed}");
            place(&mut rig, &other.placements);
            assert!(locks_hold(&input.rig, &rig), "seed {seed}: a locked device moved in an alternative");
            counts[2] += 1;
        }
        counts[usize::from(!outcome.feasible)] += 1;
    }
    if std::env::var_os("BOARDWRIGHT_SOAK").is_some() {
        println!(
            "soak: {} boards arranged, {} found full, {} alternatives, none against the verifier, no lock moved",
            counts[0], counts[1], counts[2]
        );
    }
    assert!(counts.iter().all(|count| 20 < *count), "both kinds appear, and alternatives: {counts:?}");
}

/// Stands devices where placements say.
fn place(rig: &mut rig::Rig, placements: &[layout::Placement]) {
    for placement in placements.iter().filter(|placement| !placement.locked) {
        for device in rig.devices.iter_mut().filter(|device| device.tag == placement.device) {
            device.place = Some(rig::Place {
                deck: placement.deck.clone(),
                x: placement.x,
                y: placement.y,
                quarters: placement.quarters,
                under: placement.under,
                locked: false,
            });
        }
    }
}

#[test]
fn a_long_chain_fits_a_long_board() {
    for count in [12, 24] {
        let input = boards::input(&boards::read(&boards::chain(count)));
        let outcome = solved(&input, &Config { moves: 20_000, ..config() });
        assert!(outcome.feasible, "{count} devices: {:?}", outcome.breaches);
    }
}

#[test]
fn threads_change_nothing() {
    for seed in [3, 8, 21] {
        let job = boards::read(&boards::random(seed));
        let input = boards::input(&job);
        let told = |threads| {
            serde_json::to_string(&json(&solved(&input, &Config { threads, seed, ..config() })))
                .expect("JSON")
        };
        assert_eq!(told(1), told(2), "board {seed}");
    }
    let job = boards::job("church-bass");
    let input = boards::input(&job).unplaced();
    let told = |threads, seed| {
        serde_json::to_string(&json(&solved(&input, &Config { threads, seed, ..config() }))).expect("JSON")
    };
    assert_eq!(told(1, 5), told(2, 5));
    assert_ne!(told(1, 5), told(1, 6), "another seed goes another way");
}

#[test]
fn an_early_end_is_the_beginning_of_the_same_search() {
    struct After(std::cell::Cell<u32>);
    impl layout::Cancel for After {
        fn is_cancelled(&self) -> bool {
            let left = self.0.get();
            self.0.set(left.saturating_sub(1));
            left == 0
        }
    }
    let job = boards::job("church-bass");
    let input = boards::input(&job).unplaced();
    let config = Config { moves: 40_000, relax: false, ..Config::standard() };
    let stopped = solve(&input, &config, &NoProgress, &After(std::cell::Cell::new(12)));
    assert!(stopped.cancelled && 0 < stopped.moves && stopped.moves < config.moves);
    let again = solved(&input, &Config { until: Some(stopped.moves), ..config });
    assert_eq!(json(&stopped), json(&again));
}

//! Random rigs: the optimum against every allocation, conflicts that cannot be made smaller, cures that work.

use power::verify::verify;
use power::{Candidate, Config, Input, Status, measure, solve};
use rig::Limits;

use crate::every::{best, rank, servable};
use crate::rigs;

/// Enough for every kind of feed, sign and lock to appear many times; the soak gives larger numbers.
fn seeds() -> std::ops::Range<u64> {
    let number = |name: &str| std::env::var(name).ok().and_then(|text| text.parse::<u64>().ok());
    let first = number("BOARDWRIGHT_SEED").unwrap_or(0).wrapping_mul(1 << 32);
    first..first + number("BOARDWRIGHT_SOAK").unwrap_or(150)
}

fn input(seed: u64) -> Input {
    Input::from_rig(&rigs::small(seed, 4, 1), &Limits::default())
}

/// The same of a rig that is full of what hides a better answer.
fn crowded(seed: u64) -> Input {
    Input::from_rig(&rigs::crowded(seed), &Limits::default())
}

#[test]
fn nothing_is_better_than_what_is_proven() {
    let mut statuses = [0, 0];
    for (seed, input) in seeds().flat_map(|seed| [(seed, input(seed)), (seed, crowded(seed))]) {
        let outcome = solve(&input, &Config::standard());
        let verdict = verify(&input, &outcome.allocation);
        assert_eq!(verdict.breaches, [], "seed {seed}");
        assert_eq!(verdict.objective, outcome.objective, "seed {seed}");
        assert_eq!(measure(&input, &outcome.allocation), outcome.objective, "seed {seed}");
        assert_eq!(outcome.looks.len(), usize::try_from(outcome.objective.looks).unwrap(), "seed {seed}");
        let known = best(&input, false).expect("nothing at all is an allocation too");
        assert_eq!(rank(&verdict), known, "seed {seed}");
        assert_eq!(outcome.status == Status::Impossible, 0 < known.0, "seed {seed}");
        assert_eq!(outcome.objective, outcome.bound, "seed {seed}: small rigs are proven to the end");
        statuses[usize::from(outcome.status == Status::Impossible)] += 1;
    }
    if std::env::var_os("BOARDWRIGHT_SOAK").is_some() {
        println!(
            "soak: {} rigs served best, {} impossible, each as every allocation says",
            statuses[0], statuses[1]
        );
    }
    assert!(statuses.iter().all(|count| 10 < *count), "both kinds appear: {statuses:?}");
}

/// Crowded rigs that were answered wrongly once: a guest of a locked outlet had more to spare than any way of its own.
#[test]
fn what_was_wrong_once_stays_right() {
    let input = crowded(30_064_779_332);
    let outcome = solve(&input, &Config::standard());
    assert_eq!(outcome.objective.margin_permille, 620, "fewer legs of splitters go before room to spare");
    assert_eq!(Some(rank(&verify(&input, &outcome.allocation))), best(&input, false));
}

#[test]
fn a_conflict_cannot_be_made_smaller() {
    let mut sizes = std::collections::BTreeMap::new();
    for seed in seeds() {
        let input = input(seed);
        let outcome = solve(&input, &Config::standard());
        if outcome.status != Status::Impossible {
            assert!(outcome.conflicts.is_empty(), "seed {seed}");
            continue;
        }
        assert!(!outcome.conflicts.is_empty(), "seed {seed}");
        for conflict in &outcome.conflicts {
            let set: Vec<usize> = conflict.devices.iter().map(|tag| input.need(tag).unwrap()).collect();
            assert!(!servable(&input.only(&set)), "seed {seed}: {conflict:?}");
            for left_out in &set {
                let rest: Vec<usize> = set.iter().filter(|need| *need != left_out).copied().collect();
                assert!(servable(&input.only(&rest)), "seed {seed}: {conflict:?}");
            }
            assert!(conflict.smallest && conflict.irreducible, "seed {seed}");
            assert!(!conflict.words.is_empty(), "seed {seed}");
            *sizes.entry(set.len()).or_insert(0) += 1;
        }
        let lengths: Vec<usize> = outcome.conflicts.iter().map(|conflict| conflict.devices.len()).collect();
        assert!(lengths.is_sorted(), "smallest first: seed {seed}");
        // No smaller set than the first is a conflict.
        let all: Vec<usize> = (0..input.needs.len()).collect();
        for size in 1..lengths[0] {
            for set in subsets(&all, size) {
                assert!(servable(&input.only(&set)), "seed {seed}: {set:?}");
            }
        }
    }
    assert!(1 < sizes.len(), "more than single devices conflict: {sizes:?}");
}

fn subsets(all: &[usize], size: usize) -> Vec<Vec<usize>> {
    (0..1_u32 << all.len())
        .filter(|bits| bits.count_ones() as usize == size)
        .map(|bits| all.iter().copied().filter(|&item| bits >> item & 1 == 1).collect())
        .collect()
}

#[test]
fn each_cure_works_once_it_is_applied() {
    let mut found = std::collections::BTreeMap::new();
    let spare = rigs::brick(
        "spare",
        (1..=4)
            .map(|n| rigs::outlet(&n.to_string(), &[(9.0, 500.0), (12.0, 500.0), (18.0, 300.0)]))
            .collect(),
    );
    for seed in seeds() {
        let mut rig = rigs::small(seed, 5, 1);
        // Some makers have not been asked yet.
        for outlet in rig.devices.iter_mut().flat_map(|device| &mut device.outlets).filter(|_| seed % 2 == 0)
        {
            outlet.series = rig::Known::default();
            outlet.parallel = rig::Known::default();
        }
        let input = Input::from_rig(&rig, &Limits::default());
        let config = Config {
            candidates: Candidate::new(&spare, Some(9900)).into_iter().collect(),
            ..Config::standard()
        };
        let outcome = solve(&input, &config);
        for cure in &outcome.cures {
            let (changed, means) = cure.change.apply(&input, &config);
            let cured = solve(&changed, &means);
            assert!(
                cured.unserved.iter().all(|device| cure.leaves.contains(&device.device)),
                "seed {seed}: {}",
                cure.name
            );
            assert_eq!(verify(&changed, &cured.allocation).breaches, [], "seed {seed}: {}", cure.name);
            let kind = format!("{:?}", cure.change).split(['(', ' ']).next().unwrap().to_owned();
            *found.entry(kind).or_insert(0) += 1;
        }
        let key = |cure: &power::Cure| (cure.leaves.len(), !cure.fits, cure.price);
        assert!(outcome.cures.is_sorted_by(|a, b| key(a) <= key(b)), "the cheapest first: seed {seed}");
    }
    for kind in ["Unlock", "Leave", "Ask", "OwnAdaptors", "Add", "Replace"] {
        assert!(found.contains_key(kind), "{kind} among {found:?}");
    }
}

#[test]
fn boards_of_thirty_devices_are_proven() {
    for seed in 0..8 {
        let input = Input::from_rig(&rigs::board(seed), &Limits::default());
        let outcome = solve(&input, &Config::standard());
        assert_eq!(verify(&input, &outcome.allocation).breaches, [], "seed {seed}");
        assert_eq!(outcome.status, Status::Proven, "seed {seed}");
        assert_eq!(outcome.feeds.len(), 30, "seed {seed}");
        let again = solve(&input, &Config::standard());
        assert_eq!(power::json(&outcome), power::json(&again), "seed {seed}");
    }
}

#[test]
fn conflicts_of_overfull_boards_are_irreducible() {
    let few = Config { cures: 0, bricks: 0, ..Config::standard() };
    for (seed, analogue) in [(0, 10), (1, 10), (0, 50), (1, 50)] {
        let rig = crate::overfull::overfull(seed, analogue);
        let outcome = solve(&Input::from_rig(&rig, &Limits::default()), &few);
        assert_eq!(outcome.status, Status::Impossible, "{seed} {analogue}");
        assert!(!outcome.conflicts.is_empty());
        for conflict in &outcome.conflicts {
            assert!(conflict.irreducible, "{seed} {analogue} {conflict:?}");
            let alone = |without: Option<&String>| {
                let mut part = rig.clone();
                part.devices.retain(|device| {
                    device.role == rig::Role::Brick
                        || conflict.devices.contains(&device.tag) && Some(&device.tag) != without
                });
                let quick = Config { conflicts: 0, nodes_length: 0, ..Config::standard() };
                solve(&Input::from_rig(&part, &Limits::default()), &quick).status
            };
            assert_eq!(alone(None), Status::Impossible, "{seed} {analogue} {:?}", conflict.devices);
            for tag in &conflict.devices {
                assert_ne!(alone(Some(tag)), Status::Impossible, "{seed} {analogue} without {tag}");
            }
        }
    }
}

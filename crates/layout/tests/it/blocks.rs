//! The search core on published instances: legal whatever the seed, the same at any number of threads, as long as it says.

use std::path::Path;

use layout::{NeverCancelled, NoProgress};

use crate::instance::{Instance, Outline};
use crate::relations::{Effort, Floorplan, Problem, faults, solve, wire_length_doubled};

fn problem(name: &str, whitespace: f64, scaled: bool) -> Problem {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../external/floorplan");
    let text = |end: &str| {
        std::fs::read_to_string(folder.join(format!("{name}.{end}"))).expect("the instance is there")
    };
    let instance = Instance::read(&text("blocks"), &text("nets"), &text("pl")).expect("the instance reads");
    instance.problem(Outline::Whitespace(whitespace), scaled, true).expect("the outline holds something")
}

fn found(problem: &Problem, seed: u64, threads: usize, moves: u64) -> Floorplan {
    let effort = Effort { seed, moves, until: None, workers: 4, threads };
    solve(problem, &effort, &NoProgress, &NeverCancelled)
}

#[test]
fn every_answer_is_legal_and_as_long_as_it_says() {
    for (name, blocks) in [("n10", 10), ("n30", 30), ("ami33", 33), ("n100", 100)] {
        let problem = problem(name, 0.15, false);
        assert_eq!(problem.blocks.len(), blocks, "{name}");
        for seed in 1..=5 {
            let found = found(&problem, seed, 2, 60_000);
            assert_eq!(found.laid.len(), blocks, "{name}, seed {seed}: nothing fits");
            assert_eq!(faults(&problem, &found.laid), (0, 0), "{name}, seed {seed}");
            assert_eq!(
                wire_length_doubled(&problem, &found.laid),
                found.length_doubled,
                "{name}, seed {seed}"
            );
            for (laid, block) in found.laid.iter().zip(&problem.blocks) {
                let mut sides = [laid.width, laid.height];
                let mut of = *block;
                sides.sort_unstable();
                of.sort_unstable();
                assert_eq!(sides, of, "{name}, seed {seed}: a block has another size");
            }
        }
    }
}

#[test]
fn what_cannot_fit_is_not_laid() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../external/floorplan");
    let text = |end: &str| {
        std::fs::read_to_string(folder.join(format!("n10.{end}"))).expect("the instance is there")
    };
    let instance = Instance::read(&text("blocks"), &text("nets"), &text("pl")).expect("the instance reads");
    let problem =
        instance.problem(Outline::Given([300, 300]), false, true).expect("the outline holds something");
    assert!(found(&problem, 1, 2, 5_000).laid.is_empty());
}

#[test]
fn threads_change_nothing_on_blocks() {
    let problem = problem("ami33", 0.15, true);
    assert_eq!(found(&problem, 7, 1, 20_000), found(&problem, 7, 2, 20_000));
    assert_ne!(found(&problem, 7, 1, 20_000).laid, found(&problem, 8, 1, 20_000).laid);
}

#[test]
fn more_moves_find_shorter_wires() {
    let problem = problem("n30", 0.15, false);
    // Even the shortest plan ends with a legal answer.
    let legal = |found: Floorplan| {
        assert_eq!(found.laid.len(), problem.blocks.len());
        assert_eq!(faults(&problem, &found.laid), (0, 0));
        found.length_doubled
    };
    let median = |moves: u64| {
        let mut lengths: Vec<i64> = (1..=3).map(|seed| found(&problem, seed, 2, moves)).map(legal).collect();
        lengths.sort_unstable();
        lengths[1]
    };
    assert!(median(200_000) < median(5_000));
}

//! The list against brute force: every value at the ends and three points of its range, asked by all rules from the
//! beginning.

use std::path::Path;

use document::Job;

use crate::judge::Bench;
use crate::search::{Answer, Config, first};
use crate::values::filled;

fn example(name: &str) -> Job {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    document::read(&folder, None).expect("an example")
}

/// All examples in a long run; three in the ordinary one, and of their values some.
fn budget() -> (Vec<String>, usize) {
    if std::env::var_os("BOARDWRIGHT_SOAK").is_none() {
        let some = ["cabin-board", "cabin-board-corrected", "two-voice-acoustic"];
        return (some.map(str::to_owned).to_vec(), 3);
    }
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let entries = std::fs::read_dir(folder).expect("the examples");
    let mut all: Vec<String> =
        entries.map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned()).collect();
    all.sort();
    (all, 1)
}

/// What is listed of single values, leads as they run.
fn listed(answer: &Answer, field: &finding::Field) -> bool {
    answer.decides.iter().any(|value| value.field == *field && value.with.is_none())
}

#[test]
fn what_decides_is_what_brute_force_finds() {
    let (names, step) = budget();
    let config = Config { routings: 0, ..Config::QUICK };
    let (mut tried, mut flips, mut extra, mut missed) = (0, 0, 0, Vec::new());
    for name in names {
        let job = example(&name);
        let answer = first(&job.rig, &job.limits, config);
        let filled = filled(&job.rig);
        let bench = Bench::new(&filled.rig, &job.limits);
        for unsure in filled.unsure.iter().step_by(step) {
            let is_other = |point| !bench.ask_all(&[(unsure, point)], false).is_none();
            let decides = unsure.points().into_iter().any(is_other);
            tried += 1;
            flips += usize::from(decides);
            match (decides, listed(&answer, &unsure.field)) {
                (true, false) => missed.push(format!("{name}: {}", unsure.field)),
                (false, true) => extra += 1,
                _ => {}
            }
        }
    }
    println!(
        "soak: {tried} values, {flips} decide by brute force, {} missed, {extra} listed beyond",
        missed.len()
    );
    assert!(missed.is_empty(), "missing from the list: {missed:?}");
    assert!(extra * 20 <= flips, "{extra} listed change nothing, {flips} do");
}

/// With leads laid anew for every value of plugs, jacks and cables. Laying is most of the work.
#[test]
fn leads_laid_anew_show_no_more_than_what_is_listed() {
    let is_long = std::env::var_os("BOARDWRIGHT_SOAK").is_some();
    let job = example("cabin-board-corrected");
    let answer = first(&job.rig, &job.limits, Config { routings: usize::MAX, ..Config::QUICK });
    assert_eq!(answer.not_routed, 0);
    let filled = filled(&job.rig);
    let bench = Bench::new(&filled.rig, &job.limits);
    let step = if is_long { 1 } else { 6 };
    let mut missed = Vec::new();
    for unsure in filled.unsure.iter().filter(|unsure| unsure.is_lead()).step_by(step) {
        let is_other = |point| !bench.ask_all(&[(unsure, point)], true).is_none();
        if unsure.ends().into_iter().any(is_other) && !listed(&answer, &unsure.field) {
            missed.push(unsure.field.to_string());
        }
    }
    assert!(missed.is_empty(), "missing from the list: {missed:?}");
}

#[test]
fn what_is_known_is_not_asked_for() {
    let job = example("cabin-board");
    let unsure = filled(&job.rig).unsure;
    let answer = first(&job.rig, &job.limits, Config { routings: 0, pairs: 0, halvings: 2 });
    assert!(answer.decides.iter().all(|value| unsure.iter().any(|one| one.field == value.field)));
    assert_eq!(answer.others() + answer.decides.len(), answer.unsure);
    assert!(answer.decides.windows(2).all(|pair| pair[1].worth <= pair[0].worth), "most for a minute first");
    assert!(answer.left_out().is_some(), "that no leads were laid anew is told");
}

//! Choices and boards: each stands by the checks, written and read again, and no two choices are the same to the eye.

use std::path::PathBuf;

use document::Job;
use layout::{NeverCancelled, NoProgress, Outcome};

use crate::held::{check, config, input, read, stops};

fn example(name: &str) -> Job {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    document::read(&folder, None).unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// How many devices one placement has on another deck, another side up, turned, or more than 20 mm away.
fn apart(one: &Outcome, other: &Outcome) -> usize {
    let far = quantity::Length::from_mm(20);
    let pairs = one.placements.iter().zip(&other.placements);
    pairs
        .filter(|(a, b)| {
            (&a.deck, a.under, a.quarters) != (&b.deck, b.under, b.quarters)
                || far < (a.x - b.x).abs()
                || far < (a.y - b.y).abs()
        })
        .count()
}

#[test]
fn choices_pass_the_checks_and_can_be_told_apart() {
    for name in ["cabin-board-corrected", "church-bass-corrected"] {
        let job = example(name);
        let choices = verdict::choices(
            &job,
            &check(&job),
            &input(&job).unplaced(),
            &config(20_000),
            &NoProgress,
            &NeverCancelled,
        );
        assert!(!choices.choices.is_empty(), "{name}: {:?}", choices.without);
        let aims = choices.choices.iter().map(|choice| choice.aims.len()).sum::<usize>();
        assert_eq!(aims + choices.without.len(), verdict::Aim::ALL.len(), "{name}: an aim is lost");
        for (place, choice) in choices.choices.iter().enumerate() {
            let outcome = &choice.arranged.outcome;
            let text = document::edit::apply(job.text(), &outcome.edit).expect("the edit applies");
            assert_eq!(stops(&check(&read(&text))), Vec::<String>::new(), "{name}: {:?}", choice.aims);
            assert_eq!(outcome.weights, config(0).weights, "{name}: measured by other weights");
            for other in &choices.choices[..place] {
                let apart = apart(outcome, &other.arranged.outcome);
                assert!(2 <= apart, "{name}: {:?} and {:?}", choice.aims, other.aims);
            }
        }
    }
}

#[test]
fn boards_on_which_it_fits_pass_the_checks_the_smallest_first() {
    let job = example("cabin-board-corrected");
    let boards = verdict::boards(&job, &check(&job), &input(&job), &config(20_000), &NeverCancelled);
    assert!(!boards.fitting.is_empty(), "{boards:?}");
    assert!(boards.fitting.is_sorted_by(|a, b| a.area_cm2 <= b.area_cm2));
    for fitting in &boards.fitting {
        let text = document::edit::apply(job.text(), &fitting.edit).expect("the edit applies");
        let again = read(&text);
        assert_eq!(again.rig.board.kind.as_ref(), Some(&fitting.kind));
        assert_eq!(stops(&check(&again)), Vec::<String>::new(), "{}", fitting.kind);
        assert!(layout::measure(&input(&again), &config(0)).feasible, "{}", fitting.kind);
    }
    let best = boards.best.map(|place| boards.fitting[place].outcome.total);
    let least = boards.fitting.iter().map(|fitting| fitting.outcome.total).reduce(f64::min);
    assert_eq!(best, least);
}

//! Loops that are planted in examples, and what opens them.

use design::{Design, judged};
use shields::CureKind;

use crate::faults::example;

fn all_in(design: &Design) -> shields::UseOutcome {
    let outcome = design.shields();
    judged(&outcome).next().expect("every board has one").clone()
}

#[test]
fn the_planted_loops_are_found_with_the_least_that_opens_them() {
    for name in ["church-bass", "wet-dry-touring"] {
        let found = all_in(&example(name));
        println!("{name}: {found:#?}");
    }
    let _ = CureKind::Lift;
}

#[test]
fn the_corrected_twins_close_no_loop() {
    for name in ["church-bass-corrected", "wet-dry-touring-corrected"] {
        let found = all_in(&example(name));
        assert!(found.loops.is_empty() && found.cure.steps.is_empty(), "{name}: {found:?}");
    }
}

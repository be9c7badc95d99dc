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
    let step = |join: &str, kind| shields::Step { join: join.to_owned(), kind };
    // Amp and desk meet through pin 1 of B7: the balanced lead is lifted.
    let church = all_in(&example("church-bass"));
    assert_eq!(church.loops.len(), 1);
    assert_eq!(church.loops[0].ends, ["amp", "desk"]);
    assert_eq!(church.cure.steps, [step("L11", CureKind::Lift)]);
    // Two amps and the amp switch: three earthed ends, two loops, a link in the amp switch and a transformer between the amps.
    let touring = all_in(&example("wet-dry-touring"));
    assert_eq!(touring.loops.len(), 2);
    assert_eq!(touring.cure.steps.len(), 2);
    assert_eq!(touring.cure.steps[0], step("K01", CureKind::ControlIsolator));
    assert_eq!(touring.cure.steps[1].kind, CureKind::Transformer);
}

#[test]
fn the_corrected_twins_close_no_loop() {
    for name in ["church-bass-corrected", "wet-dry-touring-corrected"] {
        let found = all_in(&example(name));
        assert!(found.loops.is_empty() && found.cure.steps.is_empty(), "{name}: {found:?}");
    }
}

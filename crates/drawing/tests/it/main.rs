//! What drawings promise: true scale, every tag once, nothing hostile, the same bytes for the same design.

mod rigs;

use design::{Design, derive};
use drawing::{Scale, Theme, gaps, plan, side, svg};
use rig::{Limits, Rig};

fn of(rig: Rig) -> Design {
    derive(rig, Limits::default())
}

#[test]
fn show() {
    let design = of(rigs::two_decks());
    for (name, drawing) in [("plan", plan(&design, None, Scale::one_to(5))), ("side", side(&design, Scale::one_to(5)))] {
        std::fs::write(format!("/tmp/{name}.svg"), svg(&drawing, Theme::Paper)).unwrap();
    }
    for gap in gaps(&design) {
        println!("{gap:?}");
    }
}

//! The end: dressing, labels, the test, and what is handed over.

use ::build::What;
use rig::{PortRef, Role};

use super::stage::{PLUGGED, Stage, Step, names};
use super::{power, rates};
use crate::Design;

/// What is given when the board is dressed.
const DRESSED: &str = "dress";

pub(super) fn dress(design: &Design) -> Stage {
    let mut stage = Stage::new("dress", "Dress and label").on("board");
    let text = "Tie DC leads at the brick and at least 25 mm from each plug";
    all_in(stage.act("tie-dc", rates::TIE, text).hand(names(&["ties", "flush cutter"])))
        .gives(What::Finished, DRESSED);
    let text = "Tie signal leads; none pulls on a plug, none lies on a supply";
    all_in(stage.act("tie-signal", rates::TIE, text).hand(names(&["ties", "flush cutter"])))
        .gives(What::Finished, DRESSED);
    for deck in design.rig.board.decks.iter().filter(|deck| deck.hinge.is_some()) {
        let text =
            format!("Deck {}: open fully; leads tied on both sides of the hinge, none tight", deck.name);
        all_in(stage.act(format!("hinge:{}", deck.name), rates::HINGE, text)).gives(What::Finished, DRESSED);
    }
    for device in &design.rig.devices {
        let spare: Vec<&str> = device
            .outlets
            .iter()
            .filter(|outlet| {
                let port = PortRef::new(&device.tag, &outlet.name);
                design.outlets.iter().all(|load| load.outlet != port)
            })
            .map(|outlet| outlet.name.as_str())
            .collect();
        if !spare.is_empty() && device.role == Role::Brick {
            let text = format!("Cap and label spare outlets of {}: {}", device.tag, spare.join(", "));
            let step = stage.act(format!("cap:{}", device.tag), rates::CAP, text).hand(names(&["caps"]));
            step.about(&device.tag).wants(What::Outlets, &device.tag).gives(What::Finished, DRESSED);
        }
    }
    let text = "Labels: both ends of every lead at once, in the order of the sheet";
    all_in(stage.act("labels", rates::LABELS, text).hand(names(&["label sheet"])))
        .gives(What::Finished, DRESSED);
    stage
}

/// It waits until every plug is in.
fn all_in(step: &mut Step) -> &mut Step {
    step.wants(What::Finished, PLUGGED)
}

pub(super) fn last(design: &Design) -> Stage {
    let mut stage = Stage::new("last", "Test and hand over").on("board");
    power::switch(design, &mut stage, "test", true);
    if let Some(on) = stage.steps.last_mut() {
        all_in(on).wants(What::Finished, DRESSED);
    }
    let step = stage.hold("hold:test", rates::TEST, "Fill in the test sheet, all of it; sign");
    step.hand(names(&["test sheet", "meter", "guitar", "amp"]));
    all_in(step).wants(What::Finished, DRESSED).gives(What::Finished, "test");
    let step = stage.act("shake", rates::SHAKE, "Shake, tip, play again");
    step.wants(What::Finished, "test").gives(What::Finished, "shake");
    power::switch(design, &mut stage, "test", false);
    if let Some(off) = stage.steps.last_mut() {
        off.wants(What::Finished, "test").gives(What::Finished, "shake");
    }
    let mut row = vec![("photo", rates::PHOTO, "Photograph the finished board from above, tags readable")];
    if design.rig.board.case.is_some() {
        row.push(("case", rates::CASE, "Close the case; nothing touches the lid but foam"));
    }
    row.push(("book", rates::BOOK, "Handover book and fault card with the board, labels of this revision"));
    let mut before = "shake";
    for (id, minutes, text) in row {
        stage.act(id, minutes, text).wants(What::Finished, before).gives(What::Finished, id);
        before = id;
    }
    let text = "Lesson with the player; switch-on order, emergency bypass";
    stage.hold("hold:lesson", rates::LESSON, text).wants(What::Finished, before);
    stage
}

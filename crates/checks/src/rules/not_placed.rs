//! Devices that stand nowhere yet.

use design::Design;
use finding::{Field, Finding, Severity};
use rig::FLOOR;

use super::CUSTOM;
use crate::{Page, Rule};

const ID: &str = "not-placed";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "devices that stand nowhere yet",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[39, 40],
    limits: &[],
    page: Page {
        what: "Every device that is not outside needs a place on a deck or on the floor.",
        why: "Nothing can be said of the room, the leads or the lid over a device that has no place.",
        source: CUSTOM,
        example: "A4 was added to the list but never put on a deck; that everything else fits says nothing.",
        remedy: "give it a place, let the layout propose one, or say that it stands outside",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    for device in rig.by_tag().into_iter().filter(|device| !device.outside) {
        let tag = &device.tag;
        match &device.place {
            None => out.push(
                Finding::new(
                    ID,
                    Severity::Look,
                    format!("not checked: the room for {tag}, which has no place yet"),
                )
                .about([tag])
                .at(Field::device(tag, "place"), "not placed")
                .lacking([Field::device(tag, "place")]),
            ),
            Some(place) if place.deck != FLOOR && rig.board.deck(&place.deck).is_none() => out.push(
                Finding::new(
                    ID,
                    Severity::Stop,
                    format!("{tag} is placed on deck {}, which the board does not have", place.deck),
                )
                .about([tag])
                .at(Field::device(tag, "place.deck"), ""),
            ),
            Some(_) => {}
        }
    }
    out
}

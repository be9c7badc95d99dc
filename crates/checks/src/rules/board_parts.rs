//! Things that go through a part of the board.

use std::collections::BTreeMap;

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Length;
use rig::geometry::{BoxClass, Conflict, Owner};

use super::CUSTOM;
use crate::space::{assumed_of, box_words};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "board-parts";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "things through a rail, a sheet or the step of a riser",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[12],
    limits: &[],
    page: Page {
        what: "Bodies, plugs and their bends against rails, sheets and risers. A device stands on a riser only when \
               all of it does; otherwise it stands on the deck and the riser goes through it.",
        why: "A brick that meets a cross member, or a pedal across a step, is found on the day of assembly.",
        source: CUSTOM,
        example: "A brick below the frame reaches 8 mm into the cross rail.",
        remedy: "move the device clear of the part, or move the part",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let boxes = &design.solids.boxes;
    let mut by_device: BTreeMap<String, Vec<&Conflict>> = BTreeMap::new();
    for conflict in &design.conflicts {
        let (a, b) = (&boxes[conflict.of], &boxes[conflict.from]);
        if a.class == BoxClass::Service || !matches!(b.owner, Owner::Board { .. }) {
            continue;
        }
        if let Some(tag) = a.owner.device() {
            by_device.entry(tag.to_owned()).or_default().push(conflict);
        }
    }
    by_device
        .into_iter()
        .filter_map(|(tag, list)| {
            let worst = list.iter().min_by_key(|c| c.found - c.wanted)?;
            let (a, b) = (&boxes[worst.of], &boxes[worst.from]);
            let by = if worst.found < Length::ZERO {
                format!("goes {} into", shown(-worst.found))
            } else {
                format!("stands {} from", shown(worst.found))
            };
            Some(
                Finding::new(
                    ID,
                    Severity::Stop,
                    format!("{} {by} {}", box_words(&design.rig, a), box_words(&design.rig, b)),
                )
                .about([&tag])
                .at(Field::device(&tag, "place"), "")
                .with(Evidence::at_least(worst.found, worst.wanted))
                .assuming(list.iter().flat_map(|c| assumed_of(design, &boxes[c.of]))),
            )
        })
        .collect()
}

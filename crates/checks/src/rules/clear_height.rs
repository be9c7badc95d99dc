//! Devices that hang under a deck.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Length;
use rig::geometry::BoxClass;

use super::CUSTOM;
use crate::asked::Asked;
use crate::compare::{Basis, too_near};
use crate::group::{by_key, devices_but, together};
use crate::space::{assumed_of, box_words, boxes_of};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "clear-height";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "room under a deck for what hangs there",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[12],
    limits: &["clear_height_look", "clear_height_stop"],
    page: Page {
        what: "The clear height under the deck, less bracket and body, and less a plug or bend that reaches further \
               down.",
        why: "A brick that does not fit below is found when the board is already drilled.",
        source: CUSTOM,
        example: "45 mm clear, a 5 mm bracket and a brick of 39 mm leave 1 mm.",
        remedy: "take a flatter brick or bracket, raise the deck, or let the plugs leave sideways",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    let mut cases: Vec<(String, Finding)> = Vec::new();
    for device in rig.by_tag().into_iter().filter(|device| !device.outside) {
        let Some(place) = device.place.as_ref().filter(|place| place.under) else { continue };
        let Some(deck) = rig.board.deck(&place.deck) else { continue };
        let tag = &device.tag;
        let mut asked = Asked::default();
        let clear = asked
            .value(deck.clear_below, Field::of("board", "deck", "").below(&deck.name).below("clear_below"));
        asked.value(device.bracket, Field::device(tag, "bracket"));
        asked.value(device.size, Field::device(tag, "size"));
        let what = format!("the room under deck {} for {tag}", deck.name);
        let Some(clear) = clear.filter(|_| asked.complete()) else {
            out.extend(asked.cannot_judge(ID, &what, [tag]));
            continue;
        };
        let ground = deck.z - deck.thickness - clear;
        let lowest = boxes_of(design, tag)
            .filter(|solid| solid.class != BoxClass::Service)
            .min_by_key(|solid| (solid.low[2], solid.class));
        let Some(solid) = lowest else { continue };
        let room: Length = solid.low[2] - ground;
        let (look, stop) = (design.limits.clear_height_look, design.limits.clear_height_stop);
        let assumed: Vec<Field> = asked.assumed.iter().cloned().chain(assumed_of(design, solid)).collect();
        if let Some((severity, limit)) = too_near(room, look, stop, Basis::of(&assumed)) {
            let says = if room < Length::ZERO {
                format!(
                    "{} reaches {} too far down under deck {}",
                    box_words(rig, solid),
                    shown(-room),
                    deck.name
                )
            } else {
                format!(
                    "{} leaves {} of the clear height under deck {}",
                    box_words(rig, solid),
                    shown(room),
                    deck.name
                )
            };
            let case = Finding::new(ID, severity, says)
                .about([tag])
                .at(Field::device(tag, "place"), "")
                .with(Evidence::at_least(room, limit))
                .assuming(assumed);
            cases.push((deck.name.clone(), case));
        }
    }
    for (deck, cases) in by_key(cases) {
        out.extend(together(cases, |cases| {
            format!("deck {deck} leaves too little height for {}", devices_but(cases, &[]))
        }));
    }
    out
}

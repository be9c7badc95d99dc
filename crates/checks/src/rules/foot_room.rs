//! Room for the foot over what a foot works.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Length;
use rig::geometry::{BoxClass, Solid, standing, switch_point};
use rig::{Device, FLOOR, Rect, Rig};

use super::CUSTOM;
use crate::asked::Asked;
use crate::space::{assumed_of, boxes_of, unknown_top};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "foot-room";

/// How far the toe of a shoe reaches beyond the switch that its ball presses (common practice, no source).
const TOE: Length = Length::from_mm(25);

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "room for the foot over a switch or treadle",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[43],
    limits: &["foot_room", "shoe_width", "knobs_assumed", "treadle_assumed"],
    page: Page {
        what: "What lies over a foot switch as wide as a shoe, and 25 mm beyond it for the toe; over a treadle all of \
               it, at its full opening. A deck there wants the foot's room above. What hangs under a deck on purpose \
               is not meant to be worked.",
        why: "A switch under the upper deck is found by the foot at the first rehearsal, with the board wired.",
        source: CUSTOM,
        example: "The rear deck lies 22 mm over the switch of a pedal that was pushed below it.",
        remedy: "bring the device forward until its switch is clear of the deck, put it on the upper deck, or take \
                 what no foot works for this place",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    rig.by_tag().into_iter().filter_map(|device| judge(design, rig, device)).collect()
}

fn judge(design: &Design, rig: &Rig, device: &Device) -> Option<Finding> {
    let place = device.place.as_ref().filter(|place| !place.under && place.deck != FLOOR)?;
    if device.outside || !device.is_foot_operated() {
        return None;
    }
    let mut others = rig.board.decks.iter().filter(|deck| deck.name != place.deck).peekable();
    others.peek()?;
    let mut asked = Asked::default();
    let what = format!("the foot's room over {}", device.tag);
    let Some(at) = standing(rig, device) else {
        asked.value(device.size, Field::device(&device.tag, "size"));
        return asked.cannot_judge(ID, &what, [&device.tag]);
    };
    let top = boxes_of(design, &device.tag)
        .filter(|solid| matches!(solid.class, BoxClass::Body | BoxClass::Knobs))
        .max_by_key(|solid| solid.high[2])?;
    let shoe = rig.brief.shoe_width.value.unwrap_or(design.limits.shoe_width);
    let mut areas: Vec<(&str, Rect)> = (0..device.switches.len())
        .filter_map(|index| switch_point(rig, device, index))
        .map(|(x, y)| ("foot switch", pressed(x, y, shoe)))
        .collect();
    areas.extend(device.treadle.map(|_| ("treadle", at.at)));
    // The lowest deck over any of them tells.
    let (over, deck, room) = others
        .filter(|deck| at.base < deck.z - deck.thickness)
        .filter_map(|deck| {
            let shape = deck.shape_on_board();
            let (over, _) = areas.iter().find(|(_, area)| shape.iter().any(|part| meet(part, area)))?;
            Some((*over, deck, deck.z - deck.thickness - top.high[2]))
        })
        .min_by_key(|(_, _, room)| *room)?;
    if room < design.limits.foot_room {
        return Some(told(design, device, top, (over, &deck.name, room)));
    }
    asked.lacks.extend(unknown_top(device));
    asked.cannot_judge(ID, &what, [&device.tag])
}

fn told(design: &Design, device: &Device, top: &Solid, (what, deck, room): (&str, &str, Length)) -> Finding {
    let tag = &device.tag;
    let says = if room <= Length::ZERO {
        format!("the {what} of {tag} reaches up to deck {deck} above it")
    } else {
        format!("the {what} of {tag} lies under deck {deck}, {} below it", shown(room))
    };
    Finding::new(ID, Severity::Stop, says)
        .about([tag])
        .at(Field::device(tag, "place"), "")
        .with(Evidence::at_least(room, design.limits.foot_room))
        .assuming(assumed_of(design, top))
}

/// What of the board lies under the shoe that presses a switch: as wide as the shoe, from its middle on to the toe.
fn pressed(x: Length, y: Length, shoe: Length) -> Rect {
    Rect { x: x - shoe.half(), y: y - shoe.half(), width: shoe, depth: shoe.half() + TOE }
}

/// Whether two rectangles share room; touching edges do not.
fn meet(a: &Rect, b: &Rect) -> bool {
    a.x < b.right() && b.x < a.right() && a.y < b.back() && b.y < a.back()
}

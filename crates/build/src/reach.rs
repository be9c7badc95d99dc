//! What stands in the way of a plug and of the hand that brings it.
//!
//! A plug moves along its jack; the room that it passes must be free. The hand that holds it comes from above, from behind
//! the plug, or, for what hangs under a deck, from below: one of these must be free. Plugs stand in the way of a plug, but
//! not of a hand, which reaches past a cable.

use quantity::Length;

use crate::world::{Course, End, Thing, World};
use crate::{Bulk, Fact};

/// A hand across its fingers, as the job asks for it; fingers from front to back, and the length of a palm behind them.
/// *Common practice, no source.*
const HAND: Length = Length::from_mm(40);
const FINGERS: Length = Length::from_mm(20);
const PALM: Length = Length::from_mm(80);
/// Higher than any board.
const SKY: Length = Length::from_mm(2000);

/// Something in the way of a plug.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Blocker {
    /// What it is: a thing's tag.
    pub tag: String,
    /// Whether it is in the way of the hand alone, and not of the plug.
    pub hand: bool,
    /// What says that it is in the way from then on; `None` when it always is.
    pub from: Option<Fact>,
}

/// When a plug goes in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Mode {
    /// At any time once its device stands.
    Free,
    /// Once its device stands, before that is true.
    Before(Fact),
    /// While its device is in the hand.
    InHand,
    /// Never: its device has to stand, and something stands in the way.
    Never,
}

/// When a plug goes in, and what makes it so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reach {
    /// When.
    pub mode: Mode,
    /// What is in the way sooner or later, in the order in which it comes.
    pub blockers: Vec<Blocker>,
    /// Whether the lead has to lie before what stands above it comes: nothing is in the way of its plug.
    pub lies_under: bool,
}

/// When something is in the way of something else.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Moment {
    Always,
    /// When the thing of that place is there.
    At(usize),
}

/// For every end, when it goes in.
pub fn reach(world: &World) -> Vec<Reach> {
    world.ends.iter().enumerate().map(|(at, end)| of(world, at, end)).collect()
}

fn of(world: &World, at: usize, end: &End) -> Reach {
    let mut found: Vec<(Moment, usize, bool)> = Vec::new();
    for (other, hand) in in_the_way(world, at, end) {
        if let Some(moment) = moment(world, other, end.thing) {
            found.push((moment, other, hand));
        }
    }
    found.sort_unstable();
    found.dedup_by_key(|(_, other, _)| *other);
    let own = if is_there(&world.things[end.thing]) { Moment::Always } else { Moment::At(end.thing) };
    let is_early = |moment: Moment| moment == Moment::Always || moment < own;
    let mut mode = match found.first() {
        None => Mode::Free,
        Some((moment, ..)) if is_early(*moment) && end.in_hand && own != Moment::Always => Mode::InHand,
        Some((moment, ..)) if is_early(*moment) => Mode::Never,
        Some((moment, ..)) => fact(world, *moment).map_or(Mode::Never, Mode::Before),
    };
    let mut lies_under = false;
    if mode == Mode::Free
        && let Some(cover) = first_cover(world, end)
        && let Some(fact) = fact(world, Moment::At(cover))
    {
        mode = Mode::Before(fact);
        lies_under = true;
        found.push((Moment::At(cover), cover, false));
    }
    let blockers = found
        .into_iter()
        .map(|(moment, other, hand)| Blocker {
            tag: world.things[other].tag.clone(),
            hand,
            from: fact(world, moment),
        })
        .collect();
    Reach { mode, blockers, lies_under }
}

fn is_there(thing: &Thing) -> bool {
    thing.stands.is_none()
}

fn fact(world: &World, moment: Moment) -> Option<Fact> {
    match moment {
        Moment::Always => None,
        Moment::At(thing) => world.things[thing].stands.clone(),
    }
}

/// Things in the way of a plug, each with whether it is only in that of the hand. A plug that sits counts as its device.
fn in_the_way(world: &World, at: usize, end: &End) -> Vec<(usize, bool)> {
    let path: Vec<Bulk> =
        end.plug.iter().map(|part| part.longer(end.axis, end.forward, end.stroke)).collect();
    let meets = |room: &[Bulk], thing: &Thing| {
        thing.boxes.iter().any(|part| room.iter().any(|room| room.meets(part)))
    };
    let mut out: Vec<(usize, bool)> = Vec::new();
    for (other, thing) in world.things.iter().enumerate().filter(|(other, _)| *other != end.thing) {
        if meets(&path, thing) {
            out.push((other, false));
        }
    }
    for (other, plug) in world.ends.iter().enumerate() {
        let is_met = || plug.plug.iter().any(|part| path.iter().any(|room| room.meets(part)));
        if other != at && plug.thing != end.thing && is_met() {
            out.push((plug.thing, false));
        }
    }
    out.extend(hand(world, end, &out).into_iter().map(|other| (other, true)));
    out
}

/// The things that close the last way that a hand has to a plug: of all its ways the one that stays open longest.
fn hand(world: &World, end: &End, known: &[(usize, bool)]) -> Vec<usize> {
    let own = &world.things[end.thing];
    let ways = hand_ways(end, own.under);
    let mut best: Option<(Moment, Vec<usize>)> = None;
    for way in ways {
        let mut closed = Vec::new();
        let mut first: Option<Moment> = None;
        for (other, thing) in world.things.iter().enumerate().filter(|(other, _)| *other != end.thing) {
            if !thing.boxes.iter().any(|part| way.meets(part)) {
                continue;
            }
            let Some(moment) = moment(world, other, end.thing) else { continue };
            first = Some(first.map_or(moment, |first| first.min(moment)));
            closed.push(other);
        }
        let Some(first) = first else { return Vec::new() };
        if best.as_ref().is_none_or(|(known, _)| *known < first) {
            best = Some((first, closed));
        }
    }
    let closed = best.map(|(_, closed)| closed).unwrap_or_default();
    closed.into_iter().filter(|other| known.iter().all(|(path, _)| path != other)).collect()
}

/// The room that a hand needs for each of its ways to a plug.
fn hand_ways(end: &End, under: bool) -> Vec<Bulk> {
    let Some(plug) = Bulk::around(&end.plug) else { return Vec::new() };
    let across = 1 - end.axis;
    let fingers = plug.longer(end.axis, end.forward, end.stroke + FINGERS).wide(across, HAND);
    let above = fingers.longer(2, true, SKY);
    let below = fingers.longer(2, false, SKY);
    // From behind: past the plug, a palm long.
    let mut behind = plug.wide(across, HAND).wide(2, HAND);
    if end.forward {
        behind.low[end.axis] = plug.high[end.axis];
        behind.high[end.axis] = plug.high[end.axis] + end.stroke + PALM;
    } else {
        behind.high[end.axis] = plug.low[end.axis];
        behind.low[end.axis] = plug.low[end.axis] - end.stroke - PALM;
    }
    if under { vec![below, behind, above] } else { vec![above, behind] }
}

/// From when on a thing is at its place beside another; `None` when it never is in its way.
///
/// A deck is worked at before it is on the board: what stands on another is at its place beside it only once both are.
fn moment(world: &World, other: usize, own: usize) -> Option<Moment> {
    let (blocker, device) = (&world.things[other], &world.things[own]);
    if blocker.deck == device.deck {
        return Some(if blocker.is_deck || is_there(blocker) { Moment::Always } else { Moment::At(other) });
    }
    if blocker.swings || device.swings {
        return None;
    }
    let raised = |deck: usize| world.things.iter().position(|thing| thing.is_deck && thing.deck == deck);
    let moments = [Some(other), raised(blocker.deck), raised(device.deck)].into_iter().flatten();
    let last = moments.filter(|thing| !is_there(&world.things[*thing])).max();
    Some(last.map_or(Moment::Always, Moment::At))
}

/// The first thing that comes to stand above the way of a lead, where this end is the one that goes in first.
fn first_cover(world: &World, end: &End) -> Option<usize> {
    let course = world.courses.iter().find(|course| course.lead == end.lead)?;
    let first = world.ends.iter().filter(|other| other.lead == end.lead).map(|other| other.thing).min();
    if first != Some(end.thing) {
        return None;
    }
    let over = |thing: &Thing| thing.boxes.iter().any(|part| covers(part, thing.surface, course));
    world
        .things
        .iter()
        .enumerate()
        .filter(|(at, thing)| end.thing < *at && !thing.is_deck && !is_there(thing) && !thing.swings)
        .find(|(_, thing)| thing.deck == world.things[end.thing].deck && !thing.under && over(thing))
        .map(|(at, _)| at)
}

/// Whether a box stands above some stretch of a course on its deck, near enough that no hand comes in between.
fn covers(part: &Bulk, surface: Length, course: &Course) -> bool {
    course.corners.windows(2).any(|two| {
        let low = |axis: usize| two[0][axis].min(two[1][axis]);
        let high = |axis: usize| two[0][axis].max(two[1][axis]);
        let is_over = (0..2).all(|axis| low(axis) < part.high[axis] && part.low[axis] < high(axis));
        is_over && surface <= low(2) && high(2) <= part.low[2] && part.low[2] < high(2) + HAND
    })
}

//! A free place that is left on a deck for one device more.

use design::Design;
use finding::Field;
use quantity::Length;
use rig::geometry::Owner;
use rig::{Deck, Rect};

use super::unmet::{Found, Unmet};
use crate::asked::Asked;
use crate::space::{has_room, plan};

/// A rectangle of this size lies free on the deck, or on one of them.
///
/// Free means: within the outline, wholly on one riser or on none, over no passage, and clear of every body, plug, bend
/// and service corridor up to the height that a foot wants.
pub(super) fn judge(design: &Design, size: (Length, Length), deck: Option<&str>, asked: &mut Asked) -> Found {
    let rig = &design.rig;
    let decks: Vec<&Deck> =
        rig.board.decks.iter().filter(|here| deck.is_none_or(|name| here.name == name)).collect();
    if !decks.iter().any(|deck| has_place(design, deck, size)) {
        let on = deck.map_or_else(|| "on any deck".to_owned(), |deck| format!("on deck {deck}"));
        return Err(Unmet::words(format!("no such place is left {on}"), "none", "one"));
    }
    // What has no place or no size yet may take this one.
    for device in rig.by_tag().into_iter().filter(|device| !device.is_beside_board()) {
        match &device.place {
            None => asked.lack(Field::device(&device.tag, "place")),
            Some(place) if device.size.is_unknown() && decks.iter().any(|deck| deck.name == place.deck) => {
                asked.lack(Field::device(&device.tag, "size"));
            }
            Some(_) => {}
        }
    }
    Ok(())
}

fn has_place(design: &Design, deck: &Deck, (width, depth): (Length, Length)) -> bool {
    let shape = deck.shape_on_board();
    let moved = |at: &Rect| Rect { x: at.x + deck.x, y: at.y + deck.y, ..*at };
    let top = deck.z + design.limits.foot_room;
    let is_above = |solid: &&rig::geometry::Solid| deck.z < solid.high[2] && solid.low[2] < top;
    // Risers of this deck carry; everything else that stands over it is in the way.
    let is_own = |owner: &Owner| matches!(owner, Owner::Board { deck: name, .. } if *name == deck.name);
    let mut taken: Vec<Rect> = (design.solids.boxes.iter())
        .filter(|solid| !is_own(&solid.owner))
        .filter(is_above)
        .map(plan)
        .collect();
    taken.extend(deck.passages.iter().map(|passage| moved(&passage.at)));
    let risers: Vec<Rect> = deck.risers.iter().map(|riser| moved(&riser.at)).collect();
    let is_free = |place: &Rect, taken: &[&Rect]| {
        !taken.iter().any(|other| other.overlaps(place))
            && risers.iter().all(|riser| riser.holds(place) || !riser.overlaps(place))
            && has_room(&shape, place, Length::ZERO)
    };
    // A place that is free can be pushed left and then to the front until it touches something.
    let edges = |low: fn(&Rect) -> Length, high: fn(&Rect) -> Length, taken: &[&Rect]| {
        let mut edges: Vec<Length> = taken.iter().map(|at| high(at)).collect();
        edges.extend(shape.iter().chain(&risers).flat_map(|at| [low(at), high(at)]));
        edges.sort();
        edges.dedup();
        edges
    };
    let all: Vec<&Rect> = taken.iter().collect();
    edges(|at| at.x, Rect::right, &all).into_iter().any(|x| {
        let near: Vec<&Rect> = taken.iter().filter(|at| at.x < x + width && x < at.right()).collect();
        edges(|at| at.y, Rect::back, &near).into_iter().any(|y| is_free(&Rect { x, y, width, depth }, &near))
    })
}

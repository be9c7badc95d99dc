//! A free place that is left on a deck for one device more.

use design::Design;
use finding::Field;
use quantity::Length;
use rig::Deck;
use rig::geometry::free_place;

use super::unmet::{Found, Unmet};
use crate::asked::Asked;

/// A rectangle of this size lies free on the deck, or on one of them.
///
/// What is free, [`free_place`] says.
pub(super) fn judge(design: &Design, size: (Length, Length), deck: Option<&str>, asked: &mut Asked) -> Found {
    let rig = &design.rig;
    let decks: Vec<&Deck> =
        rig.board.decks.iter().filter(|here| deck.is_none_or(|name| here.name == name)).collect();
    let (boxes, foot) = (&design.solids.boxes, design.limits.foot_room);
    if !decks.iter().any(|deck| free_place(deck, boxes, size, foot).is_some()) {
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

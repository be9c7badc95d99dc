//! Where devices stand on their deck: ends, rows, heights, and how often a foot goes there.
//!
//! A row is what a foot meets first from its edge: of devices that stand one behind the other, the first that a foot works.
//! A deck is halved by its depth, so that a lone device at the back is in no front row (common practice, no source).

use finding::Field;
use quantity::Length;
use rig::geometry::{RowEdge, further_out};
use rig::{Deck, Device, FLOOR, Frequency, Rect, Rig, Spot, Wish};

use super::unmet::{Found, Unmet};
use crate::asked::Asked;
use crate::words::{list, shown};

/// Each of the devices stands at this place.
pub(super) fn judge(rig: &Rig, at: Spot, devices: &[String], asked: &mut Asked) -> Found {
    devices.iter().try_for_each(|tag| match at {
        Spot::UnderDeck | Spot::UpperDeck | Spot::Flat => by_height(rig, tag, at, asked),
        Spot::RightEnd | Spot::LeftEnd => end(rig, tag, at, devices, asked),
        Spot::FrontRow => row(rig, tag, RowEdge::Front, asked),
        Spot::BackRow => row(rig, tag, RowEdge::Back, asked),
        Spot::ByFeel => by_feel(rig, tag, asked),
    })
}

/// How often each of the devices is stepped on suits where it stands.
pub(super) fn used(rig: &Rig, how: Frequency, devices: &[String], asked: &mut Asked) -> Found {
    devices.iter().try_for_each(|tag| match how {
        Frequency::Often => row(rig, tag, RowEdge::Front, asked),
        Frequency::Sometimes => Ok(()),
        Frequency::SetAndForget => out_of_the_way(rig, tag, asked),
    })
}

/// A device that stands on a deck.
struct Placed<'a> {
    tag: &'a str,
    deck: &'a Deck,
    at: Rect,
}

/// Where it stands on a deck; `None` where that is not known, which is then asked for.
fn placed<'a>(rig: &'a Rig, tag: &'a str, asked: &mut Asked) -> Result<Option<Placed<'a>>, Unmet> {
    let Some(device) = rig.device(tag) else { return Ok(None) };
    let deck = match on_deck(rig, device) {
        Some(deck) => deck,
        None if device.is_beside_board() => {
            return Err(Unmet::words(format!("{tag} stands beside the board"), "beside", "on the board"));
        }
        None => {
            if device.place.is_none() {
                asked.lack(Field::device(tag, "place"));
            }
            return Ok(None);
        }
    };
    if device.place.as_ref().is_some_and(|place| place.under) {
        let why = format!("{tag} hangs under deck {}", deck.name);
        return Err(Unmet::words(why, "under the deck", "on the deck"));
    }
    asked.value(device.size, Field::device(tag, "size"));
    Ok(device.footprint().map(|at| Placed { tag, deck, at }))
}

/// The deck that a device stands on or hangs under.
fn on_deck<'a>(rig: &'a Rig, device: &Device) -> Option<&'a Deck> {
    let place = device.place.as_ref().filter(|place| !device.outside && place.deck != FLOOR)?;
    rig.board.deck(&place.deck)
}

/// What else a foot works on the same deck, by tag.
fn foot_worked<'a>(rig: &'a Rig, deck: &'a Deck, but: &'a [String]) -> impl Iterator<Item = &'a Device> {
    rig.by_tag().into_iter().filter(move |device| {
        device.is_foot_operated()
            && !but.contains(&device.tag)
            && device.place.as_ref().is_some_and(|place| !place.under)
            && on_deck(rig, device).is_some_and(|other| other.name == deck.name)
    })
}

fn by_height(rig: &Rig, tag: &str, at: Spot, asked: &mut Asked) -> Found {
    let Some(device) = rig.device(tag) else { return Ok(()) };
    let Some(place) = &device.place else {
        if device.outside {
            return Err(Unmet::words(format!("{tag} stands beside the board"), "beside", "on the board"));
        }
        asked.lack(Field::device(tag, "place"));
        return Ok(());
    };
    match at {
        Spot::UnderDeck if place.under => Ok(()),
        Spot::UnderDeck => {
            Err(Unmet::words(format!("{tag} stands on {}", stands_on(place)), "on it", "under the deck"))
        }
        Spot::UpperDeck => {
            let lowest = rig.board.decks.iter().map(|deck| deck.z).min();
            let is_upper = on_deck(rig, device).is_some_and(|deck| lowest.is_some_and(|low| low < deck.z));
            if is_upper && !place.under {
                return Ok(());
            }
            let hangs = if place.under { "hangs under" } else { "stands on" };
            Err(Unmet::words(format!("{tag} {hangs} {}", stands_on(place)), "not there", "on the upper deck"))
        }
        _ => flat(rig, tag, asked),
    }
}

fn stands_on(place: &rig::Place) -> String {
    if place.deck == FLOOR { "the floor".to_owned() } else { format!("deck {}", place.deck) }
}

fn flat(rig: &Rig, tag: &str, asked: &mut Asked) -> Found {
    let Some(own) = placed(rig, tag, asked)? else { return Ok(()) };
    match own.deck.risers.iter().find(|riser| riser.at.overlaps(&own.at)) {
        Some(riser) => {
            let why = format!("{tag} stands on riser {}", riser.name);
            Err(Unmet::words(why, "on a riser", "flat on the deck"))
        }
        None => Ok(()),
    }
}

fn end(rig: &Rig, tag: &str, at: Spot, with: &[String], asked: &mut Asked) -> Found {
    let Some(own) = placed(rig, tag, asked)? else { return Ok(()) };
    let mut beyond = Vec::new();
    for other in foot_worked(rig, own.deck, with) {
        let Some(place) = &other.place else { continue };
        let is_beyond = match (at, other.footprint()) {
            (Spot::LeftEnd, _) => place.x < own.at.x,
            (_, Some(footprint)) => Length::ZERO < further_out(at, &own.at, &footprint),
            // However narrow it is, it begins where the other ends.
            (_, None) if own.at.right() <= place.x => true,
            (_, None) => {
                asked.lack(Field::device(&other.tag, "size"));
                false
            }
        };
        if is_beyond {
            beyond.push(other.tag.as_str());
        }
    }
    if beyond.is_empty() {
        return Ok(());
    }
    let side = if at == Spot::LeftEnd { "left" } else { "right" };
    let stands = if beyond.len() == 1 { "stands" } else { "stand" };
    let why = format!("{} {stands} further {side} than {tag}", list(&beyond));
    Err(Unmet::words(why, format!("{} further {side}", beyond.len()), "none"))
}

fn word(edge: RowEdge) -> &'static str {
    match edge {
        RowEdge::Front => "front",
        RowEdge::Back => "back",
    }
}

/// What stands between a device and an edge, and what may where its size is not known.
fn before<'a>(rig: &'a Rig, own: &'a Placed<'_>, edge: RowEdge) -> (Vec<&'a str>, Vec<&'a str>) {
    let (mut sure, mut open) = (Vec::new(), Vec::new());
    for other in foot_worked(rig, own.deck, &[]).filter(|other| other.tag != own.tag) {
        let Some(place) = &other.place else { continue };
        let list = match other.footprint() {
            Some(at) if Length::ZERO < edge.in_the_way(&own.at, &at) => &mut sure,
            Some(_) => continue,
            // It is no further left than its left edge.
            None => {
                let nearer = match edge {
                    RowEdge::Front => place.y < own.at.y,
                    RowEdge::Back => own.at.y < place.y,
                };
                if !nearer || own.at.right() <= place.x {
                    continue;
                }
                &mut open
            }
        };
        list.push(other.tag.as_str());
    }
    (sure, open)
}

/// Nothing that a foot works stands between the device and the edge, and it is in that half of the deck.
fn row(rig: &Rig, tag: &str, edge: RowEdge, asked: &mut Asked) -> Found {
    let Some(own) = placed(rig, tag, asked)? else { return Ok(()) };
    in_row(rig, &own, edge, asked)
}

fn in_row(rig: &Rig, own: &Placed<'_>, edge: RowEdge, asked: &mut Asked) -> Found {
    let deck = own.deck.extent();
    let (away, half) = (edge.away(&deck, &own.at), deck.depth.half());
    let (tag, word) = (own.tag, word(edge));
    if Length::ZERO < edge.out_of_half(&deck, &own.at) {
        let why = format!("{tag} stands {} from the {word} edge of deck {}", shown(away), own.deck.name);
        return Err(Unmet::words(why, shown(away), format!("less than {}", shown(half))));
    }
    let (sure, open) = before(rig, own, edge);
    if !sure.is_empty() {
        let (stands, where_) = (
            if sure.len() == 1 { "stands" } else { "stand" },
            if edge == RowEdge::Front { "in front of" } else { "behind" },
        );
        let why = format!("{} {stands} {where_} {tag}", list(&sure));
        return Err(Unmet::words(why, format!("{} {where_} it", sure.len()), "none"));
    }
    asked.lacks.extend(open.into_iter().map(|tag| Field::device(tag, "size")));
    Ok(())
}

/// In the front row, with nothing of that row on one side of it.
fn by_feel(rig: &Rig, tag: &str, asked: &mut Asked) -> Found {
    let Some(own) = placed(rig, tag, asked)? else { return Ok(()) };
    in_row(rig, &own, RowEdge::Front, asked)?;
    // Left and right of it: what is in the row, and what may be.
    let (mut sure, mut open) = ([const { Vec::new() }; 2], [const { Vec::new() }; 2]);
    for other in foot_worked(rig, own.deck, &[]).filter(|other| other.tag != tag) {
        let Some(place) = &other.place else { continue };
        let side = usize::from(own.at.x < place.x);
        let mut asked = Asked::default();
        match row(rig, &other.tag, RowEdge::Front, &mut asked) {
            Err(_) => {}
            Ok(()) if asked.complete() => sure[side].push(other.tag.as_str()),
            Ok(()) => open[side].extend(asked.lacks),
        }
    }
    if let [[left, ..], [right, ..]] = [sure[0].as_slice(), sure[1].as_slice()] {
        let why = format!("{tag} stands in the middle of the front row, between {left} and {right}");
        return Err(Unmet::words(why, "in the middle", "at one end"));
    }
    // One side that is surely free is enough.
    if (0..2).all(|side| !sure[side].is_empty() || !open[side].is_empty()) {
        asked.lacks.extend(open.into_iter().flatten());
    }
    Ok(())
}

/// It does not stand between the front edge and a device that is used often.
fn out_of_the_way(rig: &Rig, tag: &str, asked: &mut Asked) -> Found {
    let Some(device) = rig.device(tag) else { return Ok(()) };
    // What hangs below or stands beside the board is in nobody's way.
    if device.is_beside_board() || device.place.as_ref().is_some_and(|place| place.under) {
        return Ok(());
    }
    let Some(own) = placed(rig, tag, asked)? else { return Ok(()) };
    let wishes = rig.brief.requirements.iter().flat_map(|requirement| &requirement.wishes);
    let mut often: Vec<&String> = wishes
        .filter_map(|wish| match wish {
            Wish::Use { how: Frequency::Often, devices } => Some(devices),
            _ => None,
        })
        .flatten()
        .collect();
    often.sort_by(|a, b| rig::tag_order(a, b));
    often.dedup();
    for other in often.into_iter().filter_map(|tag| rig.device(tag)) {
        let is_here = on_deck(rig, other).is_some_and(|deck| deck.name == own.deck.name);
        let Some(place) = other.place.as_ref().filter(|place| is_here && !place.under) else { continue };
        if other.tag == tag {
            continue;
        }
        match other.footprint() {
            Some(at) if Length::ZERO < RowEdge::Front.in_the_way(&at, &own.at) => {
                let why = format!("{tag} stands in front of {}, which is used often", other.tag);
                return Err(Unmet::words(why, "in front", "out of the way"));
            }
            None if own.at.y < place.y && place.x < own.at.right() => {
                asked.lack(Field::device(&other.tag, "size"));
            }
            _ => {}
        }
    }
    Ok(())
}

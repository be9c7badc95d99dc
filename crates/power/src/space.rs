//! Free boxes under the decks, and whether bricks fit them.

use quantity::Length;
use rig::geometry::{BoxClass, Solid};
use rig::{Device, Face, Limits, Rect, Rig};

use crate::input::Room;
use crate::stand::{Footprint, Stand, side};

/// Nothing narrower is worth listing: no brick is.
const LEAST: Length = Length::from_mm(40);

/// The free boxes under each deck, the largest first: no wider, deeper box is free in the same place.
///
/// `boxes` are all that there are; the device `without` is taken as gone. Only decks whose clear height is known have any. Rails, brackets, plugs and whatever hangs there are in the way.
pub(crate) fn rooms(rig: &Rig, limits: &Limits, boxes: &[Solid], without: Option<&str>) -> Vec<Room> {
    let stays = |solid: &&Solid| without.is_none() || solid.owner.device() != without;
    let mut rooms = Vec::new();
    for deck in &rig.board.decks {
        let Some(clear) = deck.clear_below.value else { continue };
        let height = clear - limits.clear_height_look;
        let under = deck.z - deck.thickness;
        let blocked: Vec<Rect> =
            boxes.iter().filter(stays).filter(|solid| hangs(solid, under - clear, under)).map(plan).collect();
        for shape in deck.shape_on_board() {
            for free in free_rects(&shape, &blocked) {
                rooms.push(Room {
                    deck: deck.name.clone(),
                    x: free.x,
                    y: free.y,
                    width: free.width,
                    depth: free.depth,
                    height,
                });
            }
        }
    }
    rooms.sort_by_key(|room| (std::cmp::Reverse(area(room.width, room.depth)), room.x, room.y));
    rooms
}

/// What stands no more than this above the deck is in the way of a brick: no brick is higher.
const HIGH: Length = Length::from_mm(150);

/// Where a device stands on a deck or hangs under one; `None` where it has no place, its size is not known, or nobody knows how
/// much is clear under its deck.
pub(crate) fn stand(rig: &Rig, limits: &Limits, boxes: &[Solid], tag: &str) -> Option<Stand> {
    let device = rig.device(tag)?;
    let place = device.place.as_ref()?;
    let deck = rig.board.decks.iter().find(|deck| deck.name == place.deck)?;
    let is_own = |solid: &&Solid| solid.owner.device() == Some(tag);
    let body = boxes.iter().filter(is_own).find(|solid| solid.class == BoxClass::Body)?;
    let under = deck.z - deck.thickness;
    let clear = deck.clear_below.value;
    let (floor, over) = if place.under { (under - clear?, under) } else { (body.low[2], body.low[2] + HIGH) };
    let blocked: Vec<Rect> =
        boxes.iter().filter(|solid| !is_own(solid) && hangs(solid, floor, over)).map(plan).collect();
    let is_closed = rig.board.lid.is_some() || rig.board.case.is_some();
    Some(Stand {
        corner: [body.low[0], body.low[1]],
        quarters: place.quarters % 4,
        free: deck.shape_on_board().iter().flat_map(|shape| free_rects(shape, &blocked)).collect(),
        height: match clear {
            Some(clear) if place.under => clear - limits.clear_height_look,
            _ if is_closed => body.high[2] - floor,
            _ => HIGH,
        },
        hangs: place.under,
        own: Footprint::of(device),
    })
}

fn hangs(solid: &Solid, floor: Length, under: Length) -> bool {
    solid.class != BoxClass::Sheet && solid.low[2] < under && floor < solid.high[2]
}

fn plan(solid: &Solid) -> Rect {
    Rect {
        x: solid.low[0],
        y: solid.low[1],
        width: solid.high[0] - solid.low[0],
        depth: solid.high[1] - solid.low[1],
    }
}

/// Square millimetres, for ranking.
pub(crate) fn area(width: Length, depth: Length) -> i64 {
    const NM_PER_MM: i64 = 1_000_000;
    (width.nm() / NM_PER_MM).saturating_mul(depth.nm() / NM_PER_MM)
}

/// The maximal rectangles of `shape` that touch none of `blocked` inside.
fn free_rects(shape: &Rect, blocked: &[Rect]) -> Vec<Rect> {
    let blocked: Vec<&Rect> = blocked.iter().filter(|rect| rect.overlaps(shape)).collect();
    let mut left: Vec<Length> = blocked.iter().map(|rect| rect.right()).filter(|x| shape.x <= *x).collect();
    left.push(shape.x);
    let mut right: Vec<Length> = blocked.iter().map(|rect| rect.x).filter(|x| *x <= shape.right()).collect();
    right.push(shape.right());
    for edges in [&mut left, &mut right] {
        edges.sort();
        edges.dedup();
    }
    let mut free: Vec<Rect> = Vec::new();
    for &x in &left {
        for &end in right.iter().filter(|end| x + LEAST <= **end) {
            let strip = Rect { x, width: end - x, ..*shape };
            let mut within: Vec<&&Rect> = blocked.iter().filter(|rect| rect.overlaps(&strip)).collect();
            within.sort_by_key(|rect| rect.y);
            let mut from = shape.y;
            for rect in within {
                push_gap(&mut free, &strip, from, rect.y);
                from = from.max(rect.back());
            }
            push_gap(&mut free, &strip, from, shape.back());
        }
    }
    let inner = |rect: &Rect| free.iter().any(|other| other != rect && other.holds(rect));
    let mut whole: Vec<Rect> = free.iter().filter(|rect| !inner(rect)).copied().collect();
    whole.sort_by_key(|rect| (rect.x, rect.y, rect.width, rect.depth));
    whole.dedup();
    whole
}

fn push_gap(free: &mut Vec<Rect>, strip: &Rect, from: Length, to: Length) {
    if from + LEAST <= to {
        free.push(Rect { y: from, depth: to - from, ..*strip });
    }
}

/// The box that a brick needs under a deck: its body with room for plugs on each side that has connectors, and its
/// height with the bracket. `None` when its size is not known.
pub(crate) fn wanted(device: &Device) -> Option<[Length; 3]> {
    let size = device.size.value?;
    let side = |face: Face| side(device, face);
    Some([
        size.width + side(Face::Left) + side(Face::Right),
        size.depth + side(Face::Front) + side(Face::Back),
        size.height + device.bracket.value.unwrap_or(Length::ZERO),
    ])
}

/// Whether boxes fit the rooms together, each either way round, placed one after the other at a corner.
///
/// A yes is a yes; a no may be wrong where only a cleverer packing fits.
pub(crate) fn fits(wanted: &[[Length; 3]], rooms: &[Room]) -> bool {
    let Some((first, rest)) = wanted.split_first() else { return true };
    for (place, room) in rooms.iter().enumerate() {
        for (width, depth) in [(first[0], first[1]), (first[1], first[0])] {
            if room.width < width || room.depth < depth || room.height < first[2] {
                continue;
            }
            let used = Rect { x: room.x, y: room.y, width, depth };
            // What is left of every room of the deck once the corner is taken.
            let mut left = Vec::new();
            for (other, one) in rooms.iter().enumerate() {
                let rect = Rect { x: one.x, y: one.y, width: one.width, depth: one.depth };
                if other != place && !(one.deck == room.deck && rect.overlaps(&used)) {
                    left.push(one.clone());
                    continue;
                }
                for part in free_rects(&rect, &[used]) {
                    left.push(Room {
                        x: part.x,
                        y: part.y,
                        width: part.width,
                        depth: part.depth,
                        ..one.clone()
                    });
                }
            }
            if fits(rest, &left) {
                return true;
            }
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rect(x: i64, y: i64, width: i64, depth: i64) -> Rect {
        let mm = Length::from_mm;
        Rect { x: mm(x), y: mm(y), width: mm(width), depth: mm(depth) }
    }

    #[test]
    fn an_obstacle_in_the_middle_leaves_four_rooms() {
        let free = free_rects(&rect(0, 0, 300, 300), &[rect(100, 100, 100, 100)]);
        assert_eq!(
            free,
            [rect(0, 0, 100, 300), rect(0, 0, 300, 100), rect(0, 200, 300, 100), rect(200, 0, 100, 300)]
        );
    }

    #[test]
    fn two_bricks_want_two_places() {
        let mm = Length::from_mm;
        let room = |width| Room {
            deck: "main".to_owned(),
            x: mm(0),
            y: mm(0),
            width: mm(width),
            depth: mm(80),
            height: mm(30),
        };
        let brick = [mm(180), mm(75), mm(27)];
        assert!(fits(&[brick], &[room(200)]));
        assert!(!fits(&[brick, brick], &[room(200)]));
        assert!(fits(&[brick, brick], &[room(400)]));
        assert!(!fits(&[[mm(180), mm(75), mm(31)]], &[room(400)]));
    }
}

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

/// The maximal rectangles of `shape` that touch none of `blocked` inside, none narrower than [`LEAST`].
///
/// From every edge at which one may begin the strip grows to the right: each box that it meets ends the gaps that the box stands in,
/// and leaves what is beside it. A gap that could have begun further left is no maximal one.
fn free_rects(shape: &Rect, blocked: &[Rect]) -> Vec<Rect> {
    let mut blocked: Vec<&Rect> = blocked.iter().filter(|rect| rect.overlaps(shape)).collect();
    blocked.sort_by_key(|rect| rect.x);
    let mut left: Vec<Length> = blocked.iter().map(|rect| rect.right()).collect();
    left.push(shape.x);
    left.sort();
    left.dedup();
    let mut free: Vec<Rect> = Vec::new();
    for &x in left.iter().filter(|x| **x + LEAST <= shape.right()) {
        let begins = |from: Length, to: Length| {
            x == shape.x || blocked.iter().any(|rect| rect.right() == x && rect.y < to && from < rect.back())
        };
        // Each from where to where, and since which edge: boxes whose edges are in line end a gap once.
        let mut gaps = vec![[shape.y, shape.back(), x]];
        for rect in blocked.iter().filter(|rect| x < rect.right()) {
            let mut beside = Vec::with_capacity(gaps.len() + 1);
            for [from, to, since] in gaps {
                if to <= rect.y || rect.back() <= from {
                    beside.push([from, to, since]);
                    continue;
                }
                if since < rect.x && x + LEAST <= rect.x && begins(from, to) {
                    free.push(Rect { x, y: from, width: rect.x - x, depth: to - from });
                }
                let parts = [[from, rect.y, rect.x], [rect.back(), to, rect.x]];
                beside.extend(parts.into_iter().filter(|[from, to, _]| *from + LEAST <= *to));
            }
            gaps = beside;
            if gaps.is_empty() {
                break;
            }
        }
        for [from, to, _] in gaps.into_iter().filter(|[from, to, _]| begins(*from, *to)) {
            free.push(Rect { x, y: from, width: shape.right() - x, depth: to - from });
        }
    }
    free.sort_by_key(|rect| (rect.x, rect.y, rect.width, rect.depth));
    free
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

    /// Every gap of every strip between two edges, without those that another holds.
    fn by_strips(shape: &Rect, blocked: &[Rect]) -> Vec<Rect> {
        let edges = |side: fn(&Rect) -> Length, own: Length| {
            let mut all: Vec<Length> = blocked.iter().map(side).collect();
            all.push(own);
            all
        };
        let mut free: Vec<Rect> = Vec::new();
        for x in edges(Rect::right, shape.x) {
            for end in edges(|rect| rect.x, shape.right()) {
                for y in edges(Rect::back, shape.y) {
                    for back in edges(|rect| rect.y, shape.back()) {
                        let found = Rect { x, y, width: end - x, depth: back - y };
                        let is_large = LEAST <= found.width && LEAST <= found.depth;
                        if is_large
                            && shape.holds(&found)
                            && !blocked.iter().any(|rect| rect.overlaps(&found))
                        {
                            free.push(found);
                        }
                    }
                }
            }
        }
        free.sort_by_key(|rect| (rect.x, rect.y, rect.width, rect.depth));
        free.dedup();
        let held = |rect: &Rect| free.iter().any(|other| other != rect && other.holds(rect));
        free.iter().filter(|rect| !held(rect)).copied().collect()
    }

    #[test]
    fn free_boxes_are_those_of_all_strips() {
        let mut state = 20_261_201_u64;
        let mut lot = |most: u64| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            i64::try_from((state >> 33) % most).expect("a small number")
        };
        let mut seen = 0;
        for _ in 0..300 {
            let count = lot(9);
            let blocked: Vec<Rect> = (0..count)
                .map(|_| rect(lot(40) * 10 - 20, lot(30) * 10 - 20, lot(12) * 10, lot(12) * 10))
                .collect();
            let shape = rect(0, 0, 360, 240);
            let found = free_rects(&shape, &blocked);
            assert_eq!(found, by_strips(&shape, &blocked), "{blocked:?}");
            seen += found.len();
        }
        assert!(1_000 < seen, "{seen} boxes are few");
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

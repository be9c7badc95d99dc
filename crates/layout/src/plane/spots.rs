//! Places worth trying: anywhere, beside another item, along the edge, in the rim.

use super::body::Body;
use crate::model::{Flat, Item, Model, Spot, Stand};
use crate::random::Random;

/// Puts a coordinate on the grid of a surface; upwards or downwards.
pub(crate) fn snapped(model: &Model, surface: usize, axis: usize, at: i64, up: bool) -> i64 {
    let origin = model.surfaces[surface].origin[axis];
    let from = at - origin;
    let steps = if up { -(-from).div_euclid(model.grid) } else { from.div_euclid(model.grid) };
    origin + steps * model.grid
}

/// A panel's outer side in the rim, wherever it is along it.
pub(crate) fn in_rim(model: &Model, item: &Item, mut spot: Spot) -> Spot {
    let Some(face) = item.rim else { return spot };
    let [width, depth] = item.plan(spot.turn);
    let board = &model.board;
    match face.turned(spot.turn) {
        rig::Face::Front => spot.y = board.low[1],
        rig::Face::Back => spot.y = board.high[1] - depth,
        rig::Face::Left => spot.x = board.low[0],
        rig::Face::Right => spot.x = board.high[0] - width,
    }
    spot
}

/// One of an item's ways; mostly the one it has.
fn way(random: &mut Random, item: &Item, now: &Spot) -> (usize, u8) {
    let stays = item.ways.len() == 1 || random.chance(0.6);
    if stays && item.ways.contains(&(now.surface, now.turn)) {
        return (now.surface, now.turn);
    }
    item.ways.get(random.below(item.ways.len())).copied().unwrap_or((now.surface, now.turn))
}

/// A place to try for an item.
pub(crate) fn propose(model: &Model, random: &mut Random, bodies: &[Body], index: usize) -> Stand {
    let item = &model.items[index];
    let now = &bodies[index].stand;
    let (surface, turn) = way(random, item, &now.spot);
    let extent = model.surfaces[surface].extent;
    let [width, depth] = item.plan(turn);
    let mut stand = Stand { spot: Spot { surface, turn, x: 0, y: 0 }, choices: now.choices.clone() };
    let kind = random.unit();
    if kind < 0.3 {
        let x = random.between(extent.low[0], extent.high[0] - width);
        let y = random.between(extent.low[1], extent.high[1] - depth);
        stand.spot.x = snapped(model, surface, 0, x, false);
        stand.spot.y = snapped(model, surface, 1, y, false);
    } else {
        let own = hull_at_nought(model, index, &stand);
        let beside = bodies.get(random.below(bodies.len())).filter(|b| b.stand.spot.surface == surface);
        let other = beside.filter(|_| kind < 0.85).filter(|b| b.stand.spot != now.spot);
        let axis = random.below(2);
        let at = match other {
            Some(other) => next_to(model, random, surface, &own, other, axis),
            None => along_edge(model, random, surface, &own, axis, &extent),
        };
        stand.spot.x = at[0];
        stand.spot.y = at[1];
    }
    stand.spot = in_rim(model, item, stand.spot);
    stand
}

/// Boxes and body of an item as if its corner were at nought.
struct Own {
    hull: Flat,
    plan: Flat,
}

fn hull_at_nought(model: &Model, index: usize, stand: &Stand) -> Own {
    let mut there = stand.clone();
    there.spot.x = 0;
    there.spot.y = 0;
    let body = Body::new(model, index, there);
    Own { hull: body.hull, plan: body.plan }
}

fn next_to(
    model: &Model,
    random: &mut Random,
    surface: usize,
    own: &Own,
    other: &Body,
    axis: usize,
) -> [i64; 2] {
    // Plugs against the body, plugs against plugs, or body against plugs.
    let mine = if random.chance(0.7) { own.hull } else { own.plan };
    let theirs = if random.chance(0.6) { other.hull } else { other.plan };
    let gap = if random.chance(0.8) { model.gaps.widest } else { 0 };
    let mut at = [0, 0];
    at[axis] = if random.chance(0.5) {
        snapped(model, surface, axis, theirs.low[axis] - gap - mine.high[axis], false)
    } else {
        snapped(model, surface, axis, theirs.high[axis] + gap - mine.low[axis], true)
    };
    let across = 1 - axis;
    at[across] = match random.below(4) {
        0 => other.plan.low[across],
        1 => snapped(model, surface, across, other.plan.high[across] - own.plan.high[across], false),
        _ => {
            let low = other.hull.low[across] - own.hull.high[across];
            let high = other.hull.high[across] - own.hull.low[across];
            snapped(model, surface, across, random.between(low, high), false)
        }
    };
    at
}

fn along_edge(
    model: &Model,
    random: &mut Random,
    surface: usize,
    own: &Own,
    axis: usize,
    extent: &Flat,
) -> [i64; 2] {
    let mut at = [0, 0];
    at[axis] = if random.chance(0.5) {
        snapped(model, surface, axis, extent.low[axis] + model.edge - own.hull.low[axis], true)
    } else {
        snapped(model, surface, axis, extent.high[axis] - model.edge - own.hull.high[axis], false)
    };
    let across = 1 - axis;
    let low = extent.low[across] - own.hull.low[across];
    let high = extent.high[across] - own.hull.high[across];
    at[across] = snapped(model, surface, across, random.between(low, high), false);
    at
}

/// A place to begin: where the document has it, or anywhere it may stand.
pub(crate) fn first(model: &Model, random: &mut Random, index: usize, from_home: bool) -> Stand {
    let item = &model.items[index];
    let choices = vec![0; item.ends.len()];
    if let Some(spot) = item.home.filter(|_| from_home || !item.movable) {
        return Stand { spot, choices };
    }
    let (surface, turn) = random.pick(&item.ways).copied().unwrap_or((0, 0));
    let extent = model.surfaces[surface].extent;
    let [width, depth] = item.plan(turn);
    let x = random.between(extent.low[0], extent.high[0] - width);
    let y = random.between(extent.low[1], extent.high[1] - depth);
    let x = snapped(model, surface, 0, x, false);
    let y = snapped(model, surface, 1, y, false);
    Stand { spot: in_rim(model, item, Spot { surface, turn, x, y }), choices }
}

/// Rows in the order of the runs, along the direction of signal, front row first and treadles before all: a first guess for
/// what has no place.
pub(crate) fn rows(model: &Model, random: &mut Random) -> Vec<Stand> {
    let mut stands: Vec<Stand> =
        (0..model.items.len()).map(|index| first(model, random, index, true)).collect();
    let mut order: Vec<usize> =
        (0..model.items.len()).filter(|index| model.items[*index].has_treadle).collect();
    for wire in model.wires.iter().filter(|wire| wire.ordered) {
        for item in wire.items {
            if !order.contains(&item) {
                order.push(item);
            }
        }
    }
    order.retain(|index| model.items[*index].movable && model.items[*index].home.is_none());
    let left_to_right = model.direction == rig::Direction::LeftToRight;
    let mut tops =
        model.surfaces.iter().enumerate().filter(|(_, s)| !s.under && !s.is_floor).map(|(index, _)| index);
    let Some(mut surface) = tops.next() else { return stands };
    let gap = model.gaps.widest;
    let (mut across, mut front, mut deepest) = (0, 0, 0);
    for index in order {
        let own = hull_at_nought(model, index, &stands[index]);
        let (wide, deep) = (own.hull.high[0] - own.hull.low[0], own.hull.high[1] - own.hull.low[1]);
        let mut extent = model.surfaces[surface].extent;
        if extent.high[0] - extent.low[0] < across + wide {
            front += deepest + gap;
            (across, deepest) = (0, 0);
            if extent.high[1] - extent.low[1] < front + deep
                && let Some(next) = tops.next()
            {
                (surface, front) = (next, 0);
                extent = model.surfaces[surface].extent;
            }
        }
        let x = if left_to_right {
            extent.low[0] + across - own.hull.low[0]
        } else {
            extent.high[0] - across - own.hull.high[0]
        };
        let spot = &mut stands[index].spot;
        if model.items[index].ways.contains(&(surface, spot.turn)) {
            spot.surface = surface;
            spot.x = snapped(model, surface, 0, x, left_to_right);
            spot.y = snapped(model, surface, 1, extent.low[1] + front - own.hull.low[1], true);
        }
        across += wide + gap;
        deepest = deepest.max(deep);
    }
    stands
}

/// Every item where the document has it.
pub(crate) fn at_home(model: &Model, random: &mut Random) -> Vec<Stand> {
    (0..model.items.len()).map(|index| first(model, random, index, true)).collect()
}

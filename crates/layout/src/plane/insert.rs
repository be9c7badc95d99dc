//! A device put into a row or a column: the others of it make way as far as they must.

use super::body::Body;
use super::spots::snapped;
use crate::model::{Model, Spot, Stand};
use crate::random::Random;

/// How often a treadle that comes into a row goes to the front edge.
const TO_FRONT: f64 = 0.7;
/// How often a device goes into a row; else it goes before or behind another.
const IN_ROW: f64 = 0.65;

/// A device beside another in its row, or before or behind it, and the shifts of those that make way; nothing where there is
/// no room.
pub(super) fn inserted(
    model: &Model,
    bodies: &[Body],
    random: &mut Random,
    item: usize,
    other: usize,
) -> Vec<(usize, Stand)> {
    let it = &model.items[item];
    let there = &bodies[other];
    let spot = bodies[item].stand.spot;
    let surface = there.stand.spot.surface;
    let turns = || it.ways.iter().filter(|way| way.0 == surface).map(|way| way.1);
    let Some(turn) = turns().find(|turn| *turn == spot.turn).or_else(|| turns().next()) else {
        return Vec::new();
    };
    if item == other || it.rim.is_some() {
        return Vec::new();
    }
    let axis = usize::from(!random.chance(IN_ROW));
    let across = 1 - axis;
    let far = there.plan.high[across] - it.plan(turn)[across];
    let to_front = axis == 0 && it.has_treadle && random.chance(TO_FRONT);
    let line = if to_front {
        snapped(model, surface, 1, model.surfaces[surface].extent.low[1], true)
    } else if axis == 0 && it.is_foot_operated || random.chance(0.5) {
        there.plan.low[across]
    } else {
        snapped(model, surface, across, far, false)
    };
    let mut body = bodies[item].clone();
    let mut at = [spot.x, spot.y];
    at[across] = line;
    body.stand.spot = Spot { surface, turn, x: at[0], y: at[1] };
    body.settle(model, item);
    let beside = |k: &usize| {
        let at = &bodies[*k];
        *k != item
            && at.stand.spot.surface == surface
            && at.hull.low[across] < body.hull.high[across]
            && body.hull.low[across] < at.hull.high[across]
    };
    let mut row: Vec<usize> = (0..bodies.len()).filter(beside).collect();
    let middle = |k: usize| bodies[k].plan.low[axis] + bodies[k].plan.high[axis];
    row.sort_by_key(|k| (middle(*k), *k));
    let Some(place) = row.iter().position(|k| *k == other) else { return Vec::new() };
    let beyond = random.chance(0.5);
    row.insert(place + usize::from(beyond), item);
    // It goes as near to the other as may be; the rest stay where they are if they can.
    at[axis] = if beyond { there.plan.low[axis] } else { there.plan.high[axis] - it.plan(turn)[axis] };
    (body.stand.spot.x, body.stand.spot.y) = (at[0], at[1]);
    body.settle(model, item);
    let line: Vec<&Body> = row.iter().map(|k| if *k == item { &body } else { &bodies[*k] }).collect();
    let Some(at) = spread(model, &row, &line, surface, axis) else { return Vec::new() };
    let mut out = Vec::new();
    for ((k, body), at) in row.iter().zip(line).zip(at) {
        if *k == item || corner(body, axis) != at {
            let mut stand = body.stand.clone();
            if axis == 0 {
                stand.spot.x = at;
            } else {
                stand.spot.y = at;
            }
            out.push((*k, stand));
        }
    }
    out
}

fn corner(body: &Body, axis: usize) -> i64 {
    if axis == 0 { body.stand.spot.x } else { body.stand.spot.y }
}

/// Places along the row or column, in its order, with all that must keep apart kept apart; `None` where there is no room.
fn spread(model: &Model, row: &[usize], line: &[&Body], surface: usize, axis: usize) -> Option<Vec<i64>> {
    let count = line.len();
    let stays = |k: usize| !model.items[row[k]].movable || model.items[row[k]].rim.is_some();
    let mut need = vec![None; count * count];
    for j in 0..count {
        for k in j + 1..count {
            need[j * count + k] = apart(model, line[j], line[k], axis);
        }
    }
    let ends: Vec<[i64; 2]> = line.iter().map(|body| bounds(model, body, surface, axis)).collect();
    let mut at: Vec<i64> = line.iter().map(|body| corner(body, axis)).collect();
    for k in 0..count {
        if !stays(k) {
            let least = (0..k).filter_map(|j| Some(at[j] + need[j * count + k]?));
            let least = least.chain([ends[k][0]]).max().unwrap_or(at[k]);
            at[k] = at[k].max(snapped(model, surface, axis, least, true));
        }
    }
    for k in (0..count).rev() {
        if !stays(k) {
            let most = (k + 1..count).filter_map(|j| Some(at[j] - need[k * count + j]?));
            let most = most.chain([ends[k][1]]).min().unwrap_or(at[k]);
            at[k] = at[k].min(snapped(model, surface, axis, most, false));
        }
    }
    let fits = |k: usize| {
        (stays(k) || ends[k][0] <= at[k])
            && (0..k).all(|j| need[j * count + k].is_none_or(|need| at[j] + need <= at[k]))
    };
    (0..count).all(fits).then_some(at)
}

/// The least and the most that the corner of a body may be along the axis.
fn bounds(model: &Model, body: &Body, surface: usize, axis: usize) -> [i64; 2] {
    let (at, deck) = (corner(body, axis), model.surfaces[surface].extent);
    let mut out = [at + deck.low[axis] - body.plan.low[axis], at + deck.high[axis] - body.plan.high[axis]];
    for cell in body.cells.iter().filter(|cell| cell.bounded) {
        out[0] = out[0].max(at + model.extent.low[axis] + model.edge - cell.low[axis]);
        out[1] = out[1].min(at + model.extent.high[axis] - model.edge - cell.high[axis]);
    }
    out
}

/// How far the corner of `b` must stay beyond that of `a`, wherever both stand along the axis.
fn apart(model: &Model, a: &Body, b: &Body, axis: usize) -> Option<i64> {
    let mut least: Option<i64> = None;
    for cell in &a.cells {
        for other in &b.cells {
            let Some(gap) = model.gaps.wanted(cell, other) else { continue };
            let sep =
                |axis: usize| (cell.low[axis] - other.high[axis]).max(other.low[axis] - cell.high[axis]);
            if gap <= sep(2) || gap <= sep(1 - axis) {
                continue;
            }
            let need = (cell.high[axis] - corner(a, axis)) + gap - (other.low[axis] - corner(b, axis));
            least = Some(least.map_or(need, |least| least.max(need)));
        }
    }
    least
}

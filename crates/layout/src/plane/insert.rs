//! A device put into a row: the others of that row make way as far as they must.

use super::body::Body;
use super::spots::snapped;
use crate::model::{Model, Spot, Stand};
use crate::random::Random;

/// How often a treadle goes to the front edge, and what stands beside a treadle keeps its depth.
const TO_FRONT: f64 = 0.7;

/// A device beside another in its row, and the shifts of those that make way; nothing where there is no room.
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
    let deck = model.surfaces[surface].extent;
    let mut body = bodies[item].clone();
    let y = if it.has_treadle && random.chance(TO_FRONT) {
        snapped(model, surface, 1, deck.low[1], true)
    } else if it.is_foot_operated || random.chance(0.5) {
        there.plan.low[1]
    } else {
        snapped(model, surface, 1, there.plan.high[1] - it.plan(turn)[1], false)
    };
    body.stand.spot = Spot { surface, turn, x: spot.x, y };
    body.settle(model, item);
    let beside = |k: &usize| {
        let at = &bodies[*k];
        *k != item
            && at.stand.spot.surface == surface
            && at.hull.low[1] < body.hull.high[1]
            && body.hull.low[1] < at.hull.high[1]
    };
    let mut row: Vec<usize> = (0..bodies.len()).filter(beside).collect();
    let middle = |k: usize| bodies[k].plan.low[0] + bodies[k].plan.high[0];
    row.sort_by_key(|k| (middle(*k), *k));
    let Some(place) = row.iter().position(|k| *k == other) else { return Vec::new() };
    let right = random.chance(0.5);
    row.insert(place + usize::from(right), item);
    // It goes as near to the other as may be; the rest stay where they are if they can.
    body.stand.spot.x = if right { there.stand.spot.x } else { there.plan.high[0] - it.plan(turn)[0] };
    body.settle(model, item);
    let line: Vec<&Body> = row.iter().map(|k| if *k == item { &body } else { &bodies[*k] }).collect();
    let Some(at) = spread(model, &row, &line, surface) else { return Vec::new() };
    let mut out = Vec::new();
    for ((k, body), x) in row.iter().zip(line).zip(at) {
        if *k == item || body.stand.spot.x != x {
            let mut stand = body.stand.clone();
            stand.spot.x = x;
            out.push((*k, stand));
        }
    }
    out
}

/// Places along the row, in its order, with all that must keep apart kept apart; `None` where there is no room.
fn spread(model: &Model, row: &[usize], line: &[&Body], surface: usize) -> Option<Vec<i64>> {
    let count = line.len();
    let stays = |k: usize| !model.items[row[k]].movable || model.items[row[k]].rim.is_some();
    let mut need = vec![None; count * count];
    for j in 0..count {
        for k in j + 1..count {
            need[j * count + k] = apart(model, line[j], line[k]);
        }
    }
    let mut at: Vec<i64> = line.iter().map(|body| body.stand.spot.x).collect();
    for k in 0..count {
        if !stays(k) {
            let least = (0..k).filter_map(|j| Some(at[j] + need[j * count + k]?));
            let least = least.chain([bounds(model, line[k], surface)[0]]).max().unwrap_or(at[k]);
            at[k] = at[k].max(snapped(model, surface, 0, least, true));
        }
    }
    for k in (0..count).rev() {
        if !stays(k) {
            let most = (k + 1..count).filter_map(|j| Some(at[j] - need[k * count + j]?));
            let most = most.chain([bounds(model, line[k], surface)[1]]).min().unwrap_or(at[k]);
            at[k] = at[k].min(snapped(model, surface, 0, most, false));
        }
    }
    let fits = |k: usize| {
        (stays(k) || bounds(model, line[k], surface)[0] <= at[k])
            && (0..k).all(|j| need[j * count + k].is_none_or(|need| at[j] + need <= at[k]))
    };
    (0..count).all(fits).then_some(at)
}

/// The least and the most that the corner of a body may be along the row.
fn bounds(model: &Model, body: &Body, surface: usize) -> [i64; 2] {
    let (x, deck) = (body.stand.spot.x, model.surfaces[surface].extent);
    let mut out = [x + deck.low[0] - body.plan.low[0], x + deck.high[0] - body.plan.high[0]];
    for cell in body.cells.iter().filter(|cell| cell.bounded) {
        out[0] = out[0].max(x + model.extent.low[0] + model.edge - cell.low[0]);
        out[1] = out[1].min(x + model.extent.high[0] - model.edge - cell.high[0]);
    }
    out
}

/// How far the corner of `b` must stay to the right of that of `a`, wherever both stand along the row.
fn apart(model: &Model, a: &Body, b: &Body) -> Option<i64> {
    let mut least: Option<i64> = None;
    for cell in &a.cells {
        for other in &b.cells {
            let Some(gap) = model.gaps.wanted(cell, other) else { continue };
            let sep =
                |axis: usize| (cell.low[axis] - other.high[axis]).max(other.low[axis] - cell.high[axis]);
            if gap <= sep(2) || gap <= sep(1) {
                continue;
            }
            let need = (cell.high[0] - a.stand.spot.x) + gap - (other.low[0] - b.stand.spot.x);
            least = Some(least.map_or(need, |least| least.max(need)));
        }
    }
    least
}

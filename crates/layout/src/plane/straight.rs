//! The last pass: front edges that nearly agree are brought into one line, and gaps in a row are evened.
//!
//! With the order of neighbours fixed, what must keep apart along the depth is a set of differences. Two lines can be one
//! where the longest ways through these differences leave room (as in one-dimensional compaction, Lengauer, Combinatorial
//! Algorithms for Integrated Circuit Layout, 1990); the places nearest to those of today are then found by relaxing.

use super::rows::in_row;
use super::slide::line;
use super::state::{State, Undo};
use crate::Weights;
use crate::axis::Axis;
use crate::model::Model;

/// A front line: its surface and where its front edge is.
type Line = (usize, i64);

/// Front lines farther apart than this are left two.
const FARTHEST: i64 = 60_000_000;
/// Each round of evening halves what is uneven.
const ROUNDS: usize = 12;

/// Straightens a placement that fits; what costs more than it brings is taken back.
pub(crate) fn straighten(model: &Model, state: &mut State<'_>, weights: &Weights) {
    if !state.fits() {
        return;
    }
    // Each joining leaves one line less.
    for _ in 0..state.bodies.len() {
        let mut lines = lines(model, state);
        lines.sort_unstable();
        let mut pairs: Vec<(i64, Line, Line)> = lines
            .windows(2)
            .filter(|pair| pair[0].0 == pair[1].0 && pair[1].1 - pair[0].1 <= FARTHEST)
            .map(|pair| (pair[1].1 - pair[0].1, pair[0], pair[1]))
            .collect();
        pairs.sort_unstable();
        if !pairs.iter().any(|(_, front, rear)| joined(model, state, weights, *front, *rear)) {
            break;
        }
    }
    even(model, state, weights);
}

/// The front lines: surface and front edge.
fn lines(model: &Model, state: &State<'_>) -> Vec<Line> {
    let bodies = state.bodies.iter().enumerate();
    let mut lines: Vec<_> = bodies
        .filter(|(item, body)| in_row(model, *item, &body.stand))
        .map(|(_, body)| (body.stand.spot.surface, body.plan.low[1]))
        .collect();
    lines.sort_unstable();
    lines.dedup();
    lines
}

/// Makes one line of two where there is room and where it costs no more; says whether it did.
fn joined(model: &Model, state: &mut State<'_>, weights: &Weights, front: Line, rear: Line) -> bool {
    let axis = line(model, state, 1);
    let things: Vec<usize> = {
        let key = |item: usize| {
            let body = &state.bodies[item];
            let key = (body.stand.spot.surface, body.plan.low[1]);
            in_row(model, item, &body.stand).then_some(if key == rear { front } else { key })
        };
        let first = |item: usize| (0..item).find(|other| key(item).is_some() && key(*other) == key(item));
        (0..state.bodies.len()).map(|item| first(item).unwrap_or(item)).collect()
    };
    // From the front and from the rear: whichever is better in the end.
    let mut best: Option<(f64, Vec<i64>)> = None;
    let before = state.cost(weights);
    for line in [front.1, rear.1] {
        let leader = state.bodies.iter().enumerate().position(|(item, body)| {
            (body.stand.spot.surface, body.plan.low[1]) == front && in_row(model, item, &body.stand)
        });
        let Some(at) = leader.and_then(|leader| placed(&axis, &things, things[leader], line)) else {
            continue;
        };
        let undo = moved(model, state, &at, 1);
        let cost = state.cost(weights);
        if state.fits() && cost <= before && best.as_ref().is_none_or(|(least, _)| cost < *least) {
            best = Some((cost, at));
        }
        back(state, undo);
    }
    let Some((_, at)) = best else { return false };
    moved(model, state, &at, 1);
    true
}

/// Places along the axis with `leader` at `line`, all others as near to today's as what must keep apart lets them be;
/// `None` where there is no room.
fn placed(axis: &Axis, things: &[usize], leader: usize, line: i64) -> Option<Vec<i64>> {
    let count = axis.at.len();
    let (mut low, mut high) = (axis.low.clone(), axis.high.clone());
    for (item, thing) in things.iter().enumerate() {
        low[*thing] = low[*thing].max(axis.low[item]);
        high[*thing] = high[*thing].min(axis.high[item]);
    }
    if line < low[leader] || high[leader] < line {
        return None;
    }
    (low[leader], high[leader]) = (line, line);
    let beyond: Vec<(usize, usize, i64)> =
        axis.beyond.iter().map(|(a, b, by)| (things[*a], things[*b], *by)).collect();
    if beyond.iter().any(|(a, b, by)| a == b && 0 < *by) {
        return None;
    }
    // The longest ways give the least and the most that each may be.
    for _ in 0..=count {
        for (a, b, by) in &beyond {
            low[*b] = low[*b].max(low[*a] + by);
            high[*a] = high[*a].min(high[*b] - by);
        }
    }
    let settled = |low: &[i64], high: &[i64]| {
        beyond.iter().all(|(a, b, by)| low[*a] + by <= low[*b] && high[*a] <= high[*b] - by)
    };
    if (0..count).any(|thing| high[things[thing]] < low[things[thing]]) || !settled(&low, &high) {
        return None;
    }
    // As near to today's places as may be, one after the other; each narrows what the others may be.
    let mut order: Vec<usize> = (0..count).filter(|item| things[*item] == *item).collect();
    order.sort_by_key(|thing| axis.at[*thing]);
    let mut at = axis.at.clone();
    for thing in order {
        at[thing] = axis.at[thing].clamp(low[thing], high[thing]);
        (low[thing], high[thing]) = (at[thing], at[thing]);
        for _ in 0..=count {
            let mut still = true;
            for (a, b, by) in &beyond {
                if low[*b] < low[*a] + by {
                    (low[*b], still) = (low[*a] + by, false);
                }
                if high[*b] - by < high[*a] {
                    (high[*a], still) = (high[*b] - by, false);
                }
            }
            if still {
                break;
            }
        }
    }
    Some(things.iter().map(|thing| at[*thing]).collect())
}

/// Stands every movable item at its place along an axis.
fn moved(model: &Model, state: &mut State<'_>, at: &[i64], axis: usize) -> Vec<Undo> {
    let mut undo = Vec::new();
    for (item, at) in at.iter().enumerate().filter(|(item, _)| model.items[*item].movable) {
        let mut stand = state.bodies[item].stand.clone();
        let now = if axis == 0 { &mut stand.spot.x } else { &mut stand.spot.y };
        if *now != *at {
            *now = *at;
            undo.push(state.put(item, stand));
        }
    }
    undo
}

fn back(state: &mut State<'_>, undo: Vec<Undo>) {
    for one in undo.into_iter().rev() {
        state.undo(one);
    }
}

/// Moves each device of a row towards the middle between its neighbours, while that costs no more than it brings.
fn even(model: &Model, state: &mut State<'_>, weights: &Weights) {
    for _ in 0..ROUNDS {
        let mut moved = false;
        for line in lines(model, state) {
            let mut row: Vec<usize> = (0..state.bodies.len())
                .filter(|item| {
                    let body = &state.bodies[*item];
                    (body.stand.spot.surface, body.plan.low[1]) == line && in_row(model, *item, &body.stand)
                })
                .collect();
            row.sort_by_key(|item| state.bodies[*item].plan.low[0]);
            for three in row.windows(3).map(<[usize]>::to_vec) {
                moved |= model.items[three[1]].movable
                    && centred(model, state, weights, [three[0], three[1], three[2]]);
            }
        }
        if !moved {
            break;
        }
    }
}

/// Moves the middle one of three neighbours to the middle, or as far as there is room; says whether it moved.
fn centred(model: &Model, state: &mut State<'_>, weights: &Weights, [left, item, right]: [usize; 3]) -> bool {
    let plan = |item: usize| state.bodies[item].plan;
    let by = ((plan(right).low[0] - plan(item).high[0]) - (plan(item).low[0] - plan(left).high[0])) / 2;
    let mut steps = by / model.grid;
    let before = state.cost(weights);
    while steps != 0 {
        let mut stand = state.bodies[item].stand.clone();
        stand.spot.x += steps * model.grid;
        let undo = state.put(item, stand);
        if state.fits() && state.cost(weights) < before {
            return true;
        }
        state.undo(undo);
        steps /= 2;
    }
    false
}

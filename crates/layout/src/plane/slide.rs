//! Each axis by itself: items slide between their neighbours to where the leads are shortest.

use super::body::Body;
use super::rows::in_row;
use super::state::State;
use crate::Weights;
use crate::axis::{Axis, Lead};
use crate::model::{Flat, Model};

/// Slides the items of a placement that fits, along each axis in turn. What does not help is taken back; the free room is
/// left to the caller.
pub(crate) fn slide(model: &Model, state: &mut State<'_>, weights: &Weights) {
    for axis in [0, 1, 0, 1] {
        if !state.fits() {
            return;
        }
        let before = state.cost(weights);
        let mut line = line(model, state, axis);
        // What stands in one front line moves along together.
        let things = if axis == 1 { in_lines(model, state) } else { (0..line.at.len()).collect() };
        line = merged(&line, &things);
        if !line.slide() {
            continue;
        }
        let mut undo = Vec::new();
        for item in (0..things.len()).filter(|item| model.items[*item].movable) {
            let at = line.at[things[item]];
            let mut stand = state.bodies[item].stand.clone();
            let now = if axis == 0 { &mut stand.spot.x } else { &mut stand.spot.y };
            if *now != at {
                *now = at;
                undo.push(state.put(item, stand));
            }
        }
        if !state.fits() || before <= state.cost(weights) {
            for one in undo.into_iter().rev() {
                state.undo(one);
            }
        }
    }
}

/// The thing that each item is along the depth: itself, or the first of its front line.
fn in_lines(model: &Model, state: &State<'_>) -> Vec<usize> {
    let key = |item: usize| {
        let body = &state.bodies[item];
        in_row(model, item, &body.stand).then_some((body.stand.spot.surface, body.plan.low[1]))
    };
    (0..state.bodies.len())
        .map(|item| {
            let first = (0..item).find(|other| key(item).is_some() && key(*other) == key(item));
            first.unwrap_or(item)
        })
        .collect()
}

/// An axis on which several items are one thing; they are at the same place.
fn merged(line: &Axis, things: &[usize]) -> Axis {
    let mut out = line.clone();
    for (item, thing) in things.iter().enumerate() {
        out.low[*thing] = out.low[*thing].max(line.low[item]);
        out.high[*thing] = out.high[*thing].min(line.high[item]);
    }
    out.beyond = line.beyond.iter().map(|(a, b, by)| (things[*a], things[*b], *by)).collect();
    out.beyond.retain(|(a, b, _)| a != b);
    for pin in out.leads.iter_mut().flat_map(|lead| &mut lead.pins) {
        pin.0 = things[pin.0];
    }
    out
}

/// The axis with all that must keep apart on it as things stand.
pub(super) fn line(model: &Model, state: &State<'_>, axis: usize) -> Axis {
    let bodies = &state.bodies;
    let place = |body: &Body| if axis == 0 { body.stand.spot.x } else { body.stand.spot.y };
    let mut line = Axis { at: bodies.iter().map(place).collect(), step: model.grid, ..Axis::default() };
    for (item, body) in bodies.iter().enumerate() {
        let (low, high) = bounds(model, item, body, axis);
        let at = place(body);
        line.low.push(low.min(at));
        line.high.push(high.max(at));
    }
    for (i, a) in bodies.iter().enumerate() {
        for (j, b) in bodies.iter().enumerate().skip(i + 1) {
            let is_spare = model.items[i].is_spare || model.items[j].is_spare;
            if let Some(least) = apart(model, a, b, axis, is_spare) {
                line.beyond.push((i, j, least));
            }
            if let Some(least) = apart(model, b, a, axis, is_spare) {
                line.beyond.push((j, i, least));
            }
        }
    }
    for wire in &model.wires {
        let offset = |end: usize| {
            let turn = usize::from(bodies[wire.items[end]].stand.spot.turn);
            wire.points[end][turn][axis]
        };
        let pins = vec![(wire.items[0], offset(0)), (wire.items[1], offset(1))];
        line.leads.push(Lead { pins, fixed: None, weight: wire.weight });
    }
    line
}

/// How far `b` must stay beyond `a` along an axis, when it stands beyond it and nothing else keeps them apart.
fn apart(model: &Model, a: &Body, b: &Body, axis: usize, is_spare: bool) -> Option<i64> {
    let place = |body: &Body| if axis == 0 { body.stand.spot.x } else { body.stand.spot.y };
    let across = 1 - axis;
    let mut least: Option<i64> = None;
    for cell in &a.cells {
        for other in &b.cells {
            let gap = model.gaps.wanted(cell, other);
            let Some(gap) = (if is_spare { gap.max(Some(0)) } else { gap }) else { continue };
            let sep =
                |axis: usize| (cell.low[axis] - other.high[axis]).max(other.low[axis] - cell.high[axis]);
            if gap <= sep(2) || gap <= sep(across) || other.low[axis] < cell.high[axis] + gap {
                continue;
            }
            let need = (cell.high[axis] - place(a)) + gap - (other.low[axis] - place(b));
            least = Some(least.map_or(need, |least| least.max(need)));
        }
    }
    least
}

/// How far an item may go along an axis: within the outline and its surface, not into parts of the board, and neither on
/// nor off a riser.
fn bounds(model: &Model, item: usize, body: &Body, axis: usize) -> (i64, i64) {
    let it = &model.items[item];
    let at = if axis == 0 { body.stand.spot.x } else { body.stand.spot.y };
    let surface = &model.surfaces[body.stand.spot.surface];
    let rim_axis = it.rim.map(|face| match face.turned(body.stand.spot.turn) {
        rig::Face::Left | rig::Face::Right => 0,
        rig::Face::Front | rig::Face::Back => 1,
    });
    if !it.movable || rim_axis == Some(axis) {
        return (at, at);
    }
    let (mut low, mut high) = (i64::MIN / 4, i64::MAX / 4);
    let mut within = |edge: [i64; 2], own: [i64; 2]| {
        low = low.max(at + edge[0] - own[0]);
        high = high.min(at + edge[1] - own[1]);
    };
    within(
        [surface.extent.low[axis], surface.extent.high[axis]],
        [body.plan.low[axis], body.plan.high[axis]],
    );
    for cell in body.cells.iter().filter(|cell| cell.bounded) {
        let edge = [model.extent.low[axis] + model.edge, model.extent.high[axis] - model.edge];
        within(edge, [cell.low[axis], cell.high[axis]]);
    }
    let across = 1 - axis;
    let mut beside = |blocked: &Flat, own: &Flat, gap: i64| {
        let sep = (own.low[across] - blocked.high[across]).max(blocked.low[across] - own.high[across]);
        if gap <= sep {
            return;
        }
        if own.high[axis] + gap <= blocked.low[axis] {
            high = high.min(at + blocked.low[axis] - gap - own.high[axis]);
        } else if blocked.high[axis] + gap <= own.low[axis] {
            low = low.max(at + blocked.high[axis] + gap - own.low[axis]);
        }
    };
    for cell in &body.cells {
        let plan = cell.plan();
        for part in &model.parts {
            let Some(gap) = model.gaps.wanted(cell, part) else { continue };
            let sep = (cell.low[2] - part.high[2]).max(part.low[2] - cell.high[2]);
            if sep < gap {
                beside(&part.plan(), &plan, gap);
            }
        }
        if cell.bounded {
            for void in &model.void {
                beside(void, &plan, model.edge);
            }
        }
    }
    for void in &surface.void {
        beside(void, &body.plan, 0);
    }
    for riser in surface.under_foot(&body.plan) {
        low = low.max(at + riser.low[axis] - body.plan.low[axis]);
        high = high.min(at + riser.high[axis] - body.plan.high[axis]);
    }
    (low, high)
}

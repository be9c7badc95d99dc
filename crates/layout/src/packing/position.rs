//! Whether boxes of one device stand anywhere on a surface, on an otherwise empty board.
//!
//! Where there is such a place, there is one from which the device can go neither left nor forward: something touches it
//! on the left and something in front. So only the places where something touches are tried, and finding none is a proof.

use crate::model::{Cell, Flat, Model, Spot, Stand};
use crate::plane::{Body, alone, covered, in_rim};

/// More places than this are not tried; nothing is proven then.
const MOST: usize = 40_000;

/// Why boxes stand nowhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Nowhere {
    /// The board itself is in the way.
    Barred,
    /// Only without the room that a foot needs below an upper deck.
    Roofed,
}

/// Why these boxes of an item, seen from the corner and base of its body, stand nowhere on a surface; `None` where they
/// stand somewhere, or where it was not decided.
pub(super) fn nowhere(
    model: &Model,
    index: usize,
    (surface, turn): (usize, u8),
    cells: &[Cell],
) -> Option<Nowhere> {
    let item = &model.items[index];
    let [across, along] = [0, 1].map(|axis| touching(model, index, (surface, turn), cells, axis));
    if MOST < across.len().saturating_mul(along.len()) {
        return None;
    }
    let mut why = Nowhere::Barred;
    for &y in &along {
        for &x in &across {
            let spot = in_rim(model, item, Spot { surface, turn, x, y });
            let body = standing(model, index, spot, cells);
            let wrong = alone(model, index, &body).pairs;
            if wrong == 0 {
                return None;
            }
            if wrong == 1 && 0 < covered(model, item, &body) {
                why = Nowhere::Roofed;
            }
        }
    }
    Some(why)
}

/// The item with these boxes at a spot.
fn standing(model: &Model, index: usize, spot: Spot, cells: &[Cell]) -> Body {
    let item = &model.items[index];
    let [width, depth] = item.plan(spot.turn);
    let plan = Flat { low: [spot.x, spot.y], high: [spot.x + width, spot.y + depth] };
    let base = model.surfaces[spot.surface].base(&plan, item.size[2]);
    let cells = cells.iter().map(|cell| cell.moved([spot.x, spot.y, base])).collect();
    // What is wrong with it alone asks for boxes and plan only.
    Body { stand: Stand { spot, choices: Vec::new() }, cells, hull: plan, plan, base }
}

/// The coordinates along an axis at which something touches on the lower side.
fn touching(
    model: &Model,
    index: usize,
    (surface, turn): (usize, u8),
    cells: &[Cell],
    axis: usize,
) -> Vec<i64> {
    let item = &model.items[index];
    let surface = &model.surfaces[surface];
    let mut out = vec![surface.extent.low[axis]];
    out.extend(surface.void.iter().map(|void| void.high[axis]));
    out.extend(surface.riser_lows(axis));
    for cell in cells {
        let parts = model.parts.iter().filter_map(|part| {
            let gap = model.gaps.wanted(cell, part)?;
            Some(part.high[axis] + gap - cell.low[axis])
        });
        out.extend(parts);
        if cell.bounded {
            let inner = model.void.iter().map(|void| void.high[axis]).chain([model.extent.low[axis]]);
            out.extend(inner.map(|low| low + model.edge - cell.low[axis]));
        }
    }
    let feet = &item.feet[usize::from(turn)];
    let roofs = model.roofs.iter().flat_map(|(parts, _)| parts);
    out.extend(roofs.flat_map(|roof| feet.iter().map(|foot| roof.high[axis] - foot.low[axis])));
    out.sort_unstable();
    out.dedup();
    out
}

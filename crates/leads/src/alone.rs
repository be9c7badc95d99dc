//! One lead as if there were no other.

use crate::field::form::beyond;
use crate::field::rounds::Field;
use crate::input::{Point, Wanted};
use crate::route::grids::Grids;
use crate::route::lay::lay;
use crate::route::shape::{Shape, chords};
use crate::route::space::Space;

/// So much beyond the edge is on it.
const OUT_MM: f64 = 0.5;
/// A radius that is short by less than this is the radius.
pub(crate) const HAIR_MM: f64 = 0.05;

/// A bend of so many of its cable's least radii is better than a way that leaves the board.
const BEND_INSIDE: f64 = 0.5;
/// So many millimetres off the board are as bad as any.
const MOST_OUT: f64 = 1_000.0;

/// How good a way is, in this order: it reaches; it does not go off the board, by whole millimetres below nought, at no bend
/// far too sharp for that; it bends softly.
pub(crate) fn worth(outline: [f64; 4], wanted: &Wanted, shape: &Shape) -> (bool, i64, f64) {
    let is_gentle = BEND_INSIDE * wanted.radius_mm <= shape.tightest;
    let out = if is_gentle { out_mm(outline, wanted, &shape.path, &shape.radii) } else { MOST_OUT };
    (wanted.reaches(shape.length), -whole(out.min(MOST_OUT)), shape.tightest.min(wanted.radius_mm - HAIR_MM))
}

/// Whether a way stays on the board, or goes no farther out than its own plugs stand.
pub(crate) fn inside(outline: [f64; 4], wanted: &Wanted, path: &[Point], radii: &[f64]) -> bool {
    out_mm(outline, wanted, path, radii) <= 0.0
}

/// How far a way goes off the board, and farther than its own plugs stand.
fn out_mm(outline: [f64; 4], wanted: &Wanted, path: &[Point], radii: &[f64]) -> f64 {
    let ends = beyond(outline, &[wanted.from.at, wanted.to.at]);
    (beyond(outline, &chords(path, radii)) - ends - OUT_MM).max(0.0)
}

/// Rounded up.
#[expect(clippy::cast_possible_truncation, reason = "millimetres off a board, a thousand at most")]
fn whole(mm: f64) -> i64 {
    mm.ceil() as i64
}

/// One lead by itself: along the lines, or over the grid where that is softer or the only way that reaches.
pub(crate) fn alone(field: &Field<'_>, space: &Space, grids: &Grids<'_>, wanted: &Wanted) -> Option<Shape> {
    let dressed = field.lay(wanted, None, u32::MAX);
    let value = |shape: &Shape| worth(field.outline, wanted, shape);
    let good = (true, 0, wanted.radius_mm - HAIR_MM);
    if dressed.as_ref().is_some_and(|shape| good <= value(shape)) {
        return dressed;
    }
    // What is too long for a made lead is no measure for its way.
    let known = dressed.as_ref().filter(|shape| wanted.reaches(shape.length));
    let other = grids.on(wanted, |grid| lay(space, grid, wanted, known));
    match (dressed, other) {
        (Some(dressed), Some(other)) if value(&dressed) < value(&other) => Some(other),
        (dressed, other) => dressed.or(other),
    }
}

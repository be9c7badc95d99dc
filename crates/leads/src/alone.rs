//! One lead as if there were no other.

use crate::field::rounds::Field;
use crate::input::Wanted;
use crate::route::grids::Grids;
use crate::route::lay::lay;
use crate::route::shape::Shape;
use crate::route::space::Space;

/// A radius that is short by less than this is the radius.
pub(crate) const HAIR_MM: f64 = 0.05;

/// One lead by itself: along the lines, or over the grid where that is softer or the only way that reaches.
pub(crate) fn alone(field: &Field<'_>, space: &Space, grids: &Grids<'_>, wanted: &Wanted) -> Option<Shape> {
    let dressed = field.lay(wanted, None, u32::MAX);
    let value =
        |shape: &Shape| (wanted.reaches(shape.length), shape.tightest.min(wanted.radius_mm - HAIR_MM));
    let good = (true, wanted.radius_mm - HAIR_MM);
    if dressed.as_ref().is_some_and(|shape| good <= value(shape)) {
        return dressed;
    }
    let other = grids.on(wanted, |grid| lay(space, grid, wanted));
    match (dressed, other) {
        (Some(dressed), Some(other)) if value(&dressed) < value(&other) => Some(other),
        (dressed, other) => dressed.or(other),
    }
}

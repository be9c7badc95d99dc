//! Points and directions.

use crate::input::Point;

pub(crate) fn add(a: Point, b: Point) -> Point {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

pub(crate) fn minus(a: Point, b: Point) -> Point {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

pub(crate) fn times(a: Point, by: f64) -> Point {
    [a[0] * by, a[1] * by, a[2] * by]
}

pub(crate) fn dot(a: Point, b: Point) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(crate) fn length(a: Point) -> f64 {
    dot(a, a).sqrt()
}

/// The direction from one point to another; nought when they are the same.
pub(crate) fn towards(a: Point, b: Point) -> Point {
    let way = minus(b, a);
    let size = length(way);
    if size < 1e-12 { [0.0; 3] } else { times(way, 1.0 / size) }
}

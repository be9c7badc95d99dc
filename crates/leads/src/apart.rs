//! Leads side by side that ought not to be, measured on the ways as they are.

use crate::input::{Input, Point};
use crate::outcome::{Laid, Near};
use crate::route::space::{figure, place};
use crate::route::vector::{add, dot, length, minus, times, towards};

/// Ways are looked at in pieces of this length.
pub(crate) const PIECE: f64 = 5.0;
/// So many pieces of one leg are looked at: twenty metres, more than any board is wide.
pub(crate) const MOST_PIECES: usize = 4_000;
/// Directions that differ by more than about 45° cross; they do not run side by side.
const ALONG: f64 = 0.7;

/// Middles and directions of the pieces of a way.
pub(crate) type Pieces = Vec<(Point, Point)>;

/// How two ways run side by side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Beside {
    /// How long they do so nearer than wanted.
    pub(crate) long: f64,
    /// How near they come there.
    pub(crate) least: f64,
}

impl Beside {
    /// The pieces of one way beside those of another that it ought to be so far from; `near` is the box around the other,
    /// widened by that.
    pub(crate) fn of(
        one: &[(Point, Point)],
        near: &(Point, Point),
        other: &[(Point, Point)],
        wanted: f64,
    ) -> Self {
        let mut beside = Self { long: 0.0, least: f64::INFINITY };
        for (here, way) in one.iter().filter(|(here, _)| holds(near, *here)) {
            let mut found = wanted * wanted;
            for (there, along) in other {
                let off = minus(*here, *there);
                let square = dot(off, off);
                if square < found && ALONG < dot(*way, *along).abs() {
                    found = square;
                }
            }
            if found < wanted * wanted {
                beside.long += PIECE;
                beside.least = beside.least.min(found.sqrt());
            }
        }
        beside
    }
}

/// Every pair that runs side by side for longer than the rules like.
pub(crate) fn near(input: &Input, leads: &[Laid]) -> Vec<Near> {
    let pieces: Vec<Pieces> = leads.iter().map(|laid| pieces(&laid.path)).collect();
    let boxes: Vec<(Point, Point)> = leads.iter().map(|laid| around(&laid.path, 0.0)).collect();
    let mut out = Vec::new();
    for (one, a) in leads.iter().enumerate() {
        for (other, b) in leads.iter().enumerate().skip(one + 1) {
            let Some(wanted) =
                crate::classes::apart(input, input.leads[a.lead].class, input.leads[b.lead].class)
            else {
                continue;
            };
            let near = widened(&boxes[other], wanted);
            if !meets(&near, &boxes[one]) {
                continue;
            }
            let beside = Beside::of(&pieces[one], &near, &pieces[other], wanted);
            if input.rules.parallel_mm < beside.long {
                out.push(Near {
                    one: a.id.clone(),
                    other: b.id.clone(),
                    distance_mm: beside.least,
                    parallel_mm: beside.long,
                    wanted_mm: wanted,
                });
            }
        }
    }
    out
}

/// The box around a way, widened.
pub(crate) fn around(path: &[Point], by: f64) -> (Point, Point) {
    let mut out = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
    for at in path {
        for (axis, value) in at.iter().enumerate() {
            out.0[axis] = out.0[axis].min(value - by);
            out.1[axis] = out.1[axis].max(value + by);
        }
    }
    out
}

/// A box with so much more on each side.
pub(crate) fn widened(of: &(Point, Point), by: f64) -> (Point, Point) {
    (of.0.map(|value| value - by), of.1.map(|value| value + by))
}

/// Whether two boxes have something in common.
pub(crate) fn meets(one: &(Point, Point), other: &(Point, Point)) -> bool {
    (0..3).all(|axis| one.0[axis] <= other.1[axis] && other.0[axis] <= one.1[axis])
}

/// Whether a box holds a place.
pub(crate) fn holds(near: &(Point, Point), at: Point) -> bool {
    (0..3).all(|axis| near.0[axis] <= at[axis] && at[axis] <= near.1[axis])
}

/// Middles and directions of the pieces of a way.
pub(crate) fn pieces(path: &[Point]) -> Pieces {
    let mut out = Vec::new();
    for leg in path.windows(2) {
        let long = length(minus(leg[1], leg[0]));
        let way = towards(leg[0], leg[1]);
        for step in 0..place(long / PIECE).min(MOST_PIECES) {
            out.push((add(leg[0], times(way, (figure(step) + 0.5) * PIECE)), way));
        }
    }
    out
}

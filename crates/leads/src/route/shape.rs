//! From corners to cable: arcs at the corners, as wide as the legs allow.

use super::space::Space;
use super::vector::{add, dot, length, minus, times, towards};
use crate::input::{Point, Wanted};

/// Pieces that an arc is looked at in.
const CHORDS: usize = 6;
/// Below this turn (cosine) a corner is straight.
const STRAIGHT: f64 = 1.0 - 1e-9;

/// A way with its bends.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Shape {
    pub(crate) path: Vec<Point>,
    pub(crate) radii: Vec<f64>,
    pub(crate) length: f64,
    pub(crate) tightest: f64,
}

/// The half turn's tangent at a corner: what a radius of 1 takes of each leg.
fn tangent(before: Point, after: Point) -> f64 {
    let cosine = dot(before, after).clamp(-1.0, 1.0);
    if STRAIGHT < cosine {
        return 0.0;
    }
    // tan(θ/2) = √((1 − cos θ) / (1 + cos θ))
    ((1.0 - cosine) / (1.0 + cosine).max(1e-9)).sqrt()
}

/// The turn at a corner, in radians.
fn turn(before: Point, after: Point) -> f64 {
    2.0 * libm::atan(tangent(before, after))
}

/// Bends a way. A leg between two corners is shared in proportion to what each would take.
pub(crate) fn bend(path: &[Point], wanted: f64, clear: impl Fn(Point, Point) -> bool) -> Shape {
    let corners = path.len().saturating_sub(2);
    let legs: Vec<f64> = path.windows(2).map(|leg| length(minus(leg[1], leg[0]))).collect();
    let ways: Vec<Point> = path.windows(2).map(|leg| towards(leg[0], leg[1])).collect();
    let tans: Vec<f64> = (0..corners).map(|at| tangent(ways[at], ways[at + 1])).collect();
    let mut radii = vec![wanted; corners];
    for at in 0..corners {
        if tans[at] == 0.0 {
            continue;
        }
        let share = |leg: usize, other: Option<f64>| match other {
            Some(other) if 0.0 < other => legs[leg] / (tans[at] + other),
            _ => legs[leg] / tans[at],
        };
        let before = share(at, at.checked_sub(1).map(|other| tans[other]));
        let after = share(at + 1, tans.get(at + 1).copied());
        radii[at] = wanted.min(before).min(after);
        // The arc cuts the corner: it must be clear, too.
        for _ in 0..8 {
            if arc(path[at + 1], ways[at], ways[at + 1], radii[at])
                .windows(2)
                .all(|chord| clear(chord[0], chord[1]))
            {
                break;
            }
            radii[at] *= 0.7;
        }
    }
    let mut total: f64 = legs.iter().sum();
    let mut tightest = wanted;
    for at in 0..corners {
        if 0.0 < tans[at] {
            total -= radii[at] * (2.0 * tans[at] - turn(ways[at], ways[at + 1]));
            tightest = tightest.min(radii[at]);
        }
    }
    Shape { path: path.to_vec(), radii, length: total, tightest }
}

/// Points along the arc at a corner, with those where it begins and ends.
pub(crate) fn arc(corner: Point, before: Point, after: Point, radius: f64) -> Vec<Point> {
    let tan = tangent(before, after);
    let reach = radius * tan;
    let (start, end) = (add(corner, times(before, -reach)), add(corner, times(after, reach)));
    if tan == 0.0 {
        return vec![start, end];
    }
    // The centre lies along the inner bisector.
    let inner = towards([0.0; 3], minus(after, before));
    let centre = add(corner, times(inner, radius * (1.0 + tan * tan).sqrt()));
    let (u, angle) = (towards(centre, start), turn(before, after));
    (0..=CHORDS)
        .map(|step| {
            let (sine, cosine) =
                libm::sincos(angle * super::space::figure(step) / super::space::figure(CHORDS));
            add(centre, add(times(u, radius * cosine), times(before, radius * sine)))
        })
        .collect()
}

/// The stubs before the first and after the last of some inner corners: as short as the radius allows.
///
/// Returns the whole way. Without inner corners and obstacles this is the shortest way of bounded curvature that turns
/// less than half round at each end (arc, straight, arc, `[src:DUBINS-1957]`).
pub(crate) fn with_stubs(lead: &Wanted, inner: &[Point], radius: f64) -> Vec<Point> {
    let (from, to) = (&lead.from, &lead.to);
    let (mut s, mut t) = (from.straight_mm.max(radius), to.straight_mm.max(radius));
    let at = |end: &crate::input::End, stub: f64| add(end.at, times(end.out, stub));
    for _ in 0..40 {
        let (a, b) = (at(from, s), at(to, t));
        let first = inner.first().copied().unwrap_or(b);
        let last = inner.last().copied().unwrap_or(a);
        let s2 = from.straight_mm + (radius * tangent(from.out, towards(a, first))).min(4.0 * radius);
        let t2 = to.straight_mm + (radius * tangent(to.out, towards(b, last))).min(4.0 * radius);
        let (ds, dt) = (s2 - s, t2 - t);
        s += ds * 0.7;
        t += dt * 0.7;
        if ds.abs() + dt.abs() < 1e-10 {
            break;
        }
    }
    let mut path = vec![from.at];
    let mut push = |point: Point| {
        if path.last().is_none_or(|last| 1e-6 < length(minus(*last, point))) {
            path.push(point);
        }
    };
    push(at(from, s));
    for &point in inner {
        push(point);
    }
    push(at(to, t));
    push(to.at);
    straightened(&path)
}

/// Without corners that do not turn.
pub(crate) fn straightened(path: &[Point]) -> Vec<Point> {
    let mut out: Vec<Point> = Vec::new();
    for (index, &point) in path.iter().enumerate() {
        if let (Some(&before), Some(&after)) = (out.last(), path.get(index + 1))
            && STRAIGHT < dot(towards(before, point), towards(point, after))
        {
            continue;
        }
        out.push(point);
    }
    out
}

/// Whether a whole way is clear: each leg, with the plugs left out where they are the lead's own.
pub(crate) fn legs_clear(space: &Space, lead: &Wanted, path: &[Point]) -> bool {
    let radius = lead.diameter_mm / 2.0;
    let last = path.len().saturating_sub(2);
    path.windows(2).enumerate().all(|(index, leg)| {
        let own: &[usize] = match index {
            0 => &lead.from.bodies,
            _ if index == last => &lead.to.bodies,
            _ => &[],
        };
        if last == 0 {
            let both: Vec<usize> = lead.from.bodies.iter().chain(&lead.to.bodies).copied().collect();
            return space.clear(leg[0], leg[1], radius, &both);
        }
        space.clear(leg[0], leg[1], radius, own)
    })
}

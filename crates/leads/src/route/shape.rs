//! From corners to cable: arcs at the corners, as wide as the legs allow.

use super::space::Space;
use super::vector::{add, dot, length, minus, times, towards};
use crate::input::{Point, Wanted};

/// Pieces that an arc is looked at in.
pub(crate) const CHORDS: usize = 8;
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
pub(crate) fn tangent(before: Point, after: Point) -> f64 {
    let cosine = dot(before, after).clamp(-1.0, 1.0);
    if STRAIGHT < cosine {
        return 0.0;
    }
    // tan(θ/2) = √((1 − cos θ) / (1 + cos θ))
    ((1.0 - cosine) / (1.0 + cosine).max(1e-9)).sqrt()
}

/// The turn at a corner, in radians.
pub(crate) fn turn(before: Point, after: Point) -> f64 {
    2.0 * libm::atan(tangent(before, after))
}

/// The turn at the middle one of three corners.
pub(crate) fn turn_at(corner: &[Point]) -> f64 {
    turn(towards(corner[0], corner[1]), towards(corner[1], corner[2]))
}

/// The legs of a way, each with what of it arcs may take, and the tangents of its corners.
pub(crate) fn lengths_and_tangents(path: &[Point], straight: [f64; 2]) -> (Vec<(f64, f64)>, Vec<f64>) {
    let last = path.len().saturating_sub(2);
    let legs = path.windows(2).enumerate().map(|(at, leg)| {
        let long = length(minus(leg[1], leg[0]));
        let kept = if at == 0 { straight[0] } else { 0.0 } + if at == last { straight[1] } else { 0.0 };
        (long, (long - kept).max(0.0))
    });
    let ways: Vec<Point> = path.windows(2).map(|leg| towards(leg[0], leg[1])).collect();
    (legs.collect(), ways.windows(2).map(|pair| tangent(pair[0], pair[1])).collect())
}

/// The widest radius, up to the wanted one, that all corners of a way have room for on their legs.
pub(crate) fn least(path: &[Point], lead: &Wanted) -> f64 {
    let (legs, tans) = lengths_and_tangents(path, [lead.from.straight_mm, lead.to.straight_mm]);
    let tan = |corner: Option<usize>| corner.and_then(|corner| tans.get(corner)).copied().unwrap_or(0.0);
    legs.iter().enumerate().fold(lead.radius_mm, |radius, (at, (_, room))| {
        let both = tan(at.checked_sub(1)) + tan(Some(at));
        if 0.0 < both { radius.min(room / both) } else { radius }
    })
}

/// Bends a way: one radius for all its corners, so that the corners and that radius are the whole of it.
pub(crate) fn bend(path: &[Point], lead: &Wanted, clear: impl Fn(&[Point], f64) -> bool) -> Shape {
    let (legs, tans) = lengths_and_tangents(path, [0.0; 2]);
    let mut radius = least(path, lead);
    // The arcs cut the corners: they must be clear, too.
    for _ in 0..16 {
        if path.windows(3).all(|corner| clear(corner, radius)) {
            break;
        }
        radius *= 0.85;
    }
    let turns = tans.iter().any(|tan| 0.0 < *tan);
    let mut total: f64 = legs.iter().map(|(long, _)| long).sum();
    for (corner, tan) in path.windows(3).zip(&tans) {
        let (before, after) = (towards(corner[0], corner[1]), towards(corner[1], corner[2]));
        total -= radius * (2.0 * tan - turn(before, after));
    }
    let tightest = if turns { radius } else { lead.radius_mm };
    Shape { path: path.to_vec(), radii: vec![radius; tans.len()], length: total, tightest }
}

/// One corner turns so little where a bend is told by several.
const SMALL_TURN: f64 = std::f64::consts::PI / 12.0;

/// The arc that rounds a corner.
struct Arc {
    start: Point,
    end: Point,
    centre: Point,
    radius: f64,
    /// The direction in which it begins.
    before: Point,
    angle: f64,
}

impl Arc {
    /// `None` at a corner that does not turn.
    fn new(corner: Point, before: Point, after: Point, radius: f64) -> Option<Self> {
        let tan = tangent(before, after);
        if tan == 0.0 {
            return None;
        }
        let reach = radius * tan;
        // The centre lies along the inner bisector.
        let inner = towards([0.0; 3], minus(after, before));
        Some(Self {
            start: add(corner, times(before, -reach)),
            end: add(corner, times(after, reach)),
            centre: add(corner, times(inner, radius * (1.0 + tan * tan).sqrt())),
            radius,
            before,
            angle: turn(before, after),
        })
    }

    /// A point so far from the centre, when so much of the angle is swept.
    fn at(&self, swept: f64, radius: f64) -> Point {
        let (sine, cosine) = libm::sincos(swept);
        let u = towards(self.centre, self.start);
        add(self.centre, add(times(u, radius * cosine), times(self.before, radius * sine)))
    }
}

/// The same cable with corners that are clear themselves: where the arc cuts a corner that lies in a body, or comes
/// nearer to one than the cable, the bend is told by several corners around the very same arc.
pub(crate) fn told_by_clear_corners(shape: &Shape, clear: impl Fn(Point, Point) -> bool) -> Shape {
    let (mut path, mut radii) = (vec![shape.path[0]], Vec::new());
    for (corner, &radius) in shape.path.windows(3).zip(&shape.radii) {
        let (before, after) = (towards(corner[0], corner[1]), towards(corner[1], corner[2]));
        // A corner that turns as little as those below is as near its arc as any.
        let arc = Arc::new(corner[1], before, after, radius).filter(|arc| 1.01 * SMALL_TURN <= arc.angle);
        let Some(arc) = arc.filter(|arc| !clear(arc.start, corner[1]) || !clear(corner[1], arc.end)) else {
            path.push(corner[1]);
            radii.push(radius);
            continue;
        };
        let count = super::space::place((arc.angle / SMALL_TURN).ceil()).max(1);
        let part = arc.angle / super::space::figure(count);
        for step in 0..count {
            let swept = (super::space::figure(step) + 0.5) * part;
            path.push(arc.at(swept, radius / libm::cos(part / 2.0)));
            radii.push(radius);
        }
    }
    path.push(shape.path[shape.path.len() - 1]);
    Shape { path, radii, length: shape.length, tightest: shape.tightest }
}

/// Points along the arc at a corner, with those where it begins and ends; the corner itself where it does not turn.
pub(crate) fn arc(corner: Point, before: Point, after: Point, radius: f64) -> Vec<Point> {
    let Some(arc) = Arc::new(corner, before, after, radius) else { return vec![corner, corner] };
    let part = arc.angle / super::space::figure(CHORDS);
    (0..=CHORDS).map(|step| arc.at(super::space::figure(step) * part, arc.radius)).collect()
}

/// The first and the last of the points of [`arc`].
pub(crate) fn arc_ends(corner: Point, before: Point, after: Point, radius: f64) -> (Point, Point) {
    match Arc::new(corner, before, after, radius) {
        Some(arc) => (arc.at(0.0, radius), arc.at(arc.angle, radius)),
        None => (corner, corner),
    }
}

/// The line of a way, its bends as chords: the corners with the radius at each inner one.
pub fn chords(path: &[Point], radii: &[f64]) -> Vec<Point> {
    let mut out: Vec<Point> = path.first().copied().into_iter().collect();
    for (corner, &radius) in path.windows(3).zip(radii) {
        let (before, after) = (towards(corner[0], corner[1]), towards(corner[1], corner[2]));
        if tangent(before, after) == 0.0 {
            out.push(corner[1]);
        } else {
            out.extend(arc(corner[1], before, after, radius));
        }
    }
    if let [_, .., last] = path {
        out.push(*last);
    }
    out
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

/// Whether a way is more than half as long again as another.
pub(crate) fn is_detour(old: &Shape, new: &Shape) -> bool {
    old.length * 1.5 + 40.0 <= new.length
}

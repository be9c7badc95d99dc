//! From the crossings of a way to cable: short steps aside become slants, small ones a slope, corners become arcs.

use super::lines::Lines;
use super::search::Search;
use super::traffic::Traffic;
use crate::input::{Point, Wanted};
use crate::route::ease::ease_keeping;
use crate::route::lay::{bent, way_clear};
use crate::route::shape::{Shape, least, straightened, tangent};
use crate::route::space::Space;
use crate::route::vector::{add, dot, length, minus, times, towards};

/// Rounding does not make a bend sharp.
pub(crate) const HAIR_MM: f64 = 1e-6;
/// A leg of so many radii is long enough to be left alone, so many before the part that is eased.
const LONG: f64 = 6.0;
const REACH: f64 = 3.0;
/// The cosine of what counts as along a side.
const SQUARE: f64 = 0.998;
/// A leg may slope by so much: a step aside over its length.
const SLOPE: f64 = 0.2;

/// The lead along the lines; `None` where they do not lead there for less than the most it may cost, or where
/// its arcs are not clear.
pub(crate) fn dressed(
    search: &mut Search,
    lines: &Lines,
    space: &Space,
    lead: &Wanted,
    fine: bool,
    traffic: Option<&Traffic>,
    most: u32,
) -> Option<(Shape, u32)> {
    if !search.mesh.set(lines, lead, fine, most) {
        return None;
    }
    if let Some(traffic) = traffic {
        traffic.price(&mut search.mesh);
    }
    let (path, cost) = search.way(space, lead, most)?;
    Some((formed(space, lines.outline, lead, &path)?, cost))
}

/// The cable along some corners, all along the axes.
fn formed(space: &Space, outline: [f64; 4], lead: &Wanted, path: &[Point]) -> Option<Shape> {
    let path = stepped(space, lead, &straightened(path));
    let shape = bent(space, lead, &path);
    let is_clear = way_clear(space, lead, &shape.path, shape.tightest);
    if is_clear && lead.radius_mm - HAIR_MM <= shape.tightest {
        return Some(shape);
    }
    // Where legs are too short the way is eased: there alone if that will do, else as a whole.
    let far = beyond(outline, &path);
    let keeps = |path: &[Point]| beyond(outline, path) <= far;
    let mut best = is_clear.then_some(shape);
    for eased in [eased_there(space, lead, &path, &keeps), Some(ease_keeping(space, lead, &path, &keeps))]
        .into_iter()
        .flatten()
    {
        let eased = bent(space, lead, &eased);
        if best.as_ref().is_none_or(|best| best.tightest + 0.01 < eased.tightest)
            && way_clear(space, lead, &eased.path, eased.tightest)
        {
            let is_soft = lead.radius_mm - HAIR_MM <= eased.tightest;
            best = Some(eased);
            if is_soft {
                break;
            }
        }
    }
    best
}

/// How far a way goes beyond the board; its corners tell.
pub(crate) fn beyond(outline: [f64; 4], path: &[Point]) -> f64 {
    let far = path
        .iter()
        .flat_map(|at| (0..2).map(move |axis| (outline[axis] - at[axis]).max(at[axis] - outline[axis + 2])));
    far.fold(0.0, f64::max)
}

/// The same way, eased only from the last long leg before a leg that is too short to the next long one behind it.
fn eased_there(
    space: &Space,
    lead: &Wanted,
    path: &[Point],
    keeps: &dyn Fn(&[Point]) -> bool,
) -> Option<Vec<Point>> {
    let (mut path, mut at) = (path.to_vec(), 0);
    let mut has_eased = false;
    while at + 1 < path.len() {
        if !is_short(lead, &path, at) {
            at += 1;
            continue;
        }
        let long = |leg: usize| length(minus(path[leg + 1], path[leg]));
        let enough = LONG * lead.radius_mm;
        let first = (0..at).rev().find(|&leg| enough <= long(leg));
        let last = (at + 1..path.len() - 1).find(|&leg| enough <= long(leg));
        let reach = REACH * lead.radius_mm;
        let mut part = lead.clone();
        let mut inner: Vec<Point> = Vec::new();
        if let Some(leg) = first {
            let way = towards(path[leg], path[leg + 1]);
            part.from.at = add(path[leg + 1], times(way, -reach));
            part.from.out = way;
            part.from.straight_mm = 0.0;
            part.from.bodies.clear();
        }
        if let Some(leg) = last {
            let way = towards(path[leg + 1], path[leg]);
            part.to.at = add(path[leg], times(way, -reach));
            part.to.out = way;
            part.to.straight_mm = 0.0;
            part.to.bodies.clear();
        }
        let (from, to) = (first.map_or(1, |leg| leg + 1), last.map_or(path.len() - 1, |leg| leg + 1));
        inner.push(part.from.at);
        inner.extend(&path[from..to]);
        inner.push(part.to.at);
        let eased = ease_keeping(space, &part, &inner, keeps);
        if least(&eased, &part) < part.radius_mm - HAIR_MM {
            return None;
        }
        has_eased = true;
        let mut whole = path[..first.map_or(0, |leg| leg + 1)].to_vec();
        whole.extend(&eased);
        let next = whole.len();
        whole.extend(&path[last.map_or(path.len(), |leg| leg + 1)..]);
        path = whole;
        at = next;
    }
    has_eased.then(|| straightened(&path))
}

/// How much of a way runs neither along an axis nor, seen from above, along the board's sides.
pub(crate) fn skew(path: &[Point]) -> f64 {
    let long = path.windows(2).map(|leg| {
        let way = minus(leg[1], leg[0]);
        let (flat, long) = (libm::hypot(way[0], way[1]), length(way));
        let is_along = flat < 0.1 * long || SQUARE * flat <= way[0].abs().max(way[1].abs());
        if is_along { 0.0 } else { long }
    });
    long.sum()
}

/// Whether a leg has less room than the bends at both of its ends take.
fn is_short(lead: &Wanted, path: &[Point], leg: usize) -> bool {
    let way = |leg: usize| towards(path[leg], path[leg + 1]);
    let mut room = length(minus(path[leg + 1], path[leg]));
    let mut taken = 0.0;
    if leg == 0 {
        room -= lead.from.straight_mm;
    } else {
        taken += tangent(way(leg - 1), way(leg));
    }
    if leg + 2 == path.len() {
        room -= lead.to.straight_mm;
    } else {
        taken += tangent(way(leg), way(leg + 1));
    }
    room + HAIR_MM < taken * lead.radius_mm
}

/// The same way with short steps aside as slants.
fn stepped(space: &Space, lead: &Wanted, path: &[Point]) -> Vec<Point> {
    let mut path = path.to_vec();
    let mut at = 1;
    while at + 2 < path.len() {
        let (before, after) = (towards(path[at - 1], path[at]), towards(path[at + 1], path[at + 2]));
        let aside = length(minus(path[at + 1], path[at]));
        if dot(before, after) < 0.999 || 2.0 * lead.radius_mm <= aside {
            at += 1;
            continue;
        }
        let mut best: Option<(f64, Vec<Point>)> = None;
        for other in slants(lead, &path, at) {
            let other = straightened(&other);
            let bend = least(&other, lead);
            if best.as_ref().is_none_or(|(known, _)| *known + 0.01 < bend)
                && way_clear(space, lead, &other, bend)
            {
                best = Some((bend, other));
            }
        }
        if let Some((_, better)) = best.filter(|(bend, _)| least(&path, lead) <= *bend) {
            path = better;
        }
        at += 1;
    }
    path
}

/// Ways to step aside between two corners: a slant of two arcs as wide as wanted, here or where the legs have more room;
/// or the whole leg as a slope.
fn slants(lead: &Wanted, path: &[Point], at: usize) -> Vec<Vec<Point>> {
    let (p, q) = (path[at], path[at + 1]);
    let along = towards(path[at - 1], p);
    let aside = length(minus(q, p));
    // Two arcs that meet in the middle: d = 2 R (1 − cos θ); between the corners lies d / tan θ along the way.
    let radius = lead.radius_mm * 1.000_1;
    let cosine = (1.0 - aside / (2.0 * radius)).clamp(0.0, 1.0);
    let sine = (1.0 - cosine * cosine).sqrt();
    let half = if 1e-9 < sine { aside * cosine / sine / 2.0 } else { 0.0 };
    let (room_before, room_after) = (length(minus(p, path[at - 1])), length(minus(path[at + 2], q)));
    let slant = |shift: f64| {
        let mut out = path.to_vec();
        out[at] = add(p, times(along, shift - half));
        out[at + 1] = add(q, times(along, shift + half));
        out
    };
    let mut out = Vec::new();
    let (low, high) = (half - room_before + 0.5, room_after - half - 0.5);
    if low < high {
        let middle = f64::midpoint(low, high);
        out.extend(
            [0.0, middle, f64::midpoint(low, middle), f64::midpoint(high, middle)]
                .map(|shift| slant(shift.clamp(low, high))),
        );
    }
    // A slope keeps the directions of the plugs.
    let (first, last) = (at == 1, at + 3 == path.len());
    if !first && !last && aside <= SLOPE * (room_before + room_after) {
        let mut sloped = path.to_vec();
        sloped.drain(at..at + 2);
        out.push(sloped);
    }
    out
}

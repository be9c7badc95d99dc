//! From the crossings of a way to cable: short steps aside become slants, small ones a slope, corners become arcs.

use super::lines::Lines;
use super::search::Search;
use super::traffic::Traffic;
use crate::input::{Point, Wanted};
use crate::route::ease::ease;
use crate::route::lay::{bent, way_clear};
use crate::route::shape::{Shape, least, straightened};
use crate::route::space::Space;
use crate::route::vector::{add, dot, length, minus, times, towards};

/// Rounding does not make a bend sharp.
pub(crate) const HAIR_MM: f64 = 1e-6;
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
    search.mesh.set(lines, lead, fine, traffic);
    let (path, cost) = search.way(space, lead, most)?;
    Some((formed(space, lead, &path)?, cost))
}

/// The cable along some corners, all along the axes.
pub(crate) fn formed(space: &Space, lead: &Wanted, path: &[Point]) -> Option<Shape> {
    let path = stepped(space, lead, &straightened(path));
    let shape = bent(space, lead, &path);
    let is_clear = way_clear(space, lead, &shape.path, shape.tightest);
    if std::env::var("DBG").is_ok() && !(is_clear && lead.radius_mm - HAIR_MM <= shape.tightest) { eprintln!("FORM {} clear {} tightest {:.2} of {} least {:.2} {:?}", lead.id, is_clear, shape.tightest, lead.radius_mm, least(&path, lead), path.iter().map(|p| p.map(|v| v.round())).collect::<Vec<_>>()); }
    if is_clear && lead.radius_mm - HAIR_MM <= shape.tightest {
        return Some(shape);
    }
    let eased = bent(space, lead, &ease(space, lead, &path));
    if (!is_clear || shape.tightest < eased.tightest) && way_clear(space, lead, &eased.path, eased.tightest) {
        return Some(eased);
    }
    is_clear.then_some(shape)
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
            if best.as_ref().is_none_or(|(known, _)| *known + 0.01 < bend) && way_clear(space, lead, &other, bend) {
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
        out.extend([0.0, middle, (low + middle) / 2.0, (high + middle) / 2.0].map(|shift| slant(shift.clamp(low, high))));
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

//! One lead: straight if it can be, else over the grid, then pulled tight.

use super::search::Grid;
use super::shape::{Shape, bend, legs_clear, straightened, with_stubs};
use super::space::Space;
use super::vector::{add, length, minus, times, towards};
use crate::input::{Point, Wanted};

/// A corner is moved outwards by so much, so many times, where its arc has no room.
const OUTWARDS: (f64, u32) = (3.0, 5);

/// Lays one lead. `extra` is what cells cost besides their length; without it, and when the straight way is clear, the
/// grid is not asked.
pub(crate) fn lay(space: &Space, grid: &mut Grid, lead: &Wanted, extra: Option<&[i64]>) -> Option<Shape> {
    let radius = lead.diameter_mm / 2.0;
    let clear = |a: Point, b: Point| space.clear(a, b, radius, &[]);
    if extra.is_none() {
        let path = with_stubs(lead, &[], lead.radius_mm);
        if legs_clear(space, lead, &path) {
            let shape = bent(space, lead, &path);
            if lead.radius_mm - 1e-6 <= shape.tightest {
                return Some(shape);
            }
        }
    }
    // The grid begins where the plug's own body is left behind; a lead with little room before it has a shorter stub.
    let mut answer: Option<Shape> = None;
    for part in [1.0, 0.3, 0.1] {
        let stub = |end: &crate::input::End| {
            let long = (end.straight_mm + lead.radius_mm * part).max(radius + 1.0);
            let tip = add(end.at, times(end.out, long));
            space.clear(end.at, tip, radius, &end.bodies).then_some(tip)
        };
        let (Some(a), Some(b)) = (stub(&lead.from), stub(&lead.to)) else { continue };
        let bow = 1.5 * lead.radius_mm;
        let shy = [(lead.from.at, lead.from.out, bow), (lead.to.at, lead.to.out, bow)];
        let Some(way) = grid.way(space, a, b, &shy, extra.unwrap_or(&[])) else { continue };
        // Pulled tight, with the cells of the way as the only corners it may keep.
        let mut path = vec![lead.from.at];
        path.extend(tight(&way, &clear));
        path.push(lead.to.at);
        let mut path = straightened(&path);
        widen(space, lead, &mut path);
        let shape = bent(space, lead, &path);
        if answer.as_ref().is_none_or(|other| other.tightest < shape.tightest) {
            answer = Some(shape);
        }
        if answer.as_ref().is_some_and(|shape| lead.radius_mm * 0.5 <= shape.tightest) {
            break;
        }
    }
    answer
}

/// The way with arcs that are clear; near its own plugs a lead may touch them.
fn bent(space: &Space, lead: &Wanted, path: &[Point]) -> Shape {
    let radius = lead.diameter_mm / 2.0;
    bend(path, lead.radius_mm, |a, b| {
        let near = |end: &crate::input::End| {
            length(minus(a, end.at)) < 3.0 * lead.radius_mm
                && 0.0 <= super::vector::dot(minus(a, end.at), end.out)
        };
        let own: &[usize] = match (near(&lead.from), near(&lead.to)) {
            (true, _) => &lead.from.bodies,
            (_, true) => &lead.to.bodies,
            _ => &[],
        };
        space.clear(a, b, radius, own)
    })
}

/// The farthest corner that is in sight, again and again.
fn tight(way: &[Point], clear: &impl Fn(Point, Point) -> bool) -> Vec<Point> {
    let mut out = vec![way[0]];
    let mut at = 0;
    while at + 1 < way.len() {
        let mut next = at + 1;
        for further in (at + 2..way.len()).rev() {
            if clear(way[at], way[further]) {
                next = further;
                break;
            }
        }
        out.push(way[next]);
        at = next;
    }
    out
}

/// Moves corners outwards where their arcs are sharper than wanted and there is room.
fn widen(space: &Space, lead: &Wanted, path: &mut [Point]) {
    for _ in 0..2 {
        for at in 1..path.len().saturating_sub(1) {
            let shape = bent(space, lead, path);
            if lead.radius_mm - 1e-6 <= shape.radii[at - 1] {
                continue;
            }
            let (before, after) = (towards(path[at - 1], path[at]), towards(path[at], path[at + 1]));
            // The first and the last corner stay in line with their plugs.
            let outward = match at {
                1 => lead.from.out,
                _ if at + 2 == path.len() => lead.to.out,
                _ => towards([0.0; 3], minus(before, after)),
            };
            let mut best = (shape.radii[at - 1], None);
            for step in 1..=OUTWARDS.1 {
                let mut other = path.to_vec();
                other[at] = add(path[at], times(outward, OUTWARDS.0 * f64::from(step)));
                if !legs_clear(space, lead, &other) {
                    break;
                }
                let radii = bent(space, lead, &other).radii;
                let around = |radii: &[f64]| {
                    radii[at.saturating_sub(2)..(at + 1).min(radii.len())]
                        .iter()
                        .copied()
                        .fold(f64::INFINITY, f64::min)
                };
                let radius = radii[at - 1];
                if best.0 + 0.1 < radius && around(&shape.radii) - 1e-6 <= around(&radii) {
                    best = (radius, Some(other[at]));
                }
            }
            if let (_, Some(point)) = best {
                path[at] = point;
            }
        }
    }
}

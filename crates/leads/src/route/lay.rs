//! One lead: straight if it can be, else over the grid, then pulled tight.

use super::ease::ease;
use super::quarter::Quarter;
use super::search::Grid;
use super::shape::{
    CHORDS, Shape, arc, arc_ends, bend, chords, legs_clear, straightened, tangent, turn, with_stubs,
};
use super::space::{Space, WIDEST, figure};
use super::vector::{add, length, minus, times, towards};
use crate::input::{Point, Wanted};

/// How far before a plug the grid begins, in parts of the radius.
const STUBS: [f64; 4] = [1.0, 0.3, 2.0, 0.1];

/// A way over the grid costs at most so many times what another way is long, and so much more.
const ROUND: f64 = 1.25;
const ROUND_MM: f64 = 100.0;

/// So near counts as the same place.
const SAME_MM: f64 = 0.01;

/// Heights at which a lead may be tied are tried in steps of so many millimetres.
const TIE_STEP: f64 = 5.0;
/// A tie holds the lead so near, its bend there included.
const TIE_REACH: f64 = 8.0;

/// Lays one lead; when the straight way is clear, the grid is not asked.
///
/// `instead` is another way for it, where there is one: none is sought that goes much farther.
pub(crate) fn lay(space: &Space, grid: &mut Grid, lead: &Wanted, instead: Option<&Shape>) -> Option<Shape> {
    let most_mm = instead.map_or(f64::MAX, |shape| ROUND * shape.length + ROUND_MM);
    let radius = lead.diameter_mm / 2.0;
    let ties = tie_points(space, lead)?;
    if ties.is_empty() {
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
    for part in STUBS {
        let stub = |end: &crate::input::End| {
            let long = (end.straight_mm + lead.radius_mm * part).max(radius + 1.0);
            let tip = add(end.at, times(end.out, long));
            space.clear(end.at, tip, radius, &end.bodies).then_some(tip)
        };
        let (Some(a), Some(b)) = (stub(&lead.from), stub(&lead.to)) else { continue };
        let Some(path) = over_ties(space, grid, lead, [a, b], &ties, most_mm) else { continue };
        let path = turned_at_ties(lead, &ties, &straightened(&path));
        let mut shape = bent(space, lead, &path);
        if shape.tightest < lead.radius_mm - 1e-6 {
            let eased = bent(space, lead, &ease(space, lead, &path));
            if shape.tightest < eased.tightest && way_clear(space, lead, &eased.path, eased.tightest) {
                shape = eased;
            }
        }
        if !ties.is_empty() && !passes_ties(lead, &shape.path) {
            continue;
        }
        // A lead that is cut already goes where it reaches, and there as softly as it can.
        let value = |shape: &Shape| (lead.reaches(shape.length), shape.tightest);
        if answer.as_ref().is_none_or(|other| value(other) < value(&shape)) {
            answer = Some(shape);
        }
        // The shortest stub is for those that find no way otherwise, or only a very sharp one.
        let enough = if 1.5 < part { 0.6 * lead.radius_mm } else { lead.radius_mm - 1e-6 };
        if answer.as_ref().is_some_and(|shape| enough <= shape.tightest && lead.reaches(shape.length)) {
            break;
        }
    }
    answer
}

/// The corners of a way over the grid from stub to stub, over the ties in their order, with the plugs at both ends. Each
/// stretch is pulled tight, with the cells of the way as the only corners it may keep.
fn over_ties(
    space: &Space,
    grid: &mut Grid,
    lead: &Wanted,
    [start, end]: [Point; 2],
    ties: &[Point],
    most_mm: f64,
) -> Option<Vec<Point>> {
    let bow = 1.5 * lead.radius_mm;
    let shy = [(lead.from.at, lead.from.out, bow), (lead.to.at, lead.to.out, bow)];
    let mut path = vec![lead.from.at];
    let mut here = start;
    for next in ties.iter().copied().chain([end]) {
        let way = grid.way(space, here, next, &shy, most_mm)?;
        let stretch = tight(space, lead, &way);
        // A stretch begins where the one before it ended.
        path.extend(stretch.into_iter().skip(usize::from(1 < path.len())));
        here = next;
    }
    path.push(lead.to.at);
    Some(path)
}

/// The places at which a lead is tied: over each tie point the clear one nearest in height to where it leaves its plug.
/// `None` where there is no room over one.
fn tie_points(space: &Space, lead: &Wanted) -> Option<Vec<Point>> {
    lead.ties
        .iter()
        .map(|&[x, y]| {
            let heights = space.heights(TIE_STEP).map(|z| [x, y, z]);
            let free = heights.filter(|at| space.clear(*at, *at, lead.diameter_mm / 2.0, &[]));
            let away = |at: &Point| (at[2] - lead.from.at[2]).abs();
            free.min_by(|a, b| away(a).total_cmp(&away(b)))
        })
        .collect()
}

/// Whether a way, its corners rounded, passes over the tie points in their order, about as near as a tie lets it.
pub(crate) fn passes_ties(lead: &Wanted, path: &[Point]) -> bool {
    let bend_mm = super::shape::least(path, lead);
    let line = chords(path, &vec![bend_mm; path.len() - 2]);
    let mut from = 0;
    lead.ties.iter().all(|tie| {
        let found = (from..line.len() - 1).find(|&leg| off(*tie, line[leg], line[leg + 1]) <= TIE_REACH);
        from = found.unwrap_or(from);
        found.is_some()
    })
}

/// A tie at which a lead turns back has two corners, a radius to either side: the arc of one would end far before it.
fn turned_at_ties(lead: &Wanted, ties: &[Point], path: &[Point]) -> Vec<Point> {
    let mut out = vec![path[0]];
    for corner in path.windows(3) {
        let (before, after) = (towards(corner[0], corner[1]), towards(corner[1], corner[2]));
        if !ties.contains(&corner[1]) || 0.0 < super::vector::dot(before, after) {
            out.push(corner[1]);
            continue;
        }
        // Across the way in, to the side it leaves on; to the left where it turns right back.
        let side = minus(after, times(before, super::vector::dot(before, after)));
        let side = if length(side) < 1e-6 { [-before[1], before[0], 0.0] } else { side };
        let side = towards([0.0; 3], side);
        out.push(add(corner[1], times(side, -lead.radius_mm)));
        out.push(add(corner[1], times(side, lead.radius_mm)));
    }
    out.push(path[path.len() - 1]);
    out
}

/// How far a leg passes from a place, seen from above.
fn off(at: [f64; 2], a: Point, b: Point) -> f64 {
    let (x, y) = (b[0] - a[0], b[1] - a[1]);
    let square = x * x + y * y;
    let along = if 0.0 < square { ((at[0] - a[0]) * x + (at[1] - a[1]) * y) / square } else { 0.0 };
    let along = along.clamp(0.0, 1.0);
    libm::hypot(a[0] + x * along - at[0], a[1] + y * along - at[1])
}

/// The way with arcs that are clear; near its own plugs a lead may touch them.
pub(crate) fn bent(space: &Space, lead: &Wanted, path: &[Point]) -> Shape {
    bend(path, lead, |corner, radius| arcs_clear(space, lead, corner, radius))
}

/// Whether the arc at a corner is clear.
pub(crate) fn arcs_clear(space: &Space, lead: &Wanted, corner: &[Point], bend_mm: f64) -> bool {
    let (before, after) = (towards(corner[0], corner[1]), towards(corner[1], corner[2]));
    if let Some(quarter) = Quarter::new(corner[1], before, after, bend_mm)
        && let Some(is_clear) = space.has_room_for(&quarter, lead)
    {
        return is_clear;
    }
    let tan = tangent(before, after);
    let reach = bend_mm * tan;
    let (start, end) = (add(corner[1], times(before, -reach)), add(corner[1], times(after, reach)));
    // Where there is room for the whole bow around its chord, its parts need not be looked at; cos(θ/2) = 1/√(1 + tan²(θ/2)).
    let bow = lead.diameter_mm / 2.0 + bend_mm * (1.0 - 1.0 / (1.0 + tan * tan).sqrt());
    if bow < WIDEST && space.clear(start, end, bow, &[]) && space.clear(corner[1], corner[1], 0.0, &[]) {
        return true;
    }
    // An arc bulges out of its chords.
    let bulge = bend_mm * (1.0 - libm::cos(turn(before, after) / (2.0 * figure(CHORDS))));
    let radius = lead.diameter_mm / 2.0 + bulge;
    let points = arc(corner[1], before, after, bend_mm);
    points.windows(2).all(|chord| space.clear(chord[0], chord[1], radius, own(lead, chord[0])))
}

/// The bodies of its own plug that a lead may touch where it is just before it.
fn own(lead: &Wanted, at: Point) -> &[usize] {
    let near = |end: &crate::input::End| {
        length(minus(at, end.at)) < 3.0 * lead.radius_mm
            && -SAME_MM <= super::vector::dot(minus(at, end.at), end.out)
    };
    match (near(&lead.from), near(&lead.to)) {
        (true, _) => &lead.from.bodies,
        (_, true) => &lead.to.bodies,
        _ => &[],
    }
}

/// Whether the cable itself is clear: its arcs, and of its legs what is left between them. A corner that an arc cuts
/// may lie in a body.
pub(crate) fn way_clear(space: &Space, lead: &Wanted, path: &[Point], bend_mm: f64) -> bool {
    let radius = lead.diameter_mm / 2.0;
    let mut here = path[0];
    for (index, corner) in path.windows(3).enumerate() {
        let (before, after) = (towards(corner[0], corner[1]), towards(corner[1], corner[2]));
        let (start, end) = arc_ends(corner[1], before, after, bend_mm);
        // Between two arcs around one corner lies no cable.
        let own = if index == 0 { &lead.from.bodies } else { own(lead, here) };
        let is_nothing = 0 < index && length(minus(start, here)) < 1e-6;
        if !(is_nothing || space.clear(here, start, radius, own)) || !arcs_clear(space, lead, corner, bend_mm)
        {
            return false;
        }
        here = end;
    }
    let last = path[path.len() - 1];
    if path.len() == 2 {
        return super::shape::legs_clear(space, lead, path);
    }
    space.clear(here, last, radius, &lead.to.bodies)
}

/// The farthest corner that is in sight, again and again.
fn tight(space: &Space, lead: &Wanted, way: &[Point]) -> Vec<Point> {
    let radius = lead.diameter_mm / 2.0;
    let mut out = vec![way[0]];
    let mut at = 0;
    while at + 1 < way.len() {
        let mut farther = (at + 2..way.len()).rev();
        at = farther.find(|&next| space.clear(way[at], way[next], radius, &[])).unwrap_or(at + 1);
        out.push(way[at]);
    }
    out
}

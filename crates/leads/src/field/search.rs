//! The cheapest way over a mesh from plug to plug: length, bends, and what the others make dear (Hart, Nilsson and
//! Raphael, IEEE Transactions SSC 4, 1968, on crossings with a direction).
//!
//! Costs are whole; equal ones are settled by the crossing, so that the answer is one.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::lines::Lines;
use super::mesh::{Mesh, step_of, units, way_of};
use crate::input::{End, Point, Wanted};
use crate::route::lay::arcs_clear;
use crate::route::space::Space;
use crate::route::vector::{add, dot, length, minus, times};

/// A bend costs so many of its radii.
pub(crate) const BEND: f64 = 1.2;
/// A leg too short for its bends costs so much, and so much more for each millimetre that it lacks.
const SHARP_MM: f64 = 250.0;
const LACK: f64 = 12.0;
/// A leg with less than this share of what its bends take is no leg.
const LEAST_RUN: f64 = 0.45;
/// Lacking less is rounding.
const HAIR_MM: f64 = 0.02;
/// What a millimetre costs at least: beside its like a lead is cheaper.
pub(crate) const LEAST: f64 = 0.8;
/// So many crossings are looked at before a search is given up.
const MOST: usize = 25_000;
/// The distance that is left counts so many times: a way hardly longer is found much sooner.
const EAGER: f64 = 1.2;
/// A first bend is sought no farther from its plug than so many radii; the cable may run straight on.
const FIRST: f64 = 4.0;
/// The direction before a bend at a plug, which no step aside goes on with.
const ASIDE: u8 = 7;
/// No crossing: a way begins here, straight before its plug or behind its first bend.
const NONE: u32 = u32::MAX;
const BENT: u32 = u32::MAX - 1;

/// What is known of a crossing reached in a direction.
#[derive(Debug, Clone, Copy, Default)]
struct Label {
    /// The search that this is of.
    stamp: u32,
    cost: u32,
    from: u32,
    /// The length of the leg so far and of the one before it, and their directions: 6 for none.
    run: f32,
    before: f32,
    before_way: u8,
    before_that: u8,
    /// Whether the arc behind it was looked at.
    is_checked: bool,
    is_done: bool,
}

/// Room for searches, used again and again.
#[derive(Debug, Default)]
pub(crate) struct Search {
    pub(crate) mesh: Mesh,
    labels: Vec<Label>,
    now: u32,
    goals: Vec<(usize, f64)>,
    /// Where the last bend begins, with the direction there.
    bends: Vec<(usize, usize)>,
    heap: BinaryHeap<Reverse<(u32, u32)>>,
}

impl Search {
    /// The corners of the cheapest way, its ends included, with its cost; `None` where there is none below the most that it
    /// may cost.
    pub(crate) fn way(
        &mut self,
        space: &Space,
        lines: &Lines,
        lead: &Wanted,
        most: u32,
    ) -> Option<(Vec<Point>, u32)> {
        let (out, back) = (way_of(lead.from.out)?, way_of(lead.to.out)?);
        // The last leg runs against the direction of the plug it comes to.
        let home = back ^ 1;
        let mesh = &self.mesh;
        self.now += 1;
        let keys = mesh.count() * 6;
        if self.labels.len() < keys {
            self.labels.resize(keys, Label::default());
        }
        self.heap.clear();
        let bend = units(BEND * lead.radius_mm);
        let starts = reached(mesh, space, lead, &lead.from);
        self.goals.clear();
        self.goals.extend(reached(mesh, space, lead, &lead.to));
        self.goals.sort_by_key(|(node, _)| *node);
        let end = lead.to.at;
        let need = lead.radius_mm;
        let lacks = |lack: f64| if HAIR_MM < lack { units(SHARP_MM + LACK * lack) } else { 0 };
        self.bends.clear();
        self.bends
            .extend(bent_off(mesh, space, lead, &lead.to).into_iter().map(|(node, way)| (node, way ^ 1)));
        // What the end lacks whatever leads there.
        let longest = self.goals.iter().map(|(_, far)| *far).fold(0.0, f64::max);
        let forced = if self.bends.is_empty() { lacks(need - (longest - lead.to.straight_mm)) } else { 0 };
        let guess = |at: Point, way: usize| {
            let off = minus(end, at);
            let far = over_holes(&lines.holes, at, end);
            let ahead = dot(off, step_of(home));
            let is_aside = (0..3).any(|axis| axis != home / 2 && 1e-6 < off[axis].abs());
            let bends = if way == home {
                if is_aside || ahead < -1e-6 { 2 } else { 0 }
            } else if way ^ 1 == home {
                2
            } else {
                1
            };
            let short = if bends == 0 { 0 } else { forced };
            units(EAGER * far) + bends * bend + short
        };
        for (node, far) in starts {
            let run = far - lead.from.straight_mm;
            let key = key(node, out);
            let label = Label {
                stamp: self.now,
                cost: units(far),
                from: NONE,
                run: narrow(run),
                before: 0.0,
                before_way: 6,
                before_that: 6,
                is_checked: true,
                is_done: false,
            };
            self.labels[key as usize] = label;
            self.heap.push(Reverse((label.cost + guess(mesh.point(node), out), key)));
        }
        for (node, way) in bent_off(mesh, space, lead, &lead.from) {
            let label = Label {
                stamp: self.now,
                cost: units(lead.from.straight_mm + 2.0 * need) + bend,
                from: BENT,
                run: narrow(need),
                before: narrow(need),
                // No step aside so near a plug.
                before_way: ASIDE,
                before_that: 6,
                is_checked: true,
                is_done: false,
            };
            let key = key(node, way);
            if self.labels[key as usize].stamp != self.now || label.cost < self.labels[key as usize].cost {
                self.labels[key as usize] = label;
                self.heap.push(Reverse((label.cost + guess(mesh.point(node), way), key)));
            }
        }
        let mut best: Option<(u32, u32, bool)> = None;
        let mut looked = 0;
        while let Some(Reverse((estimate, key))) = self.heap.pop() {
            if best.is_some_and(|(cost, ..)| cost <= estimate) {
                break;
            }
            let label = self.labels[key as usize];
            if label.is_done {
                continue;
            }
            looked += 1;
            if MOST < looked {
                break;
            }
            let (node, way) = (key as usize / 6, key as usize % 6);
            let here = mesh.point(node);
            if !label.is_checked {
                // The arc behind it, if it is at a corner just turned.
                let before = label.from as usize;
                let corner = mesh.point(before / 6);
                let (a, b) = (step_of(before % 6), step_of(way));
                let reach = need + 0.01;
                let arc = [add(corner, times(a, -reach)), corner, add(corner, times(b, reach))];
                let label = &mut self.labels[key as usize];
                label.is_checked = true;
                if !arcs_clear(space, lead, &arc, need) {
                    label.cost += units(SHARP_MM);
                    self.heap.push(Reverse((label.cost + guess(here, way), key)));
                    continue;
                }
            }
            self.labels[key as usize].is_done = true;
            let label = self.labels[key as usize];
            if way == home
                && let Ok(found) = self.goals.binary_search_by_key(&node, |(node, _)| *node)
            {
                let far = self.goals[found].1;
                let leg = f64::from(label.run) + far - lead.to.straight_mm;
                let lack = if label.before_way == 6 { 0.0 } else { need - leg };
                let cost = label.cost + units(far) + lacks(lack);
                if best.is_none_or(|known| (cost, key, false) < known) {
                    best = Some((cost, key, false));
                }
            }
            if self.bends.contains(&(node, way)) {
                let leg = f64::from(label.run) + need;
                let lack = if label.before_way == 6 { need - leg } else { 2.0 * need - leg };
                let cost = label.cost + units(2.0 * need + lead.to.straight_mm) + bend + lacks(lack);
                if best.is_none_or(|known| (cost, key, true) < known) {
                    best = Some((cost, key, true));
                }
            }
            let places = mesh.places(node);
            for next_way in 0..6 {
                if next_way == way ^ 1 {
                    continue;
                }
                let Some((next, stretch, long)) = mesh.next(node, places, next_way) else { continue };
                let mut cost = label.cost + stretch;
                let mut label = Label { from: key, is_checked: true, is_done: false, ..label };
                if next_way == way {
                    label.run += narrow(long);
                } else {
                    let run = f64::from(label.run);
                    let is_jog = label.before_way == narrow_way(next_way) && run < 2.0 * need;
                    if is_jog {
                        // A short step aside: what was one leg stays one, less what two arcs of a slant take of it,
                        // d = 2 R (1 − cos θ) and 2 R sin θ.
                        let cosine = 1.0 - run / (2.0 * need);
                        let taken = 2.0 * need * (1.0 - cosine * cosine).max(0.0).sqrt();
                        cost += bend;
                        label.run = label.before + narrow(long - taken);
                        label.before_way = label.before_that;
                        label.before_that = 6;
                        label.before = 0.0;
                    } else {
                        let wanted = if label.before_way == 6 { need } else { 2.0 * need };
                        if run < LEAST_RUN * wanted {
                            continue;
                        }
                        cost += bend + lacks(wanted - run);
                        label.before = label.run;
                        label.before_that = label.before_way;
                        label.before_way = narrow_way(way);
                        label.run = narrow(long);
                    }
                    label.is_checked = is_jog;
                }
                label.cost = cost;
                let next_key = self::key(next, next_way);
                let known = &mut self.labels[next_key as usize];
                if known.stamp == self.now && (known.is_done || known.cost <= cost) {
                    continue;
                }
                let estimate = cost + guess(mesh.point(next), next_way);
                if most <= estimate {
                    continue;
                }
                *known = label;
                self.heap.push(Reverse((estimate, next_key)));
            }
        }
        let (cost, mut key, is_bent) = best?;
        let mut path = vec![lead.to.at];
        if is_bent {
            path.push(tip(&lead.to, need));
        }
        loop {
            path.push(mesh.point(key as usize / 6));
            let before = self.labels[key as usize].from;
            if before == BENT {
                path.push(tip(&lead.from, need));
            }
            if before == NONE || before == BENT {
                break;
            }
            key = before;
        }
        path.push(lead.from.at);
        path.reverse();
        Some((path, cost))
    }
}

/// The crossings before a plug that its cable reaches straight, with how far they are.
fn reached(mesh: &Mesh, space: &Space, lead: &Wanted, end: &End) -> Vec<(usize, f64)> {
    let Some(way) = way_of(end.out) else { return Vec::new() };
    let axis = way / 2;
    let mut places = [0; 3];
    for (other, place) in places.iter_mut().enumerate() {
        match mesh.place(other, end.at[other]) {
            Some(found) => *place = found,
            None => return Vec::new(),
        }
    }
    let radius = lead.diameter_mm / 2.0;
    let most = end.straight_mm + FIRST * lead.radius_mm;
    let mut out = Vec::new();
    let mut place = places[axis];
    loop {
        let next = if way % 2 == 0 { Some(place + 1) } else { place.checked_sub(1) };
        let Some(next) = next.filter(|next| *next < mesh.at[axis].len()) else { break };
        place = next;
        places[axis] = place;
        let node = mesh.index(places);
        let at = mesh.point(node);
        let far = length(minus(at, end.at));
        if most < far && !out.is_empty() || !space.clear(end.at, at, radius, &end.bodies) {
            break;
        }
        if end.straight_mm + 1.0 <= far {
            out.push((node, far));
        }
    }
    out
}

/// The way along the axes from one place to another, through a hole where a deck lies between them.
fn over_holes(holes: &[[Point; 2]], at: Point, end: Point) -> f64 {
    let direct = (0..3).map(|axis| (end[axis] - at[axis]).abs()).sum::<f64>();
    let through = holes
        .iter()
        .filter(|[low, high]| at[2] <= low[2] && high[2] <= end[2] || end[2] <= low[2] && high[2] <= at[2]);
    let far = through.map(|[low, high]| {
        let aside = (0..2).map(|axis| {
            let (from, to) = (at[axis].min(end[axis]), at[axis].max(end[axis]));
            (low[axis] - to).max(from - high[axis]).max(0.0)
        });
        direct + 2.0 * aside.sum::<f64>()
    });
    far.reduce(f64::min).unwrap_or(direct)
}

/// Where the first bend at a plug would have its corner.
fn tip(end: &End, bend_mm: f64) -> Point {
    add(end.at, times(end.out, end.straight_mm + bend_mm))
}

/// The crossings behind a first bend that begins at the plug at once, with the direction away from it. Its corner may lie
/// in a body: cable is only where the arc is.
fn bent_off(mesh: &Mesh, space: &Space, lead: &Wanted, end: &End) -> Vec<(usize, usize)> {
    let Some(out) = way_of(end.out) else { return Vec::new() };
    let (bend, radius) = (lead.radius_mm, lead.diameter_mm / 2.0);
    let corner = tip(end, bend);
    if !space.clear(end.at, add(end.at, times(end.out, end.straight_mm)), radius, &end.bodies) {
        return Vec::new();
    }
    let mut found = Vec::new();
    for way in (0..6).filter(|way| way / 2 != out / 2) {
        let after = add(corner, times(step_of(way), bend));
        let places = [0, 1, 2].map(|axis| mesh.place(axis, after[axis]));
        let [Some(x), Some(y), Some(z)] = places else { continue };
        if arcs_clear(space, lead, &[end.at, corner, after], bend) {
            found.push((mesh.index([x, y, z]), way));
        }
    }
    found
}

fn narrow_way(way: usize) -> u8 {
    u8::try_from(way).unwrap_or(6)
}

fn key(node: usize, way: usize) -> u32 {
    u32::try_from(node * 6 + way).unwrap_or(NONE)
}

#[expect(clippy::cast_possible_truncation, reason = "lengths of a board")]
fn narrow(mm: f64) -> f32 {
    mm as f32
}

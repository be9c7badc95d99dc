//! What a search knows of its lead: where its way may begin and end, what a step costs, and what is left at least.

use super::left::Left;
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
/// A first bend is sought no farther from its plug than so many radii; the cable may run straight on.
const FIRST: f64 = 4.0;
/// No direction; and that before a bend at a plug, which no step aside goes on with.
const NO_WAY: u8 = 6;
const ASIDE: u8 = 7;
/// No crossing: a way begins here, straight before its plug or behind its first bend.
pub(crate) const NONE: u32 = u32::MAX;
pub(crate) const BENT: u32 = u32::MAX - 1;

/// What is known of a crossing reached in a direction.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Label {
    /// The search that this is of.
    pub(crate) stamp: u32,
    pub(crate) cost: u32,
    pub(crate) from: u32,
    /// The length of the leg so far and of the one before it, and the directions before them.
    run: f32,
    before: f32,
    before_way: u8,
    before_that: u8,
    /// Whether the arc behind it was looked at.
    pub(crate) is_checked: bool,
    pub(crate) is_done: bool,
}

/// A lead on its mesh.
pub(crate) struct Seeking<'a> {
    mesh: &'a Mesh,
    space: &'a Space,
    /// How far it is to the end, when that is known.
    pub(crate) left_from: Option<&'a Left>,
    lead: &'a Wanted,
    /// How many times what is left counts, in fifths.
    pub(crate) eager: u32,
    /// The direction in which it leaves its first plug, and in which it comes to its last.
    out: usize,
    home: usize,
    /// What a bend costs, and what the end lacks whatever leads there.
    bend: u32,
    forced: u32,
    /// From where it runs straight into its last plug, with how far that is; and where its last bend begins, with the
    /// direction there.
    goals: Vec<(usize, f64)>,
    bends: Vec<(usize, usize)>,
}

impl<'a> Seeking<'a> {
    /// `None` where an end looks along no axis.
    pub(crate) fn new(mesh: &'a Mesh, space: &'a Space, lead: &'a Wanted) -> Option<Self> {
        let (out, back) = (way_of(lead.from.out)?, way_of(lead.to.out)?);
        let mut goals = reached(mesh, space, lead, &lead.to);
        goals.sort_by_key(|(node, _)| *node);
        let bends = bent_off(mesh, space, lead, &lead.to);
        let bends: Vec<(usize, usize)> = bends.into_iter().map(|(node, way)| (node, way ^ 1)).collect();
        let longest = goals.iter().map(|(_, far)| *far).fold(0.0, f64::max);
        let short = lead.radius_mm - (longest - lead.to.straight_mm);
        let forced = if bends.is_empty() { lacks(short) } else { 0 };
        let bend = units(BEND * lead.radius_mm);
        // The last leg runs against the direction of the plug it comes to.
        Some(Self {
            mesh,
            space,
            left_from: None,
            lead,
            eager: 5,
            out,
            home: back ^ 1,
            bend,
            forced,
            goals,
            bends,
        })
    }

    /// Where ways begin: straight before the plug, or behind a bend at it.
    pub(crate) fn starts(&self) -> Vec<(u32, Label)> {
        let (lead, need) = (self.lead, self.lead.radius_mm);
        let straight = reached(self.mesh, self.space, lead, &lead.from).into_iter().map(|(node, far)| {
            let run = narrow(far - lead.from.straight_mm);
            let label = Label { cost: units(far), from: NONE, run, before_way: NO_WAY, ..Label::started() };
            (key(node, self.out), label)
        });
        let bent = bent_off(self.mesh, self.space, lead, &lead.from).into_iter().map(|(node, way)| {
            let cost = units(lead.from.straight_mm + 2.0 * need) + self.bend;
            let (run, before) = (narrow(need), narrow(need));
            // No step aside so near a plug.
            let label = Label { cost, from: BENT, run, before, before_way: ASIDE, ..Label::started() };
            (key(node, way), label)
        });
        straight.chain(bent).collect()
    }

    /// The crossings from which the end is reached, with how far it is from there, bends left out.
    pub(crate) fn ends(&self) -> Vec<(usize, u32)> {
        let bent = units(2.0 * self.lead.radius_mm + self.lead.to.straight_mm);
        let straight = self.goals.iter().map(|(node, far)| (*node, units(*far)));
        straight.chain(self.bends.iter().map(|(node, _)| (*node, bent))).collect()
    }

    /// What is left from a crossing to the end at least; `None` where no way leads there.
    pub(crate) fn left(&self, key: u32) -> Option<u32> {
        let (at, way) = (self.mesh.point(key as usize / 6), key as usize % 6);
        let (end, home) = (self.lead.to.at, self.home);
        let off = minus(end, at);
        let is_aside = (0..3).any(|axis| axis != home / 2 && 1e-6 < off[axis].abs());
        let bends = if way == home {
            if is_aside || dot(off, step_of(home)) < -1e-6 { 2 } else { 0 }
        } else if way ^ 1 == home {
            2
        } else {
            1
        };
        let short = if bends == 0 { 0 } else { self.forced };
        let node = key as usize / 6;
        let far = self.left_from.map_or(Some(0), |left| left.at(self.mesh, node))?;
        let far = far.saturating_mul(self.eager) / 5;
        Some(far + bends * self.bend + short)
    }

    /// What it costs that the arc between two crossings is not clear; `None` where it is.
    pub(crate) fn blocked(&self, from: u32, key: u32) -> Option<u32> {
        let need = self.lead.radius_mm;
        let corner = self.mesh.point(from as usize / 6);
        let (before, after) = (step_of(from as usize % 6), step_of(key as usize % 6));
        let reach = need + HAIR_MM;
        let arc = [add(corner, times(before, -reach)), corner, add(corner, times(after, reach))];
        (!arcs_clear(self.space, self.lead, &arc, need)).then(|| units(SHARP_MM))
    }

    /// What a way costs that ends from a crossing: straight into the plug, and by a bend at it.
    pub(crate) fn ended(&self, label: &Label, key: u32) -> [Option<(u32, bool)>; 2] {
        let (node, way) = (key as usize / 6, key as usize % 6);
        let (to, need, run) = (&self.lead.to, self.lead.radius_mm, f64::from(label.run));
        let is_first = label.before_way == NO_WAY;
        let goal =
            self.goals.binary_search_by_key(&node, |(node, _)| *node).ok().filter(|_| way == self.home);
        let straight = goal.map(|goal| {
            let far = self.goals[goal].1;
            let lack = if is_first { 0.0 } else { need - (run + far - to.straight_mm) };
            (label.cost + units(far) + lacks(lack), false)
        });
        let bent = self.bends.contains(&(node, way)).then(|| {
            let lack = if is_first { -run } else { need - run };
            let cost = units(2.0 * need + to.straight_mm) + self.bend;
            (label.cost + cost + lacks(lack), true)
        });
        [straight, bent]
    }

    /// The steps from a crossing.
    pub(crate) fn steps(&self, label: &Label, key: u32, mut visit: impl FnMut(u32, Label)) {
        let (node, way) = (key as usize / 6, key as usize % 6);
        let places = self.mesh.places(node);
        for next_way in (0..6).filter(|next| *next != way ^ 1) {
            let Some((next, cost, long)) = self.mesh.next(node, places, next_way) else { continue };
            let mut stepped = Label { from: key, is_checked: true, is_done: false, ..*label };
            stepped.cost += cost;
            if next_way == way {
                stepped.run += narrow(long);
            } else if !self.turn(&mut stepped, way, next_way, long) {
                continue;
            }
            visit(self::key(next, next_way), stepped);
        }
    }

    /// Turns into another direction; says whether that can be.
    fn turn(&self, label: &mut Label, way: usize, next_way: usize, long: f64) -> bool {
        let (need, run) = (self.lead.radius_mm, f64::from(label.run));
        label.cost += self.bend;
        if label.before_way == narrow_way(next_way) && run < 2.0 * need {
            // A short step aside: what was one leg stays one, less what two arcs of a slant take of it,
            // d = 2 R (1 − cos θ) and 2 R sin θ.
            let cosine = 1.0 - run / (2.0 * need);
            let taken = 2.0 * need * (1.0 - cosine * cosine).max(0.0).sqrt();
            label.run = label.before + narrow(long - taken);
            (label.before_way, label.before_that, label.before) = (label.before_that, NO_WAY, 0.0);
            return true;
        }
        let wanted = if label.before_way == NO_WAY { need } else { 2.0 * need };
        if run < LEAST_RUN * wanted {
            return false;
        }
        label.cost += lacks(wanted - run);
        (label.before, label.before_that, label.before_way) = (label.run, label.before_way, narrow_way(way));
        label.run = narrow(long);
        label.is_checked = false;
        true
    }
}

impl Label {
    fn started() -> Self {
        Self { before_that: NO_WAY, is_checked: true, ..Self::default() }
    }
}

/// What it costs that a leg lacks so much for its bends.
fn lacks(lack_mm: f64) -> u32 {
    if HAIR_MM < lack_mm { units(SHARP_MM + LACK * lack_mm) } else { 0 }
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
        let next = if way.is_multiple_of(2) { Some(place + 1) } else { place.checked_sub(1) };
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

/// Where the first bend at a plug would have its corner.
pub(crate) fn tip(end: &End, bend_mm: f64) -> Point {
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

pub(crate) fn key(node: usize, way: usize) -> u32 {
    u32::try_from(node * 6 + way).unwrap_or(NONE)
}

#[expect(clippy::cast_possible_truncation, reason = "lengths of a board")]
fn narrow(mm: f64) -> f32 {
    mm as f32
}

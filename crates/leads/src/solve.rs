//! All leads: each by itself, then those in the way of others again, then lengths, looms and batches.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;
use rig::LeadClass;

use crate::classes::{apart, is_signal, rank};
use crate::cross::{FLAT_DEG, flats, others};
use crate::input::{Input, Wanted};
use crate::outcome::{Failed, Laid, Outcome};
use crate::route::grids::Grids;
use crate::route::lay::lay;
use crate::route::search::{Grid, micro};
use crate::route::shape::{Shape, is_detour, told_by_clear_corners};
use crate::route::space::Space;
use crate::route::square::square;

/// What a cell costs more, in steps of the grid, for each lead beyond its capacity and each that ought to be apart.
const CROWDED: f64 = 2.0;

/// A way that keeps off others at so many times that price is where the mending of flat crossings may begin, too.
const KEEP_OFF: [i64; 2] = [2, 8];

/// A radius that is short by less than this is the radius.
const HAIR_MM: f64 = 0.05;

/// A bend below this share of the wanted radius is sharp: another way is sought.
const SHARP: f64 = 0.999;

/// Lays every lead from scratch. The answer does not depend on the order of the leads in the input.
pub fn solve(input: &Input) -> Outcome {
    let space = Space::new(input);
    let order = order(input);
    let grids = Grids::new(input, input.rules.pitch_mm);
    let mut shapes: Vec<Option<Shape>> = vec![None; input.leads.len()];
    let laid: Vec<Option<Shape>> = order
        .par_iter()
        .map(|&lead| {
            let wanted = &input.leads[lead];
            grids.on(wanted, |grid| lay(&space, grid, wanted, None))
        })
        .collect();
    for (&lead, shape) in order.iter().zip(laid) {
        shapes[lead] = shape;
    }
    finer(input, &space, &order, &mut shapes, SHARP);
    let again = |lead: usize, extra: &[i64]| {
        let wanted = &input.leads[lead];
        grids.on(wanted, |grid| lay(&space, grid, wanted, Some(extra)))
    };
    // Rounds: whoever is in the way is laid again, all against the ways of the round before.
    for round in 0..=input.rules.rounds {
        let uses = uses(&grids, input, &shapes);
        // Those in trouble, with what each cell costs them and, but for the last round, another way by those costs.
        let last = round == input.rules.rounds;
        let crowds = Crowd::all(&grids, input, &uses);
        let troubled: Vec<(usize, Vec<i64>, Option<Shape>)> = order
            .par_iter()
            .map(|&lead| {
                let crowd = &crowds[&input.leads[lead].class];
                if !is_troubled(input, &shapes, lead, crowd.dear(input, &uses[lead])) {
                    return None;
                }
                let extra = crowd.without(input, &uses[lead]);
                let found = if last { None } else { again(lead, &extra) };
                Some((lead, extra, found))
            })
            .filter_map(|troubled| troubled)
            .collect();
        if troubled.is_empty() {
            break;
        }
        let mut now = uses.clone();
        for (lead, mut extra, mut found) in troubled {
            let wanted = &input.leads[lead];
            if last {
                extra = self::extra(&grids, input, &now, lead);
                // The others may have given way already.
                if !is_troubled(input, &shapes, lead, dear(&now[lead], &extra)) {
                    continue;
                }
                found = again(lead, &extra);
            }
            let dear = |shape: &Shape| dear(&cells(&grids, wanted, Some(shape)), &extra);
            if let Some(shape) = found
                && shapes[lead].as_ref().is_none_or(|old| {
                    // What is cut already stays where it reaches: others give way to it.
                    if wanted.reaches(old.length) && !wanted.reaches(shape.length) {
                        return false;
                    }
                    let flat = |shape: &Shape| flat(input, &shapes, lead, Some(shape));
                    is_worth(old, &shape) && flat(&shape) <= flat(old) && dear(&shape) <= dear(old)
                })
            {
                shapes[lead] = Some(shape);
                now[lead] = cells(&grids, wanted, shapes[lead].as_ref());
            }
        }
    }
    square(input, &space, &order, &mut shapes, |shapes, lead| {
        let extra = extra(&grids, input, &uses(&grids, input, shapes), lead);
        let at = |price: i64| {
            let dearer: Vec<i64> = extra.iter().map(|cost| cost * price).collect();
            again(lead, &dearer)
        };
        KEEP_OFF.par_iter().filter_map(|price| at(*price)).collect()
    });
    told(input, &space, &order, &shapes, false)
}

/// Whether some lead, laid by itself, is bent sharper than so many of its diameters: a quick look at a placement before all
/// of its leads are laid among one another. To make way for others may ease a bend, so that this is a likelihood.
pub fn any_bend_sharper_than(input: &Input, diameters: f64) -> bool {
    let alone = Alone::new(input);
    order(input).par_iter().any(|&lead| alone.is_sharper_than(lead, diameters))
}

/// The leads that, laid by themselves, are bent sharper than so many of their diameters: which of them
/// [`any_bend_sharper_than`] speaks of.
pub fn bent_sharper_than(input: &Input, diameters: f64) -> Vec<String> {
    let alone = Alone::new(input);
    let sharp = order(input).into_par_iter().filter(|&lead| alone.is_sharper_than(lead, diameters));
    sharp.map(|lead| input.leads[lead].id.clone()).collect()
}

/// Each lead as if there were no other.
struct Alone<'a> {
    input: &'a Input,
    space: Space,
    grids: [Grids<'a>; 2],
}

impl<'a> Alone<'a> {
    fn new(input: &'a Input) -> Self {
        let grids = [1.0, 2.0].map(|part| Grids::new(input, input.rules.pitch_mm / part));
        Self { input, space: Space::new(input), grids }
    }

    fn is_sharper_than(&self, lead: usize, diameters: f64) -> bool {
        let wanted = &self.input.leads[lead];
        let sharp = |shape: &Shape| shape.tightest < diameters * wanted.diameter_mm - HAIR_MM;
        // As in laying, a sharp bend is tried once more on a finer grid.
        let on = |grids: &Grids<'_>| grids.on(wanted, |grid| lay(&self.space, grid, wanted, None));
        on(&self.grids[0]).as_ref().is_some_and(sharp) && on(&self.grids[1]).as_ref().is_none_or(sharp)
    }
}

/// How a lead lies that was laid by itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LaidAlone {
    /// The radius of its sharpest bend.
    pub tightest_mm: f64,
    /// Its length.
    pub length_mm: f64,
}

/// Lays one lead by itself, by its number; `None` where it has no way.
pub fn lay_alone(input: &Input, id: &str) -> Option<LaidAlone> {
    let wanted = input.leads.iter().find(|wanted| wanted.id == id)?;
    let space = Space::new(input);
    // As in laying, a sharp bend is tried once more on a finer grid.
    let ways = [1.0, 2.0].into_iter().filter_map(|part| {
        let grids = Grids::new(input, input.rules.pitch_mm / part);
        grids.on(wanted, |grid| lay(&space, grid, wanted, None))
    });
    let mut soft: Option<Shape> = None;
    for shape in ways {
        let is_soft = wanted.radius_mm - HAIR_MM <= shape.tightest;
        if soft.as_ref().is_none_or(|old| old.tightest < shape.tightest) {
            soft = Some(shape);
        }
        if is_soft {
            break;
        }
    }
    soft.map(|shape| LaidAlone { tightest_mm: shape.tightest, length_mm: shape.length })
}

/// Leads without a way, with a sharp bend, or made and too short for theirs, are sought on finer grids: they find narrower
/// gaps.
fn finer(input: &Input, space: &Space, order: &[usize], shapes: &mut [Option<Shape>], sharp: f64) {
    for part in [2.0, 4.0] {
        let wants = |lead: &usize| {
            let wanted = &input.leads[*lead];
            shapes[*lead].as_ref().is_none_or(|shape| {
                let is_short = 0.0 < sharp && !wanted.reaches(shape.length);
                is_short || (part <= 2.0 && shape.tightest < wanted.radius_mm * sharp)
            })
        };
        let wanting: Vec<usize> = order.iter().copied().filter(wants).collect();
        let grids = Grids::new(input, input.rules.pitch_mm / part);
        let laid: Vec<Option<Shape>> = wanting
            .par_iter()
            .map(|&lead| {
                let wanted = &input.leads[lead];
                grids.on(wanted, |grid| lay(space, grid, wanted, None))
            })
            .collect();
        for (lead, shape) in wanting.into_iter().zip(laid) {
            let reaches = |shape: &Shape| input.leads[lead].reaches(shape.length);
            let better = |old: &Shape, new: &Shape| match (reaches(old), reaches(new)) {
                (false, false) => new.length < old.length,
                (true, true) => old.tightest < new.tightest,
                (_, new) => new,
            };
            if let Some(shape) = shape
                && shapes[lead].as_ref().is_none_or(|old| better(old, &shape))
            {
                shapes[lead] = Some(shape);
            }
        }
    }
}

/// How often a signal lead would cross supplies flatter than is fine; nought for others, which do not give way.
fn flat(input: &Input, shapes: &[Option<Shape>], lead: usize, shape: Option<&Shape>) -> usize {
    match shape {
        Some(shape) if is_signal(input.leads[lead].class) => {
            flats(&others(input, shapes, lead), &shape.path, FLAT_DEG)
        }
        _ => 0,
    }
}

/// Neither a detour nor a sharper bend is worth it.
fn is_worth(old: &Shape, new: &Shape) -> bool {
    !is_detour(old, new) && old.tightest.min(new.tightest + 1e-6) <= new.tightest
}

/// What the shortest way over the grid from one place to another costs: each step along one axis, two or three costs
/// 1000, 1414 or 1732 thousandths of the pitch, in micrometres. For checks against other programs.
pub fn grid_cost(input: &Input, from: crate::Point, to: crate::Point, radius_mm: f64) -> Option<i64> {
    let space = Space::new(input);
    let mut grid = Grid::new(input, radius_mm, input.rules.pitch_mm);
    let way = grid.way(&space, from, to, &[], &[])?;
    let pitch = micro(input.rules.pitch_mm);
    let step = |pair: &[crate::Point]| {
        let axes = (0..3).filter(|&axis| 0.5 < (pair[1][axis] - pair[0][axis]).abs()).count();
        pitch * [0, 1000, 1414, 1732][axes] / 1000
    };
    Some(way.windows(2).map(step).sum())
}

/// A quick answer after a move: only leads that end at the device or whose way is blocked are laid again, alone.
///
/// `before` is what was laid before the move, on the board as it was. Everything is marked as estimated.
pub fn preview(input: &Input, before: &Outcome, moved: &str) -> Outcome {
    let space = Space::new(input);
    let order = order(input);
    let grids = Grids::new(input, input.rules.pitch_mm);
    let mut shapes: Vec<Option<Shape>> = vec![None; input.leads.len()];
    for &lead in &order {
        let wanted = &input.leads[lead];
        let ends_there =
            [&wanted.from, &wanted.to].iter().any(|end| end.port.split('.').next() == Some(moved));
        let kept = before.leads.iter().find(|laid| laid.id == wanted.id).filter(|laid| {
            !ends_there
                && laid.path.first() == Some(&wanted.from.at)
                && laid.path.last() == Some(&wanted.to.at)
                && crate::route::lay::way_clear(&space, wanted, &laid.path, laid.tightest_mm)
        });
        shapes[lead] = match kept {
            Some(laid) => Some(Shape {
                path: laid.path.clone(),
                radii: laid.radii.clone(),
                length: laid.route_mm,
                tightest: laid.tightest_mm,
            }),
            None => grids.on(wanted, |grid| lay(&space, grid, wanted, None)),
        };
    }
    // A sharp bend is good enough for a preview; a lead without a way is not.
    finer(input, &space, &order, &mut shapes, 0.0);
    told(input, &space, &order, &shapes, true)
}

fn order(input: &Input) -> Vec<usize> {
    let mut order: Vec<usize> = (0..input.leads.len()).collect();
    order.sort_by(|&a, &b| {
        let (a, b) = (&input.leads[a], &input.leads[b]);
        (rank(a.class), &a.id).cmp(&(rank(b.class), &b.id))
    });
    order
}

fn cells(grids: &Grids<'_>, lead: &Wanted, shape: Option<&Shape>) -> Vec<usize> {
    let mut out = Vec::new();
    grids.on(lead, |grid| {
        for leg in shape.into_iter().flat_map(|shape| shape.path.windows(2)) {
            grid.passed(leg[0], leg[1], &mut |cell| out.push(cell));
        }
    });
    out.sort_unstable();
    out.dedup();
    out
}

/// The cells of every lead.
fn uses(grids: &Grids<'_>, input: &Input, shapes: &[Option<Shape>]) -> Vec<Vec<usize>> {
    input.leads.iter().zip(shapes).map(|(lead, shape)| cells(grids, lead, shape.as_ref())).collect()
}

/// Whether a lead lies in cells that are over-used, runs along one that it ought to keep away from, or crosses one flatly;
/// `dear` is how many of its cells cost more than their length.
fn is_troubled(input: &Input, shapes: &[Option<Shape>], lead: usize, dear: usize) -> bool {
    let allowed = input.rules.parallel_mm / input.rules.pitch_mm;
    allowed < crate::route::space::figure(dear) || 0 < flat(input, shapes, lead, shapes[lead].as_ref())
}

/// How many cells of a way cost more than their length.
fn dear(cells: &[usize], extra: &[i64]) -> usize {
    cells.iter().filter(|&&cell| 0 < extra[cell]).count()
}

/// How the leads lie, as one of a class sees it: every lead of the class shares all but what it does itself.
struct Crowd {
    /// What each cell costs besides its length.
    extra: Vec<i64>,
    /// Whether each cell lies near a lead of a class that this one keeps away from.
    near: Vec<bool>,
    /// How many leads that it need not keep away from pass each cell.
    held: Vec<u32>,
}

impl Crowd {
    /// As a class sees some leads where they are.
    fn new(grids: &Grids<'_>, input: &Input, uses: &[Vec<usize>], class: LeadClass) -> Option<Self> {
        let wanted = input.leads.iter().find(|lead| lead.class == class)?;
        Some(grids.on(wanted, |grid| {
            let mut crowd =
                Self { extra: Vec::new(), near: vec![false; grid.count()], held: vec![0; grid.count()] };
            for (other, cells) in input.leads.iter().zip(uses) {
                match apart(input, class, other.class) {
                    None => cells.iter().for_each(|&cell| crowd.held[cell] += 1),
                    Some(reach) => {
                        for &cell in cells {
                            grid.near(cell, reach, &mut |near| crowd.near[near] = true);
                        }
                    }
                }
            }
            let cells = crowd.near.iter().zip(&crowd.held);
            crowd.extra = cells.map(|(near, held)| cost(input, *near, *held)).collect();
            crowd
        }))
    }

    /// As every class sees them.
    fn all(grids: &Grids<'_>, input: &Input, uses: &[Vec<usize>]) -> BTreeMap<LeadClass, Self> {
        let classes: BTreeSet<LeadClass> = input.leads.iter().map(|lead| lead.class).collect();
        classes.into_iter().filter_map(|class| Some((class, Self::new(grids, input, uses, class)?))).collect()
    }

    /// What each cell costs one of the class besides its length, itself left out.
    fn without(&self, input: &Input, own: &[usize]) -> Vec<i64> {
        let mut extra = self.extra.clone();
        self.on_own(input, own, |cell, _, cost| extra[cell] = cost);
        extra
    }

    /// How many cells of one of the class cost it more than their length.
    fn dear(&self, input: &Input, own: &[usize]) -> usize {
        let mut dear = 0;
        self.on_own(input, own, |_, times, cost| dear += if 0 < cost { times } else { 0 });
        dear
    }

    /// Each of its own cells, how often it passes there, and what that costs it.
    fn on_own(&self, input: &Input, own: &[usize], mut visit: impl FnMut(usize, usize, i64)) {
        let mut own = own.to_vec();
        own.sort_unstable();
        for cells in own.chunk_by(|a, b| a == b) {
            let cell = cells[0];
            let held = self.held[cell].saturating_sub(u32::try_from(cells.len()).unwrap_or(u32::MAX));
            visit(cell, cells.len(), cost(input, self.near[cell], held));
        }
    }
}

/// What a cell costs besides its length.
fn cost(input: &Input, near: bool, held: u32) -> i64 {
    let price = micro(CROWDED * input.rules.pitch_mm);
    price * (i64::from(near) + i64::from(input.rules.capacity <= held))
}

/// What each cell costs a lead besides its length, with the others where they are.
fn extra(grids: &Grids<'_>, input: &Input, uses: &[Vec<usize>], lead: usize) -> Vec<i64> {
    let crowd = Crowd::new(grids, input, uses, input.leads[lead].class);
    crowd.map_or_else(Vec::new, |crowd| crowd.without(input, &uses[lead]))
}

/// Lengths, looms, batches, and what is wrong.
fn told(input: &Input, space: &Space, order: &[usize], shapes: &[Option<Shape>], estimated: bool) -> Outcome {
    let mut outcome = Outcome::default();
    let batches = crate::batch::batches(input, order);
    for &lead in order {
        let wanted = &input.leads[lead];
        let Some(shape) = &shapes[lead] else {
            outcome.failed.push(Failed { id: wanted.id.clone(), why: blocked(input, space, wanted) });
            continue;
        };
        let clear = |a: crate::Point, b: crate::Point| space.clear(a, b, wanted.diameter_mm / 2.0, &[]);
        let shape = told_by_clear_corners(shape, clear);
        outcome.leads.push(measured(input, lead, &shape, batches[lead], estimated));
    }
    outcome.crossings = crate::cross::crossings(input, &outcome.leads);
    outcome.near = crate::apart::near(input, &outcome.leads);
    outcome.looms = crate::loom::looms(input, &mut outcome.leads);
    outcome.passing = crate::loom::passing(input, &outcome.leads);
    outcome
}

/// What a straight look from plug to plug runs into.
fn blocked(input: &Input, space: &Space, wanted: &Wanted) -> String {
    if !wanted.ties.is_empty() {
        return format!("no route from {} to {} over its tie points", wanted.from.port, wanted.to.port);
    }
    for end in [&wanted.from, &wanted.to] {
        let tip = [0, 1, 2].map(|axis| end.at[axis] + end.out[axis] * (wanted.diameter_mm / 2.0 + 1.0));
        if let Some(body) = space.hit(end.at, tip, wanted.diameter_mm / 2.0, &end.bodies) {
            let body = &input.bodies[body];
            return format!(
                "no room to leave {}: the {} of {} is in the way",
                end.port, body.what, body.owner
            );
        }
    }
    match space.hit(wanted.from.at, wanted.to.at, wanted.diameter_mm / 2.0, &wanted.from.bodies) {
        Some(body) => {
            let body = &input.bodies[body];
            format!(
                "no route from {} to {} around the {} of {}",
                wanted.from.port, wanted.to.port, body.what, body.owner
            )
        }
        None => format!("no route from {} to {} within the board", wanted.from.port, wanted.to.port),
    }
}

/// The lead with its lengths and values.
fn measured(input: &Input, lead: usize, shape: &Shape, batch: usize, estimated: bool) -> Laid {
    let wanted = &input.leads[lead];
    let rules = &input.rules;
    let slack_mm = rules.slack_mm.max(shape.length * rules.slack_share);
    let service_mm = wanted.from.service_mm + wanted.to.service_mm + wanted.hinge_mm;
    let whole = shape.length + wanted.taken_mm() + slack_mm;
    let cut_mm = if 0.0 < rules.rounding_mm {
        // A nanometre of rounding must not cost a step.
        ((whole - 1e-6) / rules.rounding_mm).ceil() * rules.rounding_mm
    } else {
        whole
    };
    let plugs = wanted.from.plug_pf + wanted.to.plug_pf;
    Laid {
        id: wanted.id.clone(),
        lead,
        path: shape.path.clone(),
        radii: shape.radii.clone(),
        route_mm: shape.length,
        tightest_mm: shape.tightest,
        slack_mm,
        service_mm,
        cut_mm,
        capacitance_pf: wanted.pf_per_m.map(|pf| pf * cut_mm / 1000.0 + plugs),
        resistance_ohm: wanted.ohm_per_m.map(|ohm| ohm * cut_mm / 1000.0),
        loom: None,
        batch,
        estimated,
        spare_mm: wanted.made_mm.map(|made| made - (shape.length + wanted.taken_mm())),
    }
}

//! All leads: each by itself, then those in the way of others again, then lengths, looms and batches.

use rayon::prelude::*;

use crate::alone::{HAIR_MM, alone, worth};
use crate::classes::rank;
use crate::cross::{FLAT_DEG, SQUARE_DEG};
use crate::field::across::across;
use crate::field::lanes::side_by_side;
use crate::field::lines::outline;
use crate::field::rounds::{Field, settle};
use crate::input::{Input, Wanted};
use crate::outcome::{Failed, Laid, Outcome};
use crate::route::grids::Grids;
use crate::route::lay::lay;
use crate::route::search::{Grid, micro};
use crate::route::shape::{Shape, told_by_clear_corners};
use crate::route::space::Space;
use crate::route::square::square;

/// A bend below this share of the wanted radius is sharp: another way is sought.
const SHARP: f64 = 0.999;

/// Lays every lead from scratch. The answer does not depend on the order of the leads in the input.
pub fn solve(input: &Input) -> Outcome {
    let space = Space::new(input);
    let order = order(input);
    let field = Field::new(input, &space);
    let grids = Grids::new(input, input.rules.pitch_mm);
    let mut shapes: Vec<Option<Shape>> = vec![None; input.leads.len()];
    let laid: Vec<Option<Shape>> =
        order.par_iter().map(|&lead| alone(&field, &space, &grids, &input.leads[lead])).collect();
    for (&lead, shape) in order.iter().zip(laid) {
        shapes[lead] = shape;
    }
    finer(input, &space, &order, &mut shapes, SHARP);
    settle(input, &field, &order, &mut shapes);
    square(input, &space, &order, &mut shapes, FLAT_DEG);
    side_by_side(input, &space, &order, &mut shapes);
    across(input, &field, &space, &order, &mut shapes);
    square(input, &space, &order, &mut shapes, SQUARE_DEG);
    told(input, &space, &order, &shapes, false)
}

/// Whether some lead, laid by itself, is bent sharper than so many of its diameters: a quick look at a placement before all
/// of its leads are laid among one another. To make way for others may ease a bend, so that this is a likelihood.
pub fn any_bend_sharper_than(input: &Input, diameters: f64) -> bool {
    let space = Space::new(input);
    let alone = Alone::new(input, &space);
    order(input).par_iter().any(|&lead| alone.is_sharper_than(lead, diameters))
}

/// The leads that, laid by themselves, are bent sharper than so many of their diameters: which of them
/// [`any_bend_sharper_than`] speaks of.
pub fn bent_sharper_than(input: &Input, diameters: f64) -> Vec<String> {
    let space = Space::new(input);
    let alone = Alone::new(input, &space);
    let sharp = order(input).into_par_iter().filter(|&lead| alone.is_sharper_than(lead, diameters));
    sharp.map(|lead| input.leads[lead].id.clone()).collect()
}

/// Each lead as if there were no other.
struct Alone<'a> {
    input: &'a Input,
    space: &'a Space,
    field: Field<'a>,
    grids: [Grids<'a>; 2],
}

impl<'a> Alone<'a> {
    fn new(input: &'a Input, space: &'a Space) -> Self {
        let grids = [1.0, 2.0].map(|part| Grids::new(input, input.rules.pitch_mm / part));
        Self { input, space, field: Field::new(input, space), grids }
    }

    fn is_sharper_than(&self, lead: usize, diameters: f64) -> bool {
        let wanted = &self.input.leads[lead];
        let sharp = |shape: &Shape| shape.tightest < diameters * wanted.diameter_mm - HAIR_MM;
        if self.field.lay(wanted, None, u32::MAX).is_some_and(|shape| !sharp(&shape)) {
            return false;
        }
        // As in laying, a sharp bend is tried once more on a finer grid.
        let on = |grids: &Grids<'_>| grids.on(wanted, |grid| lay(self.space, grid, wanted, None));
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
    let field = Field::new(input, &space);
    let ways = [1.0, 2.0].into_iter().filter_map(|part| {
        let grids = Grids::new(input, input.rules.pitch_mm / part);
        if part < 1.5 {
            return alone(&field, &space, &grids, wanted);
        }
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
    let outline = outline(input);
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
                let (wanted, known) = (&input.leads[lead], shapes[lead].as_ref());
                // What is too long for a made lead is no measure for its way.
                let known = known.filter(|shape| wanted.reaches(shape.length));
                grids.on(wanted, |grid| lay(space, grid, wanted, known))
            })
            .collect();
        for (lead, shape) in wanting.into_iter().zip(laid) {
            let wanted = &input.leads[lead];
            let better = |old: &Shape, new: &Shape| {
                if !wanted.reaches(old.length) && !wanted.reaches(new.length) {
                    return new.length < old.length;
                }
                worth(outline, wanted, old) < worth(outline, wanted, new)
            };
            if let Some(shape) = shape
                && shapes[lead].as_ref().is_none_or(|old| better(old, &shape))
            {
                shapes[lead] = Some(shape);
            }
        }
    }
}

/// What the shortest way over the grid from one place to another costs: each step along one axis, two or three costs
/// 1000, 1414 or 1732 thousandths of the pitch, in micrometres. For checks against other programs.
pub fn grid_cost(input: &Input, from: crate::Point, to: crate::Point, radius_mm: f64) -> Option<i64> {
    let space = Space::new(input);
    let mut grid = Grid::new(input, radius_mm, input.rules.pitch_mm);
    let way = grid.way(&space, from, to, &[], f64::MAX)?;
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
    let field = Field::new(input, &space);
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
            None => alone(&field, &space, &grids, wanted),
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

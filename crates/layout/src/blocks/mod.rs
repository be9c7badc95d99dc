//! The search core on plain blocks: published floorplanning instances, pins in the middle of blocks.
//!
//! The same chance, rounds of workers, cooling and sliding as for devices; blocks are single boxes on one deck, so that
//! who lies left of and below whom says everything, and a search over relations (a sequence pair) is quicker than one
//! over places.

mod anneal;
mod problem;
mod sequence;

pub use problem::{Laid, Net, Problem, faults, wire_length_doubled};

use anneal::Annealer;
use problem::Nets;

use crate::axis::{Axis, Lead};
use crate::rounds::{Rounds, side_by_side};
use crate::watch::{Progress, Report, Stop};

/// The temperatures at the start and at the end, as shares of the wire length for each block: for few blocks and for many,
/// where many is more than [`MANY`]. Found by trying on instances of 10 to 100 blocks.
const FEW_HEAT: (f64, f64) = (0.2, 0.016);
const MANY_HEAT: (f64, f64) = (0.1, 0.007);
const MANY: usize = 60;
/// Moves of a worker each time the outline is insisted on, and how often at most.
const PRESSED: u64 = 2_000;
const MOST_PRESSED: usize = 100;
/// Rounds of one search.
const ROUNDS: u64 = 40;

/// How far the search goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// The seed of all chance.
    pub seed: u64,
    /// Moves in all.
    pub moves: u64,
    /// End after so many of them, as a cancelled search did.
    pub until: Option<u64>,
    /// Logical workers; they decide the answer.
    pub workers: usize,
    /// Threads that execute them; they do not.
    pub threads: usize,
}

/// What was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Floorplan {
    /// Where each block lies; empty when nothing fitted.
    pub laid: Vec<Laid>,
    /// Half the perimeters, added up, doubled.
    pub length_doubled: i64,
    /// Moves made.
    pub moves: u64,
    /// Whether it was ended early.
    pub cancelled: bool,
}

/// Places the blocks.
pub fn solve(problem: &Problem, effort: &Effort, progress: &dyn Progress, stop: &dyn Stop) -> Floorplan {
    let nets = Nets::new(problem);
    let count = effort.workers.max(1);
    let mut workers: Vec<Annealer<'_>> =
        (0..count).map(|number| Annealer::new(problem, &nets, effort.seed, number)).collect();
    let scale = workers[0].scale();
    let rounds = Rounds::new(effort.moves, effort.until, count, ROUNDS);
    let (hot, cold) = if MANY < problem.blocks.len() { MANY_HEAT } else { FEW_HEAT };
    let temperature = |round: u64| scale * hot * libm::pow(cold / hot, rounds.share(round));
    let (mut moves, mut cancelled) = (0, false);
    for round in 0..rounds.planned {
        if rounds.is_over(round) || stop.wanted() {
            cancelled = true;
            break;
        }
        side_by_side(&mut workers, effort.threads, |worker| {
            worker.run(rounds.moves_each, temperature(round), temperature(round + 1));
        });
        moves += rounds.moves_of_round();
        // The worst goes on from where the best is.
        if round % 6 == 5 && rounds.planned / 4 < round {
            exchange(&mut workers);
        }
        let best = workers.iter().filter_map(|worker| worker.best.as_ref()).map(|best| best.0).min();
        progress.round(&Report { moves, planned: effort.moves, best: best.map(halved) });
    }
    // A short plan may end before anything fits: the outline is then insisted on, some moves beyond the plan.
    for _ in 0..MOST_PRESSED {
        if cancelled || stop.wanted() || workers.iter().any(|worker| worker.best.is_some()) {
            break;
        }
        side_by_side(&mut workers, effort.threads, |worker| {
            worker.press();
            worker.run(PRESSED, scale * cold, scale * cold);
        });
        moves += PRESSED * count as u64;
    }
    let mut found: Vec<Vec<Laid>> =
        workers.into_iter().filter_map(|worker| worker.best).map(|best| best.1).collect();
    side_by_side(&mut found, effort.threads, |laid| slide(problem, &nets, laid));
    let best = found.into_iter().map(|laid| (wire_length_doubled(problem, &laid), laid)).min();
    let (length_doubled, laid) = best.unwrap_or_default();
    Floorplan { laid, length_doubled, moves, cancelled }
}

#[expect(clippy::cast_precision_loss, reason = "wire lengths are far below 2^53")]
fn halved(length: i64) -> f64 {
    length as f64 / 2.0
}

fn exchange(workers: &mut [Annealer<'_>]) {
    let by_cost = |a: &usize, b: &usize| workers[*a].lowest.total_cmp(&workers[*b].lowest);
    let (best, worst) = ((0..workers.len()).min_by(by_cost), (0..workers.len()).max_by(by_cost));
    if let (Some(best), Some(worst)) = (best, worst)
        && best != worst
    {
        let from = workers[best].clone();
        workers[worst].adopt(&from);
    }
}

/// Slides blocks along each axis in turn until neither helps.
fn slide(problem: &Problem, nets: &Nets, laid: &mut [Laid]) {
    for turn in 0..8 {
        let axis = turn % 2;
        let before = wire_length_doubled(problem, laid);
        slide_along(problem, nets, laid, axis);
        if turn % 2 == 1 && wire_length_doubled(problem, laid) == before {
            break;
        }
    }
}

fn slide_along(problem: &Problem, nets: &Nets, laid: &mut [Laid], axis: usize) {
    let along = |at: &Laid| if axis == 0 { (at.x, at.width) } else { (at.y, at.height) };
    let across = |at: &Laid| if axis == 0 { (at.y, at.height) } else { (at.x, at.width) };
    let mut line = Axis {
        at: laid.iter().map(|at| 2 * along(at).0).collect(),
        low: vec![0; laid.len()],
        high: laid.iter().map(|at| 2 * (problem.outline[axis] - along(at).1)).collect(),
        beyond: Vec::new(),
        leads: Vec::new(),
        step: 2,
    };
    for (i, a) in laid.iter().enumerate() {
        for (j, b) in laid.iter().enumerate() {
            let meet = across(a).0 < across(b).0 + across(b).1 && across(b).0 < across(a).0 + across(a).1;
            if i != j && meet && along(a).0 + along(a).1 <= along(b).0 {
                line.beyond.push((i, j, 2 * along(a).1));
            }
        }
    }
    for net in 0..nets.count() {
        let pins = nets
            .blocks_of(net)
            .iter()
            .map(|block| (*block as usize, along(&laid[*block as usize]).1))
            .collect();
        let (low, high) = nets.pads[axis][net];
        line.leads.push(Lead {
            pins,
            fixed: (low <= high).then_some((low, high)),
            weight: nets.weights[net],
        });
    }
    line.slide();
    for (at, now) in laid.iter_mut().zip(&line.at) {
        if axis == 0 { at.x = now / 2 } else { at.y = now / 2 }
    }
}

//! Plain blocks with nets in the search of `layout`: what is walked over is a sequence pair, for blocks are single boxes on
//! one deck, and who lies left of and below whom says everything.
//!
//! Only this geometry is the instances' own. Workers, cooling, acceptance, restarts and the sliding of each axis are those
//! that arrange devices.

mod moves;
mod problem;
mod sequence;
mod slide;
mod walk;

pub(crate) use problem::{Laid, Net, Problem, faults, wire_length_doubled};

use problem::Nets;
use walk::Blocks;

use layout::search::{Plan, Random, Worker, search};
use layout::{Cancel, Progress};

/// The temperatures at the start and at the end, as shares of the wire length for each block: for few blocks and for many,
/// where many is more than [`MANY`]. Found by trying on instances of 10 to 100 blocks.
const FEW_HEAT: (f64, f64) = (0.2, 0.016);
const MANY_HEAT: (f64, f64) = (0.1, 0.007);
const MANY: usize = 60;

/// How far the search goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Effort {
    /// The seed of all chance.
    pub(crate) seed: u64,
    /// Moves in all.
    pub(crate) moves: u64,
    /// End after so many of them, as a cancelled search did.
    pub(crate) until: Option<u64>,
    /// Logical workers; they decide the answer.
    pub(crate) workers: usize,
    /// Threads that execute them; they do not.
    pub(crate) threads: usize,
}

/// What was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Floorplan {
    /// Where each block lies; empty when nothing fitted.
    pub(crate) laid: Vec<Laid>,
    /// Half the perimeters, added up, doubled.
    pub(crate) length_doubled: i64,
    /// Moves made.
    pub(crate) moves: u64,
    /// Whether it was ended early.
    pub(crate) cancelled: bool,
}

/// Places the blocks.
pub(crate) fn solve(
    problem: &Problem,
    effort: &Effort,
    progress: &dyn Progress,
    cancel: &dyn Cancel,
) -> Floorplan {
    let nets = Nets::new(problem);
    let mut workers: Vec<Worker<Blocks<'_>>> = (0..effort.workers.max(1))
        .map(|number| {
            let mut random = Random::new(effort.seed, number as u64);
            let blocks = Blocks::new(problem, &nets, &mut random);
            Worker::new(blocks, random)
        })
        .collect();
    let scale = workers[0].walk.scale();
    let (hot, cold) = if MANY < problem.blocks.len() { MANY_HEAT } else { FEW_HEAT };
    let plan = Plan {
        moves: effort.moves,
        until: effort.until,
        threads: effort.threads,
        heat: (scale * hot, scale * cold),
        behind: 0.0,
        only_fit: false,
    };
    let (moves, cancelled) = search(&mut workers, &plan, progress, cancel);
    let found = workers.iter().filter_map(|worker| worker.best.as_ref()).map(|best| best.placement.laid());
    let best = found.map(|laid| (wire_length_doubled(problem, &laid), laid)).min();
    let (length_doubled, laid) = best.unwrap_or_default();
    Floorplan { laid, length_doubled, moves, cancelled }
}

//! The search core on plain blocks: published floorplanning instances with pins in the middle of blocks.

mod anneal;
mod problem;
mod sequence;

pub use problem::{Laid, Net, Problem, faults, wire_length_doubled};

use anneal::Annealer;
use problem::Nets;

/// Experimental entry.
#[must_use]
pub fn trial(problem: &Problem, moves: u64, seed: u64, hot: f64, cold: f64) -> (Option<i64>, Vec<Laid>) {
    let nets = Nets::new(problem);
    let mut annealer = Annealer::new(problem, &nets, seed, 0);
    let mean = annealer.hot();
    annealer.run(moves, mean * hot, mean * cold);
    let best = annealer.best.clone();
    let _ = (annealer.length(), annealer.over_now());
    (best.as_ref().map(|b| b.0), best.map(|b| b.1).unwrap_or_default())
}

//! The highest and lowest level over all switching states.
//!
//! [`crate::graph`] finds them exactly, without visiting the states; where it cannot, the states are visited one by one,
//! and where there are too many of them or the budget of work is spent, the answer is a pair of bounds.

use crate::budget::{Budget, WHOLE};
use crate::complex::Complex;
use crate::extremes::{Best, Envelope, Work, combinations, positions};
use crate::graph::Graph;
use crate::ladder::Sweep;
use crate::model::Model;
use crate::rings::howls;
use crate::state::Solver;

/// The band from a source to a sink, by number. `difference` names two places in the sweep: the extremes of the
/// level at the second minus that at the first are found too. Within a budget of work; over it the answer is bounds.
pub fn envelope(
    model: &Model,
    source: usize,
    sink: usize,
    sweep: &Sweep,
    difference: Option<(usize, usize)>,
) -> Envelope {
    let budget = Budget::new(WHOLE);
    let mut found = Graph::new(model, source, sink, sweep, difference, &budget).solve();
    found.work.steps = budget.spent();
    found
}

/// Every state one by one, however long it takes: the check of the graph.
pub fn enumerate(
    model: &Model,
    source: usize,
    sink: usize,
    sweep: &Sweep,
    difference: Option<(usize, usize)>,
) -> Option<Envelope> {
    let switches: Vec<usize> = (0..model.switches.len()).collect();
    let budget = Budget::new(u64::MAX);
    one_by_one(model, (source, sink), difference, &switches, Solver::new(model, sweep, &budget))
}

/// Every state of some switches; `None` where that goes over the budget.
pub(crate) fn one_by_one(
    model: &Model,
    (source, sink): (usize, usize),
    difference: Option<(usize, usize)>,
    switches: &[usize],
    mut solver: Solver<'_>,
) -> Option<Envelope> {
    let count = combinations(model, switches)?;
    let mut best = Best::new(solver.sweep().len(), difference);
    let mut work = Work::default();
    for number in 0..count {
        let state = positions(model, switches, number);
        if !model.allows(&state) {
            continue;
        }
        work.states += 1;
        let answer = solver.solve(&state, source);
        // What putting one state together takes, each of them takes at least.
        let all = solver.least_cost().saturating_mul(u64::try_from(count).unwrap_or(u64::MAX));
        if solver.budget().is_spent() || (work.states == 1 && solver.budget().left() < all) {
            return None;
        }
        // What howls has no level.
        let Some(answer) = answer.filter(|answer| !howls(model, answer)) else { continue };
        let Some(values) = answer.heard(model, sink) else { continue };
        best.offer(&values.iter().map(|value| 1.0 / Complex::square(*value)).collect::<Vec<_>>(), &state);
    }
    Some(best.envelope(true, work))
}

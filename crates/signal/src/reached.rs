//! The extremes among states that are visited one by one, where there are more of them than can be, and no bound is known.

use crate::budget::{Budget, WHOLE};
use crate::complex::Complex;
use crate::envelope::{Best, Envelope, Work};
use crate::ladder::Sweep;
use crate::model::{Model, SwitchPositions};
use crate::state::Solver;

/// A state that is solved already, with what it lets through at every frequency.
pub(crate) type Solved<'a> = (&'a SwitchPositions, &'a [Complex]);

/// Whether a band says nothing at some frequency.
pub(crate) fn is_open(envelope: &Envelope) -> bool {
    !envelope.exact && envelope.upper.iter().chain(&envelope.lower).any(|extreme| !extreme.db.is_finite())
}

/// The extremes among the states that are solved already and, while the budget lasts, those with one switch alone on
/// and with one alone off. `None` where signal arrives in none of them.
///
/// All of them are real: what is told of the worst holds, though another state may be worse.
pub(crate) fn reached(
    model: &Model,
    (source, sink): (usize, usize),
    sweep: &Sweep,
    difference: Option<(usize, usize)>,
    solved: &[Solved<'_>],
    budget: &Budget,
) -> Option<(Envelope, usize)> {
    let mut best = Best::new(sweep.len(), difference);
    let mut visited = 0;
    let mut offer = |state: &SwitchPositions, values: &[Complex]| {
        if model.allows(state) && values.iter().all(|value| 0.0 < value.square()) {
            let losses: Vec<f64> = values.iter().map(|value| 1.0 / value.square()).collect();
            best.offer(&losses, state);
            visited += 1;
        }
    };
    for (state, values) in solved {
        offer(state, values);
    }
    // Everything off and everything on are told apart from the band, and must not lie outside it.
    let at_least = Budget::new(WHOLE / 4);
    let mut first = Solver::new(model, sweep, &at_least);
    let mut solver = Solver::new(model, sweep, budget);
    for (number, state) in singles(model).enumerate() {
        let is_first = number < 2;
        if budget.is_spent() && !is_first {
            break;
        }
        if solved.iter().any(|(other, _)| **other == state) {
            continue;
        }
        let answer = if is_first { first.solve(&state, source) } else { solver.solve(&state, source) };
        if let Some(values) = answer.as_ref().and_then(|answer| answer.sink(model, sink)) {
            offer(&state, values);
        }
    }
    (0 < visited).then(|| (best.envelope(false, Work::default()), visited))
}

/// All off, all on, one on, one off.
fn singles(model: &Model) -> impl Iterator<Item = SwitchPositions> {
    let off = model.at_rest();
    let last = |switch: usize| u8::try_from(model.switches[switch].positions.len().max(1) - 1).unwrap_or(0);
    let on: SwitchPositions = (0..off.len()).map(last).collect();
    let turned = |base: &SwitchPositions, from: &SwitchPositions| -> Vec<SwitchPositions> {
        (0..base.len())
            .filter(|switch| base[*switch] != from[*switch])
            .map(|switch| {
                let mut state = base.clone();
                state[switch] = from[switch];
                state
            })
            .collect()
    };
    let (one_on, one_off) = (turned(&off, &on), turned(&on, &off));
    [off, on].into_iter().chain(one_on).chain(one_off)
}

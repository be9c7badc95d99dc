//! The extremes among states that are visited one by one, where there are more of them than can be, and no bound is known.
//!
//! From some states to begin with, everything off and on and every loop in with all else off, one switch at a time is
//! turned as long as that makes one of the figures that limits are held against worse. What is found so is real, and
//! mostly the worst there is; that nothing is worse is not proven.

use std::collections::BTreeMap;

use crate::budget::{Budget, WHOLE};
use crate::complex::Complex;
use crate::extremes::{Best, Envelope, Work};
use crate::ladder::Sweep;
use crate::model::{Model, SwitchPositions};
use crate::rings::howls;
use crate::state::Solver;

/// A state that is solved already, with what it lets through at every frequency.
pub(crate) type Solved<'a> = (&'a SwitchPositions, &'a [Complex]);

/// Whether a band says nothing at some frequency.
pub(crate) fn is_open(envelope: &Envelope) -> bool {
    !envelope.exact && envelope.upper.iter().chain(&envelope.lower).any(|extreme| !extreme.db.is_finite())
}

/// The extremes among the states that are solved already and, while the budget lasts, those that a climb to the worst
/// ends in, and those with one switch alone on and with one alone off. `None` where signal arrives in none of them.
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
    let climbing = budget.share(2);
    let worst = climb(model, (source, sink), &[], &climbing).worst;
    budget.settle(&climbing);
    let mut solver = Solver::new(model, sweep, budget);
    let [off, on] = whole(model);
    let all = [off, on].into_iter().chain(worst).chain(singles(model));
    for (number, state) in all.enumerate() {
        let is_first = number < 2;
        if budget.is_spent() && !is_first {
            break;
        }
        if solved.iter().any(|(other, _)| **other == state) {
            continue;
        }
        let answer = if is_first { first.solve(&state, source) } else { solver.solve(&state, source) };
        let answer = answer.filter(|answer| !howls(model, answer));
        if let Some(values) = answer.as_ref().and_then(|answer| answer.heard(model, sink)) {
            offer(&state, values);
        }
    }
    (0 < visited).then(|| (best.envelope(false, Work::default()), visited))
}

/// All off, all on.
fn whole(model: &Model) -> [SwitchPositions; 2] {
    let off = model.at_rest();
    let on: SwitchPositions = (0..off.len()).map(|switch| last(model, switch)).collect();
    [off, on]
}

fn last(model: &Model, switch: usize) -> u8 {
    u8::try_from(model.switches[switch].positions.len().max(1) - 1).unwrap_or(0)
}

/// One on, one off.
fn singles(model: &Model) -> impl Iterator<Item = SwitchPositions> {
    let [off, on] = whole(model);
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
    one_on.into_iter().chain(one_off)
}

/// What a climb has found.
pub(crate) struct Climbed {
    /// The states at which it ended, no two alike.
    pub(crate) worst: Vec<SwitchPositions>,
    /// What was lost in every state on the way; `None` where nothing arrives in any.
    pub(crate) losses: Option<Range>,
    /// Whether the budget was enough for it.
    pub(crate) is_whole: bool,
}

/// The least and the largest loss of power at 1 kHz, at 4 kHz, and of 4 kHz against 1 kHz, over some states.
pub(crate) type Range = [[f64; 2]; 3];

/// The figures of a state that limits are held against: losses of power at 1 kHz, at 4 kHz, and the one by the other.
type Losses = [f64; 3];

/// Rounds over all switches from one beginning.
const MOST_ROUNDS: usize = 6;

/// Looks for the worst states by turning one switch at a time, from the usual beginnings and some more.
pub(crate) fn climb(
    model: &Model,
    ends: (usize, usize),
    more: &[SwitchPositions],
    budget: &Budget,
) -> Climbed {
    budget.spend(crate::budget::passes(model, 20));
    let points = Sweep::new(vec![1000.0, 4000.0]);
    let mut search = Climb::new(model, ends, &points, budget);
    let starts: Vec<SwitchPositions> = more.iter().cloned().chain(starts(model)).collect();
    let mut worst: Vec<SwitchPositions> = Vec::new();
    for start in &starts {
        for figure in [1, 0, 2] {
            for sign in [1.0, -1.0] {
                if let Some(state) = search.from(start, figure, sign).filter(|state| !worst.contains(state)) {
                    worst.push(state);
                }
            }
        }
    }
    Climbed { worst, losses: search.range(), is_whole: !budget.is_spent() }
}

/// What is lost in some states; `None` where nothing arrives in any of those that are states of the model.
pub(crate) fn look(
    model: &Model,
    ends: (usize, usize),
    states: &[SwitchPositions],
    budget: &Budget,
) -> Option<Range> {
    budget.spend(crate::budget::passes(model, 20));
    let points = Sweep::new(vec![1000.0, 4000.0]);
    let mut search = Climb::new(model, ends, &points, budget);
    for state in states.iter().filter(|state| model.allows(state)) {
        search.losses(state);
    }
    search.range()
}

/// The states that a climb begins at: everything off, every loop in with all else off, everything on.
fn starts(model: &Model) -> Vec<SwitchPositions> {
    let [off, on] = whole(model);
    let is_loop = |switch: usize| model.switches[switch].positions.first().is_some_and(|name| name == "out");
    let loops = (0..off.len()).map(|switch| if is_loop(switch) { on[switch] } else { 0 }).collect();
    let mut out: Vec<SwitchPositions> = Vec::new();
    for state in [off, loops, on] {
        let state = allowed(model, state);
        if !out.contains(&state) {
            out.push(state);
        }
    }
    out
}

/// A state with all but the first of what excludes each other put back to rest.
fn allowed(model: &Model, mut state: SwitchPositions) -> SwitchPositions {
    for set in &model.exclusive {
        let holding = set.iter().filter(|choice| state[choice.switch] == choice.position);
        let rest: Vec<usize> = holding.skip(1).map(|choice| choice.switch).collect();
        for switch in rest {
            state[switch] = 0;
        }
    }
    state
}

struct Climb<'a> {
    model: &'a Model,
    ends: (usize, usize),
    solver: Solver<'a>,
    budget: &'a Budget,
    /// What is known of the states looked at; nothing of those in which nothing arrives.
    known: BTreeMap<SwitchPositions, Option<Losses>>,
}

impl<'a> Climb<'a> {
    fn new(model: &'a Model, ends: (usize, usize), points: &'a Sweep, budget: &'a Budget) -> Self {
        Self { model, ends, solver: Solver::new(model, points, budget), budget, known: BTreeMap::new() }
    }

    /// The least and the largest losses of all states looked at.
    fn range(&self) -> Option<Range> {
        let mut out = [[f64::INFINITY, 0.0]; 3];
        for found in self.known.values().flatten() {
            for ([least, most], loss) in out.iter_mut().zip(found) {
                (*least, *most) = (least.min(*loss), most.max(*loss));
            }
        }
        out[0][0].is_finite().then_some(out)
    }

    /// The state in which one figure, times a sign, is largest, of those that single turns lead to; `None` where nothing
    /// arrives at the beginning or the budget is spent before.
    fn from(&mut self, start: &SwitchPositions, figure: usize, sign: f64) -> Option<SwitchPositions> {
        let mut state = start.clone();
        let mut most = sign * self.losses(&state)?[figure];
        for _ in 0..MOST_ROUNDS {
            let mut is_better = false;
            for switch in 0..state.len() {
                for position in 0..=last(self.model, switch) {
                    if position == state[switch] {
                        continue;
                    }
                    let Some(turned) = self.turned(&state, switch, position) else { continue };
                    let Some(found) = self.losses(&turned) else { continue };
                    if most < sign * found[figure] {
                        (state, most, is_better) = (turned, sign * found[figure], true);
                    }
                }
            }
            if !is_better || self.budget.is_spent() {
                break;
            }
        }
        Some(state)
    }

    /// A state with one switch turned, and what that excludes put back to rest; `None` where that is no state.
    fn turned(&self, state: &SwitchPositions, switch: usize, position: u8) -> Option<SwitchPositions> {
        let mut turned = state.clone();
        turned[switch] = position;
        let holds =
            |choice: &&crate::model::SwitchChoice| choice.switch == switch && choice.position == position;
        for set in self.model.exclusive.iter().filter(|set| set.iter().any(|choice| holds(&choice))) {
            for other in set.iter().filter(|other| other.switch != switch) {
                if turned[other.switch] == other.position {
                    turned[other.switch] = 0;
                }
            }
        }
        self.model.allows(&turned).then_some(turned)
    }

    fn losses(&mut self, state: &SwitchPositions) -> Option<Losses> {
        if let Some(known) = self.known.get(state) {
            return *known;
        }
        if self.budget.is_spent() {
            return None;
        }
        let (source, sink) = self.ends;
        let answer = self.solver.solve(state, source);
        let answer = answer.filter(|answer| !howls(self.model, answer));
        let found = answer.as_ref().and_then(|answer| answer.heard(self.model, sink)).and_then(|values| {
            let [low, high] = [values.first()?.square(), values.get(1)?.square()];
            (0.0 < low && 0.0 < high).then(|| [1.0 / low, 1.0 / high, low / high])
        });
        if !self.budget.is_spent() {
            self.known.insert(state.clone(), found);
        }
        found
    }
}

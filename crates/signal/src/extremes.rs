//! The extremes of level over switching states, and how they are gathered.

use std::collections::BTreeMap;
use std::rc::Rc;

use crate::model::{Model, SwitchPositions};
use crate::section::MOST_COMBINATIONS;

/// Work done, for those who compare.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Work {
    /// Driven nodes that the source can reach.
    pub drivers: usize,
    /// Edges of the graph.
    pub edges: usize,
    /// Combinations enumerated outside the graph.
    pub outer: usize,
    /// States solved one by one.
    pub states: usize,
    /// Steps of work, the unit of the budget.
    pub steps: u64,
}

/// The extremes of one column with the states that reach them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extreme {
    /// In dB; ±∞ where a bound says nothing.
    pub db: f64,
    /// The state, by its place in [`Envelope::states`]; `None` for a bound.
    pub state: Option<usize>,
}

/// The band that every state lies in.
#[derive(Debug, Clone, PartialEq)]
pub struct Envelope {
    /// Whether the extremes are reached; otherwise they are bounds.
    pub exact: bool,
    /// Highest level at each frequency.
    pub upper: Vec<Extreme>,
    /// Lowest level at each frequency, of the states in which signal arrives at all.
    pub lower: Vec<Extreme>,
    /// Highest and lowest difference between two frequencies, when asked for.
    pub difference: Option<[Extreme; 2]>,
    /// The states referred to.
    pub states: Vec<SwitchPositions>,
    /// Whether any state lets signal arrive.
    pub arrives: bool,
    /// What it took.
    pub work: Work,
}

impl Envelope {
    /// The same as bounds: no state is said to reach them.
    pub(crate) fn nameless(mut self) -> Self {
        self.states.clear();
        let pair = self.difference.iter_mut().flatten();
        for extreme in self.upper.iter_mut().chain(&mut self.lower).chain(pair) {
            extreme.state = None;
        }
        self
    }
}

/// Extremes found so far, as losses of power: the least loss is the highest level.
pub(crate) struct Best {
    difference: Option<(usize, usize)>,
    pub(crate) least: Vec<(f64, Option<Rc<[u8]>>)>,
    pub(crate) most: Vec<(f64, Option<Rc<[u8]>>)>,
    pub(crate) arrives: bool,
}

impl Best {
    pub(crate) fn new(size: usize, difference: Option<(usize, usize)>) -> Self {
        let size = size + usize::from(difference.is_some());
        Self {
            difference,
            least: vec![(f64::INFINITY, None); size],
            most: vec![(0.0, None); size],
            arrives: false,
        }
    }

    /// A state's losses; the last column, the difference, is added here.
    pub(crate) fn offer(&mut self, losses: &[f64], state: &[u8]) {
        let extra = self.difference.map(|(first, second)| losses[second] / losses[first]);
        self.arrives = true;
        let mut kept: Option<Rc<[u8]>> = None;
        let mut state = || Some(Rc::clone(kept.get_or_insert_with(|| state.into())));
        for (k, loss) in losses.iter().copied().chain(extra).enumerate() {
            if loss < self.least[k].0 {
                self.least[k] = (loss, state());
            }
            if loss > self.most[k].0 {
                self.most[k] = (loss, state());
            }
        }
    }

    pub(crate) fn envelope(self, exact: bool, work: Work) -> Envelope {
        let mut states: Vec<SwitchPositions> = Vec::new();
        let mut known: BTreeMap<Rc<[u8]>, usize> = BTreeMap::new();
        // Columns beside each other mostly have the state in common.
        let mut last: Option<(Rc<[u8]>, usize)> = None;
        let mut number = |state: Rc<[u8]>| match &last {
            Some((before, number)) if Rc::ptr_eq(before, &state) => *number,
            _ => {
                let number = *known.entry(Rc::clone(&state)).or_insert_with(|| {
                    states.push(state.to_vec());
                    states.len() - 1
                });
                last = Some((state, number));
                number
            }
        };
        let mut extreme = |(loss, state): (f64, Option<Rc<[u8]>>)| Extreme {
            db: -10.0 * libm::log10(loss),
            state: state.map(&mut number),
        };
        let mut upper: Vec<Extreme> = self.least.into_iter().map(&mut extreme).collect();
        let mut lower: Vec<Extreme> = self.most.into_iter().map(&mut extreme).collect();
        let difference = self.difference.and_then(|_| Some([upper.pop()?, lower.pop()?]));
        Envelope { exact, upper, lower, difference, states, arrives: self.arrives, work }
    }
}

/// The product of the numbers of positions, unless there are too many.
pub(crate) fn combinations(model: &Model, switches: &[usize]) -> Option<usize> {
    let mut product = 1usize;
    for switch in switches {
        product = product.checked_mul(model.switches[*switch].positions.len().max(1))?;
        if MOST_COMBINATIONS * 16 < product {
            return None;
        }
    }
    Some(product)
}

/// The positions of the listed switches for a running number; the others at rest.
pub(crate) fn positions(model: &Model, switches: &[usize], mut number: usize) -> SwitchPositions {
    let mut state = model.at_rest();
    for switch in switches {
        let count = model.switches[*switch].positions.len().max(1);
        state[*switch] = u8::try_from(number % count).unwrap_or(0);
        number /= count;
    }
    state
}

//! The highest and lowest level over all switching states, exactly, without visiting them.
//!
//! Nodes of the graph are the source, the sink and (device, variant) pairs that isolate: gain stages. Its edges are
//! those of [`crate::section`]: two nodes with one choice for everything passive between. The level of a state is
//! the product over its edges, so the extremes at each frequency are shortest and longest paths. That holds where
//! paths and states correspond one to one. A switch that would be asked twice on one path with different answers,
//! and exclusive sets, are enumerated outside the graph; where branches sum, or stages feed back, the states
//! themselves are enumerated. Above 2¹² combinations the answer is a pair of bounds.

use std::collections::{BTreeMap, BTreeSet};

use crate::complex::Complex;
use crate::ladder::Sweep;
use crate::model::{Choice, Model, State};
use crate::section::{Driver, Edge, Leaf, MOST_COMBINATIONS, Walker};
use crate::state;

/// Work done, for those who compare.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Work {
    /// Driven nodes that the source can reach.
    pub drivers: usize,
    /// Edges of the graph.
    pub edges: usize,
    /// Combinations enumerated outside the graph.
    pub outer: usize,
    /// Whole states solved one by one.
    pub states: usize,
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
    pub states: Vec<State>,
    /// Whether any state lets signal arrive.
    pub arrives: bool,
    /// What it took.
    pub work: Work,
}

/// The band from a source to a sink, by number. `difference` names two places in the sweep: the extremes of the
/// level at the second minus that at the first are found too.
pub fn envelope(
    model: &Model,
    source: usize,
    sink: usize,
    sweep: &Sweep,
    difference: Option<(usize, usize)>,
) -> Envelope {
    Graph::new(model, source, sink, sweep, difference).solve()
}

/// Every state one by one: the check of the graph, and the way where branches sum.
pub fn enumerate(
    model: &Model,
    source: usize,
    sink: usize,
    sweep: &Sweep,
    difference: Option<(usize, usize)>,
) -> Option<Envelope> {
    let switches: Vec<usize> = (0..model.switches.len()).collect();
    one_by_one(model, source, sink, sweep, difference, &switches)
}

/// The product of the numbers of positions, unless there are too many.
fn combinations(model: &Model, switches: &[usize]) -> Option<usize> {
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
fn positions(model: &Model, switches: &[usize], mut number: usize) -> State {
    let mut state = model.at_rest();
    for switch in switches {
        let count = model.switches[*switch].positions.len().max(1);
        state[*switch] = u8::try_from(number % count).unwrap_or(0);
        number /= count;
    }
    state
}

fn one_by_one(
    model: &Model,
    source: usize,
    sink: usize,
    sweep: &Sweep,
    difference: Option<(usize, usize)>,
    switches: &[usize],
) -> Option<Envelope> {
    let count = combinations(model, switches)?;
    let mut best = Best::new(sweep.len(), difference);
    let mut walker = Walker::keeping_rows(model);
    let mut work = Work::default();
    for number in 0..count {
        let state = positions(model, switches, number);
        if !model.allows(&state) {
            continue;
        }
        work.states += 1;
        let Some(answer) = state::solve_with(&mut walker, &state, source, sweep) else { continue };
        let Some(values) = answer.sink(model, sink) else { continue };
        if values.iter().all(|value| value.square() <= 0.0) {
            continue;
        }
        best.offer(&values.iter().map(|value| 1.0 / Complex::square(*value)).collect::<Vec<_>>(), |_| {
            state.clone()
        });
    }
    Some(best.envelope(true, work))
}

/// Extremes found so far, as losses of power: the least loss is the highest level.
struct Best {
    difference: Option<(usize, usize)>,
    least: Vec<(f64, Option<State>)>,
    most: Vec<(f64, Option<State>)>,
    arrives: bool,
}

impl Best {
    fn new(size: usize, difference: Option<(usize, usize)>) -> Self {
        let size = size + usize::from(difference.is_some());
        Self {
            difference,
            least: vec![(f64::INFINITY, None); size],
            most: vec![(0.0, None); size],
            arrives: false,
        }
    }

    /// A state's losses; the last column, the difference, is added here.
    fn offer(&mut self, losses: &[f64], state: impl Fn(usize) -> State) {
        let extra = self.difference.map(|(first, second)| losses[second] / losses[first]);
        self.arrives = true;
        for (k, loss) in losses.iter().copied().chain(extra).enumerate() {
            if loss < self.least[k].0 {
                self.least[k] = (loss, Some(state(k)));
            }
            if loss > self.most[k].0 {
                self.most[k] = (loss, Some(state(k)));
            }
        }
    }

    fn envelope(self, exact: bool, work: Work) -> Envelope {
        let mut states: Vec<State> = Vec::new();
        let mut known: BTreeMap<State, usize> = BTreeMap::new();
        let mut extreme = |(loss, state): (f64, Option<State>)| Extreme {
            db: -10.0 * libm::log10(loss),
            state: state.map(|state| {
                *known.entry(state.clone()).or_insert_with(|| {
                    states.push(state);
                    states.len() - 1
                })
            }),
        };
        let mut upper: Vec<Extreme> = self.least.into_iter().map(&mut extreme).collect();
        let mut lower: Vec<Extreme> = self.most.into_iter().map(&mut extreme).collect();
        let difference = self.difference.and_then(|_| Some([upper.pop()?, lower.pop()?]));
        Envelope { exact, upper, lower, difference, states, arrives: self.arrives, work }
    }
}

pub(crate) struct Graph<'a> {
    model: &'a Model,
    source: usize,
    sink: usize,
    sweep: &'a Sweep,
    difference: Option<(usize, usize)>,
    /// Sections, each after those it leads to.
    pub(crate) drivers: Vec<Driver>,
    pub(crate) edges: Vec<Vec<Edge>>,
    branched: bool,
    trouble: Trouble,
    work: Work,
}

/// Why the graph alone is no answer.
#[derive(Debug, Clone, Copy, Default)]
struct Trouble {
    ring: bool,
    cut_short: bool,
    feedback: bool,
}

impl<'a> Graph<'a> {
    pub(crate) fn new(
        model: &'a Model,
        source: usize,
        sink: usize,
        sweep: &'a Sweep,
        difference: Option<(usize, usize)>,
    ) -> Self {
        let mut walker = Walker::new(model);
        let mut sections: BTreeMap<Driver, Vec<Edge>> = BTreeMap::new();
        let mut trouble = Trouble::default();
        let mut branched = false;
        let mut open = vec![Driver::Source(source)];
        let mut total = 0;
        while let Some(driver) = open.pop() {
            if sections.contains_key(&driver) {
                continue;
            }
            let section = walker.section(driver, &[], sweep);
            trouble.ring |= section.ring;
            trouble.cut_short |= section.cut_short;
            branched |= section.branched;
            total += section.edges.len();
            if MOST_COMBINATIONS * 8 < total {
                trouble.cut_short = true;
                break;
            }
            open.extend(section.edges.iter().filter_map(|edge| next(edge.leaf)));
            sections.insert(driver, section.edges);
        }
        let mut graph = Self {
            model,
            source,
            sink,
            sweep,
            difference,
            drivers: Vec::new(),
            edges: Vec::new(),
            branched,
            trouble,
            work: Work { drivers: sections.len(), edges: total, ..Work::default() },
        };
        graph.arrange(sections);
        graph
    }

    /// Puts the drivers in order, each after those it leads to, and drops edges that never reach the sink.
    fn arrange(&mut self, mut sections: BTreeMap<Driver, Vec<Edge>>) {
        let start = Driver::Source(self.source);
        // Depth first without recursion: (driver, next edge to look at).
        let mut stack = vec![(start, 0usize)];
        let mut entered: BTreeSet<Driver> = BTreeSet::from([start]);
        let mut done: Vec<Driver> = Vec::new();
        let mut finished: BTreeSet<Driver> = BTreeSet::new();
        while let Some((driver, at)) = stack.pop() {
            let following = sections.get(&driver).and_then(|edges| edges.get(at)).map(|edge| next(edge.leaf));
            match following {
                Some(after) => {
                    stack.push((driver, at + 1));
                    let Some(after) = after else { continue };
                    if entered.insert(after) {
                        stack.push((after, 0));
                    } else if !finished.contains(&after) {
                        self.trouble.feedback = true;
                    }
                }
                None => {
                    finished.insert(driver);
                    done.push(driver);
                }
            }
        }
        let mut reaches: BTreeSet<Driver> = BTreeSet::new();
        for driver in done {
            let mut edges = sections.remove(&driver).unwrap_or_default();
            edges.retain(|edge| match edge.leaf {
                Leaf::Sink(sink) => sink == self.sink,
                Leaf::Stage(stage) => self.trouble.feedback || reaches.contains(&Driver::Stage(stage)),
            });
            if !edges.is_empty() || driver == start {
                reaches.insert(driver);
                self.drivers.push(driver);
                self.edges.push(edges);
            }
        }
    }

    pub(crate) fn solve(&mut self) -> Envelope {
        if !self.trouble.ring && !self.trouble.cut_short && !self.trouble.feedback && !self.sums() {
            let outer = self.outer();
            let Some(count) = combinations(self.model, &outer).filter(|count| *count <= MOST_COMBINATIONS)
            else {
                // Without the switches held together every path counts, also those no state has: bounds.
                let mut best = Best::new(self.sweep.len(), self.difference);
                self.paths(&self.model.at_rest(), &[], &mut best);
                let mut bound = best.envelope(false, self.work);
                bound.states.clear();
                for extreme in bound.upper.iter_mut().chain(&mut bound.lower) {
                    extreme.state = None;
                }
                if let Some(pair) = &mut bound.difference {
                    for extreme in pair {
                        extreme.state = None;
                    }
                }
                return bound;
            };
            let mut best = Best::new(self.sweep.len(), self.difference);
            for number in 0..count {
                let state = positions(self.model, &outer, number);
                if self.model.allows(&state) {
                    self.work.outer += 1;
                    self.paths(&state, &outer, &mut best);
                }
            }
            return best.envelope(true, self.work);
        }
        let switches = self.switches_met();
        if let Some(count) = combinations(self.model, &switches)
            && count <= MOST_COMBINATIONS
            && let Some(mut envelope) =
                one_by_one(self.model, self.source, self.sink, self.sweep, self.difference, &switches)
        {
            envelope.work = Work { states: envelope.work.states, ..self.work };
            return envelope;
        }
        self.bounds()
    }

    /// Whether passive rings or sheer size leave the edges without meaning.
    pub(crate) fn is_blind(&self) -> bool {
        self.trouble.ring || self.trouble.cut_short
    }

    /// The switches that matter for this source and sink; with rings or cut walks, all.
    fn switches_met(&self) -> Vec<usize> {
        if self.trouble.ring || self.trouble.cut_short {
            return (0..self.model.switches.len()).collect();
        }
        let mut out: BTreeSet<usize> =
            self.edges.iter().flatten().flat_map(|edge| edge.choices.iter().map(|choice| choice.0)).collect();
        // Exclusive sets tie further switches to those.
        for set in &self.model.exclusive {
            if set.iter().any(|(switch, _)| out.contains(switch)) {
                out.extend(set.iter().map(|(switch, _)| *switch));
            }
        }
        out.into_iter().collect()
    }

    /// Whether branches sum anywhere on the way to the sink.
    fn sums(&self) -> bool {
        let live: BTreeSet<usize> = self.drivers.iter().map(|driver| self.node_of(*driver)).collect();
        let meets_other =
            self.edges.iter().flatten().any(|edge| edge.others.iter().any(|node| live.contains(node)));
        if meets_other {
            return true;
        }
        self.branched
            && self.edges.iter().any(|edges| {
                edges.iter().enumerate().any(|(index, a)| {
                    edges[index + 1..].iter().any(|b| (a.leaf, a.node) != (b.leaf, b.node) && agree(a, b))
                })
            })
    }

    fn node_of(&self, driver: Driver) -> usize {
        match driver {
            Driver::Source(source) => self.model.sources[source].node,
            Driver::Stage(stage) => {
                let variant = match stage.variant {
                    None => &self.model.fixed,
                    Some((block, position)) => &self.model.blocks[block].variants[usize::from(position)],
                };
                variant.stages[stage.index].output
            }
        }
    }

    /// Switches to hold from outside: those that a path may ask twice with different answers, and exclusive ones.
    fn outer(&self) -> Vec<usize> {
        let met: BTreeSet<usize> =
            self.edges.iter().flatten().flat_map(|edge| edge.choices.iter().map(|choice| choice.0)).collect();
        let mut outer: BTreeSet<usize> = BTreeSet::new();
        for set in &self.model.exclusive {
            if set.iter().any(|(switch, _)| met.contains(switch)) {
                outer.extend(set.iter().map(|(switch, _)| *switch));
            }
        }
        // Positions seen on some way to each driver, as one bit each, from the source on.
        let index: BTreeMap<Driver, usize> =
            self.drivers.iter().enumerate().map(|(at, d)| (*d, at)).collect();
        let width = self.model.switches.len();
        let mut seen: Vec<Vec<u64>> = vec![Vec::new(); self.drivers.len()];
        for at in (0..self.drivers.len()).rev() {
            let here = std::mem::take(&mut seen[at]);
            for edge in &self.edges[at] {
                for (switch, position) in &edge.choices {
                    let before = here.get(*switch).copied().unwrap_or(0);
                    if before & !(1 << (position & 63)) != 0 {
                        outer.insert(*switch);
                    }
                }
                let Some(to) = next(edge.leaf).and_then(|driver| index.get(&driver)) else { continue };
                let there = &mut seen[*to];
                there.resize(width, 0);
                for (mine, theirs) in here.iter().zip(there.iter_mut()) {
                    *theirs |= mine;
                }
                for (switch, position) in &edge.choices {
                    there[*switch] |= 1 << (position & 63);
                }
            }
        }
        outer.into_iter().collect()
    }

    /// Shortest and longest paths at each frequency, with some switches held.
    fn paths(&self, held: &[u8], outer: &[usize], best: &mut Best) {
        let columns = self.sweep.len();
        let size = columns + usize::from(self.difference.is_some());
        let index: BTreeMap<Driver, usize> =
            self.drivers.iter().enumerate().map(|(at, d)| (*d, at)).collect();
        let mut least: Vec<Vec<f64>> = Vec::new();
        let mut most: Vec<Vec<f64>> = Vec::new();
        let mut least_by: Vec<Vec<u64>> = Vec::new();
        let mut most_by: Vec<Vec<u64>> = Vec::new();
        let ones = vec![1.0; size];
        for edges in &self.edges {
            let (mut low, mut high) = (vec![f64::INFINITY; size], vec![0.0; size]);
            let (mut low_by, mut high_by) = (vec![u64::MAX; size], vec![u64::MAX; size]);
            for (number, edge) in edges.iter().enumerate() {
                if edge
                    .choices
                    .iter()
                    .any(|(switch, position)| outer.contains(switch) && held[*switch] != *position)
                {
                    continue;
                }
                let (low_on, high_on) = match next(edge.leaf) {
                    None => (&ones, &ones),
                    Some(driver) => match index.get(&driver) {
                        Some(at) => (&least[*at], &most[*at]),
                        None => continue,
                    },
                };
                let number = u64::try_from(number).unwrap_or(u64::MAX - 1);
                let extra = self.difference.map(|(first, second)| edge.loss[second] / edge.loss[first]);
                keep(&mut low, &mut low_by, &edge.loss, low_on, number, |new, old| new < old);
                keep(&mut high, &mut high_by, &edge.loss, high_on, number, |new, old| new > old);
                if let Some(extra) = extra {
                    let (l, h) = (extra * low_on[columns], extra * high_on[columns]);
                    if l < low[columns] {
                        (low[columns], low_by[columns]) = (l, number);
                    }
                    if h > high[columns] {
                        (high[columns], high_by[columns]) = (h, number);
                    }
                }
            }
            least.push(low);
            most.push(high);
            least_by.push(low_by);
            most_by.push(high_by);
        }
        let Some(start) = self.drivers.len().checked_sub(1) else { return };
        let trace = |by: &[Vec<u64>], k: usize| {
            let mut state = held.to_vec();
            let mut at = start;
            while let Some(edge) = self.edges[at].get(usize::try_from(by[at][k]).unwrap_or(usize::MAX)) {
                for (switch, position) in &edge.choices {
                    state[*switch] = *position;
                }
                match next(edge.leaf).and_then(|driver| index.get(&driver)) {
                    Some(to) => at = *to,
                    None => break,
                }
            }
            state
        };
        for k in 0..size {
            if least[start][k] < best.least[k].0 {
                best.least[k] = (least[start][k], Some(trace(&least_by, k)));
                best.arrives = true;
            }
            if most[start][k] > best.most[k].0 {
                best.most[k] = (most[start][k], Some(trace(&most_by, k)));
            }
        }
    }

    /// Bounds where branches sum in too many states: sizes add at most, and may cancel to nothing.
    fn bounds(&self) -> Envelope {
        let columns = self.sweep.len();
        let open = self.trouble.ring || self.trouble.cut_short || self.trouble.feedback;
        let mut upper = vec![f64::INFINITY; columns];
        let mut lower = vec![f64::NEG_INFINITY; columns];
        if !open {
            let index: BTreeMap<Driver, usize> =
                self.drivers.iter().enumerate().map(|(at, d)| (*d, at)).collect();
            let mut most: Vec<Vec<f64>> = Vec::new();
            let mut least: Vec<Vec<f64>> = Vec::new();
            for edges in &self.edges {
                // Edges of one configuration of the section share their choices.
                let mut together: BTreeMap<Vec<Choice>, Vec<&Edge>> = BTreeMap::new();
                for edge in edges {
                    let mut choices = edge.choices.clone();
                    choices.sort_unstable();
                    together.entry(choices).or_default().push(edge);
                }
                let (mut high, mut low) = (vec![0.0_f64; columns], vec![f64::INFINITY; columns]);
                for edges in together.values() {
                    let alone = edges.len() == 1 && edges[0].others.is_empty();
                    for k in 0..columns {
                        let on = |values: &[Vec<f64>], edge: &Edge| match next(edge.leaf) {
                            None => 1.0,
                            Some(driver) => index.get(&driver).map_or(0.0, |at| values[*at][k]),
                        };
                        let sum: f64 = edges.iter().map(|edge| on(&most, edge) / edge.loss[k].sqrt()).sum();
                        high[k] = high[k].max(sum);
                        let small = if alone { on(&least, edges[0]) / edges[0].loss[k].sqrt() } else { 0.0 };
                        low[k] = low[k].min(small);
                    }
                }
                most.push(high);
                least.push(low);
            }
            if let (Some(high), Some(low)) = (most.pop(), least.pop()) {
                upper = high.iter().map(|size| 20.0 * libm::log10(*size)).collect();
                lower = low.iter().map(|size| 20.0 * libm::log10(*size)).collect();
            }
        }
        let bound = |values: Vec<f64>| values.into_iter().map(|db| Extreme { db, state: None }).collect();
        Envelope {
            exact: false,
            upper: bound(upper),
            lower: bound(lower),
            difference: None,
            states: Vec::new(),
            arrives: !self.edges.is_empty(),
            work: self.work,
        }
    }
}

/// Keeps the better of what is there and loss times what follows, column by column.
///
/// Both outcomes are written, so that no branch depends on the data.
#[inline]
fn keep(
    best: &mut [f64],
    by: &mut [u64],
    loss: &[f64],
    onward: &[f64],
    number: u64,
    better: impl Fn(f64, f64) -> bool,
) {
    for (((best, by), loss), onward) in best.iter_mut().zip(by).zip(loss).zip(onward) {
        let value = loss * onward;
        let take = better(value, *best);
        *best = if take { value } else { *best };
        *by = if take { number } else { *by };
    }
}

/// The driver behind a leaf.
fn next(leaf: Leaf) -> Option<Driver> {
    match leaf {
        Leaf::Stage(stage) => Some(Driver::Stage(stage)),
        Leaf::Sink(_) => None,
    }
}

/// Whether two edges of one driver may hold at once.
fn agree(a: &Edge, b: &Edge) -> bool {
    a.choices
        .iter()
        .all(|(switch, position)| b.choices.iter().all(|(other, there)| switch != other || position == there))
}

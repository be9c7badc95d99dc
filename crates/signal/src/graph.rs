//! The graph whose shortest and longest paths are the extremes: driven nodes, and the ways between them.
//!
//! Nodes of the graph are the source, the sink and (device, variant) pairs that isolate: gain stages. Its edges are
//! those of [`crate::section`]: two nodes with one choice for everything passive between. The level of a state is
//! the product over its edges, so the extremes at each frequency are shortest and longest paths. That holds where
//! paths and states correspond one to one. A switch that would be asked twice on one path with different answers,
//! and exclusive sets, are enumerated outside the graph; where branches part and sum again, the states between are
//! enumerated and become edges of their own ([`crate::segment`]).

use std::collections::{BTreeMap, BTreeSet};

use crate::budget::Budget;
use crate::envelope::{Best, Envelope, Extreme, Work, combinations, one_by_one, positions};
use crate::ladder::Sweep;
use crate::model::{Model, SwitchChoice};
use crate::section::{Driver, Edge, Leaf, MOST_COMBINATIONS, StageRef, Walker};
use crate::segment::{self, Segment};
use crate::state::{Known, Solver};

pub(crate) struct Graph<'a> {
    pub(crate) model: &'a Model,
    pub(crate) source: usize,
    pub(crate) sink: usize,
    pub(crate) sweep: &'a Sweep,
    difference: Option<(usize, usize)>,
    budget: &'a Budget,
    /// Sections, each after those it leads to.
    pub(crate) drivers: Vec<Driver>,
    pub(crate) edges: Vec<Vec<Edge>>,
    branched: bool,
    trouble: Trouble,
    rings: Known,
    pub(crate) work: Work,
}

/// Why the graph alone is no answer.
#[derive(Debug, Clone, Copy, Default)]
struct Trouble {
    cut_short: bool,
    feedback: bool,
}

/// Everything that is driven from a source, with the ways from there to whatever listens, wherever it leads.
#[derive(Default)]
pub(crate) struct Sections {
    pub(crate) by_driver: BTreeMap<Driver, Vec<Edge>>,
    branched: bool,
    trouble: Trouble,
    total: usize,
    /// What was found where passive elements close a ring.
    rings: Known,
}

impl Sections {
    /// Those of every source and stage, reached or not.
    pub(crate) fn all(model: &Model, sweep: &Sweep, budget: &Budget) -> Self {
        let fixed = (0..model.fixed.stages.len()).map(|index| StageRef { variant: None, index });
        let switched = model.blocks.iter().enumerate().flat_map(|(block, of)| {
            (0_u8..).zip(&of.variants).flat_map(move |(position, variant)| {
                let variant_of = Some((block, position));
                (0..variant.stages.len()).map(move |index| StageRef { variant: variant_of, index })
            })
        });
        let sources = (0..model.sources.len()).map(Driver::Source);
        let drivers = sources.chain(fixed.chain(switched).map(Driver::Stage)).collect();
        Self::from(model, drivers, sweep, budget)
    }

    /// Those that are reached from some drivers.
    pub(crate) fn from(model: &Model, first: Vec<Driver>, sweep: &Sweep, budget: &Budget) -> Self {
        budget.spend(crate::budget::passes(model, 20));
        let mut walker = Walker::new(model).within(budget);
        let mut out = Self::default();
        let mut open = first;
        while let Some(driver) = open.pop() {
            if out.by_driver.contains_key(&driver) {
                continue;
            }
            let section = walker.section(driver, &[], sweep);
            let edges = if section.ring && !section.cut_short {
                out.branched = true;
                segment::ring(&walker, driver, sweep, budget).map(|(edges, mut known)| {
                    out.rings.append(&mut known);
                    edges
                })
            } else {
                out.branched |= section.branched;
                (!section.cut_short).then_some(section.edges)
            };
            let edges = edges.unwrap_or_default();
            out.trouble.cut_short |= section.cut_short || (section.ring && edges.is_empty());
            out.total += edges.len();
            if MOST_COMBINATIONS * 8 < out.total || out.trouble.cut_short {
                out.trouble.cut_short = true;
                break;
            }
            open.extend(edges.iter().filter_map(|edge| next(edge.leaf)));
            out.by_driver.insert(driver, edges);
        }
        out
    }

    /// Whether there were more of them than could be followed.
    pub(crate) fn is_cut_short(&self) -> bool {
        self.trouble.cut_short
    }
}

impl<'a> Graph<'a> {
    pub(crate) fn new(
        model: &'a Model,
        source: usize,
        sink: usize,
        sweep: &'a Sweep,
        difference: Option<(usize, usize)>,
        budget: &'a Budget,
    ) -> Self {
        let Sections { by_driver, branched, trouble, total, rings } =
            Sections::from(model, vec![Driver::Source(source)], sweep, budget);
        let mut graph = Self {
            model,
            source,
            sink,
            sweep,
            difference,
            budget,
            drivers: Vec::new(),
            edges: Vec::new(),
            branched,
            trouble,
            rings,
            work: Work { drivers: by_driver.len(), edges: total, ..Work::default() },
        };
        graph.arrange(by_driver);
        for edge in graph.edges.iter_mut().flatten() {
            with_gain(model, edge);
        }
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

    pub(crate) fn solve(&self) -> Envelope {
        if self.trouble.cut_short || self.trouble.feedback {
            return self.each_state().unwrap_or_else(|| self.bounds());
        }
        let segments = segment::split(self, self.branched);
        let mut work = self.work;
        let Some(ways) = self.condensed(segments, &mut work) else { return self.bounds() };
        let (outer, index) = (ways.outer(self.model), ways.index());
        let count = combinations(self.model, &outer).filter(|count| *count <= MOST_COMBINATIONS);
        let columns = self.sweep.len() + usize::from(self.difference.is_some());
        let edges: usize = ways.edges.iter().map(Vec::len).sum();
        let each = crate::budget::steps(edges, columns);
        let mut best = Best::new(self.sweep.len(), self.difference);
        let affordable = count.filter(|count| {
            self.budget.spend(each.saturating_mul(u64::try_from(*count).unwrap_or(u64::MAX)))
        });
        let Some(count) = affordable else {
            // Without the switches held together every path counts, also those no state has: bounds.
            ways.paths(self, &index, &self.model.at_rest(), &[], &mut best);
            return best.envelope(false, work).nameless();
        };
        for number in 0..count {
            let state = positions(self.model, &outer, number);
            if self.model.allows(&state) {
                work.outer += 1;
                ways.paths(self, &index, &state, &outer, &mut best);
            }
        }
        best.envelope(true, work)
    }

    /// The graph with every stretch that sums as edges of its states; `None` where one has too many.
    fn condensed(&self, segments: Vec<Segment>, work: &mut Work) -> Option<Ways<'_>> {
        let mut ways = Ways { drivers: Vec::new(), edges: Vec::new(), made: Vec::new() };
        for segment in segments {
            match segment {
                Segment::Plain(at) => {
                    ways.drivers.push(self.drivers[at]);
                    ways.edges.push(self.edges[at].iter().collect());
                }
                Segment::Sums { first, members, end } => {
                    let share = self.most_of_budget();
                    let found = segment::enumerated(self, first, &members, end, &share);
                    self.budget.settle(&share);
                    let (edges, states) = found?;
                    work.states += states;
                    ways.drivers.push(self.drivers[first]);
                    ways.edges.push(Vec::new());
                    ways.made.push((ways.drivers.len() - 1, edges));
                }
            }
        }
        Some(ways)
    }

    /// What states one by one may take: so much is left that bounds, or a few states, can be told where it is not enough.
    fn most_of_budget(&self) -> Budget {
        Budget::new(self.budget.left() / 4 * 3)
    }

    /// A solver of states that knows what was found already.
    pub(crate) fn solver<'b>(&'b self, budget: &'b Budget) -> Solver<'b> {
        Solver::new(self.model, self.sweep, budget).knowing(self.rings.clone())
    }

    /// Every state one by one, where there are few enough.
    fn each_state(&self) -> Option<Envelope> {
        // Switches that nothing on the way asks stay at rest; where not all ways are known, any of them may matter.
        let switches: Vec<usize> = if self.trouble.cut_short {
            (0..self.model.switches.len()).collect()
        } else {
            let choices = self.edges.iter().flatten().flat_map(|edge| &edge.choices);
            choices.map(|choice| choice.switch).collect::<BTreeSet<_>>().into_iter().collect()
        };
        combinations(self.model, &switches).filter(|count| *count <= MOST_COMBINATIONS)?;
        let share = self.most_of_budget();
        let found =
            one_by_one(self.model, (self.source, self.sink), self.difference, &switches, self.solver(&share));
        self.budget.settle(&share);
        let mut envelope = found?;
        envelope.work = Work { states: envelope.work.states, ..self.work };
        Some(envelope)
    }

    /// Whether sheer size or the budget leaves the edges without meaning.
    pub(crate) fn is_blind(&self) -> bool {
        self.trouble.cut_short
    }

    pub(crate) fn node_of(&self, driver: Driver) -> usize {
        match driver {
            Driver::Source(source) => self.model.sources[source].node,
            Driver::Stage(stage) => self.model.stage_at(stage.variant, stage.index).output,
        }
    }

    /// Bounds where branches sum in too many states: sizes add at most, and may cancel to nothing.
    fn bounds(&self) -> Envelope {
        let columns = self.sweep.len();
        let open = self.trouble.cut_short || self.trouble.feedback;
        let mut upper = vec![f64::INFINITY; columns];
        let mut lower = vec![f64::NEG_INFINITY; columns];
        if !open {
            let index: BTreeMap<Driver, usize> =
                self.drivers.iter().enumerate().map(|(at, d)| (*d, at)).collect();
            let mut most: Vec<Vec<f64>> = Vec::new();
            let mut least: Vec<Vec<f64>> = Vec::new();
            for edges in &self.edges {
                // Edges of one configuration of the section share their choices.
                let mut together: BTreeMap<Vec<SwitchChoice>, Vec<&Edge>> = BTreeMap::new();
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
            arrives: open || !self.edges.iter().all(Vec::is_empty),
            work: self.work,
        }
    }
}

/// Counts the gain of the stage that an edge leads to, a transformer's, as less loss on the edge.
pub(crate) fn with_gain(model: &Model, edge: &mut Edge) {
    let Leaf::Stage(stage) = edge.leaf else { return };
    let gain = model.stage_at(stage.variant, stage.index).gain;
    // Every other stage stands at exactly 1 here.
    if gain.to_bits() != 1.0_f64.to_bits() {
        edge.loss.iter_mut().for_each(|loss| *loss /= gain * gain);
    }
}

/// The graph as paths are sought in it: each driver after those it leads to.
struct Ways<'a> {
    drivers: Vec<Driver>,
    edges: Vec<Vec<&'a Edge>>,
    /// Edges made of the states of a stretch, by the place of their driver.
    made: Vec<(usize, Vec<Edge>)>,
}

impl Ways<'_> {
    fn at(&self, at: usize) -> Vec<&Edge> {
        match self.made.iter().find(|(place, _)| *place == at) {
            Some((_, edges)) => edges.iter().collect(),
            None => self.edges[at].clone(),
        }
    }

    fn index(&self) -> BTreeMap<Driver, usize> {
        self.drivers.iter().enumerate().map(|(at, driver)| (*driver, at)).collect()
    }

    /// Switches to hold from outside: those that a path may ask twice with different answers, and exclusive ones.
    fn outer(&self, model: &Model) -> Vec<usize> {
        let all: Vec<Vec<&Edge>> = (0..self.drivers.len()).map(|at| self.at(at)).collect();
        let met: BTreeSet<usize> =
            all.iter().flatten().flat_map(|edge| edge.choices.iter().map(|choice| choice.switch)).collect();
        let mut outer: BTreeSet<usize> = BTreeSet::new();
        for set in &model.exclusive {
            if set.iter().any(|choice| met.contains(&choice.switch)) {
                outer.extend(set.iter().map(|choice| choice.switch));
            }
        }
        // Positions seen on some way to each driver, as one bit each, from the source on.
        let index = self.index();
        let width = model.switches.len();
        let mut seen: Vec<Vec<u64>> = vec![Vec::new(); self.drivers.len()];
        for at in (0..self.drivers.len()).rev() {
            let here = std::mem::take(&mut seen[at]);
            for edge in &all[at] {
                for SwitchChoice { switch, position } in &edge.choices {
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
                for SwitchChoice { switch, position } in &edge.choices {
                    there[*switch] |= 1 << (position & 63);
                }
            }
        }
        outer.into_iter().collect()
    }

    /// Shortest and longest paths at each frequency, with some switches held.
    fn paths(
        &self,
        graph: &Graph<'_>,
        index: &BTreeMap<Driver, usize>,
        held: &[u8],
        outer: &[usize],
        best: &mut Best,
    ) {
        let columns = graph.sweep.len();
        let size = columns + usize::from(graph.difference.is_some());
        let mut least: Vec<Vec<f64>> = Vec::new();
        let mut most: Vec<Vec<f64>> = Vec::new();
        let mut least_by: Vec<Vec<u64>> = Vec::new();
        let mut most_by: Vec<Vec<u64>> = Vec::new();
        let ones = vec![1.0; size];
        for at in 0..self.drivers.len() {
            let (mut low, mut high) = (vec![f64::INFINITY; size], vec![0.0; size]);
            let (mut low_by, mut high_by) = (vec![u64::MAX; size], vec![u64::MAX; size]);
            for (number, edge) in self.at(at).into_iter().enumerate() {
                let contrary = |choice: &SwitchChoice| {
                    outer.contains(&choice.switch) && held[choice.switch] != choice.position
                };
                if edge.choices.iter().any(contrary) {
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
                let extra = graph.difference.map(|(first, second)| edge.loss[second] / edge.loss[first]);
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
            while let Some(edge) = self.at(at).get(usize::try_from(by[at][k]).unwrap_or(usize::MAX)) {
                for SwitchChoice { switch, position } in &edge.choices {
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
pub(crate) fn next(leaf: Leaf) -> Option<Driver> {
    match leaf {
        Leaf::Stage(stage) => Some(Driver::Stage(stage)),
        Leaf::Sink(_) => None,
    }
}

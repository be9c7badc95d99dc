//! The graph whose shortest and longest paths are the extremes: driven nodes, and the ways between them.
//!
//! Nodes of the graph are the source, the sink and (device, variant) pairs that isolate: gain stages. Its edges are
//! those of [`crate::section`]: two nodes with one choice for everything passive between. The level of a state is
//! the product over its edges, so the extremes at each frequency are shortest and longest paths. That holds where
//! paths and states correspond one to one. A switch that would be asked twice on one path with different answers,
//! and exclusive sets, are enumerated outside the graph; where branches part and sum again, the states between are
//! enumerated and become edges of their own ([`crate::segment`]).

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use rayon::prelude::*;

use crate::budget::Budget;
use crate::envelope::{Best, Envelope, Extreme, Work, combinations, one_by_one, positions};
use crate::ladder::Sweep;
use crate::model::{Model, SwitchChoice};
use crate::section::{Driver, Edge, Leaf, MOST_COMBINATIONS, Section, StageRef, Walker};
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
    /// The drivers behind which ways part.
    branched: BTreeSet<Driver>,
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
        let mut ahead = BTreeMap::new();
        while let Some(driver) = open.pop() {
            if out.by_driver.contains_key(&driver) {
                continue;
            }
            let known = |driver: &Driver| out.by_driver.contains_key(driver) || ahead.contains_key(driver);
            if MANY_DRIVERS <= open.len() && !ahead.contains_key(&driver) {
                let mut waiting: Vec<Driver> = open.iter().copied().filter(|driver| !known(driver)).collect();
                waiting.push(driver);
                waiting.sort_unstable();
                waiting.dedup();
                ahead.extend(side_by_side(model, &waiting, sweep, budget));
            }
            // Counted as if it were walked now, so that the budget ends at the same place however many walk at once.
            let section = match ahead.remove(&driver) {
                Some((section, steps)) if steps <= budget.left() => {
                    budget.spend(steps);
                    section
                }
                _ => walker.section(driver, &[], sweep),
            };
            if section.branched || section.ring {
                out.branched.insert(driver);
            }
            let edges = if section.ring && !section.cut_short {
                segment::ring(&walker, driver, sweep, budget).map(|(edges, mut known)| {
                    out.rings.append(&mut known);
                    edges
                })
            } else {
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

    /// Those of them that a driver leads to.
    fn reached_from(&self, first: Driver) -> Self {
        let mut out = Self { rings: self.rings.clone(), ..Self::default() };
        let mut open = vec![first];
        while let Some(driver) = open.pop() {
            let Some(edges) = self.by_driver.get(&driver).filter(|_| !out.by_driver.contains_key(&driver))
            else {
                continue;
            };
            open.extend(edges.iter().filter_map(|edge| next(edge.leaf)));
            out.total += edges.len();
            out.branched.extend(self.branched.get(&driver));
            out.by_driver.insert(driver, edges.clone());
        }
        out
    }

    /// Whether there were more of them than could be followed.
    pub(crate) fn is_cut_short(&self) -> bool {
        self.trouble.cut_short
    }
}

/// From so many drivers on they are walked side by side.
const MANY_DRIVERS: usize = 12;

/// From so many edges on shortest and longest paths are sought side by side.
const MANY_EDGES: usize = 200;

/// The sections of some drivers, walked on all cores, each with the steps that it took.
fn side_by_side(
    model: &Model,
    drivers: &[Driver],
    sweep: &Sweep,
    budget: &Budget,
) -> Vec<(Driver, (Section, u64))> {
    let left = budget.left();
    let walked = |drivers: &[Driver]| {
        let budget = Budget::new(left);
        let mut walker = Walker::new(model).within(&budget);
        let mut out = Vec::with_capacity(drivers.len());
        for driver in drivers {
            let before = budget.left();
            let section = walker.section(*driver, &[], sweep);
            // What comes after the budget is spent is left to whoever walks one by one.
            if budget.is_spent() {
                break;
            }
            out.push((*driver, (section, before - budget.left())));
        }
        out
    };
    let each = drivers.len().div_ceil(rayon::current_num_threads()).max(4);
    drivers.par_chunks(each).flat_map_iter(walked).collect()
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
        let sections = Sections::from(model, vec![Driver::Source(source)], sweep, budget);
        Self::of(sections, model, (source, sink), sweep, difference, budget)
    }

    /// The same from what is known to lie behind every driver of the model at these frequencies.
    pub(crate) fn knowing(
        sections: &Sections,
        model: &'a Model,
        (source, sink): (usize, usize),
        sweep: &'a Sweep,
        difference: Option<(usize, usize)>,
        budget: &'a Budget,
    ) -> Self {
        if sections.is_cut_short() {
            return Self::new(model, source, sink, sweep, difference, budget);
        }
        let sections = sections.reached_from(Driver::Source(source));
        Self::of(sections, model, (source, sink), sweep, difference, budget)
    }

    fn of(
        sections: Sections,
        model: &'a Model,
        (source, sink): (usize, usize),
        sweep: &'a Sweep,
        difference: Option<(usize, usize)>,
        budget: &'a Budget,
    ) -> Self {
        let Sections { by_driver, branched, trouble, total, rings } = sections;
        let mut graph = Self {
            model,
            source,
            sink,
            sweep,
            difference,
            budget,
            drivers: Vec::new(),
            edges: Vec::new(),
            branched: !branched.is_empty(),
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
        let outer = ways.outer(self.model);
        let count = combinations(self.model, &outer).filter(|count| *count <= MOST_COMBINATIONS);
        let columns = self.sweep.len() + usize::from(self.difference.is_some());
        let edges: usize = ways.edges.iter().map(|edges| edges.len()).sum();
        let each = crate::budget::steps(edges, columns);
        let mut best = Best::new(self.sweep.len(), self.difference);
        let affordable = count.filter(|count| {
            self.budget.spend(each.saturating_mul(u64::try_from(*count).unwrap_or(u64::MAX)))
        });
        let Some(count) = affordable else {
            // Without the switches held together every path counts, also those no state has: bounds.
            ways.paths(self, &self.model.at_rest(), &[], &mut best);
            return best.envelope(false, work).nameless();
        };
        for number in 0..count {
            let state = positions(self.model, &outer, number);
            if self.model.allows(&state) {
                work.outer += 1;
                ways.paths(self, &state, &outer, &mut best);
            }
        }
        best.envelope(true, work)
    }

    /// The graph with every stretch that sums as edges of its states; `None` where one has too many.
    fn condensed(&self, segments: Vec<Segment>, work: &mut Work) -> Option<Ways<'_>> {
        let mut ways = Ways::default();
        for segment in segments {
            match segment {
                Segment::Plain(at) => {
                    ways.drivers.push(self.drivers[at]);
                    ways.edges.push(Cow::Borrowed(&self.edges[at]));
                }
                Segment::Sums { first, members, end } => {
                    let share = self.most_of_budget();
                    let found = segment::enumerated(self, first, &members, end, &share);
                    self.budget.settle(&share);
                    let (edges, states) = found?;
                    work.states += states;
                    ways.drivers.push(self.drivers[first]);
                    ways.edges.push(Cow::Owned(edges));
                }
            }
        }
        ways.find_targets();
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

    /// Whether the source comes together with itself on the way, in a stage of several inputs or on one conductor.
    pub(crate) fn adds_up(&self) -> bool {
        let mut heard: BTreeMap<StageRef, usize> = BTreeMap::new();
        let driven: BTreeSet<usize> = self.drivers.iter().map(|driver| self.node_of(*driver)).collect();
        self.edges.iter().flatten().any(|edge| {
            // Another driver of the way on the same conductor, or another input of the same stage.
            edge.others.iter().any(|node| driven.contains(node))
                || match edge.leaf {
                    Leaf::Stage(stage) => *heard.entry(stage).or_insert(edge.node) != edge.node,
                    Leaf::Sink(_) => false,
                }
        })
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
#[derive(Default)]
struct Ways<'a> {
    drivers: Vec<Driver>,
    /// The edges of each driver; made of states where a stretch sums.
    edges: Vec<Cow<'a, [Edge]>>,
    /// Where each of them leads.
    targets: Vec<Vec<Target>>,
}

/// Where an edge leads.
#[derive(Debug, Clone, Copy)]
enum Target {
    Sink,
    /// A driver, by its place.
    Driver(usize),
    /// Nowhere that a path goes on from.
    Nowhere,
}

impl Ways<'_> {
    fn find_targets(&mut self) {
        let index: BTreeMap<Driver, usize> =
            self.drivers.iter().enumerate().map(|(at, driver)| (*driver, at)).collect();
        let target = |edge: &Edge| match next(edge.leaf) {
            None => Target::Sink,
            Some(driver) => index.get(&driver).map_or(Target::Nowhere, |at| Target::Driver(*at)),
        };
        self.targets = self.edges.iter().map(|edges| edges.iter().map(target).collect()).collect();
    }

    /// The edges of a driver and where they lead.
    fn at(&self, at: usize) -> impl Iterator<Item = (&Edge, Target)> {
        self.edges[at].iter().zip(self.targets[at].iter().copied())
    }

    /// Switches to hold from outside: those that a path may ask twice with different answers, and exclusive ones.
    fn outer(&self, model: &Model) -> Vec<usize> {
        let is_met = |of: &SwitchChoice| {
            let choices = self.edges.iter().flat_map(|edges| edges.iter()).flat_map(|edge| &edge.choices);
            choices.into_iter().any(|choice| choice.switch == of.switch)
        };
        let mut outer: BTreeSet<usize> = BTreeSet::new();
        for set in &model.exclusive {
            if set.iter().any(is_met) {
                outer.extend(set.iter().map(|choice| choice.switch));
            }
        }
        // Positions seen on some way to each driver, as one bit each, from the source on.
        let width = model.switches.len();
        let mut seen: Vec<Vec<u64>> = vec![Vec::new(); self.drivers.len()];
        for at in (0..self.drivers.len()).rev() {
            let here = std::mem::take(&mut seen[at]);
            for (edge, target) in self.at(at) {
                for SwitchChoice { switch, position } in &edge.choices {
                    let before = here.get(*switch).copied().unwrap_or(0);
                    if before & !(1 << (position & 63)) != 0 {
                        outer.insert(*switch);
                    }
                }
                let Target::Driver(to) = target else { continue };
                let there = &mut seen[to];
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
    fn paths(&self, graph: &Graph<'_>, held: &[u8], outer: &[usize], best: &mut Best) {
        let (columns, difference) = (graph.sweep.len(), graph.difference);
        let better = |new: f64, old: f64| new < old;
        let worse = |new: f64, old: f64| new > old;
        let low = || self.extremes(columns, difference, (held, outer), f64::INFINITY, better);
        let high = || self.extremes(columns, difference, (held, outer), 0.0, worse);
        let (least, most) =
            if MANY_EDGES < graph.work.edges { rayon::join(low, high) } else { (low(), high()) };
        let (Some(low), Some(high)) = (least.last(), most.last()) else { return };
        best.arrives |= self.offer(&least, held, &low.values, &mut best.least, better);
        self.offer(&most, held, &high.values, &mut best.most, worse);
    }

    /// The best path from each driver to the sink in each column, by what counts as better.
    fn extremes(
        &self,
        columns: usize,
        difference: Option<(usize, usize)>,
        (held, outer): (&[u8], &[usize]),
        worst: f64,
        better: impl Fn(f64, f64) -> bool,
    ) -> Vec<Extremes> {
        let size = columns + usize::from(difference.is_some());
        let ones = vec![1.0; size];
        let mut out: Vec<Extremes> = Vec::with_capacity(self.drivers.len());
        let contrary =
            |choice: &SwitchChoice| outer.contains(&choice.switch) && held[choice.switch] != choice.position;
        for at in 0..self.drivers.len() {
            let mut best = Extremes::new(worst, size);
            for (number, (edge, target)) in self.at(at).enumerate() {
                if !outer.is_empty() && edge.choices.iter().any(contrary) {
                    continue;
                }
                let onward = match target {
                    Target::Sink => &ones,
                    Target::Driver(to) => &out[to].values,
                    Target::Nowhere => continue,
                };
                let number = u64::try_from(number).unwrap_or(u64::MAX - 1);
                best.keep(0, &edge.loss, onward, number, &better);
                if let Some((first, second)) = difference {
                    best.keep(columns, &[edge.loss[second] / edge.loss[first]], onward, number, &better);
                }
            }
            out.push(best);
        }
        out
    }

    /// Takes over what is better than what was found before, with the states of the paths; whether there was any.
    fn offer(
        &self,
        found: &[Extremes],
        held: &[u8],
        values: &[f64],
        best: &mut [(f64, Option<Rc<[u8]>>)],
        better: impl Fn(f64, f64) -> bool,
    ) -> bool {
        let mut any = false;
        // Columns beside each other mostly share their path.
        let mut last: Option<(usize, Vec<usize>, Rc<[u8]>)> = None;
        for (k, (value, best)) in values.iter().zip(best).enumerate() {
            if !better(*value, best.0) {
                continue;
            }
            any = true;
            let state = match &last {
                Some((of, drivers, state))
                    if drivers.iter().all(|at| found[*at].by[k] == found[*at].by[*of]) =>
                {
                    Rc::clone(state)
                }
                _ => {
                    let (drivers, state) = self.trace(found, held, k);
                    last = Some((k, drivers, Rc::clone(&state)));
                    state
                }
            };
            *best = (*value, Some(state));
        }
        any
    }

    /// The drivers on the path of a column, and the positions of the switches along it.
    fn trace(&self, found: &[Extremes], held: &[u8], k: usize) -> (Vec<usize>, Rc<[u8]>) {
        let (mut state, mut drivers) = (held.to_vec(), Vec::new());
        let mut next = found.len().checked_sub(1);
        while let Some(at) = next {
            drivers.push(at);
            let number = usize::try_from(found[at].by[k]).unwrap_or(usize::MAX);
            let Some(edge) = self.edges[at].get(number) else { break };
            for SwitchChoice { switch, position } in &edge.choices {
                state[*switch] = *position;
            }
            next = match self.targets[at][number] {
                Target::Driver(to) => Some(to),
                Target::Sink | Target::Nowhere => None,
            };
        }
        (drivers, state.into())
    }
}

/// The best loss from a driver to the sink in each column, and the edge that it begins with.
struct Extremes {
    values: Vec<f64>,
    by: Vec<u64>,
}

impl Extremes {
    fn new(worst: f64, size: usize) -> Self {
        Self { values: vec![worst; size], by: vec![u64::MAX; size] }
    }

    /// Keeps the better of what is there and loss times what follows, column by column from the first one on.
    ///
    /// Both outcomes are written, so that no branch depends on the data.
    #[inline]
    fn keep(
        &mut self,
        first: usize,
        loss: &[f64],
        onward: &[f64],
        number: u64,
        better: impl Fn(f64, f64) -> bool,
    ) {
        let kept = self.values[first..].iter_mut().zip(&mut self.by[first..]);
        for (((best, by), loss), onward) in kept.zip(loss).zip(&onward[first..]) {
            let value = loss * onward;
            let take = better(value, *best);
            *best = if take { value } else { *best };
            *by = if take { number } else { *by };
        }
    }
}

/// The driver behind a leaf.
pub(crate) fn next(leaf: Leaf) -> Option<Driver> {
    match leaf {
        Leaf::Stage(stage) => Some(Driver::Stage(stage)),
        Leaf::Sink(_) => None,
    }
}

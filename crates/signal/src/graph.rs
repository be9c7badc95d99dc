//! The graph whose shortest and longest paths are the extremes: driven nodes, and the ways between them.
//!
//! Nodes of the graph are the source, the sink and (device, variant) pairs that isolate: gain stages. Its edges are
//! those of [`crate::section`]: two nodes with one choice for everything passive between. The level of a state is
//! the product over its edges, so the extremes at each frequency are shortest and longest paths. That holds where
//! paths and states correspond one to one. A switch that would be asked twice on one path with different answers
//! is enumerated outside the graph; what excludes each other is kept along each path ([`crate::ways`]); where branches part and sum again, the states between are
//! enumerated and become edges of their own ([`crate::segment`]).

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;

use crate::budget::Budget;
use crate::envelope::one_by_one;
use crate::extremes::{Best, Envelope, Extreme, Work, combinations, positions};
use crate::ladder::Sweep;
use crate::model::{Model, SwitchChoice};
use crate::section::{Driver, Edge, Leaf, MOST_COMBINATIONS, Section, StageRef, Walker, next};
use crate::segment::{self, Segment};
use crate::state::{Known, Solver, is_lost};
use crate::ways::Ways;

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
        // What a pot at its heel lets through is nothing, whatever follows.
        let heard = by_driver.into_iter().map(|(driver, mut edges)| {
            edges.retain(|edge| !is_lost(&edge.loss));
            (driver, edges)
        });
        graph.arrange(heard.collect());
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
        let outer = ways.outer();
        let count = combinations(self.model, outer).filter(|count| *count <= MOST_COMBINATIONS);
        let columns = self.sweep.len() + usize::from(self.difference.is_some());
        let each = crate::budget::steps(ways.looks(), columns);
        let mut best = Best::new(self.sweep.len(), self.difference);
        let affordable = count.filter(|count| {
            self.budget.spend(each.saturating_mul(u64::try_from(*count).unwrap_or(u64::MAX)))
        });
        let Some(count) = affordable else {
            // Without the switches held together every path counts, also those no state has: bounds.
            ways.paths(self.sweep.len(), self.difference, (&self.model.at_rest(), &[]), &mut best);
            return best.envelope(false, work).nameless();
        };
        for number in 0..count {
            let state = positions(self.model, outer, number);
            if self.model.allows(&state) {
                work.outer += 1;
                ways.paths(self.sweep.len(), self.difference, (&state, outer), &mut best);
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
                    ways.add(self.drivers[at], Cow::Borrowed(&self.edges[at]));
                }
                Segment::Sums { first, members, end } => {
                    let share = self.most_of_budget();
                    let found = segment::enumerated(self, first, &members, end, &share);
                    self.budget.settle(&share);
                    let (edges, states) = found?;
                    work.states += states;
                    ways.add(self.drivers[first], Cow::Owned(edges));
                }
            }
        }
        ways.finish(self.model);
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

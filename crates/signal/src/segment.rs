//! Stretches of the graph whose states are enumerated: where branches part and sum again, and where passive elements
//! close a ring. Each state of a stretch becomes one edge, so that everything before and behind stays paths.

use std::collections::BTreeMap;

use crate::budget::Budget;
use crate::complex::Complex;
use crate::extremes::{combinations, positions};
use crate::graph::{Graph, with_gain};
use crate::ladder::Sweep;
use crate::model::{Model, SwitchChoice};
use crate::section::{Driver, Edge, Leaf, MOST_COMBINATIONS, StageRef, Walker, next};
use crate::state::{self, Behind, Known, is_heard};

/// A stretch of the graph between two drivers that every path passes. Places are those of [`Graph::drivers`].
pub(crate) enum Segment {
    /// One driver, its edges as they are.
    Plain(usize),
    /// From the first driver to the next one that every path passes, the sink where that is `None`.
    Sums { first: usize, members: Vec<usize>, end: Option<usize> },
}

/// Cuts a graph where every path passes, and says which stretches sum. The last of them begins at the source.
pub(crate) fn split(graph: &Graph<'_>, branched: bool) -> Vec<Segment> {
    let index: BTreeMap<Driver, usize> =
        graph.drivers.iter().enumerate().map(|(at, driver)| (*driver, at)).collect();
    // Each driver stands after those it leads to, the source last. A driver that no edge from before it passes over is
    // one that every path passes; an edge to the sink passes over all that is left.
    let (mut cuts, mut lowest) = (Vec::new(), Some(graph.drivers.len()));
    for at in (0..graph.drivers.len()).rev() {
        let Some(reach) = lowest else { break };
        if at <= reach {
            cuts.push(at);
        }
        for edge in &graph.edges[at] {
            let to = next(edge.leaf).and_then(|driver| index.get(&driver)).copied();
            lowest = lowest.zip(to).map(|(a, b)| a.min(b));
        }
    }
    finish(graph, branched, &cuts)
}

fn finish(graph: &Graph<'_>, branched: bool, cuts: &[usize]) -> Vec<Segment> {
    let mut out = Vec::new();
    for (number, first) in cuts.iter().enumerate() {
        let end = cuts.get(number + 1).copied();
        let lowest = end.map_or(0, |end| end + 1);
        let members: Vec<usize> = (lowest..=*first).collect();
        if sums(graph, branched, &members) {
            out.push(vec![Segment::Sums { first: *first, members, end }]);
        } else {
            out.push(members.into_iter().map(Segment::Plain).collect());
        }
    }
    out.into_iter().rev().flatten().collect()
}

/// Whether branches sum anywhere within some drivers' edges.
fn sums(graph: &Graph<'_>, branched: bool, members: &[usize]) -> bool {
    let live: Vec<usize> = graph.drivers.iter().map(|driver| graph.node_of(*driver)).collect();
    let edges = || members.iter().map(|at| &graph.edges[*at]);
    if edges().flatten().any(|edge| edge.others.iter().any(|node| live.contains(node))) {
        return true;
    }
    branched
        && edges().any(|edges| {
            edges.iter().enumerate().any(|(index, a)| {
                edges[index + 1..].iter().any(|b| (a.leaf, a.node) != (b.leaf, b.node) && agree(a, b))
            })
        })
}

/// Some switches where a state has them.
fn choices_of(switches: &[usize], state: &[u8]) -> Vec<SwitchChoice> {
    switches.iter().map(|&switch| SwitchChoice { switch, position: state[switch] }).collect()
}

/// Whether two edges of one driver may hold at once.
fn agree(a: &Edge, b: &Edge) -> bool {
    a.choices
        .iter()
        .all(|one| b.choices.iter().all(|other| one.switch != other.switch || one.position == other.position))
}

/// The states of a stretch that sums as edges, and how many there were; `None` where there are too many.
pub(crate) fn enumerated(
    graph: &Graph<'_>,
    first: usize,
    members: &[usize],
    end: Option<usize>,
    budget: &Budget,
) -> Option<(Vec<Edge>, usize)> {
    let mut switches: Vec<usize> = members
        .iter()
        .flat_map(|at| &graph.edges[*at])
        .flat_map(|edge| edge.choices.iter().map(|choice| choice.switch))
        .collect();
    switches.sort_unstable();
    switches.dedup();
    let model = graph.model;
    let count = combinations(model, &switches).filter(|count| *count <= MOST_COMBINATIONS)?;
    let (start, stop) = (graph.drivers[first], end.map(|end| graph.drivers[end]));
    let stop = match stop {
        Some(Driver::Stage(stage)) => Some(stage),
        _ => None,
    };
    budget.spend(crate::budget::passes(model, 20));
    let mut solver = graph.solver(budget);
    let mut out = Vec::new();
    let mut tried = 0;
    for number in 0..count {
        let state = positions(model, &switches, number);
        if !holds(model, start, &state)
            || stop.is_some_and(|stage| !holds(model, Driver::Stage(stage), &state))
        {
            continue;
        }
        let answer = solver.between(&state, start, stop);
        tried += 1;
        let all = solver.least_cost().saturating_mul(u64::try_from(count).unwrap_or(u64::MAX));
        if budget.is_spent() || (tried == 1 && budget.left() < all) {
            return None;
        }
        let Some(answer) = answer else { continue };
        let mut values = vec![Complex::ZERO; graph.sweep.len()];
        let (leaf, nodes) = match stop {
            Some(stage) => (Leaf::Stage(stage), solver.stage(stage).inputs.clone()),
            None => (Leaf::Sink(graph.sink), vec![model.sinks[graph.sink].node]),
        };
        for voltages in nodes.iter().filter_map(|node| answer.voltages.get(node)) {
            for (sum, value) in values.iter_mut().zip(voltages) {
                *sum = *sum + *value;
            }
        }
        if !is_heard(&values) {
            continue;
        }
        let mut edge = Edge {
            leaf,
            node: nodes.first().copied().unwrap_or(0),
            choices: choices_of(&switches, &state),
            others: Vec::new(),
            turns: 1.0,
            row: None,
            loss: values.iter().map(|value| 1.0 / value.square()).collect(),
        };
        with_gain(model, &mut edge);
        out.push(edge);
    }
    Some((out, tried))
}

/// Whether a driver is there in a state.
fn holds(model: &Model, driver: Driver, state: &[u8]) -> bool {
    match driver {
        Driver::Stage(StageRef { variant: Some((block, position)), .. }) => {
            state[model.blocks[block].switch] == position
        }
        _ => true,
    }
}

/// The edges of a section with a ring of passive elements, state by state, and what was found on the way; `None` where
/// there are too many.
pub(crate) fn ring(
    walker: &Walker<'_>,
    driver: Driver,
    sweep: &Sweep,
    budget: &Budget,
) -> Option<(Vec<Edge>, Known)> {
    let model = walker.model;
    let behind = Behind::new(walker, driver);
    let others: Vec<usize> = walker.behind(driver).1.into_iter().collect();
    let switches = &behind.switches;
    let count = combinations(model, switches).filter(|count| *count <= MOST_COMBINATIONS)?;
    let (mut out, mut known) = (Vec::new(), Known::new());
    for number in 0..count {
        let state = positions(model, switches, number);
        if !holds(model, driver, &state) {
            continue;
        }
        let before = budget.left();
        let links = state::ring(model, &state, walker.node_of(driver), sweep, budget)?;
        if number == 0
            && budget.left()
                < (before - budget.left()).saturating_mul(u64::try_from(count).unwrap_or(u64::MAX))
        {
            return None;
        }
        let choices = choices_of(switches, &state);
        out.extend(links.iter().filter(|link| link.transfer.iter().any(|v| v.square() > 0.0)).map(|link| {
            Edge {
                leaf: link.leaf,
                node: link.node,
                choices: choices.clone(),
                others: others.clone(),
                turns: 1.0,
                row: None,
                loss: link.transfer.iter().map(|value| 1.0 / value.square()).collect(),
            }
        }));
        if let Some(code) = behind.code(&state) {
            known.insert((driver, code), links);
        }
    }
    Some((out, known))
}

//! One switching state: every section solved by the walk, rings by nodal analysis, and put together in order.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use crate::budget::{Budget, WHOLE};
use crate::complex::Complex;
use crate::ladder::{Row, Sweep};
use crate::model::{Circuit, EARTH, Model, Node, SwitchChoice, Terminal};
use crate::nodal::Ordered;
use crate::section::{Driver, Leaf, StageRef, Walker};

/// From a driver to a node where something listens, in one state.
#[derive(Debug, Clone)]
pub(crate) struct Link {
    pub(crate) leaf: Leaf,
    pub(crate) node: Node,
    /// Voltage at the node for 1 V at the driver.
    pub(crate) transfer: Vec<Complex>,
    /// Impedance from the node to earth with all drivers at nought.
    pub(crate) impedance: Impedance,
}

/// An impedance at every frequency, not worked out before it is asked for.
#[derive(Debug, Clone)]
pub(crate) enum Impedance {
    /// From the row of a walk.
    Row(Row),
    /// At a node of a circuit of its own, for nodal analysis.
    Probed(Rc<Circuit>, Node),
}

impl Impedance {
    /// Its real part at every frequency, what makes noise.
    pub(crate) fn real(&self, sweep: &Sweep) -> Vec<f64> {
        const PROBE: f64 = 100e3;
        match self {
            Self::Row(row) => (0..sweep.len()).map(|k| row.impedance(k).re).collect(),
            Self::Probed(circuit, node) => {
                // Driven through a known resistance with the driver at nought.
                let mut probe = (**circuit).clone();
                probe.sources.push(Terminal { id: String::new(), node: probe.nodes.len() });
                probe.nodes.push(String::new());
                probe.elements.push(crate::model::Element {
                    name: String::new(),
                    a: probe.nodes.len() - 1,
                    b: *node,
                    part: crate::model::Part::Resistor(PROBE),
                });
                let ordered = Ordered::new(&probe);
                let at = |hertz: &f64| {
                    let v = ordered.voltages(1, *hertz)?[*node];
                    Some((v / (Complex::ONE - v)).times(PROBE).re)
                };
                sweep.hertz.iter().map(|hertz| at(hertz).unwrap_or(0.0)).collect()
            }
        }
    }
}

/// What one state does to the EMF of one source.
#[derive(Debug, Clone)]
pub(crate) struct Answer {
    /// Voltages of the nodes where something listens, for 1 V of EMF.
    pub(crate) voltages: BTreeMap<Node, Vec<Complex>>,
    /// The sections, in the order signal passes them.
    pub(crate) sections: Vec<(Driver, Vec<Link>)>,
}

impl Answer {
    /// The voltage at a sink; `None` when nothing gets there.
    pub(crate) fn sink(&self, model: &Model, sink: usize) -> Option<&Vec<Complex>> {
        self.voltages.get(&model.sinks[sink].node)
    }
}

/// The voltages that a source makes in a state; `None` when the network has no unique answer, or none within the budget.
pub(crate) fn solve(
    model: &Model,
    state: &[u8],
    source: usize,
    sweep: &Sweep,
    budget: &Budget,
) -> Option<Answer> {
    let mut walker = Walker::keeping_rows(model).within(budget);
    solve_walking(&mut walker, state, source, sweep)
}

/// [`solve`] with a walker made before, for many states of one model.
pub(crate) fn solve_walking(
    walker: &mut Walker<'_>,
    state: &[u8],
    source: usize,
    sweep: &Sweep,
) -> Option<Answer> {
    solve_between(walker, state, Driver::Source(source), None, sweep)
}

/// The voltages that 1 V of one driver makes in a state, as far as the stage where it ends.
///
/// `None` when the network has no unique answer, or the walker's budget is spent.
pub(crate) fn solve_between(
    walker: &mut Walker<'_>,
    state: &[u8],
    start: Driver,
    stop: Option<StageRef>,
    sweep: &Sweep,
) -> Option<Answer> {
    let model = walker.model;
    let held = SwitchChoice::all_of(state);
    let mut sections: BTreeMap<Driver, Vec<Link>> = BTreeMap::new();
    let mut open = vec![start];
    while let Some(driver) = open.pop() {
        if sections.contains_key(&driver) {
            continue;
        }
        let section = walker.section(driver, &held, sweep);
        let spent = walker.budget().is_some_and(Budget::is_spent);
        if section.cut_short {
            return if spent { None } else { whole(model, state, start, sweep, walker.budget()) };
        }
        let links = if section.ring {
            ring(model, state, walker.node_of(driver), sweep, walker.budget())?
        } else {
            section
                .edges
                .into_iter()
                .filter_map(|edge| {
                    let row = edge.row?;
                    Some(Link {
                        leaf: edge.leaf,
                        node: edge.node,
                        transfer: row.voltages(sweep),
                        impedance: Impedance::Row(row),
                    })
                })
                .collect()
        };
        open.extend(links.iter().filter_map(|link| match link.leaf {
            Leaf::Stage(stage) if stop != Some(stage) => Some(Driver::Stage(stage)),
            _ => None,
        }));
        sections.insert(driver, links);
    }
    let Some(order) = in_order(&sections, start) else {
        return whole(model, state, start, sweep, walker.budget());
    };
    let mut voltages: BTreeMap<Node, Vec<Complex>> = BTreeMap::new();
    let mut out = Vec::new();
    for driver in order {
        let Some(links) = sections.remove(&driver) else { continue };
        let drive: Vec<Complex> = match driver {
            Driver::Stage(stage) if driver != start => {
                let stage = walker.stage(stage);
                let mut sum = vec![Complex::ZERO; sweep.len()];
                for input in stage.inputs.iter().filter_map(|input| voltages.get(input)) {
                    for ((sum, value), hertz) in sum.iter_mut().zip(input).zip(&sweep.hertz) {
                        *sum = *sum + *value * stage.transfer(std::f64::consts::TAU * hertz);
                    }
                }
                sum
            }
            _ => vec![Complex::ONE; sweep.len()],
        };
        let mut done = BTreeSet::new();
        for link in links.iter().filter(|link| done.insert(link.node)) {
            let at = voltages.entry(link.node).or_insert_with(|| vec![Complex::ZERO; sweep.len()]);
            for k in 0..sweep.len() {
                at[k] = at[k] + drive[k] * link.transfer[k];
            }
        }
        out.push((driver, links));
    }
    Some(Answer { voltages, sections: out })
}

/// Drivers so that each comes after all that feed it; `None` where stages feed back.
fn in_order(sections: &BTreeMap<Driver, Vec<Link>>, start: Driver) -> Option<Vec<Driver>> {
    let mut waits: BTreeMap<Driver, usize> = sections.keys().map(|driver| (*driver, 0)).collect();
    let after = |driver: &Driver| -> Vec<Driver> {
        sections[driver]
            .iter()
            .filter_map(|link| match link.leaf {
                Leaf::Stage(stage) => {
                    Some(Driver::Stage(stage)).filter(|driver| sections.contains_key(driver))
                }
                Leaf::Sink(_) => None,
            })
            .collect()
    };
    for driver in sections.keys() {
        for next in after(driver) {
            *waits.entry(next).or_default() += 1;
        }
    }
    let mut ready = vec![start];
    let mut out = Vec::new();
    if waits.get(&start).copied() != Some(0) {
        return None;
    }
    while let Some(driver) = ready.pop() {
        out.push(driver);
        for next in after(&driver) {
            let count = waits.entry(next).or_default();
            *count -= 1;
            if *count == 0 {
                ready.push(next);
            }
        }
    }
    (out.len() == sections.len()).then_some(out)
}

/// What listens in a state: stages by their input nodes, and sinks.
fn listeners(model: &Model, state: &[u8]) -> Vec<(Leaf, Node)> {
    let mut out = Vec::new();
    for (index, stage) in model.fixed.stages.iter().enumerate() {
        let leaf = Leaf::Stage(StageRef { variant: None, index });
        out.extend(stage.inputs.iter().map(|input| (leaf, *input)));
    }
    for (block, one) in model.blocks.iter().enumerate() {
        let position = state[one.switch];
        let Some(variant) = one.variants.get(usize::from(position)) else { continue };
        for (index, stage) in variant.stages.iter().enumerate() {
            let leaf = Leaf::Stage(StageRef { variant: Some((block, position)), index });
            out.extend(stage.inputs.iter().map(|input| (leaf, *input)));
        }
    }
    out.extend(model.sinks.iter().enumerate().map(|(index, sink)| (Leaf::Sink(index), sink.node)));
    out
}

/// A section with a ring of passive elements: nodal analysis of that section alone.
pub(crate) fn ring(
    model: &Model,
    state: &[u8],
    driver: Node,
    sweep: &Sweep,
    budget: Option<&Budget>,
) -> Option<Vec<Link>> {
    let circuit = model.circuit(state);
    let (part, number) = section_alone(&circuit, driver);
    let here: Vec<(Leaf, Node)> =
        listeners(model, state).into_iter().filter(|(_, node)| number.contains_key(node)).collect();
    let ordered = affordable(&part, sweep, budget)?;
    let mut transfers = vec![Vec::with_capacity(sweep.len()); here.len()];
    for hertz in &sweep.hertz {
        let voltages = ordered.voltages(0, *hertz)?;
        for ((_, node), transfer) in here.iter().zip(&mut transfers) {
            transfer.push(voltages[number[node]]);
        }
    }
    let part = Rc::new(part.clone());
    let links = here
        .iter()
        .zip(transfers)
        .map(|((leaf, node), transfer)| Link {
            leaf: *leaf,
            node: *node,
            transfer,
            impedance: Impedance::Probed(Rc::clone(&part), number[node]),
        })
        .collect();
    Some(links)
}

/// The passive network behind a driven node, with what each node of the whole is called in it.
fn section_alone(circuit: &Circuit, driver: Node) -> (Circuit, BTreeMap<Node, Node>) {
    let mut driven: BTreeSet<Node> = circuit.sources.iter().map(|terminal| terminal.node).collect();
    driven.extend(circuit.stages.iter().map(|stage| stage.output));
    let mut at: BTreeMap<Node, Vec<usize>> = BTreeMap::new();
    for (index, element) in circuit.elements.iter().enumerate() {
        at.entry(element.a).or_default().push(index);
        at.entry(element.b).or_default().push(index);
    }
    let mut number: BTreeMap<Node, Node> = BTreeMap::from([(driver, 1)]);
    let mut open = vec![driver];
    while let Some(node) = open.pop() {
        for element in at.get(&node).into_iter().flatten().map(|index| &circuit.elements[*index]) {
            let there = if element.a == node { element.b } else { element.a };
            if there != EARTH && !driven.contains(&there) && !number.contains_key(&there) {
                number.insert(there, number.len() + 1);
                open.push(there);
            }
        }
    }
    let inner = |node: Node| number.get(&node).copied();
    let mut part = Circuit {
        nodes: vec![String::new(); number.len() + 1],
        elements: Vec::new(),
        stages: Vec::new(),
        sources: vec![Terminal { id: String::new(), node: 1 }],
        sinks: Vec::new(),
    };
    for element in &circuit.elements {
        let (a, b) = (inner(element.a), inner(element.b));
        if a.is_some() || b.is_some() {
            // What is not of this section is earth or another driven node, and that is earth here.
            part.elements.push(crate::model::Element {
                a: a.unwrap_or(EARTH),
                b: b.unwrap_or(EARTH),
                ..element.clone()
            });
        }
    }
    (part, number)
}

/// A circuit in its order of elimination, where the budget allows its sweep.
fn affordable<'a>(circuit: &'a Circuit, sweep: &Sweep, budget: Option<&Budget>) -> Option<Ordered<'a>> {
    let size = u64::try_from(circuit.nodes.len()).unwrap_or(u64::MAX);
    // A list of every element, and for the order a few sets of each node's neighbours.
    if budget.is_some_and(|budget| !budget.spend(size.saturating_mul(600))) {
        return None;
    }
    let ordered = Ordered::new(circuit);
    let frequencies = u64::try_from(sweep.len()).unwrap_or(u64::MAX);
    let each = ordered.work() + size.saturating_mul(size) / 8;
    if budget.is_some_and(|budget| !budget.spend(each.saturating_mul(frequencies))) {
        return None;
    }
    Some(ordered)
}

/// Stages that feed back, or a network beyond the walk: nodal analysis of the whole.
fn whole(
    model: &Model,
    state: &[u8],
    start: Driver,
    sweep: &Sweep,
    budget: Option<&Budget>,
) -> Option<Answer> {
    let Driver::Source(source) = start else { return None };
    let circuit = model.circuit(state);
    let here = listeners(model, state);
    let ordered = affordable(&circuit, sweep, budget)?;
    let mut voltages: BTreeMap<Node, Vec<Complex>> = BTreeMap::new();
    for hertz in &sweep.hertz {
        let all = ordered.voltages(source, *hertz)?;
        for node in here.iter().map(|(_, node)| *node).collect::<BTreeSet<_>>() {
            voltages.entry(node).or_default().push(all[node]);
        }
    }
    voltages.retain(|_, values| values.iter().any(|value| value.square() > 0.0));
    Some(Answer { voltages, sections: Vec::new() })
}

/// The response from a source to a sink of a model in one state, by number; `None` when nothing arrives.
pub fn respond(
    model: &Model,
    state: &[u8],
    source: usize,
    sink: usize,
    sweep: &Sweep,
) -> Option<Vec<Complex>> {
    solve(model, state, source, sweep, &Budget::new(WHOLE))?
        .sink(model, sink)
        .filter(|values| values.iter().any(|value| value.square() > 0.0))
        .cloned()
}

//! One switching state: every section solved by the walk, rings by nodal analysis, and put together in order.

use std::collections::{BTreeMap, BTreeSet};

use crate::complex::Complex;
use crate::ladder::{Row, Sweep};
use crate::model::{Choice, Circuit, EARTH, Model, Node, Terminal};
use crate::nodal;
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
    /// Found by nodal analysis.
    Known(Vec<Complex>),
}

impl Impedance {
    /// At a place in the sweep.
    pub(crate) fn at(&self, k: usize) -> Complex {
        match self {
            Self::Row(row) => row.impedance(k),
            Self::Known(values) => values[k],
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

/// The voltages that a source makes in a state; `None` when the network has no unique answer.
pub(crate) fn solve(model: &Model, state: &[u8], source: usize, sweep: &Sweep) -> Option<Answer> {
    let mut walker = Walker::keeping_rows(model);
    solve_with(&mut walker, state, source, sweep)
}

/// [`solve`] with a walker made before, for many states of one model.
pub(crate) fn solve_with(
    walker: &mut Walker<'_>,
    state: &[u8],
    source: usize,
    sweep: &Sweep,
) -> Option<Answer> {
    let model = walker.model;
    let held: Vec<Choice> = state.iter().copied().enumerate().collect();
    let mut sections: BTreeMap<Driver, Vec<Link>> = BTreeMap::new();
    let mut open = vec![Driver::Source(source)];
    while let Some(driver) = open.pop() {
        if sections.contains_key(&driver) {
            continue;
        }
        let section = walker.section(driver, &held, sweep);
        if section.cut_short {
            return whole(model, state, source, sweep);
        }
        let links = if section.ring {
            ring(model, state, walker.node_of(driver), sweep)?
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
            Leaf::Stage(stage) => Some(Driver::Stage(stage)),
            Leaf::Sink(_) => None,
        }));
        sections.insert(driver, links);
    }
    let Some(order) = in_order(&sections, Driver::Source(source)) else {
        return whole(model, state, source, sweep);
    };
    let mut voltages: BTreeMap<Node, Vec<Complex>> = BTreeMap::new();
    let mut out = Vec::new();
    for driver in order {
        let Some(links) = sections.remove(&driver) else { continue };
        let drive: Vec<Complex> = match driver {
            Driver::Source(_) => vec![Complex::ONE; sweep.len()],
            Driver::Stage(stage) => {
                let stage = walker.stage(stage);
                let mut sum = vec![Complex::ZERO; sweep.len()];
                for input in stage.inputs.iter().filter_map(|input| voltages.get(input)) {
                    for ((sum, value), hertz) in sum.iter_mut().zip(input).zip(&sweep.hertz) {
                        *sum = *sum + *value * stage.transfer(std::f64::consts::TAU * hertz);
                    }
                }
                sum
            }
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
                Leaf::Stage(stage) => Some(Driver::Stage(stage)),
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
fn ring(model: &Model, state: &[u8], driver: Node, sweep: &Sweep) -> Option<Vec<Link>> {
    let circuit = model.circuit(state);
    let mut driven: BTreeSet<Node> = circuit.sources.iter().map(|terminal| terminal.node).collect();
    driven.extend(circuit.stages.iter().map(|stage| stage.output));
    let mut number: BTreeMap<Node, Node> = BTreeMap::from([(driver, 1)]);
    let mut open = vec![driver];
    while let Some(node) = open.pop() {
        for element in &circuit.elements {
            for (here, there) in [(element.a, element.b), (element.b, element.a)] {
                if here == node && there != EARTH && !driven.contains(&there) && !number.contains_key(&there)
                {
                    number.insert(there, number.len() + 1);
                    open.push(there);
                }
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
    let here: Vec<(Leaf, Node)> =
        listeners(model, state).into_iter().filter(|(_, node)| number.contains_key(node)).collect();
    let mut links: Vec<Link> = here
        .iter()
        .map(|(leaf, node)| Link {
            leaf: *leaf,
            node: *node,
            transfer: Vec::new(),
            impedance: Impedance::Known(Vec::new()),
        })
        .collect();
    for hertz in &sweep.hertz {
        let voltages = nodal::voltages(&part, 0, *hertz)?;
        for link in &mut links {
            link.transfer.push(voltages[number[&link.node]]);
        }
    }
    // The impedance at a node: driven through a known resistance with the driver at nought.
    for link in &mut links {
        const PROBE: f64 = 100e3;
        let mut probe = part.clone();
        probe.sources.push(Terminal { id: String::new(), node: probe.nodes.len() });
        probe.nodes.push(String::new());
        probe.elements.push(crate::model::Element {
            name: String::new(),
            a: probe.nodes.len() - 1,
            b: number[&link.node],
            part: crate::model::Part::Resistor(PROBE),
        });
        let mut found = Vec::with_capacity(sweep.len());
        for hertz in &sweep.hertz {
            let v = nodal::voltages(&probe, 1, *hertz)?[number[&link.node]];
            found.push((v / (Complex::ONE - v)).times(PROBE));
        }
        link.impedance = Impedance::Known(found);
    }
    Some(links)
}

/// Stages that feed back, or a network beyond the walk: nodal analysis of the whole.
fn whole(model: &Model, state: &[u8], source: usize, sweep: &Sweep) -> Option<Answer> {
    let circuit = model.circuit(state);
    let here = listeners(model, state);
    let mut voltages: BTreeMap<Node, Vec<Complex>> = BTreeMap::new();
    for hertz in &sweep.hertz {
        let all = nodal::voltages(&circuit, source, *hertz)?;
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
    solve(model, state, source, sweep)?
        .sink(model, sink)
        .filter(|values| values.iter().any(|value| value.square() > 0.0))
        .cloned()
}

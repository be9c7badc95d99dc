//! What hangs on a node of the network: a small circuit of its own, looked at through a probe.

use std::collections::BTreeSet;

use rig::PortRef;

use crate::complex::Complex;
use crate::model::{Circuit, EARTH, Element, Model, Node, Part, Terminal};
use crate::nodal::Ordered;

/// What drives the jack to see what it is loaded with, in ohms.
const PROBE: f64 = 100e3;

/// The passive network that hangs on a node, without what drives it.
pub(crate) struct Hung {
    circuit: Circuit,
    /// What draws current there, as places.
    pub(crate) ports: BTreeSet<PortRef>,
}

impl Hung {
    /// What of these elements hangs on a node, by their names.
    pub(crate) fn new(model: &Model, state: &[u8], jack: Node, counts: impl Fn(&str) -> bool) -> Self {
        let all = model.variants(state).flat_map(|variant| &variant.elements);
        let elements: Vec<&Element> = all.filter(|element| counts(&element.name)).collect();
        let mut driven: BTreeSet<Node> = model.sources.iter().map(|terminal| terminal.node).collect();
        driven.extend(model.variants(state).flat_map(|variant| &variant.stages).map(|stage| stage.output));
        let mut at: Vec<Vec<usize>> = vec![Vec::new(); model.nodes.len()];
        for (index, element) in elements.iter().enumerate() {
            at[element.a].push(index);
            at[element.b].push(index);
        }
        // Driven nodes stand still, as earth does.
        let mut number: Vec<Option<Node>> = vec![None; model.nodes.len()];
        number[jack] = Some(2);
        let (mut open, mut count) = (vec![jack], 3);
        let mut used: BTreeSet<usize> = BTreeSet::new();
        while let Some(node) = open.pop() {
            for index in &at[node] {
                used.insert(*index);
                let element = elements[*index];
                let there = if element.a == node { element.b } else { element.a };
                if there != EARTH && !driven.contains(&there) && number[there].is_none() {
                    number[there] = Some(count);
                    count += 1;
                    open.push(there);
                }
            }
        }
        let inner = |node: Node| number[node].unwrap_or(EARTH);
        let probe = Element { name: String::new(), a: 1, b: 2, part: Part::Resistor(PROBE) };
        let mut circuit = Circuit {
            nodes: vec![String::new(); count],
            elements: vec![probe],
            stages: Vec::new(),
            sources: vec![Terminal { id: String::new(), node: 1 }],
            sinks: Vec::new(),
        };
        let mut ports = BTreeSet::new();
        for element in used.into_iter().map(|index| elements[index]) {
            let (a, b) = (inner(element.a), inner(element.b));
            if (a == EARTH || b == EARTH) && matches!(element.part, Part::Resistor(_)) {
                ports.insert(place(&element.name));
            }
            circuit.elements.push(Element { name: String::new(), a, b, part: element.part });
        }
        Self { circuit, ports }
    }

    /// The resistance at 1 kHz; `None` where nothing hangs there.
    pub(crate) fn resistance(&self) -> Option<f64> {
        let ordered = Ordered::new(&self.circuit);
        let v = ordered.voltages(0, 1000.0)?.get(2).copied()?;
        // 1 V through the probe: the current is (1 − v) / probe, the admittance that over v.
        let admittance = ((Complex::ONE - v) / v).times(1.0 / PROBE);
        Some(1.0 / admittance.re).filter(|ohms| 0.0 < *ohms && *ohms < 1e9)
    }
}

/// What an element belongs to, by the name it was given: a port, or a whole device or sink.
fn place(name: &str) -> PortRef {
    let first = name.split(' ').next().unwrap_or(name);
    match first.split_once('.') {
        Some((tag, port)) => PortRef::new(tag, port),
        None => PortRef::new(first, ""),
    }
}

//! What hangs on a node of the network: a small circuit of its own, looked at through a probe.

use std::collections::{BTreeMap, BTreeSet};
use std::f64::consts::TAU;

use rig::PortRef;

use crate::complex::Complex;
use crate::model::{Circuit, EARTH, Element, Model, Node, Part, SwitchChoice, Terminal};
use crate::nodal::Ordered;

/// What drives the jack to see what it is loaded with, in ohms.
const PROBE: f64 = 100e3;

/// The jack, in the circuit of what hangs there.
const JACK: Node = 2;

/// Where it is looked at, in hertz.
const AT: f64 = 1000.0;

/// The passive network that hangs on a node, without what drives it.
pub(crate) struct Hung {
    circuit: Circuit,
    /// What draws current there, as places.
    pub(crate) ports: BTreeSet<PortRef>,
}

/// A model with what touches each node, whatever its switches do.
pub(crate) struct Touched<'m> {
    model: &'m Model,
    /// Elements that are there, with the switch and its position that they take, by node.
    at: Vec<Vec<(usize, &'m Element, Option<SwitchChoice>)>>,
    /// Nodes that are driven, with the switch and its position that they take.
    driven: Vec<Vec<Option<SwitchChoice>>>,
}

impl<'m> Touched<'m> {
    pub(crate) fn new(model: &'m Model) -> Self {
        let mut at = vec![Vec::new(); model.nodes.len()];
        let mut driven: Vec<Vec<Option<SwitchChoice>>> = vec![Vec::new(); model.nodes.len()];
        for source in &model.sources {
            driven[source.node].push(None);
        }
        let switched = model.blocks.iter().flat_map(|block| {
            let positions = (0_u8..).zip(&block.variants);
            positions
                .map(|(position, variant)| (variant, Some(SwitchChoice { switch: block.switch, position })))
        });
        let mut number = 0;
        for (variant, choice) in std::iter::once((&model.fixed, None)).chain(switched) {
            for element in &variant.elements {
                at[element.a].push((number, element, choice));
                at[element.b].push((number, element, choice));
                number += 1;
            }
            for stage in &variant.stages {
                driven[stage.output].push(choice);
            }
        }
        Self { model, at, driven }
    }
}

/// Whether something is there in a state.
fn holds(choice: Option<SwitchChoice>, state: &[u8]) -> bool {
    choice.is_none_or(|choice| state.get(choice.switch).copied().unwrap_or(0) == choice.position)
}

impl Hung {
    /// What hangs on a node in a state.
    pub(crate) fn new(touched: &Touched<'_>, state: &[u8], jack: Node) -> Self {
        let size = touched.model.nodes.len();
        // Driven nodes stand still, as earth does.
        let is_driven = |node: Node| touched.driven[node].iter().any(|choice| holds(*choice, state));
        let mut number: Vec<Option<Node>> = vec![None; size];
        number[jack] = Some(JACK);
        let (mut open, mut count) = (vec![jack], 3);
        let mut used: BTreeMap<usize, &Element> = BTreeMap::new();
        while let Some(node) = open.pop() {
            for (index, element, choice) in &touched.at[node] {
                if !holds(*choice, state) {
                    continue;
                }
                used.insert(*index, element);
                let there = if element.a == node { element.b } else { element.a };
                if there != EARTH && number[there].is_none() && !is_driven(there) {
                    number[there] = Some(count);
                    count += 1;
                    open.push(there);
                }
            }
        }
        let inner = |node: Node| number[node].unwrap_or(EARTH);
        let probe = Element { name: String::new(), a: 1, b: JACK, part: Part::Resistor(PROBE) };
        let mut circuit = Circuit {
            nodes: vec![String::new(); count],
            elements: vec![probe],
            stages: Vec::new(),
            sources: vec![Terminal { id: String::new(), node: 1 }],
            sinks: Vec::new(),
        };
        let mut ports = BTreeSet::new();
        for element in used.into_values() {
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
        let admittance = match self.along_branches() {
            Some(admittance) => admittance,
            None => self.through_probe()?,
        };
        Some(1.0 / admittance.re).filter(|ohms| 0.0 < *ohms && *ohms < 1e9)
    }

    /// The admittance added up from the ends of the branches; `None` where they close a ring.
    fn along_branches(&self) -> Option<Complex> {
        let w = TAU * AT;
        let elements = &self.circuit.elements[1..];
        let mut at: Vec<Vec<usize>> = vec![Vec::new(); self.circuit.nodes.len()];
        for (index, element) in elements.iter().enumerate() {
            at[element.a].push(index);
            at[element.b].push(index);
        }
        // Each node with the element that leads to it and the node before it, in the order they are met.
        let mut met: Vec<(Node, Option<(usize, Node)>)> = vec![(JACK, None)];
        let mut seen = vec![false; self.circuit.nodes.len()];
        seen[JACK] = true;
        let mut load = vec![Complex::ZERO; self.circuit.nodes.len()];
        let mut next = 0;
        while let Some((node, came)) = met.get(next).copied() {
            next += 1;
            for index in at[node].iter().copied().filter(|index| came.is_none_or(|(by, _)| by != *index)) {
                let element = &elements[index];
                let there = if element.a == node { element.b } else { element.a };
                if there == EARTH {
                    let part = if element.a == node { element.part } else { element.part.turned() };
                    load[node] = load[node] + admittance(part, w);
                } else if there != node {
                    if seen[there] {
                        return None;
                    }
                    seen[there] = true;
                    met.push((there, Some((index, node))));
                }
            }
        }
        for (node, came) in met.into_iter().rev() {
            if let Some((by, before)) = came {
                // Seen from the node before it.
                let element = &elements[by];
                let part = if element.a == before { element.part } else { element.part.turned() };
                load[before] = load[before] + through(part, load[node], w);
            }
        }
        Some(load[JACK])
    }

    fn through_probe(&self) -> Option<Complex> {
        let v = Ordered::new(&self.circuit).voltages(0, AT)?.get(JACK).copied()?;
        // 1 V through the probe: the current is (1 − v) / probe, the admittance that over v.
        Some(((Complex::ONE - v) / v).times(1.0 / PROBE))
    }
}

/// An admittance seen through a part.
fn through(part: Part, load: Complex, w: f64) -> Complex {
    if let Part::Transformer { turns, ohms } = part {
        let winding = Complex::new(1.0 / ohms, 0.0);
        return (winding * load / (winding + load)).times(1.0 / (turns * turns));
    }
    let own = admittance(part, w);
    own * load / (own + load)
}

/// The admittance of a part whose far end is earth.
fn admittance(part: Part, w: f64) -> Complex {
    match part {
        Part::Resistor(ohms) => Complex::new(1.0 / ohms, 0.0),
        Part::Capacitor(farads) => Complex::new(0.0, w * farads),
        Part::Inductor(henries) => Complex::new(0.0, -1.0 / (w * henries)),
        Part::Lossy { henries, ohms } => Complex::new(1.0 / ohms, -1.0 / (w * henries)),
        Part::Transformer { turns, ohms } => Complex::new(1.0 / (turns * turns * ohms), 0.0),
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

//! What hangs on a source at once, in the state where it is the heaviest: the resistance that its jack sees at 1 kHz,
//! pots, passive boxes, transformers and splits included, as the network has them.

use std::collections::BTreeSet;

use finding::Field;
use rig::PortRef;

use crate::budget::Budget;
use crate::build::Built;
use crate::complex::Complex;
use crate::input::Input;
use crate::ladder::Sweep;
use crate::model::{Circuit, EARTH, Element, Model, Node, Part, SwitchChoice, Terminal, Variant};
use crate::nodal::Ordered;
use crate::outcome::Load;
use crate::section::{Driver, Walker};
use crate::solve::{engaged, sparing};

/// What drives the jack to see what it is loaded with, in ohms.
const PROBE: f64 = 100e3;

/// As good as open, in ohms: nothing hangs on a transformer's outputs.
pub(crate) const OPEN: f64 = 1e12;

/// Works out what every transformer whose input states no impedance shows there, with everything else at rest: the
/// resistance that its secondary drives at 1 kHz, its winding included, by the square of the turns. Several secondaries
/// count side by side.
///
/// For an ideal transformer Z₁ = (N₁/N₂)²·Z₂, a law of physics; its own inductance and losses are neglected.
pub(crate) fn reflect(model: &mut Model) {
    let reflected = model.reflected.clone();
    // One that drives another sees it right once that is right: at most so many rounds as there are of them.
    for _ in 0..reflected.len() {
        for one in &reflected {
            let rest = rest_with(model, &one.element);
            let siemens: f64 = one
                .outputs
                .iter()
                .filter_map(|node| Hung::new(model, &rest, *node, |_| true).resistance())
                .map(|ohms| 1.0 / (one.turns * one.turns * ohms))
                .sum();
            let ohms = (1.0 / siemens).min(OPEN);
            let blocks = model.blocks.iter_mut().flat_map(|block| &mut block.variants);
            let variants = std::iter::once(&mut model.fixed).chain(blocks);
            for element in variants.flat_map(|variant| &mut variant.elements) {
                if element.name == one.element {
                    element.part = Part::Resistor(ohms);
                }
            }
        }
    }
}

/// Everything at rest but what an element is part of: it is looked at while it is there.
fn rest_with(model: &Model, element: &str) -> Vec<u8> {
    let mut state = model.at_rest();
    for block in &model.blocks {
        let has = |variant: &Variant| variant.elements.iter().any(|other| other.name == element);
        let at = block.variants.iter().position(has).and_then(|at| u8::try_from(at).ok());
        if let Some(position) = at {
            state[block.switch] = position;
        }
    }
    state
}

/// The heaviest load of each source, devices that want the bare pickup left off: they load it on purpose.
pub(crate) fn loads(input: &Input<'_>, built: &Built, named: &[Vec<u8>], budget: &Budget) -> Vec<Load> {
    let spared = sparing(input, built);
    let model = spared.as_ref().unwrap_or(&built.model);
    let sources = built.model.sources.iter().enumerate();
    sources
        .filter_map(|(source, terminal)| load(input, built, model, (source, &terminal.id), named, budget))
        .collect()
}

fn load(
    input: &Input<'_>,
    built: &Built,
    model: &Model,
    (source, id): (usize, &str),
    named: &[Vec<u8>],
    budget: &Budget,
) -> Option<Load> {
    let jack = *built.ports.get(&PortRef::new(id, ""))?;
    let mut worst: Option<Load> = None;
    let mut lacks: BTreeSet<Field> = BTreeSet::new();
    for (state, choices) in variants(model, source, named, budget) {
        budget.spend(crate::budget::passes(model, 20));
        let hung = Hung::new(model, &state, jack, |name| is_foreign(input, id, name));
        for port in &hung.ports {
            // The turns of a transformer say what its input is.
            let is_reflected = model.reflected.iter().any(|one| one.element == format!("{port} input"));
            if input.rig.port(port).is_some_and(|port| port.z.is_unknown() && !is_reflected) {
                lacks.insert(Field::device(&port.device, "port").below(&port.port).below("z"));
            } else if input.rig.sink(&port.device).is_some_and(|sink| sink.z.is_unknown()) {
                lacks.insert(Field::of("sink", &port.device, "z"));
            }
        }
        let Some(ohms) = hung.resistance() else { continue };
        if worst.as_ref().is_none_or(|other| ohms < other.ohms) {
            let off = choices.iter().filter(|choice| choice.position == 0).map(|choice| choice.switch);
            let off: BTreeSet<usize> = off.collect();
            let names = built.switches.iter().filter(|(_, switch)| off.contains(switch));
            worst = Some(Load {
                source: id.to_owned(),
                ohms,
                at: hung.ports.into_iter().collect(),
                state: engaged(built, &state),
                off: names.map(|(name, _)| name.clone()).collect(),
                lacks: Vec::new(),
            });
        }
    }
    let mut worst = worst?;
    worst.lacks = lacks.into_iter().collect();
    Some(worst)
}

/// The states to look at: one for each thing that may come first, or those with a name where the section has rings.
fn variants(
    model: &Model,
    source: usize,
    named: &[Vec<u8>],
    budget: &Budget,
) -> Vec<(Vec<u8>, Vec<SwitchChoice>)> {
    let sweep = Sweep::new(vec![1000.0]);
    let section = Walker::new(model).within(budget).section(Driver::Source(source), &[], &sweep);
    if section.ring || section.cut_short {
        return named.iter().map(|state| (state.clone(), SwitchChoice::all_of(state))).collect();
    }
    let all: BTreeSet<Vec<SwitchChoice>> = section.edges.into_iter().map(|edge| edge.choices).collect();
    all.into_iter()
        .map(|choices| {
            let mut state = model.at_rest();
            for SwitchChoice { switch, position } in &choices {
                state[*switch] = *position;
            }
            (state, choices)
        })
        .filter(|(state, _)| model.allows(state))
        .collect()
}

/// Whether an element hangs on a source from outside: what is named after the source is its own, its lead apart; and
/// inputs that want the bare pickup do not count.
fn is_foreign(input: &Input<'_>, id: &str, name: &str) -> bool {
    let (own, lead, leg) = (format!("{id} "), format!("{id} > "), format!("{id} leg "));
    let is_own = name.starts_with(&own) && !name.starts_with(&lead) && !name.starts_with(&leg);
    let wants = || {
        let tag = name.split(['.', ' ']).next().unwrap_or(name);
        input.rig.device(tag).is_some_and(|device| device.signal.bare_pickup.value == Some(true))
    };
    !(is_own || name.ends_with(" input") && wants())
}

/// The passive network that hangs on a node, without what drives it.
struct Hung {
    circuit: Circuit,
    ports: BTreeSet<PortRef>,
}

impl Hung {
    /// What of these elements hangs on a node, by their names.
    fn new(model: &Model, state: &[u8], jack: Node, counts: impl Fn(&str) -> bool) -> Self {
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
    fn resistance(&self) -> Option<f64> {
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

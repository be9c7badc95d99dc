//! The network with its switches: what the solvers work on, made from a rig or by hand.
//!
//! A [`Model`] has nodes, elements that are always there, and blocks whose elements depend on the position of a
//! switch. With every switch in a position it is a [`Circuit`], a plain list of elements and gain stages.

use crate::complex::Complex;

/// A node by its number; 0 is earth.
pub type Node = usize;

/// Earth: the screens of all leads, taken as one node.
pub const EARTH: Node = 0;

/// What an element is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Part {
    /// A resistance in ohms.
    Resistor(f64),
    /// A capacitance in farads.
    Capacitor(f64),
    /// An inductance in henries.
    Inductor(f64),
    /// An inductance in henries with a loss in ohms across it, as eddy currents make it. In a [`Circuit`] it is two
    /// elements.
    Lossy {
        /// The inductance.
        henries: f64,
        /// The loss across it.
        ohms: f64,
    },
    /// An ideal transformer with the resistance of its secondary's winding: the first end is the primary, the second
    /// the secondary behind that resistance, and both windings end in earth. It passes both ways: what drives the
    /// primary is loaded with whatever hangs on the secondary.
    Transformer {
        /// Turns of the primary for one of the secondary; below zero where it inverts.
        turns: f64,
        /// The winding's resistance in ohms.
        ohms: f64,
    },
}

impl Part {
    /// The part as it is seen from its second end.
    pub(crate) fn turned(self) -> Self {
        match self {
            // The winding's resistance is then before the turns, which see it by their square.
            Self::Transformer { turns, ohms } => {
                Self::Transformer { turns: 1.0 / turns, ohms: ohms * turns * turns }
            }
            other => other,
        }
    }
}

/// A passive element between two nodes.
#[derive(Debug, Clone, PartialEq)]
pub struct Element {
    /// What it stands for, such as `A1.OUT > A2.IN cable`.
    pub name: String,
    /// One end.
    pub a: Node,
    /// The other end.
    pub b: Node,
    /// What it is.
    pub part: Part,
}

/// An ideal gain stage: its output node stands at [`transfer`](Stage::transfer) times the sum of its inputs, whatever
/// hangs on it.
///
/// Input impedance and output resistance are elements of their own; an output node carries nothing else but
/// that resistance.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// The device it belongs to.
    pub device: String,
    /// The nodes it listens to.
    pub inputs: Vec<Node>,
    /// The node it drives.
    pub output: Node,
    /// Voltage gain; 1 unless a device's own gain is asked for, or the turns of a transformer with a stated input.
    pub gain: f64,
    /// The largest gain its device can be set to, as a ratio; 1 where that is unknown or made elsewhere. Of a
    /// transformer both gains are that of its turns.
    pub own_gain: f64,
    /// Whether it turns polarity over.
    pub inverts: bool,
    /// Delay of the direct sound in seconds.
    pub delay: f64,
    /// Its device's own noise at the output while it works, in volts rms, A-weighted; `None` where that is unknown.
    pub noise: Option<f64>,
}

impl Stage {
    /// What the output is to the sum of the inputs at an angular frequency: gain, turned over or not, late by its
    /// delay, ±A·e^(−jωΔt).
    pub fn transfer(&self, w: f64) -> Complex {
        let gain = if self.inverts { -self.gain } else { self.gain };
        if self.delay <= 0.0 {
            return Complex::new(gain, 0.0);
        }
        let (sine, cosine) = libm::sincos(w * self.delay);
        Complex::new(gain * cosine, -gain * sine)
    }
}

/// A foot switch, relay or anything else with positions.
#[derive(Debug, Clone, PartialEq)]
pub struct Switch {
    /// The tag of the device, or device and loop.
    pub name: String,
    /// Names of its positions; the first is the one at rest.
    pub positions: Vec<String>,
}

/// What a block is made of in one position.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Variant {
    /// Passive elements.
    pub elements: Vec<Element>,
    /// Gain stages.
    pub stages: Vec<Stage>,
}

/// A part of the network that a switch changes: one variant for each position.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// The switch, by its number.
    pub switch: usize,
    /// One variant for each of its positions.
    pub variants: Vec<Variant>,
}

/// A named node: the EMF of a source, or where a sink listens.
#[derive(Debug, Clone, PartialEq)]
pub struct Terminal {
    /// Name of the source or sink.
    pub id: String,
    /// The node.
    pub node: Node,
}

/// Positions of all switches, in their order.
pub type SwitchPositions = Vec<u8>;

/// One switch in one position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct SwitchChoice {
    /// The switch, by its place among the switches.
    pub switch: usize,
    /// Where it stands.
    pub position: u8,
}

impl SwitchChoice {
    /// Every switch where a state has it.
    pub(crate) fn all_of(state: &[u8]) -> Vec<Self> {
        state.iter().enumerate().map(|(switch, position)| Self { switch, position: *position }).collect()
    }
}

/// The network with its switches.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Model {
    /// Names of the nodes; the first is earth.
    pub nodes: Vec<String>,
    /// What is always there.
    pub fixed: Variant,
    /// The switches.
    pub switches: Vec<Switch>,
    /// What they change.
    pub blocks: Vec<Block>,
    /// Of each group at most one may hold at a time.
    pub exclusive: Vec<Vec<SwitchChoice>>,
    /// Where EMFs stand; each node carries nothing else but the first element of its source.
    pub sources: Vec<Terminal>,
    /// Where sinks listen; their loads are elements.
    pub sinks: Vec<Terminal>,
}

impl Model {
    /// An empty network with earth.
    pub fn new() -> Self {
        Self { nodes: vec!["0".to_owned()], ..Self::default() }
    }

    /// A new node of this name.
    pub fn node(&mut self, name: impl Into<String>) -> Node {
        self.nodes.push(name.into());
        self.nodes.len() - 1
    }

    /// A new switch.
    pub fn switch(&mut self, name: impl Into<String>, positions: &[&str]) -> usize {
        let positions = positions.iter().map(|&word| word.to_owned()).collect();
        self.switches.push(Switch { name: name.into(), positions });
        self.switches.len() - 1
    }

    /// Adds an element that is always there.
    pub fn add(&mut self, name: impl Into<String>, a: Node, b: Node, part: Part) {
        self.fixed.add(name, a, b, part);
    }

    /// The stage that a place names: of the fixed variant, or of one of a block's.
    pub(crate) fn stage_at(&self, variant: Option<(usize, u8)>, index: usize) -> &Stage {
        let variant = match variant {
            None => &self.fixed,
            Some((block, position)) => &self.blocks[block].variants[usize::from(position)],
        };
        &variant.stages[index]
    }

    /// Every switch at rest.
    pub fn at_rest(&self) -> SwitchPositions {
        vec![0; self.switches.len()]
    }

    /// The variants in force in a state: the fixed one first.
    pub fn variants<'a>(&'a self, state: &'a [u8]) -> impl Iterator<Item = &'a Variant> {
        std::iter::once(&self.fixed).chain(self.blocks.iter().filter_map(|block| {
            block.variants.get(usize::from(state.get(block.switch).copied().unwrap_or(0)))
        }))
    }

    /// Whether a state keeps every exclusive set.
    pub fn allows(&self, state: &[u8]) -> bool {
        self.exclusive.iter().all(|set| {
            set.iter().filter(|choice| state.get(choice.switch) == Some(&choice.position)).count() <= 1
        })
    }

    /// Whether any state has all of these choices: of what excludes each other they put on one at most.
    pub(crate) fn allows_choices(&self, choices: &[SwitchChoice]) -> bool {
        self.exclusive.iter().all(|set| set.iter().filter(|choice| choices.contains(choice)).count() <= 1)
    }

    /// The network of one state as a plain list.
    pub fn circuit(&self, state: &[u8]) -> Circuit {
        let mut circuit = Circuit {
            nodes: self.nodes.clone(),
            elements: Vec::new(),
            stages: Vec::new(),
            sources: self.sources.clone(),
            sinks: self.sinks.clone(),
        };
        for variant in self.variants(state) {
            for element in &variant.elements {
                if let Part::Lossy { henries, ohms } = element.part {
                    let (name, loss) = (element.name.clone(), format!("{} loss", element.name));
                    circuit.elements.push(Element { name, part: Part::Inductor(henries), ..*element });
                    circuit.elements.push(Element { name: loss, part: Part::Resistor(ohms), ..*element });
                } else {
                    circuit.elements.push(element.clone());
                }
            }
            circuit.stages.extend(variant.stages.iter().cloned());
        }
        circuit
    }

    /// The same network with every stage at its device's largest gain.
    #[must_use]
    pub fn with_own_gains(&self) -> Self {
        let mut model = self.clone();
        let blocks = model.blocks.iter_mut().flat_map(|block| block.variants.iter_mut());
        for variant in std::iter::once(&mut model.fixed).chain(blocks) {
            for stage in &mut variant.stages {
                stage.gain = stage.own_gain;
            }
        }
        model
    }

    /// The same network without switches that change nothing in it: a buffered device that shows the same impedances
    /// on and off differs only in what its own gain adds. Their positions stay in the state, and are not looked at.
    #[must_use]
    pub fn without_idle_switches(&self) -> Self {
        let mut model = self.clone();
        let mut idle = vec![true; model.switches.len()];
        for block in &model.blocks {
            idle[block.switch] &= block.variants.windows(2).all(|pair| pair[0].does_as(&pair[1]));
        }
        for (block, _) in model.blocks.iter_mut().zip(&self.blocks).filter(|(block, _)| idle[block.switch]) {
            if let Some(first) = block.variants.first_mut() {
                model.fixed.elements.append(&mut first.elements);
                model.fixed.stages.append(&mut first.stages);
            }
        }
        model.blocks.retain(|block| !idle[block.switch]);
        for (switch, idle) in model.switches.iter_mut().zip(&idle) {
            if *idle {
                switch.positions.truncate(1);
            }
        }
        model
    }
}

impl Variant {
    /// Whether another one does the same to signal, own gains and own noise apart.
    fn does_as(&self, other: &Self) -> bool {
        let same = |a: &Stage, b: &Stage| Stage { own_gain: b.own_gain, noise: b.noise, ..a.clone() } == *b;
        self.elements == other.elements
            && self.stages.len() == other.stages.len()
            && self.stages.iter().zip(&other.stages).all(|(a, b)| same(a, b))
    }

    /// Adds an element.
    pub fn add(&mut self, name: impl Into<String>, a: Node, b: Node, part: Part) {
        self.elements.push(Element { name: name.into(), a, b, part });
    }

    /// Adds a gain stage of gain 1.
    pub fn stage(&mut self, device: impl Into<String>, inputs: Vec<Node>, output: Node) {
        self.stages.push(Stage {
            device: device.into(),
            inputs,
            output,
            gain: 1.0,
            own_gain: 1.0,
            inverts: false,
            delay: 0.0,
            noise: None,
        });
    }
}

/// The network of one state, for every solver that wants a plain list.
#[derive(Debug, Clone, PartialEq)]
pub struct Circuit {
    /// Names of the nodes; the first is earth.
    pub nodes: Vec<String>,
    /// Every passive element.
    pub elements: Vec<Element>,
    /// Every gain stage.
    pub stages: Vec<Stage>,
    /// Where EMFs stand.
    pub sources: Vec<Terminal>,
    /// Where sinks listen.
    pub sinks: Vec<Terminal>,
}

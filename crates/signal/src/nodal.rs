//! Complex nodal analysis of a whole circuit: the plain way, for any topology.
//!
//! The order of elimination is found once for a circuit, the row with the fewest entries first, and serves every
//! frequency: circuits of boards are nearly trees, so that little fills in. Entries are kept as a list, not as a square,
//! and frequencies go through it in groups.

use std::collections::{BTreeMap, BTreeSet};
use std::f64::consts::PI;

use crate::complex::Complex;
use crate::model::{Circuit, EARTH, Node, Part};

/// Frequencies that go through the elimination together.
const LANES: usize = 8;

/// Voltages of all nodes with 1 V of EMF at one source and the other EMFs at nought.
///
/// Kirchhoff's current law at each node; a driven node (EMF or output of a stage) has the equation of its voltage
/// instead. Nodes that nothing holds are left at nought. `None` when the network has no unique answer.
pub fn voltages(circuit: &Circuit, source: usize, hertz: f64) -> Option<Vec<Complex>> {
    Ordered::new(circuit).voltages(source, hertz)
}

/// One complex number for each frequency of a group.
#[derive(Debug, Clone, Copy)]
struct Group {
    re: [f64; LANES],
    im: [f64; LANES],
}

impl Group {
    const ZERO: Self = Self { re: [0.0; LANES], im: [0.0; LANES] };

    const ONE: Self = Self { re: [1.0; LANES], im: [0.0; LANES] };

    fn squares(&self) -> [f64; LANES] {
        std::array::from_fn(|i| self.re[i] * self.re[i] + self.im[i] * self.im[i])
    }

    fn inverse(&self) -> Self {
        let squares = self.squares();
        Self {
            re: std::array::from_fn(|i| self.re[i] / squares[i]),
            im: std::array::from_fn(|i| -self.im[i] / squares[i]),
        }
    }

    fn times(&self, other: &Self) -> Self {
        Self {
            re: std::array::from_fn(|i| self.re[i] * other.re[i] - self.im[i] * other.im[i]),
            im: std::array::from_fn(|i| self.re[i] * other.im[i] + self.im[i] * other.re[i]),
        }
    }

    fn less(&mut self, other: &Self) {
        for i in 0..LANES {
            self.re[i] -= other.re[i];
            self.im[i] -= other.im[i];
        }
    }

    fn put(&mut self, i: usize, value: Complex) {
        self.re[i] += value.re;
        self.im[i] += value.im;
    }

    fn at(&self, i: usize) -> Complex {
        Complex::new(self.re[i], self.im[i])
    }
}

/// An entry of the matrix that never changes its place: G + jωC + 1/(jωL), and the gains of stages that stand there.
#[derive(Debug, Clone, Default)]
struct Entry {
    conductance: f64,
    capacitance: f64,
    /// Sum of 1/L.
    reluctance: f64,
    /// Stages, by number, whose transfer is taken off.
    stages: Vec<usize>,
}

impl Entry {
    fn add(&mut self, part: Part, sign: f64) {
        match part {
            // Of a transformer the current of the second end for a voltage there; what is by the turns is put in by who
            // knows the end.
            Part::Resistor(ohms) | Part::Transformer { ohms, .. } => self.conductance += sign / ohms,
            Part::Capacitor(farads) => self.capacitance += sign * farads,
            Part::Inductor(henries) => self.reluctance += sign / henries,
            Part::Lossy { henries, ohms } => {
                self.conductance += sign / ohms;
                self.reluctance += sign / henries;
            }
        }
    }

    fn at(&self, circuit: &Circuit, w: f64) -> Complex {
        let own = Complex::new(self.conductance, w * self.capacitance - self.reluctance / w);
        self.stages.iter().fold(own, |sum, stage| sum - circuit.stages[*stage].transfer(w))
    }
}

/// What happens to one row while a node is eliminated.
#[derive(Debug, Clone)]
struct Below {
    row: Node,
    /// The entry of the row in the eliminated column.
    own: usize,
    /// For each column of the eliminated row: its entry there, and the row's own.
    pairs: Vec<(usize, usize)>,
}

/// One step of the elimination.
#[derive(Debug, Clone)]
struct Step {
    node: Node,
    pivot: usize,
    /// Columns of later steps in its row, each with its entry.
    columns: Vec<(Node, usize)>,
    below: Vec<Below>,
}

/// A circuit with the order in which its nodes are eliminated.
pub(crate) struct Ordered<'a> {
    circuit: &'a Circuit,
    entries: Vec<Entry>,
    steps: Vec<Step>,
}

impl<'a> Ordered<'a> {
    /// Finds the order.
    pub(crate) fn new(circuit: &'a Circuit) -> Self {
        let size = circuit.nodes.len();
        let mut driven = vec![false; size];
        for terminal in &circuit.sources {
            driven[terminal.node] = true;
        }
        for stage in &circuit.stages {
            driven[stage.output] = true;
        }
        driven[EARTH] = true;
        // Which columns each row holds, and which rows each column.
        let mut across: Vec<BTreeSet<Node>> = vec![BTreeSet::new(); size];
        let mut down: Vec<BTreeSet<Node>> = vec![BTreeSet::new(); size];
        let mut put = |row: Node, column: Node| {
            if row != column && column != EARTH {
                across[row].insert(column);
                down[column].insert(row);
            }
        };
        for element in &circuit.elements {
            for (here, there) in [(element.a, element.b), (element.b, element.a)] {
                if !driven[here] {
                    put(here, there);
                }
            }
        }
        for stage in &circuit.stages {
            for input in &stage.inputs {
                put(stage.output, *input);
            }
        }
        let mut weight: Vec<usize> = (0..size).map(|node| across[node].len() * down[node].len()).collect();
        let mut left: BTreeSet<(usize, Node)> = (1..size).map(|node| (weight[node], node)).collect();
        let mut rows = Vec::with_capacity(size);
        while let Some((_, node)) = left.pop_first() {
            let columns: Vec<Node> = std::mem::take(&mut across[node]).into_iter().collect();
            let below: Vec<Node> = std::mem::take(&mut down[node]).into_iter().collect();
            for row in &below {
                across[*row].remove(&node);
                for column in columns.iter().filter(|column| *column != row) {
                    across[*row].insert(*column);
                    down[*column].insert(*row);
                }
            }
            for column in &columns {
                down[*column].remove(&node);
            }
            for other in columns.iter().chain(&below) {
                let now = across[*other].len() * down[*other].len();
                if left.remove(&(weight[*other], *other)) {
                    left.insert((now, *other));
                }
                weight[*other] = now;
            }
            rows.push((node, columns, below));
        }
        let mut ordered = Self { circuit, entries: Vec::new(), steps: Vec::with_capacity(size) };
        let mut places = Places::default();
        ordered.fill(&driven, &mut places);
        for (node, columns, below) in rows {
            let place = |places: &mut Places, entries: &mut Vec<Entry>, row, column| {
                let at = places.of(row, column);
                entries.resize_with(entries.len().max(at + 1), Entry::default);
                at
            };
            let entries = &mut ordered.entries;
            let pivot = place(&mut places, entries, node, node);
            let columns: Vec<(Node, usize)> = columns
                .into_iter()
                .map(|column| (column, place(&mut places, entries, node, column)))
                .collect();
            let below = below
                .into_iter()
                .map(|row| Below {
                    row,
                    own: place(&mut places, entries, row, node),
                    pairs: columns
                        .iter()
                        .map(|(column, from)| (*from, place(&mut places, entries, row, *column)))
                        .collect(),
                })
                .collect();
            ordered.steps.push(Step { node, pivot, columns, below });
        }
        ordered
    }

    /// What stands in the matrix before anything is eliminated.
    fn fill(&mut self, driven: &[bool], places: &mut Places) {
        let mut add = |row: Node, column: Node, put: &dyn Fn(&mut Entry)| {
            if column != EARTH {
                let at = places.of(row, column);
                self.entries.resize_with(self.entries.len().max(at + 1), Entry::default);
                put(&mut self.entries[at]);
            }
        };
        for element in &self.circuit.elements {
            for (here, there) in [(element.a, element.b), (element.b, element.a)] {
                if driven[here] {
                    continue;
                }
                // By a transformer the current of one end goes with the voltage of the other by the turns, and with its own
                // at the primary by their square.
                let (own, between) = match element.part {
                    Part::Transformer { turns, .. } if here == element.a => {
                        (1.0 / (turns * turns), 1.0 / turns)
                    }
                    Part::Transformer { turns, .. } => (1.0, 1.0 / turns),
                    _ => (1.0, 1.0),
                };
                add(here, here, &|entry| entry.add(element.part, own));
                add(here, there, &|entry| entry.add(element.part, -between));
            }
        }
        for node in loose(self.circuit, driven) {
            add(node, node, &|entry| entry.conductance += 1.0);
        }
        let outputs = self.circuit.stages.iter().map(|stage| stage.output);
        for node in self.circuit.sources.iter().map(|terminal| terminal.node).chain(outputs) {
            add(node, node, &|entry| entry.conductance += 1.0);
        }
        for (number, stage) in self.circuit.stages.iter().enumerate() {
            for input in &stage.inputs {
                add(stage.output, *input, &|entry| entry.stages.push(number));
            }
        }
    }

    /// What so many frequencies take, in the steps of the budget: two for a multiplication of a group.
    pub(crate) fn work_of(&self, frequencies: usize) -> u64 {
        let below = |step: &Step| step.below.iter().map(|below| below.pairs.len() + 2).sum::<usize>();
        let steps: usize = self.steps.iter().map(|step| below(step) + step.columns.len() + 4).sum();
        u64::try_from((steps + self.entries.len()) * frequencies.div_ceil(LANES) * 2).unwrap_or(u64::MAX)
    }

    /// See [`voltages`].
    pub(crate) fn voltages(&self, source: usize, hertz: f64) -> Option<Vec<Complex>> {
        let groups = self.group(source, &[hertz])?;
        Some(groups.iter().map(|group| group.at(0)).collect())
    }

    /// The voltages of some nodes over a sweep, node by node.
    pub(crate) fn sweep(&self, source: usize, hertz: &[f64], nodes: &[Node]) -> Option<Vec<Vec<Complex>>> {
        let mut out = vec![Vec::with_capacity(hertz.len()); nodes.len()];
        for chunk in hertz.chunks(LANES) {
            let groups = self.group(source, chunk)?;
            for (values, node) in out.iter_mut().zip(nodes) {
                values.extend((0..chunk.len()).map(|i| groups[*node].at(i)));
            }
        }
        Some(out)
    }

    /// The voltages of all nodes at up to [`LANES`] frequencies; lanes beyond them repeat the last.
    fn group(&self, source: usize, hertz: &[f64]) -> Option<Vec<Group>> {
        let last = *hertz.last()?;
        let w: [f64; LANES] = std::array::from_fn(|i| 2.0 * PI * hertz.get(i).copied().unwrap_or(last));
        let mut matrix: Vec<Group> = self.entries.iter().map(|entry| self.entry(entry, &w)).collect();
        let mut right = vec![Group::ZERO; self.circuit.nodes.len()];
        right[self.circuit.sources.get(source)?.node] = Group::ONE;
        for step in &self.steps {
            if matrix[step.pivot].squares().iter().any(|square| *square <= 0.0) {
                // A node that nothing is tied to stays at nought; any other leaves no answer.
                let is_free = right[step.node].squares().iter().all(|square| *square <= 0.0);
                if step.columns.is_empty() && step.below.is_empty() && is_free {
                    matrix[step.pivot] = Group::ONE;
                    continue;
                }
                return None;
            }
            let over = matrix[step.pivot].inverse();
            for below in &step.below {
                let factor = matrix[below.own].times(&over);
                for (from, to) in &below.pairs {
                    let value = factor.times(&matrix[*from]);
                    matrix[*to].less(&value);
                }
                let value = factor.times(&right[step.node]);
                right[below.row].less(&value);
            }
        }
        let mut out = vec![Group::ZERO; self.circuit.nodes.len()];
        for step in self.steps.iter().rev() {
            let mut sum = right[step.node];
            for (column, entry) in &step.columns {
                sum.less(&matrix[*entry].times(&out[*column]));
            }
            out[step.node] = sum.times(&matrix[step.pivot].inverse());
        }
        let is_finite = |group: &Group| group.re.iter().chain(&group.im).all(|part| part.is_finite());
        out.iter().all(is_finite).then_some(out)
    }

    fn entry(&self, entry: &Entry, w: &[f64; LANES]) -> Group {
        let mut group = Group::ZERO;
        for (i, w) in w.iter().enumerate() {
            group.put(i, entry.at(self.circuit, *w));
        }
        group
    }
}

/// One node of each set that hangs together by elements, but on nothing that is driven, earth included.
fn loose(circuit: &Circuit, driven: &[bool]) -> Vec<Node> {
    let mut set: Vec<Node> =
        (0..circuit.nodes.len()).map(|node| if driven[node] { EARTH } else { node }).collect();
    let root = |set: &mut Vec<Node>, mut node: Node| {
        while set[node] != node {
            set[node] = set[set[node]];
            node = set[node];
        }
        node
    };
    for element in &circuit.elements {
        let mut ends = [root(&mut set, element.a), root(&mut set, element.b)];
        ends.sort_unstable();
        set[ends[1]] = ends[0];
    }
    (1..set.len()).filter(|node| set[*node] == *node).collect()
}

/// Where the entries of the matrix stand in their list.
#[derive(Default)]
struct Places(BTreeMap<(Node, Node), usize>);

impl Places {
    fn of(&mut self, row: Node, column: Node) -> usize {
        let next = self.0.len();
        *self.0.entry((row, column)).or_insert(next)
    }
}

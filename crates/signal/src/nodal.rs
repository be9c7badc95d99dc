//! Complex nodal analysis of a whole circuit at one frequency: the plain way, for any topology.
//!
//! The order of elimination is found once for a circuit, the row with the fewest entries first, and serves every
//! frequency: circuits of boards are nearly trees, so that little fills in.

use std::collections::BTreeSet;
use std::f64::consts::PI;

use crate::complex::Complex;
use crate::model::{Circuit, EARTH, Node, Part};

/// Voltages of all nodes with 1 V of EMF at one source and the other EMFs at nought.
///
/// Kirchhoff's current law at each node; a driven node (EMF or output of a stage) has the equation of its voltage
/// instead. Nodes that nothing holds are left at nought. `None` when the network has no unique answer.
pub fn voltages(circuit: &Circuit, source: usize, hertz: f64) -> Option<Vec<Complex>> {
    Ordered::new(circuit).voltages(source, hertz)
}

/// A circuit with the order in which its nodes are eliminated.
pub(crate) struct Ordered<'a> {
    circuit: &'a Circuit,
    driven: Vec<bool>,
    /// Nodes in order of elimination.
    order: Vec<Node>,
    /// For each step of the order: the nodes of later steps in its row, and those whose rows hold it.
    rows: Vec<(Vec<Node>, Vec<Node>)>,
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
        let (mut order, mut rows) = (Vec::with_capacity(size), Vec::with_capacity(size));
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
            order.push(node);
            rows.push((columns, below));
        }
        Self { circuit, driven, order, rows }
    }

    /// Multiplications that one frequency takes.
    pub(crate) fn work(&self) -> u64 {
        let steps = self.rows.iter().map(|(columns, below)| (columns.len() + 2) * (below.len() + 1));
        u64::try_from(steps.sum::<usize>() + self.circuit.elements.len()).unwrap_or(u64::MAX)
    }

    /// See [`voltages`].
    pub(crate) fn voltages(&self, source: usize, hertz: f64) -> Option<Vec<Complex>> {
        let size = self.circuit.nodes.len();
        let mut matrix = vec![Complex::ZERO; size * size];
        let mut right = vec![Complex::ZERO; size];
        self.fill(&mut matrix, &mut right, source, hertz);
        for (node, (columns, below)) in self.order.iter().zip(&self.rows) {
            let pivot = matrix[node * size + node];
            if pivot.square() <= 0.0 {
                // A node that nothing is tied to stays at nought; any other leaves no answer.
                if columns.is_empty() && below.is_empty() && right[*node].square() <= 0.0 {
                    matrix[node * size + node] = Complex::ONE;
                    continue;
                }
                return None;
            }
            let over = pivot.inverse();
            for row in below {
                let factor = matrix[row * size + node] * over;
                if factor.square() <= 0.0 {
                    continue;
                }
                for column in columns {
                    let value = factor * matrix[node * size + column];
                    matrix[row * size + column] = matrix[row * size + column] - value;
                }
                right[*row] = right[*row] - factor * right[*node];
            }
        }
        let mut out = vec![Complex::ZERO; size];
        for (node, (columns, _)) in self.order.iter().zip(&self.rows).rev() {
            let mut sum = right[*node];
            for column in columns {
                sum = sum - matrix[node * size + column] * out[*column];
            }
            out[*node] = sum / matrix[node * size + node];
        }
        out.iter().all(|value| value.re.is_finite() && value.im.is_finite()).then_some(out)
    }

    fn fill(&self, matrix: &mut [Complex], right: &mut [Complex], source: usize, hertz: f64) {
        let size = self.circuit.nodes.len();
        let w = 2.0 * PI * hertz;
        let mut add = |row: Node, column: Node, value: Complex| {
            let entry = &mut matrix[row * size + column];
            *entry = *entry + value;
        };
        for element in &self.circuit.elements {
            let y = admittance(element.part, w);
            for (here, there) in [(element.a, element.b), (element.b, element.a)] {
                if !self.driven[here] {
                    add(here, here, y);
                    add(here, there, -y);
                }
            }
        }
        for (index, terminal) in self.circuit.sources.iter().enumerate() {
            add(terminal.node, terminal.node, Complex::ONE);
            right[terminal.node] = if index == source { Complex::ONE } else { Complex::ZERO };
        }
        for stage in &self.circuit.stages {
            add(stage.output, stage.output, Complex::ONE);
            for input in &stage.inputs {
                add(stage.output, *input, -stage.transfer(w));
            }
        }
    }
}

/// Admittance of a part at an angular frequency.
pub(crate) fn admittance(part: Part, w: f64) -> Complex {
    match part {
        Part::Resistor(ohms) => Complex::new(1.0 / ohms, 0.0),
        Part::Capacitor(farads) => Complex::new(0.0, w * farads),
        Part::Inductor(henries) => Complex::new(0.0, -1.0 / (w * henries)),
        Part::Lossy { henries, ohms } => Complex::new(1.0 / ohms, -1.0 / (w * henries)),
    }
}

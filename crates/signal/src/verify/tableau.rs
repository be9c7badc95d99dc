//! Tableau of modified nodal analysis: unknowns are the node voltages and the currents of all ideal voltage sources.
//! `[src:HO-1975]`
//!
//! Elimination takes the column that the fewest rows hold, and in it, of the rows with a tenth of the largest entry or
//! more, the shortest.

use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};
use std::f64::consts::TAU;

use crate::model::{Circuit, Part};

/// Real and imaginary part.
pub(super) type Number = (f64, f64);

/// What is no more than rounding, in rows whose largest entry is 1.
const ROUNDING: f64 = 1e-14;

/// A row without zeros, and what stands right of it.
#[derive(Default)]
struct Row {
    left: BTreeMap<usize, Number>,
    right: Number,
}

fn times(a: Number, b: Number) -> Number {
    (a.0 * b.0 - a.1 * b.1, a.0 * b.1 + a.1 * b.0)
}

fn over(a: Number, b: Number) -> Number {
    let size = b.0 * b.0 + b.1 * b.1;
    ((a.0 * b.0 + a.1 * b.1) / size, (a.1 * b.0 - a.0 * b.1) / size)
}

fn minus(a: Number, b: Number) -> Number {
    (a.0 - b.0, a.1 - b.1)
}

fn size(a: Number) -> f64 {
    libm::hypot(a.0, a.1)
}

impl Row {
    fn add(&mut self, column: usize, value: Number) {
        let entry = self.left.entry(column).or_default();
        *entry = (entry.0 + value.0, entry.1 + value.1);
    }

    fn largest(&self) -> f64 {
        self.left.values().fold(0.0, |most, value| most.max(size(*value)))
    }

    /// Brought to a largest entry of 1: rows of conductances and rows of plain voltages differ by many decades.
    fn levelled(mut self) -> Self {
        let largest = self.largest();
        if 0.0 < largest {
            for value in self.left.values_mut().chain([&mut self.right]) {
                *value = (value.0 / largest, value.1 / largest);
            }
        }
        self
    }
}

/// The voltages of all nodes; `None` where there is no answer, or none for the work that is left.
pub(super) fn voltages(
    circuit: &Circuit,
    source: usize,
    hertz: f64,
    left: &Cell<usize>,
) -> Option<Vec<Number>> {
    let rows = rows(circuit, source, TAU * hertz);
    let found = solved(rows, left)?;
    let nodes = circuit.nodes.len() - 1;
    Some(std::iter::once((0.0, 0.0)).chain(found.into_iter().take(nodes)).collect())
}

fn rows(circuit: &Circuit, source: usize, w: f64) -> Vec<Row> {
    // Earth has neither row nor column: node 1 is the first.
    let nodes = circuit.nodes.len() - 1;
    let size = nodes + circuit.sources.len() + circuit.stages.len();
    let mut rows: Vec<Row> = (0..size).map(|_| Row::default()).collect();
    for node in adrift(circuit) {
        rows[node - 1].add(node - 1, (1.0, 0.0));
    }
    for element in &circuit.elements {
        if let Part::Transformer { turns, ohms } = element.part {
            // What the secondary gives through its winding is (v₁/n − v₂)/R; the primary takes the n-th part of it.
            let ends = [(element.a, -1.0 / turns), (element.b, 1.0)];
            for (one, by) in ends {
                for (other, volts) in ends {
                    if let (Some(one), Some(other)) = (one.checked_sub(1), other.checked_sub(1)) {
                        rows[one].add(other, (by * volts / ohms, 0.0));
                    }
                }
            }
            continue;
        }
        let admittance = match element.part {
            Part::Resistor(ohms) => (1.0 / ohms, 0.0),
            Part::Capacitor(farads) => (0.0, w * farads),
            Part::Inductor(henries) => (0.0, -1.0 / (w * henries)),
            Part::Lossy { henries, ohms } => (1.0 / ohms, -1.0 / (w * henries)),
            Part::Transformer { .. } => continue,
        };
        for (one, other) in [(element.a, element.b), (element.b, element.a)] {
            if let Some(one) = one.checked_sub(1) {
                rows[one].add(one, admittance);
                if let Some(other) = other.checked_sub(1) {
                    rows[one].add(other, (-admittance.0, -admittance.1));
                }
            }
        }
    }
    let mut current = nodes;
    for (index, terminal) in circuit.sources.iter().enumerate() {
        rows[terminal.node - 1].add(current, (1.0, 0.0));
        rows[current].add(terminal.node - 1, (1.0, 0.0));
        rows[current].right = (f64::from(u8::from(index == source)), 0.0);
        current += 1;
    }
    for stage in &circuit.stages {
        rows[stage.output - 1].add(current, (1.0, 0.0));
        rows[current].add(stage.output - 1, (1.0, 0.0));
        let gain = if stage.inverts { stage.gain } else { -stage.gain };
        let angle = w * stage.delay;
        for input in stage.inputs.iter().filter_map(|input| input.checked_sub(1)) {
            rows[current].add(input, (gain * libm::cos(angle), -gain * libm::sin(angle)));
        }
        current += 1;
    }
    rows
}

/// A node of every part of the circuit that no element ties to earth or to anything driven: it stands at nought. Left to
/// itself its level would be free, and a stage that listens there would take any.
fn adrift(circuit: &Circuit) -> Vec<usize> {
    let mut beside: Vec<Vec<usize>> = vec![Vec::new(); circuit.nodes.len()];
    let mut open = vec![0];
    for element in &circuit.elements {
        beside[element.a].push(element.b);
        beside[element.b].push(element.a);
    }
    open.extend(circuit.sources.iter().map(|terminal| terminal.node));
    open.extend(circuit.stages.iter().map(|stage| stage.output));
    let mut held = vec![false; circuit.nodes.len()];
    let mut out = Vec::new();
    for node in 0..circuit.nodes.len() {
        while let Some(next) = open.pop() {
            if !std::mem::replace(&mut held[next], true) {
                open.extend(&beside[next]);
            }
        }
        if !held[node] {
            out.push(node);
            open.push(node);
        }
    }
    out
}

fn solved(rows: Vec<Row>, left: &Cell<usize>) -> Option<Vec<Number>> {
    let size = rows.len();
    let mut rows: Vec<Option<Row>> = rows.into_iter().map(|row| Some(row.levelled())).collect();
    let mut held: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); size];
    for (at, row) in rows.iter().flatten().enumerate() {
        for column in row.left.keys() {
            held[*column].insert(at);
        }
    }
    let mut open: BTreeSet<(usize, usize)> = (0..size).map(|column| (held[column].len(), column)).collect();
    let mut done: Vec<(usize, Row)> = Vec::with_capacity(size);
    while let Some((_, column)) = open.pop_first() {
        let at = |row: usize| {
            rows[row].as_ref().and_then(|row| row.left.get(&column)).copied().unwrap_or_default()
        };
        let most = held[column].iter().fold(0.0_f64, |most, row| most.max(self::size(at(*row))));
        let length = |row: usize| rows[row].as_ref().map_or(0, |row| row.left.len());
        let fit = held[column].iter().filter(|row| ROUNDING < most && 0.1 * most <= self::size(at(**row)));
        // What no row holds any more is a node that nothing is tied to; it stays at nought.
        let Some(pivot) = fit.copied().min_by_key(|row| length(*row)) else { continue };
        let below = std::mem::take(&mut held[column]);
        let Some(taken) = rows[pivot].take() else { continue };
        left.set(left.get().checked_sub(taken.left.len() * below.len())?);
        for other in taken.left.keys().filter(|other| **other != column) {
            let count = held[*other].len();
            held[*other].remove(&pivot);
            for row in below.iter().filter(|row| **row != pivot) {
                held[*other].insert(*row);
            }
            if open.remove(&(count, *other)) {
                open.insert((held[*other].len(), *other));
            }
        }
        let lead = taken.left[&column];
        for at in below {
            let Some(row) = rows[at].as_mut() else { continue };
            let Some(own) = row.left.remove(&column) else { continue };
            let factor = over(own, lead);
            for (other, value) in taken.left.iter().filter(|(other, _)| **other != column) {
                let entry = row.left.entry(*other).or_default();
                *entry = minus(*entry, times(factor, *value));
            }
            row.right = minus(row.right, times(factor, taken.right));
        }
        done.push((column, taken));
    }
    // A row of which nothing is left must ask for nothing.
    if rows.iter().flatten().any(|row| 1e-9 < self::size(row.right)) {
        return None;
    }
    let mut out = vec![(0.0, 0.0); size];
    for (column, row) in done.iter().rev() {
        let known = row.left.iter().filter(|(other, _)| *other != column);
        let sum = known.fold(row.right, |sum, (other, value)| minus(sum, times(*value, out[*other])));
        out[*column] = over(sum, row.left[column]);
    }
    out.iter().all(|value| value.0.is_finite() && value.1.is_finite()).then_some(out)
}

//! Complex nodal analysis of a whole circuit at one frequency: the plain way, for any topology.

use std::f64::consts::PI;

use crate::complex::Complex;
use crate::model::{Circuit, EARTH, Part};

/// Voltages of all nodes with 1 V of EMF at one source and the other EMFs at nought.
///
/// Kirchhoff's current law at each node; a driven node (EMF or output of a stage) has the equation of its voltage
/// instead. Solved by elimination with partial pivoting. Nodes that nothing holds are left at nought. `None` when
/// the network has no unique answer.
pub fn voltages(circuit: &Circuit, source: usize, hertz: f64) -> Option<Vec<Complex>> {
    let size = circuit.nodes.len();
    let w = 2.0 * PI * hertz;
    let mut matrix = vec![vec![Complex::ZERO; size + 1]; size];
    let mut driven = vec![false; size];
    for terminal in &circuit.sources {
        driven[terminal.node] = true;
    }
    for stage in &circuit.stages {
        driven[stage.output] = true;
    }
    driven[EARTH] = true;
    for element in &circuit.elements {
        let y = admittance(element.part, w);
        for (here, there) in [(element.a, element.b), (element.b, element.a)] {
            if !driven[here] {
                matrix[here][here] = matrix[here][here] + y;
                matrix[here][there] = matrix[here][there] - y;
            }
        }
    }
    matrix[EARTH][EARTH] = Complex::ONE;
    for (index, terminal) in circuit.sources.iter().enumerate() {
        matrix[terminal.node][terminal.node] = Complex::ONE;
        matrix[terminal.node][size] = if index == source { Complex::ONE } else { Complex::ZERO };
    }
    for stage in &circuit.stages {
        let row = &mut matrix[stage.output];
        row[stage.output] = row[stage.output] + Complex::ONE;
        for input in &stage.inputs {
            row[*input] = row[*input] - Complex::new(stage.gain, 0.0);
        }
    }
    // A node that nothing is tied to has an empty row.
    for (node, row) in matrix.iter_mut().enumerate() {
        if !driven[node] && row.iter().all(|value| value.square() <= 0.0) {
            row[node] = Complex::ONE;
        }
    }
    eliminate(&mut matrix)
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

/// Gauss elimination with row pivoting; the last column is the right side. Rows are scaled by their largest entry
/// when pivots are compared, since conductances run over many decades.
fn eliminate(matrix: &mut [Vec<Complex>]) -> Option<Vec<Complex>> {
    let size = matrix.len();
    for column in 0..size {
        let weight = |row: &[Complex]| {
            let largest = row[column..size].iter().map(|value| value.square()).fold(0.0, f64::max);
            if largest > 0.0 { row[column].square() / largest } else { 0.0 }
        };
        let best = (column..size).max_by(|a, b| weight(&matrix[*a]).total_cmp(&weight(&matrix[*b])))?;
        if matrix[best][column].square() <= 0.0 {
            return None;
        }
        matrix.swap(column, best);
        let (head, tail) = matrix.split_at_mut(column + 1);
        let pivot = &head[column];
        let over = pivot[column].inverse();
        for row in tail {
            if row[column].square() <= 0.0 {
                continue;
            }
            let factor = row[column] * over;
            row[column] = Complex::ZERO;
            for (value, above) in row[column + 1..].iter_mut().zip(&pivot[column + 1..]) {
                *value = *value - factor * *above;
            }
        }
    }
    let mut out = vec![Complex::ZERO; size];
    for index in (0..size).rev() {
        let row = &matrix[index];
        let mut sum = row[size];
        for (coefficient, value) in row[index + 1..size].iter().zip(&out[index + 1..]) {
            sum = sum - *coefficient * *value;
        }
        out[index] = sum / row[index];
    }
    out.iter().all(|value| value.re.is_finite() && value.im.is_finite()).then_some(out)
}

//! A second solver for the same circuits that shares no code with the first, to judge what that one says.
//!
//! Tableau of modified nodal analysis: unknowns are the node voltages and the currents of all ideal voltage sources,
//! real and imaginary parts apart, solved by Gauss-Jordan with full pivoting. Slow and plain. `[src:HO-1975]`

use std::f64::consts::TAU;

use crate::model::{Circuit, Part};

/// Real and imaginary part of the voltage at a sink for 1 V at a source, by number.
pub fn response(circuit: &Circuit, source: usize, sink: usize, hertz: f64) -> Option<(f64, f64)> {
    let nodes = circuit.nodes.len() - 1;
    let ideal = circuit.sources.len() + circuit.stages.len();
    let half = nodes + ideal;
    let size = 2 * half;
    let mut table = vec![vec![0.0_f64; size + 1]; size];
    let w = TAU * hertz;
    // A complex coefficient c at (row, column) becomes a 2×2 block of real ones.
    let put = |table: &mut Vec<Vec<f64>>, row: usize, column: usize, re: f64, im: f64| {
        table[row][column] += re;
        table[row][half + column] -= im;
        table[half + row][column] += im;
        table[half + row][half + column] += re;
    };
    for element in &circuit.elements {
        let parts: &[(f64, f64)] = match element.part {
            Part::Resistor(ohms) => &[(1.0 / ohms, 0.0)],
            Part::Capacitor(farads) => &[(0.0, w * farads)],
            Part::Inductor(henries) => &[(0.0, -1.0 / (w * henries))],
            Part::Lossy { henries, ohms } => &[(1.0 / ohms, 0.0), (0.0, -1.0 / (w * henries))],
        };
        for (re, im) in parts {
            for (one, other) in [(element.a, element.b), (element.b, element.a)] {
                if one > 0 {
                    put(&mut table, one - 1, one - 1, *re, *im);
                    if other > 0 {
                        put(&mut table, one - 1, other - 1, -re, -im);
                    }
                }
            }
        }
    }
    let outputs = circuit.sources.iter().map(|terminal| terminal.node);
    for (index, node) in outputs.chain(circuit.stages.iter().map(|stage| stage.output)).enumerate() {
        let row = nodes + index;
        put(&mut table, node - 1, row, 1.0, 0.0);
        put(&mut table, row, node - 1, 1.0, 0.0);
        match index.checked_sub(circuit.sources.len()) {
            None => table[row][size] = if index == source { 1.0 } else { 0.0 },
            Some(stage) => {
                let stage = &circuit.stages[stage];
                for input in stage.inputs.iter().filter(|input| **input > 0) {
                    let (turn, angle) = (if stage.inverts { -1.0 } else { 1.0 }, w * stage.delay);
                    let size = -stage.gain * turn;
                    put(&mut table, row, input - 1, size * libm::cos(angle), -size * libm::sin(angle));
                }
            }
        }
    }
    let solved = gauss_jordan(table)?;
    let at = circuit.sinks.get(sink)?.node.checked_sub(1)?;
    Some((solved[at], solved[half + at]))
}

/// The largest difference in dB between what another solver says at some frequencies and what this one finds.
pub fn worst_difference(
    circuit: &Circuit,
    source: usize,
    sink: usize,
    said: &[(f64, (f64, f64))],
) -> Option<f64> {
    let mut worst = 0.0_f64;
    for (hertz, (re, im)) in said {
        let (true_re, true_im) = response(circuit, source, sink, *hertz)?;
        let (said, found) = (re * re + im * im, true_re * true_re + true_im * true_im);
        worst = worst.max((10.0 * libm::log10(said / found)).abs());
        // A wrong phase counts as much as a wrong size: the distance against the size.
        let apart = ((re - true_re) * (re - true_re) + (im - true_im) * (im - true_im)) / found;
        worst = worst.max(20.0 * libm::log10(1.0 + apart.sqrt()));
    }
    Some(worst)
}

fn gauss_jordan(mut table: Vec<Vec<f64>>) -> Option<Vec<f64>> {
    let size = table.len();
    let mut order: Vec<usize> = (0..size).collect();
    // Rows of conductances and rows of plain voltages differ by many decades: each is brought to a largest entry of 1.
    for row in &mut table {
        let largest = row[..size].iter().fold(0.0_f64, |most, value| most.max(value.abs()));
        if largest > 0.0 {
            for value in row {
                *value /= largest;
            }
        }
    }
    let mut rank = size;
    for step in 0..size {
        let mut best = (step, step, 0.0_f64);
        for (at, row) in table.iter().enumerate().skip(step) {
            for (column, value) in row[..size].iter().enumerate().skip(step) {
                if value.abs() > best.2 {
                    best = (at, column, value.abs());
                }
            }
        }
        if best.2 < 1e-300 {
            rank = step;
            break;
        }
        table.swap(step, best.0);
        if best.1 != step {
            for row in &mut table {
                row.swap(step, best.1);
            }
            order.swap(step, best.1);
        }
        let pivot = table[step].clone();
        for (at, row) in table.iter_mut().enumerate() {
            if at == step || row[step].abs() <= 0.0 {
                continue;
            }
            let factor = row[step] / pivot[step];
            for (value, above) in row[step..].iter_mut().zip(&pivot[step..]) {
                *value -= factor * above;
            }
        }
    }
    // What is left without an equation is a node that nothing is tied to; it stays at nought.
    if table[rank..].iter().any(|row| row[size].abs() > 1e-9) {
        return None;
    }
    let mut out = vec![0.0; size];
    for step in 0..rank {
        out[order[step]] = table[step][size] / table[step][step];
    }
    Some(out)
}

//! Thermal noise at a sink: what every section makes, carried to the end.
//!
//! At each listening node the noise density is 4kT·Re(Z) of the impedance there `[src:NYQUIST-1928]`; it passes the
//! rest of the chain with its gains. Devices' own noise is in no data and left out. Where a section feeds several
//! live inputs at once their noise is added as if it had nothing in common.

use std::collections::{BTreeMap, BTreeSet};

use crate::complex::Complex;
use crate::ladder::Sweep;
use crate::model::{Model, Node};
use crate::noise::{BOLTZMANN, a_weighting, integrate};
use crate::section::{Driver, Leaf, Walker};
use crate::state::Answer;

/// Unweighted and A-weighted noise at a sink in volts rms over the sweep.
pub(crate) fn at_sink(
    model: &Model,
    answer: &Answer,
    sink: usize,
    sweep: &Sweep,
    kelvin: f64,
) -> Option<(f64, f64)> {
    if answer.sections.is_empty() {
        return None;
    }
    let walker = Walker::new(model);
    let size = sweep.len();
    let mut onward: BTreeMap<Driver, Vec<Complex>> = BTreeMap::new();
    let mut power = vec![0.0; size];
    let mut arrives = false;
    for (driver, links) in answer.sections.iter().rev() {
        let mut sum = vec![Complex::ZERO; size];
        let nodes: BTreeSet<Node> = links.iter().map(|link| link.node).collect();
        for node in nodes {
            // What a voltage at this node comes to at the sink.
            let mut carried = vec![Complex::ZERO; size];
            let mut live = false;
            for link in links.iter().filter(|link| link.node == node) {
                match link.leaf {
                    Leaf::Sink(at) if at == sink => {
                        for value in &mut carried {
                            *value = *value + Complex::ONE;
                        }
                        live = true;
                    }
                    Leaf::Sink(_) => {}
                    Leaf::Stage(stage) => {
                        let Some(rest) = onward.get(&Driver::Stage(stage)) else { continue };
                        let stage = walker.stage(stage);
                        for ((value, rest), hertz) in carried.iter_mut().zip(rest).zip(&sweep.hertz) {
                            *value = *value + *rest * stage.transfer(std::f64::consts::TAU * hertz);
                        }
                        live = true;
                    }
                }
            }
            let Some(link) = links.iter().find(|link| link.node == node).filter(|_| live) else { continue };
            arrives = true;
            let real = link.impedance.real(sweep);
            for k in 0..size {
                power[k] += 4.0 * BOLTZMANN * kelvin * real[k].max(0.0) * carried[k].square();
                sum[k] = sum[k] + link.transfer[k] * carried[k];
            }
        }
        if sum.iter().any(|value| value.square() > 0.0) {
            onward.insert(*driver, sum);
        }
    }
    arrives.then(|| {
        let weighted: Vec<f64> = power
            .iter()
            .zip(&sweep.hertz)
            .map(|(power, f)| power * a_weighting(*f) * a_weighting(*f))
            .collect();
        (integrate(&sweep.hertz, &power).sqrt(), integrate(&sweep.hertz, &weighted).sqrt())
    })
}

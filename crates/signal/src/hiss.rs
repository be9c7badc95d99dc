//! Noise at a sink: what every section and every device makes, carried to the end.
//!
//! At each listening node the noise density is 4kT·Re(Z) of the impedance there `[src:NYQUIST-1928]`; it passes the
//! rest of the chain with its gains. A device's own noise, where the document states it, stands at its output while it
//! works: taken as white over the sweep, so that its A-weighted sum is what is stated, and added by power. What nobody
//! has stated is left out. Where a section feeds several live inputs at once, what they have in common is counted as
//! such: the noise of a passive network between two of its nodes is 4kT·Re(Z₁₂), Z₁₂ the impedance from the one to the
//! other `[src:NYQUIST-1928]`. The noise of several outputs of one device is added as if it had nothing in common.

use std::collections::{BTreeMap, BTreeSet};

use crate::budget::Budget;
use crate::complex::Complex;
use crate::ladder::Sweep;
use crate::model::{Model, Node};
use crate::noise::{BOLTZMANN, a_weighting, integrate};
use crate::section::{Driver, Leaf, Walker};
use crate::state::{Answer, Link, mutual};

/// Noise at a sink.
#[derive(Debug, Clone, Default)]
pub(crate) struct Hiss {
    /// Unweighted, in volts rms over the sweep.
    pub(crate) volts: f64,
    /// A-weighted, in volts rms over the sweep.
    pub(crate) volts_a: f64,
    /// Devices whose own noise is in.
    pub(crate) own: BTreeSet<String>,
    /// Devices with a stage that signal passes, and whose own noise is not known there.
    pub(crate) not_known: BTreeSet<String>,
}

/// The noise at a sink; `None` where no signal arrives.
pub(crate) fn at_sink(
    (model, state): (&Model, &[u8]),
    answer: &Answer,
    sink: usize,
    sweep: &Sweep,
    kelvin: f64,
    budget: &Budget,
) -> Option<Hiss> {
    if answer.sections.is_empty() || answer.feeds_back {
        return None;
    }
    let walker = Walker::new(model);
    let size = sweep.len();
    let mut onward: BTreeMap<Driver, Vec<Complex>> = BTreeMap::new();
    let mut power = vec![0.0; size];
    let mut arrives = false;
    let mut hiss = Hiss::default();
    let weights: Vec<f64> = sweep.hertz.iter().map(|f| a_weighting(*f) * a_weighting(*f)).collect();
    let weighted_band = integrate(&sweep.hertz, &weights);
    for (driver, links) in answer.sections.iter().rev() {
        let mut sum = vec![Complex::ZERO; size];
        let nodes: BTreeSet<Node> = links.iter().map(|link| link.node).collect();
        let mut alive: Vec<(&Link, Vec<Complex>)> = Vec::new();
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
            for k in 0..size {
                sum[k] = sum[k] + link.transfer[k] * carried[k];
            }
            alive.push((link, carried));
        }
        let made = of_section((model, state), walker.node_of(*driver), &alive, sweep, budget);
        for (power, made) in power.iter_mut().zip(made) {
            *power += 4.0 * BOLTZMANN * kelvin * made;
        }
        if sum.iter().any(|value| value.square() > 0.0) {
            if let Driver::Stage(stage) = driver {
                let stage = walker.stage(*stage);
                match stage.noise {
                    Some(volts) => {
                        hiss.own.insert(stage.device.clone());
                        let density = volts * volts / weighted_band;
                        for (power, carried) in power.iter_mut().zip(&sum) {
                            *power += density * carried.square();
                        }
                    }
                    None => {
                        hiss.not_known.insert(stage.device.clone());
                    }
                }
            }
            onward.insert(*driver, sum);
        }
    }
    arrives.then(|| {
        let weighted: Vec<f64> = power.iter().zip(&weights).map(|(power, weight)| power * weight).collect();
        hiss.volts = integrate(&sweep.hertz, &power).sqrt();
        hiss.volts_a = integrate(&sweep.hertz, &weighted).sqrt();
        hiss.not_known = hiss.not_known.difference(&hiss.own).cloned().collect();
        hiss
    })
}

/// What the thermal noise of one section comes to at the sink, over 4kT: the resistance seen from there. Each node where
/// something listens, with what a voltage there comes to.
fn of_section(
    (model, state): (&Model, &[u8]),
    driver: Node,
    alive: &[(&Link, Vec<Complex>)],
    sweep: &Sweep,
    budget: &Budget,
) -> Vec<f64> {
    let own: Vec<Vec<f64>> = alive.iter().map(|(link, _)| link.impedance.real(sweep)).collect();
    let mut out = vec![0.0; sweep.len()];
    if alive.len() < 2 {
        for ((_, carried), real) in alive.iter().zip(&own) {
            for (out, (carried, real)) in out.iter_mut().zip(carried.iter().zip(real)) {
                *out += real.max(0.0) * carried.square();
            }
        }
        return out;
    }
    let nodes: Vec<Node> = alive.iter().map(|(link, _)| link.node).collect();
    let Some(mutual) = mutual(model, state, driver, &nodes, sweep, budget) else {
        // As if it were all the same noise: no more than that.
        for (k, out) in out.iter_mut().enumerate() {
            let each = alive
                .iter()
                .zip(&own)
                .map(|((_, carried), real)| real[k].max(0.0).sqrt() * carried[k].size());
            let all = each.sum::<f64>();
            *out = all * all;
        }
        return out;
    };
    for (k, out) in out.iter_mut().enumerate() {
        for (one, (_, from)) in alive.iter().enumerate() {
            for (other, (_, to)) in alive.iter().enumerate() {
                let (a, b) = (from[k], to[k]);
                *out += mutual[one][other][k] * (a.re * b.re + a.im * b.im);
            }
        }
        *out = out.max(0.0);
    }
    out
}

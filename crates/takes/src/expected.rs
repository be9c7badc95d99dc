//! What the circuit of the rig makes one expect, and how far a well-built board may be from it.

use signal::model::{Circuit, Element, Model, Part, Variant};
use signal::{Complex, Config, Input, Sweep, circuit, reference_circuit, respond};

/// How far the capacitance of a lead may be from its cable's figure, as a share. Common practice, no source.
const CABLE: f64 = 0.10;

/// The same of pots, inputs and outputs. Common practice, no source.
const POT: f64 = 0.20;

/// Which way and which state of a rig was recorded.
#[derive(Debug, Clone, Copy)]
pub struct Question<'a> {
    /// The rig with its leads.
    pub input: &'a Input<'a>,
    /// Figures to assume.
    pub config: &'a Config,
    /// The name of the source that the player stood in for.
    pub source: &'a str,
    /// The name of the amp or desk that the interface stood in for.
    pub sink: &'a str,
}

/// What is expected of one state.
#[derive(Debug, Clone, PartialEq)]
pub struct Expected {
    /// Level against the straight lead in dB, at the frequencies asked for.
    pub change_db: Vec<f64>,
    /// How far a board may be from it either way, in dB.
    pub band_db: Vec<f64>,
    /// Whether the way inverts.
    pub inverts: bool,
}

/// The response of a circuit from a source to a sink, by name; `None` where nothing arrives.
pub(crate) fn response(circuit: &Circuit, source: &str, sink: &str, sweep: &Sweep) -> Option<Vec<Complex>> {
    let from = circuit.sources.iter().position(|terminal| terminal.id == source)?;
    let to = circuit.sinks.iter().position(|terminal| terminal.id == sink)?;
    let model = Model {
        nodes: circuit.nodes.clone(),
        fixed: Variant { elements: circuit.elements.clone(), stages: circuit.stages.clone() },
        sources: circuit.sources.clone(),
        sinks: circuit.sinks.clone(),
        ..Model::new()
    };
    respond(&model, &[], from, to, sweep)
}

impl Question<'_> {
    /// The circuit of a state.
    pub(crate) fn circuit(&self, engaged: &[String]) -> Circuit {
        circuit(self.input, self.config, engaged)
    }

    /// The straight lead into the same input.
    pub(crate) fn straight(&self, sweep: &Sweep) -> Option<Vec<Complex>> {
        let own = format!("{} input", self.sink);
        let load = self.circuit(&[]).elements.iter().find_map(|element| match element.part {
            Part::Resistor(ohms) if element.name == own => Some(ohms),
            _ => None,
        });
        let straight = reference_circuit(self.input, self.config, self.source, load.unwrap_or(1e6));
        response(&straight, self.source, &straight.sinks.first()?.id.clone(), sweep)
    }

    /// What is expected of a state; `None` where nothing arrives in it.
    pub fn expected(&self, engaged: &[String], sweep: &Sweep) -> Option<Expected> {
        let circuit = self.circuit(engaged);
        let straight = self.straight(sweep)?;
        let own = response(&circuit, self.source, self.sink, sweep)?;
        let change_db = over(&own, &straight);
        let mut squares = vec![0.0; own.len()];
        for (names, share) in tolerances(&circuit) {
            let mut other = circuit.clone();
            for element in other.elements.iter_mut().filter(|element| names.contains(&element.name)) {
                scale(element, 1.0 + share);
            }
            let Some(moved) = response(&other, self.source, self.sink, sweep) else { continue };
            for ((square, a), b) in squares.iter_mut().zip(&moved).zip(&own) {
                let apart = a.decibels() - b.decibels();
                *square += apart * apart;
            }
        }
        let band_db = squares.into_iter().map(f64::sqrt).collect();
        Some(Expected { change_db, band_db, inverts: inverts(&circuit, self, &straight, sweep) })
    }
}

/// Whether a circuit inverts from a source to a sink, delays left out.
pub(crate) fn inverts(circuit: &Circuit, way: &Question<'_>, straight: &[Complex], sweep: &Sweep) -> bool {
    let mut prompt = circuit.clone();
    for stage in &mut prompt.stages {
        stage.delay = 0.0;
    }
    let Some(own) = response(&prompt, way.source, way.sink, sweep) else { return false };
    let alike = own.iter().zip(straight).zip(&sweep.hertz);
    let middle = alike.filter(|(_, hertz)| (100.0..2_000.0).contains(*hertz));
    let sum: f64 = middle
        .map(|((a, b), _)| (a.re * b.re + a.im * b.im) / (a.size() * b.size()).max(f64::MIN_POSITIVE))
        .sum();
    sum < 0.0
}

/// Level of one response over another in dB.
pub(crate) fn over(one: &[Complex], other: &[Complex]) -> Vec<f64> {
    one.iter().zip(other).map(|(a, b)| a.decibels() - b.decibels()).collect()
}

fn scale(element: &mut Element, factor: f64) {
    element.part = match element.part {
        Part::Resistor(ohms) => Part::Resistor(ohms * factor),
        Part::Capacitor(farads) => Part::Capacitor(farads * factor),
        other => other,
    };
}

/// Elements that are off together, each with its share: a lead's two halves, and pots, inputs and outputs one by one.
fn tolerances(circuit: &Circuit) -> Vec<(Vec<String>, f64)> {
    let mut out = Vec::new();
    for element in &circuit.elements {
        let name = &element.name;
        if let Some(lead) = name.strip_suffix(" near end") {
            out.push((vec![name.clone(), format!("{lead} far end")], CABLE));
        } else if matches!(element.part, Part::Resistor(_))
            && [" input", " output", " above wiper", " below wiper"].iter().any(|end| name.ends_with(end))
        {
            out.push((vec![name.clone()], POT));
        }
    }
    out
}

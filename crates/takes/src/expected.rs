//! What the circuit of the rig makes one expect, and how far a well-built board may be from it.

use rig::Bypass;
use signal::model::{Circuit, EARTH, Element, Part};
use signal::{Complex, Config, Input, Sweep, circuit, reference_circuit, response};

use crate::level::{Level, shift};

/// How far the capacitance of a lead may be from its cable's figure, as a share. Common practice, no source.
const CABLE: f64 = 0.10;

/// The same of pots, inputs and outputs. Common practice, no source.
const POT: f64 = 0.20;

/// A gain that is stated within this of nothing is no knob that changes a level, in dB. Common practice, no source.
const NO_GAIN_DB: f64 = 0.5;

/// Less than this against what the source gives is nothing that is heard, in dB. Common practice, no source.
const HEARD_DB: f64 = -70.0;

/// What a level is tried at, in hertz.
const LEVEL_TRIED_HZ: f64 = 1_000.0;

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

impl Question<'_> {
    /// The ways that a board's outputs were recorded on: this one, then one for each further amp or desk that the source
    /// reaches, in the order of the document.
    pub fn outputs(&self) -> Vec<Self> {
        let rig = self.input.rig;
        let sweep = Sweep::new(vec![LEVEL_TRIED_HZ]);
        let everything =
            signal::everything_on(self.input, self.config).into_iter().map(|state| state.engaged);
        let named = rig.states.iter().map(|state| state.engaged.clone());
        let circuits: Vec<Circuit> =
            std::iter::once(Vec::new()).chain(named).chain(everything).map(|on| self.circuit(&on)).collect();
        let hears = |sink: &str| {
            circuits.iter().any(|circuit| {
                response(circuit, self.source, sink, &sweep).is_some_and(|own| HEARD_DB < own[0].decibels())
            })
        };
        let others = rig.sinks.iter().filter(|sink| sink.id != self.sink && hears(&sink.id));
        std::iter::once(*self).chain(others.map(|sink| Self { sink: &sink.id, ..*self })).collect()
    }
}

impl Question<'_> {
    /// Whether levels count in a state: as long as signal passes nothing that has a gain of its own.
    pub fn level(&self, engaged: &[String]) -> Level {
        let rig = self.input.rig;
        let is_active = |name: &String| rig.device(name).is_none_or(|device| !device.signal.passive);
        if engaged.iter().any(is_active) {
            return Level::Free;
        }
        let always = rig.devices.iter().filter(|device| {
            device.signal.bypass.value == Some(Bypass::AlwaysOn)
                && !device.signal.passive
                && device.signal.gain.value.is_some_and(|gain| NO_GAIN_DB < gain.get().abs())
        });
        // In a loop that is out, or on another way, its knob does nothing.
        let circuit = self.circuit(engaged);
        let sweep = Sweep::new(vec![LEVEL_TRIED_HZ]);
        let size = |circuit: &Circuit| {
            response(circuit, self.source, self.sink, &sweep)
                .map_or(f64::NEG_INFINITY, |own| own[0].decibels())
        };
        let own = size(&circuit);
        let moves = |tag: &str| {
            let mut other = circuit.clone();
            for stage in other.stages.iter_mut().filter(|stage| stage.device == tag) {
                stage.gain *= 2.0;
            }
            NO_GAIN_DB < (size(&other) - own).abs()
        };
        if always.into_iter().any(|device| moves(&device.tag)) { Level::Free } else { Level::Counts }
    }

    /// The circuit of a state.
    pub(crate) fn circuit(&self, engaged: &[String]) -> Circuit {
        circuit(self.input, self.config, engaged)
    }

    /// The straight lead into the same input.
    pub(crate) fn straight(&self, sweep: &Sweep) -> Option<Vec<Complex>> {
        self.straight_with(0.0, sweep)
    }

    /// The straight lead with so many farads more than it should have.
    pub(crate) fn straight_with(&self, farads: f64, sweep: &Sweep) -> Option<Vec<Complex>> {
        let own = format!("{} input", self.sink);
        let load = self.circuit(&[]).elements.iter().find_map(|element| match element.part {
            Part::Resistor(ohms) if element.name == own => Some(ohms),
            _ => None,
        });
        let mut straight = reference_circuit(self.input, self.config, self.source, load.unwrap_or(1e6));
        let sink = straight.sinks.first()?.clone();
        if 0.0 < farads.abs() {
            let part = Part::Capacitor(farads);
            straight.elements.push(Element { name: "more".to_owned(), a: sink.node, b: EARTH, part });
        }
        response(&straight, self.source, &sink.id, sweep)
    }

    /// What is expected of a state; `None` where nothing arrives in it.
    pub fn expected(&self, engaged: &[String], sweep: &Sweep) -> Option<Expected> {
        self.expected_as(engaged, sweep, self.level(engaged))
    }

    /// What is expected of a state, with the room that parts take where levels count, or where they do not.
    pub(crate) fn expected_as(&self, engaged: &[String], sweep: &Sweep, level: Level) -> Option<Expected> {
        let circuit = self.circuit(engaged);
        let straight = self.straight(sweep)?;
        let own = response(&circuit, self.source, self.sink, sweep)?;
        let change_db = over(&own, &straight);
        let mut squares = vec![0.0; own.len()];
        let as_is = vec![0.0; own.len()];
        for (names, share) in tolerances(&circuit) {
            let mut other = circuit.clone();
            for element in other.elements.iter_mut().filter(|element| names.contains(&element.name)) {
                scale(element, 1.0 + share);
            }
            let Some(moved) = response(&other, self.source, self.sink, sweep) else { continue };
            let apart = over(&moved, &own);
            // Where the level does not count, what moves it alone is no room either.
            let shift = shift(level, &sweep.hertz, &apart, &as_is);
            for (square, apart) in squares.iter_mut().zip(&apart) {
                *square += (apart + shift) * (apart + shift);
            }
        }
        let band_db = squares.into_iter().map(f64::sqrt).collect();
        Some(Expected { change_db, band_db, inverts: inverts(&circuit, self, &straight, sweep) })
    }
}

/// Whether a circuit inverts on a way, delays left out; where nothing arrives it does not.
pub(crate) fn inverts(circuit: &Circuit, way: &Question<'_>, straight: &[Complex], sweep: &Sweep) -> bool {
    signal::inverts(circuit, way.source, way.sink, straight, sweep).unwrap_or(false)
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

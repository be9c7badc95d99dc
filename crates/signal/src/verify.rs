//! Judges what the engine answers by a second solver that shares no code with the first.
//!
//! The network is the same, so that it says nothing of how a rig is read into one; what it judges is how the network
//! is solved: responses of named states, the reference, and the band over all states with the states it names.

mod tableau;

use std::cell::Cell;
use std::collections::BTreeMap;

use crate::build::{self, Built};
use crate::grid::{AT_1K, AT_4K};
use crate::input::{Config, Input};
use crate::model::Circuit;
use crate::outcome::{Band, Outcome, StateResponse, Way};
use crate::silence::WhyNot;
use crate::solve::positions;

/// Where two solvers may differ, in dB: a hundredth of what is told.
const SAME_DB: f64 = 0.001;

/// Below this share of the EMF nothing is told of a level.
const SILENT: f64 = 1e-9;

/// Multiplications that one outcome is judged with; what is beyond them is not compared.
const WORK: usize = 20_000_000;

/// What an answer is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum What {
    /// The guitar straight into an amp.
    Reference,
    /// A named state.
    State(String),
    /// The state that a band says its edge is reached in, by what is on.
    Edge(Vec<String>),
    /// A named state that goes beyond the band of all states.
    Beyond(String),
}

/// An answer that the second solver does not find.
#[derive(Debug, Clone, PartialEq)]
pub struct Breach {
    /// Name of the source.
    pub source: String,
    /// Name of the sink.
    pub sink: String,
    /// What it is about.
    pub what: What,
    /// Where, in hertz.
    pub hertz: f64,
    /// What the outcome says, in dB against the EMF; minus infinity where it says that nothing arrives.
    pub said_db: f64,
    /// What is found, or the edge of the band.
    pub found_db: f64,
}

/// What the verifier says of an outcome.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Verdict {
    /// Answers that are not found; empty where all are right.
    pub breaches: Vec<Breach>,
    /// Levels compared.
    pub compared: usize,
    /// Levels that could not be compared: the network has no one answer, or it takes more work than one outcome may.
    pub left: usize,
}

/// Judges an outcome of an input.
pub fn verify(input: &Input<'_>, config: &Config, outcome: &Outcome) -> Verdict {
    let built = build::build(input, config);
    let mut judge = Judge {
        input,
        config,
        frequencies: &outcome.frequencies,
        built: &built,
        found: BTreeMap::new(),
        work: Cell::new(WORK),
        verdict: Verdict::default(),
    };
    for way in &outcome.ways {
        judge.way(way);
    }
    judge.verdict
}

/// Real and imaginary part of the voltage of each node for 1 V at a source, by number; `None` where there is no answer.
pub fn voltages(circuit: &Circuit, source: usize, hertz: f64) -> Option<Vec<(f64, f64)>> {
    tableau::voltages(circuit, source, hertz, &Cell::new(WORK))
}

fn decibels((re, im): (f64, f64)) -> f64 {
    10.0 * libm::log10(re * re + im * im)
}

/// Positions of switches, a source, and the place of a frequency.
type Question = (Vec<u8>, usize, usize);

struct Judge<'a> {
    input: &'a Input<'a>,
    config: &'a Config,
    frequencies: &'a [f64],
    built: &'a Built,
    /// Voltages of the sinks.
    found: BTreeMap<Question, Option<Vec<(f64, f64)>>>,
    work: Cell<usize>,
    verdict: Verdict,
}

impl Judge<'_> {
    fn way(&mut self, way: &Way) {
        let model = &self.built.model;
        let source = model.sources.iter().position(|terminal| terminal.id == way.source);
        let sink = model.sinks.iter().position(|terminal| terminal.id == way.sink);
        let (Some(source), Some(sink)) = (source, sink) else { return };
        let last = self.frequencies.len().saturating_sub(1);
        self.reference(way, [0, AT_1K, AT_4K, last]);
        for state in &way.states {
            for k in [0, AT_1K, AT_4K, last] {
                self.state(way, state, (source, sink), k);
            }
            self.within(way, state);
        }
        for band in std::iter::once(&way.band).chain(&way.band_sparing) {
            for k in [AT_1K, AT_4K] {
                self.edge(way, (band, &band.upper_db, &band.upper_state), (source, sink), k);
                self.edge(way, (band, &band.lower_db, &band.lower_state), (source, sink), k);
            }
        }
    }

    /// What a sink gets for 1 V at a source in a state.
    fn at(&mut self, state: Vec<u8>, (source, sink): (usize, usize), k: usize) -> Option<(f64, f64)> {
        let (model, hertz) = (&self.built.model, *self.frequencies.get(k)?);
        let work = &self.work;
        let all = self.found.entry((state, source, k)).or_insert_with_key(|(state, ..)| {
            let voltages = tableau::voltages(&model.circuit(state), source, hertz, work)?;
            Some(model.sinks.iter().map(|sink| voltages[sink.node]).collect())
        });
        all.as_ref().map(|all| all[sink])
    }

    fn reference(&mut self, way: &Way, places: [usize; 4]) {
        let built = build::reference(self.input, self.config, &way.source, way.reference_load);
        let circuit = built.model.circuit(&[]);
        for k in places {
            let (Some(hertz), Some(said)) = (self.frequencies.get(k), way.reference_db.get(k)) else {
                continue;
            };
            let found = tableau::voltages(&circuit, 0, *hertz, &self.work);
            let found = found.zip(circuit.sinks.first()).map(|(found, sink)| decibels(found[sink.node]));
            self.compare(way, What::Reference, *hertz, *said, found);
        }
    }

    fn state(&mut self, way: &Way, state: &StateResponse, ends: (usize, usize), k: usize) {
        let Some(hertz) = self.frequencies.get(k).copied() else { return };
        let found = self.at(positions(self.built, &state.engaged), ends, k);
        let what = What::State(state.name.clone());
        let Some(said) = state.response.get(k) else {
            if state.silence == Some(WhyNot::Silent) {
                self.compare(way, what, hertz, f64::NEG_INFINITY, found.map(decibels));
            }
            return;
        };
        let (said_db, found_db) = (said.decibels(), found.map(decibels));
        let count = self.verdict.breaches.len();
        self.compare(way, what.clone(), hertz, said_db, found_db);
        // A wrong phase counts as much as a wrong size.
        let Some((found, found_db)) = found.zip(found_db) else { return };
        let apart = libm::hypot(said.re - found.0, said.im - found.1);
        let share = apart / libm::hypot(found.0, found.1);
        let is_new = self.verdict.breaches.len() == count;
        if is_new && SILENT < apart && SAME_DB < 20.0 * libm::log10(1.0 + share) {
            self.breach(way, what, hertz, said_db, found_db);
        }
    }

    /// A named state lies within the band.
    fn within(&mut self, way: &Way, state: &StateResponse) {
        let bands = [&way.band.lower_db, &way.band.upper_db];
        if !self.built.model.allows(&positions(self.built, &state.engaged)) {
            return;
        }
        for (k, (hertz, value)) in self.frequencies.iter().zip(&state.response).enumerate() {
            let [Some(low), Some(high)] = bands.map(|band| band.get(k)) else { continue };
            let level = value.decibels();
            let edge = if level < *low { *low } else { *high };
            let is_heard = SILENT < value.size();
            if is_heard && (level < low - SAME_DB || high + SAME_DB < level) {
                let what = What::Beyond(state.name.clone());
                self.breach(way, what, *hertz, level, edge);
                return;
            }
        }
    }

    /// The state that a band names does reach its edge.
    fn edge(
        &mut self,
        way: &Way,
        (band, levels, states): (&Band, &[f64], &[Option<usize>]),
        ends: (usize, usize),
        k: usize,
    ) {
        let named = states.get(k).copied().flatten().and_then(|index| band.states.get(index));
        let (Some(engaged), Some(said), Some(hertz)) = (named, levels.get(k), self.frequencies.get(k)) else {
            return;
        };
        let (said, hertz) = (*said, *hertz);
        let found = self.at(positions(self.built, engaged), ends, k).map(decibels);
        self.compare(way, What::Edge(engaged.clone()), hertz, said, found);
    }

    fn compare(&mut self, way: &Way, what: What, hertz: f64, said: f64, found: Option<f64>) {
        let Some(found) = found else {
            self.verdict.left += 1;
            return;
        };
        self.verdict.compared += 1;
        let silent = 20.0 * libm::log10(SILENT);
        if silent < said.max(found) && SAME_DB < (said - found).abs() {
            self.breach(way, what, hertz, said, found);
        }
    }

    fn breach(&mut self, way: &Way, what: What, hertz: f64, said_db: f64, found_db: f64) {
        let (source, sink) = (way.source.clone(), way.sink.clone());
        self.verdict.breaches.push(Breach { source, sink, what, hertz, said_db, found_db });
    }
}

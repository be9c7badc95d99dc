//! Several recordings of one board: which state each is of, and what explains all of them together.

use rig::State;
use signal::grid::frequencies;
use signal::{Config, Input, Sweep};

use crate::compare::{Take, compare};
use crate::expected::{Expected, Question};
use crate::heard::Heard;
use crate::json::Judged;
use crate::level::{Level, shift};
use crate::number::float;
use crate::refusal::Refusal;
use crate::suspects::{Evidence, Suspects, suspects};
use crate::verdict::{Band, bands, not_mixed_up};

/// States that fit a recording as well as the best one within this cannot be told from it, in dB. Common practice, no source.
const AS_WELL_DB: f64 = 0.15;

/// Explanations of all recordings together that leave as much to something else explain nothing, as a share. Common practice, no
/// source.
const UNEXPLAINED: f64 = 0.5;

/// A polarity that does not fit counts like so many dB. Common practice, no source.
const TURNED_DB: f64 = 6.0;

/// How a recording was matched to its state.
#[derive(Debug, Clone, PartialEq)]
pub enum MatchedBy {
    /// Somebody said so.
    Said,
    /// Its name is that of the state.
    Name,
    /// Of all states it is nearest to what is expected of this one.
    Fit {
        /// How far, in dB rms.
        off_db: f64,
        /// Other states that fit as well, by their names.
        or: Vec<String>,
    },
}

/// The state that a recording is of.
#[derive(Debug, Clone, PartialEq)]
pub struct Matched {
    /// The state.
    pub state: State,
    /// How it was found.
    pub by: MatchedBy,
}

/// A recording with its name.
#[derive(Debug, Clone, Copy)]
pub struct Named<'a> {
    /// The name of its file, without the ending.
    pub name: &'a str,
    /// The recording.
    pub heard: &'a Heard,
    /// The state that somebody said it is of.
    pub state: Option<&'a State>,
}

/// One recording, judged.
#[derive(Debug, Clone, PartialEq)]
pub struct JudgedTake {
    /// The state it is of.
    pub matched: Matched,
    /// Whether its level counts.
    pub level: Level,
    /// Its outputs.
    pub outputs: Vec<Judged>,
}

/// Every way from a source to an amp or desk, by name, in the order of the document.
pub fn ways(input: &Input<'_>, config: &Config) -> Vec<(String, String)> {
    let circuit = signal::circuit(input, config, &[]);
    let sinks: Vec<String> = circuit.sinks.into_iter().map(|terminal| terminal.id).collect();
    let from = |source: &signal::model::Terminal| {
        let source = source.id.clone();
        sinks.iter().map(move |sink| (source.clone(), sink.clone())).collect::<Vec<_>>()
    };
    circuit.sources.iter().flat_map(from).collect()
}

/// Letters and digits of a name, small.
fn bare(name: &str) -> String {
    name.chars().filter(|letter| letter.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

impl Question<'_> {
    /// The state that a recording is of: the one that has its name, else the one that it is nearest to. `None` where no state
    /// lets signal through.
    pub fn matched(&self, name: &str, take: &Take, states: &[State]) -> Option<Matched> {
        let own = bare(name);
        let is_named = |state: &&State| {
            let of = bare(&state.name);
            !of.is_empty() && (of == own || bare(&state.engaged.join("")) == own && !own.is_empty())
        };
        if let Some(state) = states.iter().find(is_named) {
            return Some(Matched { state: state.clone(), by: MatchedBy::Name });
        }
        let grid = frequencies();
        let some: Vec<usize> =
            (0..grid.len()).filter(|at| at % 6 == 0 && (40.0..16_000.0).contains(&grid[*at])).collect();
        let sweep = Sweep::new(some.iter().map(|at| grid[*at]).collect());
        let measured: Vec<f64> = some.iter().map(|at| take.change_db[*at]).collect();
        let mut fits: Vec<(f64, &State)> = states
            .iter()
            .filter_map(|state| {
                let expected = self.bare_expected(&state.engaged, &sweep)?;
                let level = self.level(&state.engaged);
                let shift = shift(level, &sweep.hertz, &measured, &expected.change_db);
                let off = measured.iter().zip(&expected.change_db).map(|(a, b)| a + shift - b);
                let squares: f64 = off.map(|off| off * off).sum();
                let turned = take.inverts.is_some_and(|inverts| inverts != expected.inverts);
                let rms = (squares / float(measured.len().max(1))).sqrt();
                Some((rms + if turned { TURNED_DB } else { 0.0 }, state))
            })
            .collect();
        fits.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (off_db, best) = *fits.first()?;
        let or = fits.iter().skip(1).take_while(|(off, _)| off - off_db < AS_WELL_DB);
        let or = or.map(|(_, state)| state.name.clone()).collect();
        Some(Matched { state: best.clone(), by: MatchedBy::Fit { off_db, or } })
    }

    /// What is expected without how far parts may take it.
    fn bare_expected(&self, engaged: &[String], sweep: &Sweep) -> Option<Expected> {
        let straight = self.straight(sweep)?;
        let circuit = self.circuit(engaged);
        let own = signal::response(&circuit, self.source, self.sink, sweep)?;
        let change_db = crate::expected::over(&own, &straight);
        let inverts = crate::expected::inverts(&circuit, self, &straight, sweep);
        Some(Expected { band_db: vec![0.0; change_db.len()], change_db, inverts })
    }

    /// Whether one recording can be judged at all.
    ///
    /// # Errors
    /// When it cannot be compared, or was mixed up with the straight lead's.
    pub fn matched_alone(&self, one: &Named<'_>, reference: &Heard, states: &[State]) -> Result<(), Refusal> {
        self.each(std::slice::from_ref(one), reference, states).map(|_| ())
    }

    /// Judges recordings of several states, each output against what is expected at its own amp or desk, and looks for what
    /// explains all of them where one is not as expected. Where nothing explains all together, each is explained by itself.
    ///
    /// # Errors
    /// When a recording cannot be compared, or was mixed up with the straight lead's.
    pub fn judged(
        &self,
        takes: &[Named<'_>],
        reference: &Heard,
        states: &[State],
    ) -> Result<(Vec<JudgedTake>, Option<Suspects>), Refusal> {
        let mut out = self.each(takes, reference, states)?;
        let evidence: Vec<Vec<Evidence>> = out.iter().map(JudgedTake::evidence).collect();
        let is_off: Vec<bool> = out.iter().map(|one| !one.passes()).collect();
        let all: Vec<Evidence> = evidence.iter().flatten().cloned().collect();
        let found = is_off.contains(&true).then(|| suspects(*self, &all)).flatten();
        if 1 < takes.len() && found.as_ref().is_none_or(|found| UNEXPLAINED < found.something_else) {
            for ((one, own), _) in out.iter_mut().zip(&evidence).zip(&is_off).filter(|(_, is_off)| **is_off) {
                let alone = suspects(*self, own);
                if let Some(first) = one.outputs.iter_mut().find(|one| !one.passes()) {
                    first.suspects = alone;
                }
            }
        }
        Ok((out, found))
    }

    /// Judges each recording by itself, without a look for what explains it.
    fn each(
        &self,
        takes: &[Named<'_>],
        reference: &Heard,
        states: &[State],
    ) -> Result<Vec<JudgedTake>, Refusal> {
        let mut out = Vec::new();
        let ways = self.outputs();
        for one in takes {
            let measured = compare(one.heard, reference)?;
            let Some(first) = measured.first() else { return Err(Refusal::NotThere) };
            let way = way_of(&ways, one.heard, first);
            let matched = match one.state {
                Some(state) => Some(Matched { state: state.clone(), by: MatchedBy::Said }),
                None => way.matched(one.name, first, states),
            };
            let Some(matched) = matched else { return Err(Refusal::NotThere) };
            let outputs = measured
                .into_iter()
                .map(|take| way_of(&ways, one.heard, &take).output(take, &matched.state.engaged))
                .collect::<Result<_, _>>()?;
            out.push(JudgedTake { level: self.level(&matched.state.engaged), matched, outputs });
        }
        Ok(out)
    }

    /// One output of the board in a state.
    ///
    /// # Errors
    /// When it was mixed up with the straight lead.
    fn output(&self, take: Take, engaged: &[String]) -> Result<Judged, Refusal> {
        let level = self.level(engaged);
        let expected = self.expected(engaged, &Sweep::new(frequencies()));
        if let Some(expected) = &expected {
            not_mixed_up(&take.change_db, expected, level)?;
        }
        let bands = expected.as_ref().map(|one| bands(&take.change_db, one, level)).unwrap_or_default();
        let sink = expected.as_ref().map(|_| self.sink.to_owned());
        Ok(Judged { take, sink, expected, bands, suspects: None })
    }
}

/// The way that an output was recorded on: the first channel is that of the question, the second that of the next amp or desk.
fn way_of<'a, 'b>(ways: &'b [Question<'a>], heard: &Heard, take: &Take) -> &'b Question<'a> {
    let number = heard.channels.get(take.channel).map_or(0, |channel| channel.number);
    &ways[if number < ways.len() { number } else { 0 }]
}

impl JudgedTake {
    /// What its outputs say.
    fn evidence(&self) -> Vec<Evidence> {
        let of = |one: &Judged| {
            Some(Evidence {
                engaged: self.matched.state.engaged.clone(),
                sink: one.sink.clone()?,
                change_db: one.take.change_db.clone(),
                inverts: one.take.inverts,
                level: self.level,
            })
        };
        self.outputs.iter().filter_map(of).collect()
    }

    /// Whether everything about it is as expected.
    pub fn passes(&self) -> bool {
        self.outputs.iter().all(Judged::passes)
    }
}

impl Judged {
    /// Whether it inverts where it is not expected to, or does not where it is.
    pub fn is_turned(&self) -> bool {
        match (&self.expected, self.take.inverts) {
            (Some(expected), Some(inverts)) => expected.inverts != inverts,
            _ => false,
        }
    }

    /// Whether response and polarity are as expected.
    pub fn passes(&self) -> bool {
        !self.is_turned() && self.bands.iter().all(Band::passes)
    }

    /// By how much the measured curve is shifted where its level does not count, in dB.
    pub fn shift_db(&self, level: Level) -> f64 {
        let expected = self.expected.as_ref();
        expected.map_or(0.0, |one| shift(level, &frequencies(), &self.take.change_db, &one.change_db))
    }
}

//! Recordings of a job's board: read, matched to their states, held against the prediction.

use std::sync::Arc;

use design::{Design, RecordedOf};
use drawing::{Beside, Drawing, HumLine, PlotBand, ResponsePlot, SilencePlot};
use rig::State;
use signal::Sweep;
use signal::grid::frequencies;
use store::{Recording, Store};
use takes::{Heard, Judged, JudgedTake, Named, Question};

/// What a recording of the straight lead is said to be of.
pub const STRAIGHT: &str = "straight lead";

/// Steps of a spectrum that is drawn, for each octave.
const STEPS: f64 = 48.0;

/// A recording that was read.
#[derive(Debug, Clone)]
pub(crate) struct Read {
    pub(crate) of: Recording,
    /// What it says, or why it says nothing.
    pub(crate) heard: Result<Arc<Heard>, String>,
}

/// A recording with its state and verdict.
#[derive(Debug)]
pub(crate) struct Shown {
    pub(crate) name: String,
    pub(crate) at: String,
    pub(crate) heard: Arc<Heard>,
    pub(crate) judged: JudgedTake,
    /// What explains it by itself, where nothing explains all recordings together.
    pub(crate) alone: Option<takes::wire::Suspects>,
    /// All amps and desks, in the order of the channels.
    sinks: Vec<String>,
}

/// Everything that a job's recordings say together.
#[derive(Debug, Default)]
pub(crate) struct Takes {
    /// The straight lead.
    pub(crate) reference: Option<(String, Arc<Heard>)>,
    pub(crate) shown: Vec<Shown>,
    /// What explains all that is not as expected.
    pub(crate) suspects: Option<takes::wire::Suspects>,
    /// Recordings that say nothing, each with the reason.
    pub(crate) refused: Vec<(String, String)>,
}

impl Takes {
    /// Holds recordings against the prediction for a design.
    pub(crate) fn new(design: &Design, all: &[Read]) -> Self {
        let mut out = Self::default();
        let mut boards: Vec<(&Recording, Arc<Heard>)> = Vec::new();
        for one in all {
            match &one.heard {
                // The last one is what the others are held against.
                Ok(heard) if is_straight(&one.of) => {
                    out.reference = Some((one.of.name.clone(), Arc::clone(heard)));
                }
                Ok(heard) => boards.push((&one.of, Arc::clone(heard))),
                Err(why) => out.refused.push((one.of.name.clone(), why.clone())),
            }
        }
        let Some((_, reference)) = out.reference.clone() else { return out };
        let (input, config) = (design.signal_input(), design.signal_config());
        let states = design::recorded_states(design);
        let sweep = Sweep::new(frequencies());
        let ways = takes::ways(&input, &config);
        let way = ways.iter().find_map(|(source, sink)| {
            let way = Question { input: &input, config: &config, source, sink };
            states.iter().any(|state| way.expected(&state.engaged, &sweep).is_some()).then_some(way)
        });
        let Some(way) = way else {
            let why = "in no state signal gets from a guitar to an amp, so that nothing is expected of it";
            out.refused.extend(boards.iter().map(|(of, _)| (of.name.clone(), why.to_owned())));
            return out;
        };
        let said: Vec<Option<State>> = boards.iter().map(|(of, _)| state_of(&states, of)).collect();
        let named: Vec<Named<'_>> = boards
            .iter()
            .zip(&said)
            .map(|((of, heard), state)| Named { name: &of.name, heard, state: state.as_ref() })
            .collect();
        // One that cannot be compared does not take the others with it.
        let mut kept: Vec<usize> = Vec::new();
        for (at, one) in named.iter().enumerate() {
            match way.matched_alone(one, &reference, &states) {
                Ok(()) => kept.push(at),
                Err(why) => out.refused.push((one.name.to_owned(), why.to_string())),
            }
        }
        let own: Vec<Named<'_>> = kept.iter().map(|at| named[*at]).collect();
        let number = |lead: &str| design.lead_number(lead);
        let sinks: Vec<String> = way.outputs().iter().map(|way| way.sink.to_owned()).collect();
        if let Ok((judged, suspects)) = way.judged(&own, &reference, &states) {
            out.suspects = suspects.as_ref().map(|found| takes::suspects_json(found, &number));
            for (at, judged) in kept.iter().zip(judged) {
                let (of, heard) = &boards[*at];
                let alone = judged.outputs.iter().find_map(|one| one.suspects.as_ref());
                out.shown.push(Shown {
                    name: of.name.clone(),
                    at: of.at.clone(),
                    heard: Arc::clone(heard),
                    alone: alone.map(|found| takes::suspects_json(found, &number)),
                    judged,
                    sinks: sinks.clone(),
                });
            }
        }
        out
    }

    /// What all recordings say at rows of the test sheet, by their ids; the last one of a state counts.
    pub(crate) fn rows(&self) -> Vec<(String, String)> {
        let Some((_, reference)) = &self.reference else { return Vec::new() };
        let mut out: Vec<(String, String)> = Vec::new();
        for (id, said) in self.shown.iter().flat_map(|one| one.rows(reference)) {
            out.retain(|(other, _)| *other != id);
            out.push((id, said));
        }
        out
    }

    pub(crate) fn named(&self, name: &str) -> Option<&Shown> {
        self.shown.iter().find(|one| one.name == name)
    }
}

/// Whether a recording is of the straight lead: somebody said so, or its name does.
fn is_straight(of: &Recording) -> bool {
    match &of.state {
        Some(state) => state == STRAIGHT,
        None => {
            let name = of.name.to_lowercase();
            ["straight", "reference"].iter().any(|word| name.contains(word))
        }
    }
}

fn state_of(states: &[State], of: &Recording) -> Option<State> {
    let said = of.state.as_deref()?;
    states.iter().find(|state| state.name == said).cloned()
}

impl Shown {
    /// The first output, which the board's amp gets.
    pub(crate) fn output(&self) -> Option<&Judged> {
        self.judged.outputs.first()
    }

    /// Where an output goes, where there are several.
    pub(crate) fn to(&self, at: usize) -> String {
        let sink = self.judged.outputs.get(at).and_then(|one| one.sink.as_deref());
        sink.filter(|_| 1 < self.judged.outputs.len()).map(|sink| format!(", to {sink}")).unwrap_or_default()
    }

    /// The channel of an output in its file, from 1.
    pub(crate) fn number(&self, at: usize) -> usize {
        let channel = self.judged.outputs.get(at).and_then(|one| self.heard.channels.get(one.take.channel));
        channel.map_or(at, |channel| channel.number) + 1
    }

    /// What else there is to say: an output without signals, distortion.
    pub(crate) fn warnings(&self, reference: &Heard) -> Vec<String> {
        let silent: Vec<usize> = self.heard.silent.iter().map(|at| at + 1).collect();
        let number = |_: &str| None;
        let outputs = self.judged.outputs.iter();
        let outputs = outputs.map(|one| takes::output_json(&self.heard, reference, one, &number));
        takes::words::silent(&silent, &self.sinks)
            .into_iter()
            .chain(outputs.filter_map(|one| takes::words::distorts(&one)))
            .collect()
    }

    /// What it says at rows of the test sheet, by their ids.
    fn rows(&self, reference: &Heard) -> Vec<(String, String)> {
        let state = &self.judged.matched.state;
        let mut out = Vec::new();
        for one in takes::rows(&self.heard, reference, &self.judged) {
            let mut say = |of, said| out.push((design::recorded_row(of, state, &one.sink), said));
            say(RecordedOf::Response, one.response);
            if let Some(is) = one.polarity {
                say(RecordedOf::Polarity, if is { "yes" } else { "no" }.to_owned());
            }
            say(RecordedOf::Noise, one.noise);
            say(RecordedOf::Hum, one.hum);
        }
        out
    }

    /// The measured curve of an output as it is judged: with the level of the prediction where its own does not count.
    pub(crate) fn curve(&self, at: usize) -> Vec<f64> {
        let Some(judged) = self.judged.outputs.get(at) else { return Vec::new() };
        let shift = judged.shift_db(self.judged.level);
        judged.take.change_db.iter().map(|db| db + shift).collect()
    }

    /// Whether everything about it is as expected.
    pub(crate) fn passes(&self) -> bool {
        self.judged.passes()
    }

    /// What it is not, where polarity alone is not as expected.
    pub(crate) fn verdict(&self) -> &'static str {
        let outputs = &self.judged.outputs;
        let bands = outputs.iter().all(|one| one.bands.iter().all(takes::Band::passes));
        match (self.passes(), bands) {
            (true, _) => "as expected",
            (false, true) => "polarity not as expected",
            (false, false) => "not as expected",
        }
    }

    /// The state in words.
    pub(crate) fn state(&self) -> &str {
        signal::state_word(&self.judged.matched.state.name)
    }

    /// The plot of its response, on a sheet of this size.
    pub(crate) fn response(
        &self,
        at: usize,
        before: Option<&Self>,
        width: f64,
        height: f64,
        type_mm: f64,
    ) -> Drawing {
        let other = before.map(|before| (before.name.clone(), before.curve(at)));
        let output = self.judged.outputs.get(at);
        let bands: Vec<PlotBand> = output
            .map(|one| {
                one.bands
                    .iter()
                    .map(|band| PlotBand {
                        from_hz: band.from_hz,
                        to_hz: band.to_hz,
                        off_db: band.off_db(),
                        passes: band.passes(),
                    })
                    .collect()
            })
            .unwrap_or_default();
        let before = other.as_ref().map(|(name, change_db)| Beside { name, change_db });
        self.plotted(at, |plot| {
            let plot = ResponsePlot { before, bands: &bands, ..plot };
            drawing::response_plot(&plot, width, height, type_mm)
        })
    }

    /// Its curves the size of a thumb.
    pub(crate) fn thumb(&self) -> Drawing {
        // Of several outputs the one that is not as expected.
        let at = self.judged.outputs.iter().position(|one| !one.passes()).unwrap_or(0);
        self.plotted(at, |plot| {
            drawing::response_plot(&ResponsePlot { is_thumb: true, ..plot }, 60.0, 24.0, 2.0)
        })
    }

    /// Draws its curves: what was measured beside what is expected.
    fn plotted(&self, at: usize, draw: impl FnOnce(ResponsePlot<'_>) -> Drawing) -> Drawing {
        let (hertz, measured) = (frequencies(), self.curve(at));
        let expected = self.judged.outputs.get(at).and_then(|one| one.expected.as_ref());
        draw(ResponsePlot {
            title: &format!("Response of {}, {}{}", self.name, self.state(), self.to(at)),
            frequencies: &hertz,
            measured_db: &measured,
            expected_db: expected.map_or(&[], |one| &one.change_db),
            tolerance_db: expected.map_or(&[], |one| &one.band_db),
            before: None,
            bands: &[],
            is_thumb: false,
        })
    }

    /// The plot of its silence, on a sheet of this size.
    pub(crate) fn silence(&self, reference: &Heard, width: f64, height: f64, type_mm: f64) -> Drawing {
        let hertz = steps();
        let channel = self.output().and_then(|one| self.heard.channels.get(one.take.channel));
        let board = channel.map(|channel| peaks(&channel.silence_db, &hertz)).unwrap_or_default();
        let straight =
            reference.channels.first().map(|one| peaks(&one.silence_db, &hertz)).unwrap_or_default();
        let lines: Vec<HumLine<'_>> = channel
            .map(|channel| {
                let sources = channel.hum.sources.iter();
                sources
                    .flat_map(|source| {
                        source.lines.iter().map(|line| HumLine {
                            hertz: line.hertz,
                            level_db: line.level_db,
                            kind: source.kind.word(),
                        })
                    })
                    .collect()
            })
            .unwrap_or_default();
        let plot = SilencePlot {
            title: &format!("Silence of {}, {}", self.name, self.state()),
            frequencies: &hertz,
            board_db: &board,
            reference_db: &straight,
            lines: &lines,
        };
        drawing::silence_plot(&plot, width, height, type_mm)
    }

    /// Its curves as values, of each output.
    pub(crate) fn csv(&self) -> String {
        let outputs = &self.judged.outputs;
        let mut out = String::from("frequency_hz");
        for one in outputs {
            let to = one
                .sink
                .as_deref()
                .filter(|_| 1 < outputs.len())
                .map(|sink| format!("{sink}_"))
                .unwrap_or_default();
            out += &format!(",{to}measured_db,{to}expected_db,{to}tolerance_db");
        }
        out.push('\n');
        let measured: Vec<Vec<f64>> = (0..outputs.len()).map(|at| self.curve(at)).collect();
        for (at, hertz) in frequencies().iter().enumerate() {
            let own = |values: Option<&Vec<f64>>| {
                values
                    .and_then(|values| values.get(at))
                    .map(|value| format!("{value:.3}"))
                    .unwrap_or_default()
            };
            out += &format!("{hertz:.2}");
            for (one, measured) in outputs.iter().zip(&measured) {
                let expected = one.expected.as_ref();
                out += &format!(
                    ",{},{},{}",
                    own(Some(measured)),
                    own(expected.map(|one| &one.change_db)),
                    own(expected.map(|one| &one.band_db))
                );
            }
            out.push('\n');
        }
        out
    }
}

/// Frequencies of a spectrum that is drawn, in equal steps of the ear.
fn steps() -> Vec<f64> {
    let mut out = Vec::new();
    let mut hertz = 20.0;
    let factor = libm::exp2(1.0 / STEPS);
    while hertz <= 20_000.0 {
        out.push(hertz);
        hertz *= factor;
    }
    out
}

/// The highest bin of one hertz around each frequency.
fn peaks(bins: &[f64], hertz: &[f64]) -> Vec<f64> {
    let half = libm::exp2(0.5 / STEPS);
    let bin = |hertz: f64| {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "frequencies are between 20 and 20 000 Hz"
        )]
        let bin = hertz.round() as usize;
        bin
    };
    hertz
        .iter()
        .map(|hertz| {
            let (from, to) = (bin(hertz / half), bin(hertz * half));
            bins.iter().take(to + 1).skip(from).copied().fold(-200.0, f64::max)
        })
        .collect()
}

/// Plots of what was recorded, for the papers: each with its words.
///
/// # Errors
/// The journal cannot be read.
pub fn plots(store: &Store, job: &str, design: &Design) -> Result<Vec<(String, Drawing)>, store::StoreError> {
    let recordings = store.recordings(job)?;
    if recordings.is_empty() {
        return Ok(Vec::new());
    }
    let read: Vec<Read> = recordings.into_iter().map(|of| read(store, job, of)).collect();
    Ok(drawn(&Takes::new(design, &read)))
}

/// A recording to be kept.
#[derive(Debug, Clone, Copy)]
pub struct Kept<'a> {
    /// The name of its file.
    pub name: &'a str,
    /// The file.
    pub bytes: &'a [u8],
    /// The state that somebody said it is of; [`STRAIGHT`] of the straight lead.
    pub state: Option<&'a str>,
}

/// Keeps recordings in a job, and writes what all of its recordings say into the rows of its test sheet.
///
/// # Errors
/// A file or the journal cannot be written.
pub fn keep_recordings(
    store: &Store,
    job: &str,
    design: &Design,
    all: &[Kept<'_>],
    by: Option<&str>,
) -> Result<(), store::StoreError> {
    for one in all {
        store.keep_recording(job, one.name, one.bytes, one.state)?;
    }
    let read: Vec<Read> = store.recordings(job)?.into_iter().map(|of| read(store, job, of)).collect();
    crate::tested::fill(store, job, design, &Takes::new(design, &read).rows(), by)
}

/// The plots of recordings as papers show them: width and height in millimetres, letters as papers at the bench have them.
pub(crate) fn drawn(takes: &Takes) -> Vec<(String, Drawing)> {
    let Some((_, reference)) = &takes.reference else { return Vec::new() };
    let mut out = Vec::new();
    for one in &takes.shown {
        for at in 0..one.judged.outputs.len() {
            let words = format!("Response, {}{} ({}): {}", one.state(), one.to(at), one.name, one.verdict());
            out.push((words, one.response(at, None, 172.0, 66.0, drawing::text::BENCH)));
        }
    }
    if let Some(first) = takes.shown.first() {
        let words = format!("Silence, {} ({})", first.state(), first.name);
        out.push((words, first.silence(reference, 172.0, 58.0, drawing::text::BENCH)));
    }
    out
}

/// Reads a recording of the store.
pub(crate) fn read(store: &Store, job: &str, of: Recording) -> Read {
    let heard = store
        .recording(job, &of.name)
        .map_err(|error| error.to_string())
        .and_then(|bytes| takes::wav::read(&bytes).map_err(|error| error.to_string()))
        .and_then(|recording| takes::hear(&recording).map_err(|error| error.to_string()))
        .map(Arc::new);
    Read { of, heard }
}

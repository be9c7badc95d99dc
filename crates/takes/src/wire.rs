//! What `boardwright take read --format json` prints, as types.
//!
//! `docs/schema/take-1.schema.json` is made from them. Levels in dBFS are of a sine that just reaches full scale.

use schemars::JsonSchema;
use serde::Serialize;

/// Version of the layout.
pub const SCHEMA: &str = "boardwright.take.1";

/// Version of the layout for several recordings.
pub const SEVERAL_SCHEMA: &str = "boardwright.takes.1";

/// Recordings of several states of one board, beside one of the straight lead.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Several {
    /// Name and version of this form.
    #[schemars(extend("const" = SEVERAL_SCHEMA))]
    pub schema: &'static str,
    /// The recordings, in the order they were named.
    pub takes: Vec<Matched>,
    /// What explains all of them together; null where all are as expected.
    pub suspects: Option<Suspects>,
}

/// A recording and how its state was found.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Matched {
    /// The name of the file.
    pub file: String,
    /// How the state was found: `name` of the file, or `fit`.
    pub matched_by: &'static str,
    /// How far it is from what is expected of that state, dB rms; null where the name said it.
    pub off_db: Option<f64>,
    /// States that fit as well.
    pub or_state: Vec<String>,
    /// What it says.
    pub read: Read,
}

/// A recording of the board beside one of the straight lead.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Read {
    /// Name and version of this form.
    #[schemars(extend("const" = SCHEMA))]
    pub schema: &'static str,
    /// The recording of the board.
    pub board: File,
    /// The recording of the straight lead.
    pub reference: File,
    /// The way and state of the rig that was recorded; null where no rig was named.
    pub way: Option<Way>,
    /// Each output of the board.
    pub outputs: Vec<Output>,
}

/// A recording.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct File {
    /// Samples in a second, Hz.
    pub rate_hz: u32,
    /// Bits of a sample.
    pub bits: u16,
    /// How long it is, s.
    pub seconds: f64,
    /// Where the signals begin in it, s.
    pub begins_s: f64,
    /// How much faster the recorder's clock ran than the player's, millionths; it is corrected.
    pub clock_ppm: f64,
    /// Level of the tone of 997 Hz in its first channel, dBFS.
    pub tone_dbfs: f64,
    /// Channels in which none of the signals is found, from 1.
    pub silent_channels: Vec<usize>,
}

/// What was recorded.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Way {
    /// Name of the source.
    pub source: String,
    /// Name of the amp or desk of the first channel.
    pub sink: String,
    /// All amps and desks that the source reaches, in the order of the channels.
    pub sinks: Vec<String>,
    /// Name of the state.
    pub state: String,
    /// What is on in it.
    pub engaged: Vec<String>,
    /// Whether differences in level count: false where a device with a gain of its own is on, and 150 to 300 Hz is taken as right.
    pub level_counts: bool,
}

/// What one output of the board does.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Output {
    /// Channel of the board's recording, from 1.
    pub channel: usize,
    /// The amp or desk that the output goes to; null without a rig.
    pub sink: Option<String>,
    /// Frequencies of the curves, Hz.
    pub frequencies_hz: Vec<f64>,
    /// Level against the straight lead at each, dB.
    pub change_db: Vec<f64>,
    /// What the rig makes one expect, dB; null without a rig.
    pub expected_db: Option<Vec<f64>>,
    /// How far parts within their tolerance may take it either way, dB.
    pub tolerance_db: Option<Vec<f64>>,
    /// Measured beside expected, band by band.
    pub bands: Vec<Band>,
    /// Whether it inverts; null where that does not show.
    pub inverts: Option<bool>,
    /// Whether the rig makes one expect that.
    pub inverts_expected: Option<bool>,
    /// How much later than by the straight lead it arrives, ms.
    pub latency_ms: Option<f64>,
    /// Whether a second channel shows the interface's own delay; otherwise it counts only as long as player and recorder were
    /// started together.
    pub latency_is_sure: bool,
    /// Noise from 20 Hz to 20 kHz, dBFS.
    pub noise_dbfs: f64,
    /// The same A-weighted, dBFS.
    pub noise_a_dbfs: f64,
    /// Noise over that of the straight lead, dB.
    pub noise_over_db: f64,
    /// The same A-weighted, dB.
    pub noise_a_over_db: f64,
    /// Distortion and noise against the tone of 997 Hz, dB.
    pub rest_db: f64,
    /// Mains frequency, Hz; null where no line shows it.
    pub mains_hz: Option<f64>,
    /// What hums, loudest first.
    pub hum: Vec<Hum>,
    /// Distortion by order.
    pub distortion: Vec<Distortion>,
    /// What explains the difference; null where there is none to explain, or no rig.
    pub suspects: Option<Suspects>,
}

/// One band of frequencies.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Band {
    /// From, Hz.
    pub from_hz: f64,
    /// To, Hz.
    pub to_hz: f64,
    /// Mean of what was measured, dB.
    pub measured_db: f64,
    /// Mean of what is expected, dB.
    pub expected_db: f64,
    /// How far the two may be apart, dB.
    pub allowed_db: f64,
    /// The middle of a third of an octave within it that is further off than a third may be, Hz; null where none is.
    pub narrow_hz: Option<f64>,
    /// How much more was measured there than expected, dB.
    pub narrow_off_db: Option<f64>,
    /// Whether neither is further.
    pub passes: bool,
}

/// Lines of one kind.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Hum {
    /// `magnetic`, `rectifier`, `loop` or `clock`.
    pub kind: &'static str,
    /// All of them together, dBFS.
    pub level_dbfs: f64,
    /// How much louder than the same lines by the straight lead, dB; null where it has none of them.
    pub over_reference_db: Option<f64>,
    /// The lines.
    pub lines: Vec<Line>,
}

/// A line in the spectrum.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Line {
    /// Where it stands, Hz.
    pub hz: f64,
    /// Its level, dBFS.
    pub level_dbfs: f64,
    /// Which multiple of the mains frequency it is.
    pub harmonic: Option<usize>,
}

/// Distortion of a tone.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Distortion {
    /// The tone, Hz.
    pub hz: usize,
    /// Its orders.
    pub orders: Vec<Order>,
}

/// One order, against the tone itself.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Order {
    /// 2 for the octave.
    pub order: usize,
    /// Of the board, dB.
    pub board_db: f64,
    /// Of the straight lead, dB.
    pub reference_db: f64,
}

/// What explains a difference.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Suspects {
    /// The difference, dB rms.
    pub off_db: f64,
    /// Most likely first.
    pub list: Vec<Suspect>,
    /// How likely it is that it is something else, 0 to 1.
    pub something_else: f64,
}

/// One explanation.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Suspect {
    /// What would be wrong.
    pub fault: Fault,
    /// The same at other places, which this recording cannot tell from it.
    pub or: Vec<Fault>,
    /// How likely it is, 0 to 1.
    pub share: f64,
    /// What it leaves unexplained, dB rms.
    pub leaves_db: f64,
    /// What to have on in a recording that would tell more; null where none would.
    pub record_with: Option<Vec<String>>,
    /// By how much the explanations differ then, dB; null where they differ in polarity.
    pub record_apart_db: Option<f64>,
}

/// One thing that may be wrong.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Fault {
    /// `capacitance`, `input-capacitance`, `broken`, `no-buffer`, `buffer-elsewhere`, `inverts`, `stays-in`, `stays-out`, `level` or
    /// `load`.
    pub what: &'static str,
    /// The lead, by its two jacks; the jack; or the tag.
    pub at: String,
    /// Number of the lead on its labels.
    pub lead: Option<String>,
    /// Capacitance too much, F; below zero is too little.
    pub farads: Option<f64>,
    /// Capacitance that it should have, F.
    pub planned_farads: Option<f64>,
    /// What hangs on it, ohm.
    pub ohms: Option<f64>,
    /// How much louder everything is, dB.
    pub db: Option<f64>,
}

//! What `boardwright signal --format json` prints, as types.
//!
//! Levels are in dB against the EMF of the source; what is unbounded or says nothing is null. [`json()`](crate::json())
//! fills them. `docs/schema/signal-1.schema.json` is made from them.

use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::Serialize;

/// Version of the layout of [`json()`](crate::json())'s answer.
pub const SCHEMA: &str = "boardwright.signal.1";

/// A number; null for one that is infinite or says nothing.
pub type Number = Option<f64>;

/// Levels, loads and advice over all switching states, with the networks to recompute them.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Signal<'a> {
    /// Name and version of this form.
    #[schemars(extend("const" = SCHEMA))]
    pub schema: &'static str,
    /// From each source to each amp or desk that it can reach.
    pub sinks: Vec<Way<'a>>,
    /// Every place where something driven meets something that listens.
    pub junctions: Vec<Junction<'a>>,
    /// The heaviest load of each source.
    pub loads: Vec<Load<'a>>,
    /// Levels at the junctions in the named states.
    pub levels: Vec<Level<'a>>,
    /// Outputs whose level is written down, at the inputs that they may meet.
    pub stated_levels: Vec<StatedLevel>,
    /// Devices that feed each other in a ring.
    pub rings: Vec<Ring<'a>>,
    /// Branches of one source compared.
    pub branches: Vec<Branches<'a>>,
    /// What is asked of every way.
    pub answers: Vec<Answers>,
    /// Where a buffer would help.
    pub advice: Advice,
    /// Addresses of values used that are only assumed.
    pub assumed: Vec<String>,
    /// Addresses of values that are unknown; a stated figure stood in.
    pub lacks: Vec<String>,
    /// What was taken for granted, and what could not be done, in words.
    pub notes: &'a [String],
    /// What it took.
    pub work: Work,
}

/// An output whose nominal level is written down, at an input that it may meet.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StatedLevel {
    /// The output.
    pub from: String,
    /// The input.
    pub to: String,
    /// Its peaks, those of a sine 12 dB over the nominal level, V.
    pub peak_v: Number,
    /// What is left to the largest level that the input takes, dB; negative clips; null where that is unknown.
    pub headroom_db: Number,
}

/// Devices that feed each other in a ring, in the named state where its loop gain is largest.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Ring<'a> {
    /// Name of the state.
    pub state: &'a str,
    /// Tags of the devices that drive it, in the order in which signal passes them.
    pub devices: &'a [String],
    /// Loop gain where it is largest, with devices' largest gains, dB.
    pub gain_db: Number,
    /// Where that is, Hz.
    pub at_hz: Number,
    /// Whether it grows by itself.
    pub howls: bool,
    /// Addresses of gains that are unknown and counted as 0 dB.
    pub lacks: Vec<String>,
}

/// From one source to one amp or desk.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[expect(clippy::struct_excessive_bools, reason = "each is a fact of its own")]
pub struct Way<'a> {
    /// Name of the source.
    pub source: &'a str,
    /// Name of the amp or desk.
    pub sink: &'a str,
    /// The frequencies of all curves, Hz.
    pub frequencies_hz: &'a [f64],
    /// The source straight into an amp by the usual lead, dB, at each frequency.
    pub reference_db: Vec<Number>,
    /// Load of that reference, ohm.
    pub reference_load_ohm: Number,
    /// Whether the sink is an amp and not a desk, which is judged by the change of tone alone.
    pub is_amp: bool,
    /// Whether a passive volume pedal is said to stand below its top, so that the change of tone alone is judged.
    pub turned_down: bool,
    /// Whether branches of the source add up on the way, so that the change of tone alone is judged.
    pub adds_up: bool,
    /// Whether it is a dry feed or for something that only listens, so that no limit is held against it.
    pub aside: bool,
    /// Whether the envelope is that of all states.
    pub exact: bool,
    /// The extremes over all states.
    pub envelope: Band<'a>,
    /// The same with devices that want the bare pickup left off; null where there are none.
    pub envelope_sparing_bare: Option<Band<'a>>,
    /// Each named state, by its name.
    pub states: IndexMap<&'a str, State<'a>>,
    /// What is worst against the reference.
    pub worst: Worst<'a>,
    /// The same with devices that want the bare pickup left off.
    pub worst_sparing_bare: Option<Worst<'a>>,
    /// Resonance of coil and leads, Hz.
    pub resonance_hz: Resonance<'a>,
    /// The circuits behind it.
    pub network: Networks,
    /// Noise at the sink in each named state where it is known, by the name of the state.
    pub noise: IndexMap<&'a str, Noise>,
    /// Sets of buffers with the band that each would leave on this way.
    pub advice: Vec<Alternative>,
}

/// The extremes of level over switching states; gain of devices counts as 0 dB.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Band<'a> {
    /// Whether they are those of all states; else bounds, or those of the states that were visited.
    pub exact: bool,
    /// Where neither extremes nor bounds are known, how many states were visited.
    pub states_visited: Option<usize>,
    /// The highest level at each frequency, dB.
    pub upper_db: Vec<Number>,
    /// The lowest level at each frequency, dB.
    pub lower_db: Vec<Number>,
    /// What is on in the state that reaches the highest level, at each frequency.
    pub upper_state: Vec<Option<&'a [String]>>,
    /// What is on in the state that reaches the lowest level, at each frequency.
    pub lower_state: Vec<Option<&'a [String]>>,
}

/// What one state does.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct State<'a> {
    /// What is on.
    pub engaged: &'a [String],
    /// Level at each frequency, dB; empty when there is none.
    pub level_db: Vec<Number>,
    /// Why there is none, in words.
    pub why_not: Option<&'static str>,
    /// Real part of the response at each frequency, a ratio to the EMF.
    pub re: Vec<Number>,
    /// Imaginary part of the response at each frequency, a ratio to the EMF.
    pub im: Vec<Number>,
}

/// The worst figures of a band against the reference.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Worst<'a> {
    /// The largest change at 4 kHz, dB, with its sign.
    pub change_at_4k_db: Number,
    /// The largest change of 4 kHz minus 1 kHz, dB, with its sign; null where the band is only a bound.
    pub tone_change_db: Number,
    /// The largest loss at 1 kHz, dB; positive is quieter.
    pub insertion_loss_1k_db: Number,
    /// What is on in the state of the change at 4 kHz.
    pub state: Option<&'a [String]>,
    /// What is on in the state of the change of tone.
    pub tone_state: Option<&'a [String]>,
    /// What is on in the state of the loss.
    pub loss_state: Option<&'a [String]>,
}

/// Resonance of coil and leads up to the first thing that isolates.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Resonance<'a> {
    /// With the usual lead, Hz.
    pub reference: Number,
    /// The one shifted most, Hz.
    pub worst: Number,
    /// Its shift over the reference.
    pub shift_ratio: Number,
    /// What is on in that variant.
    pub state: Option<&'a [String]>,
    /// What is on in a variant that has no resonance any more.
    pub lost: Option<&'a [String]>,
    /// Every variant of the first section.
    pub variants: Vec<Variant<'a>>,
}

/// The resonance of one variant.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Variant<'a> {
    /// What is on in it.
    pub state: &'a [String],
    /// Its resonance, Hz; null where there is none.
    pub hz: Number,
}

/// The circuits behind a way.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Networks {
    /// The source straight into an amp by the usual lead.
    pub reference: Network,
    /// The circuit of each named state, by its name.
    pub states: IndexMap<String, Network>,
}

/// A circuit: elements between numbered nodes, node 0 is earth.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Network {
    /// Names of the nodes, in the order of their numbers.
    pub nodes: Vec<String>,
    /// The unit of the value of each kind of element.
    pub units: Units,
    /// Resistors, coils and capacitors.
    pub elements: Vec<Element>,
    /// Gain stages.
    pub stages: Vec<Stage>,
    /// Where EMFs stand.
    pub sources: Vec<Terminal>,
    /// Where sinks listen.
    pub sinks: Vec<Terminal>,
}

/// The unit of the value of each kind of element.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Units {
    /// Of a resistor.
    #[serde(rename = "R")]
    pub resistor: &'static str,
    /// Of a coil.
    #[serde(rename = "L")]
    pub coil: &'static str,
    /// Of a capacitor.
    #[serde(rename = "C")]
    pub capacitor: &'static str,
}

/// A resistor, coil, capacitor or transformer.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Element {
    /// Its name; a lossy coil is an L and an R of one name.
    pub name: String,
    /// What it is.
    #[schemars(extend("enum" = ["R", "L", "C", "T"]))]
    pub kind: &'static str,
    /// The number of its one node; the primary of a transformer, whose windings both end in earth.
    pub a: usize,
    /// The number of its other node; of a transformer, the secondary behind its winding's resistance.
    pub b: usize,
    /// Its value, in the unit that `units` gives to its kind; of a transformer, its winding's resistance in ohms.
    pub value: Number,
    /// Turns of a transformer's primary for one of its secondary, below zero where it inverts; `null` of anything else.
    pub turns: Number,
}

/// A gain stage: its output is the sum of its inputs times the gain.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Stage {
    /// Tag of the device.
    pub device: String,
    /// Numbers of the nodes that it listens to.
    pub inputs: Vec<usize>,
    /// Number of the node that it drives.
    pub output: usize,
    /// Voltage at the output over that at the input.
    pub gain_ratio: Number,
    /// Whether it inverts.
    pub inverts: bool,
    /// Its delay, s.
    pub delay_s: Number,
}

/// A named node.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Terminal {
    /// Name of the source or sink.
    pub id: String,
    /// Number of the node.
    pub node: usize,
}

/// Noise at a sink: thermal, and devices' own where it is known.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Noise {
    /// Unweighted, dBu.
    pub level_dbu: Number,
    /// A-weighted, dBu.
    pub level_dbu_a: Number,
    /// A-weighted, dB over the guitar alone by its usual lead.
    pub over_guitar_db_a: Number,
    /// Lower edge of the bandwidth, Hz.
    pub from_hz: f64,
    /// Upper edge of the bandwidth, Hz.
    pub to_hz: f64,
    /// Temperature, K.
    pub temperature_k: f64,
    /// Tags of the devices whose own noise is in.
    pub own_noise_of: Vec<String>,
    /// Tags of active devices that signal passes, and whose own noise is not known: it is left out.
    pub own_noise_not_known_of: Vec<String>,
}

/// Where something driven meets something that listens.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Junction<'a> {
    /// The port that gives, as `TAG.PORT`.
    pub from: &'a str,
    /// The port that takes, as `TAG.PORT`.
    pub to: &'a str,
    /// The largest loss at 1 kHz, dB; positive is quieter.
    pub loss_1k_db: Number,
    /// What is on between them in that variant.
    pub state: &'a [String],
    /// The same with no passive device on in between, dB; null where there is no such variant.
    pub off_1k_db: Number,
    /// Tags of the devices between them that are off in that variant.
    pub between: Vec<&'a str>,
    /// Tags of passive devices that always stand between them.
    pub through: &'a [String],
    /// Other outputs that drive the same conductor in that variant.
    pub against: &'a [String],
    /// Whether the giver is a coil or a piezo element.
    pub bare: bool,
    /// Whether nothing goes on from the taker to an amp or desk.
    pub listens: bool,
}

/// What hangs on a source at once, where that is the heaviest.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Load<'a> {
    /// Name of the source.
    pub source: &'a str,
    /// The resistance that its jack sees at 1 kHz, ohm.
    pub ohm: Number,
    /// The inputs, pots and outputs that hang there.
    pub at: Vec<String>,
    /// What is on in that state.
    pub state: &'a [String],
    /// Addresses of impedances that are unknown.
    pub lacks: Vec<String>,
}

/// Level at a port in a named state, with the largest gains of devices.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Level<'a> {
    /// Name of the state.
    pub state: &'a str,
    /// Name of the source.
    pub source: &'a str,
    /// The port, as `TAG.PORT`.
    pub port: &'a str,
    /// Level at 1 kHz, dB.
    pub level_db: Number,
    /// Level of the peak of the source as a sine at 1 kHz, dBu; null where the peak is unknown.
    pub level_dbu: Number,
    /// That peak, V.
    pub peak_v: Number,
    /// What is left to the largest level that the input takes, dB; negative clips.
    pub headroom_db: Number,
    /// The same with every gain at 0 dB, dB: negative clips however the gains are set.
    pub headroom_gains_at_0_db: Number,
    /// What is left at other supply voltages that the document states for its device.
    pub at_other_supply: Vec<OtherSupply>,
    /// What lies before it and clips first, so that this level is not reached; null where nothing is known to.
    pub clips_before: Option<ClipsBefore<'a>>,
    /// Addresses of gains that are unknown and counted as 0 dB.
    pub lacks: Vec<String>,
}

/// What is left of headroom at another supply voltage.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct OtherSupply {
    /// The voltage of the supply, V.
    pub supply_v: Number,
    /// What is left to the largest level that the input takes at it, dB; negative clips.
    pub headroom_db: Number,
}

/// A device that cannot give what the gains ask of it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ClipsBefore<'a> {
    /// Its tag.
    pub device: &'a str,
    /// What it takes or gives at most, as a peak, V.
    pub at_most_v: Number,
    /// The voltage of the supply whose half bounds what it gives, V; null where its input is what clips.
    pub supply_v: Number,
}

/// Two branches of one source in one state.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Branches<'a> {
    /// Name of the state.
    pub state: &'a str,
    /// Name of the source.
    pub source: &'a str,
    /// The sinks that the branches end in; the same one twice where they sum.
    pub sinks: &'a [String; 2],
    /// Tags of the devices on one branch only, that are on.
    pub own: &'a [Vec<String>; 2],
    /// The first jack of each that the other does not pass.
    pub by: [Option<String>; 2],
    /// Inversions on each branch; null where those of a device are unknown.
    pub inversions: [Option<u32>; 2],
    /// Whether the branches are of opposite polarity.
    pub opposite: Option<bool>,
    /// Difference of delay, s.
    pub latency_s: Number,
    /// The device where they sum, or the jack where they are tied together; null for different sinks.
    pub meets: Option<&'a str>,
    /// The first frequency above zero where the two cancel, Hz.
    pub notch_hz: Number,
    /// Every such frequency up to 20 kHz, Hz.
    pub notches_hz: Vec<Number>,
    /// How much louder the first is than the second where they sum, dB at 1 kHz.
    pub louder_db: Number,
    /// What one is louder than the other by however gains are set, dB at 1 kHz.
    pub apart_db: Number,
    /// Addresses of values that are unknown.
    pub lacks: Vec<String>,
}

/// What is asked of every way.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Answers {
    /// Name of the source.
    pub source: String,
    /// Name of the amp or desk.
    pub sink: String,
    /// With everything off; null where there is no answer.
    pub everything_off: Option<StateFigures>,
    /// Why there is none, in words.
    pub everything_off_why_not: Option<&'static str>,
    /// With everything on; null where there is no answer.
    pub everything_on: Option<StateFigures>,
    /// Why there is none, in words.
    pub everything_on_why_not: Option<&'static str>,
    /// Each volume pedal at some of its positions.
    pub travel: Vec<Travel>,
    /// The longest lead from the source that keeps the limits.
    pub longest_lead_in: Longest,
    /// The longest lead to the sink that keeps the limits.
    pub longest_lead_out: Longest,
    /// Whether the leads are held against the worst states found only, where there are too many to look at all.
    pub leads_by_states_tried: bool,
    /// What one more device would do; null where what stands now is not known exactly.
    pub one_more_device: Option<OneMoreDevice>,
}

/// What one more device would do to the tone, place by place, devices that want the bare pickup left off.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OneMoreDevice {
    /// The worst of all states as they are.
    pub now: Figures,
    /// Every place on the way, from the source on.
    pub at: Vec<OneMore>,
    /// Whether every place was worked out.
    pub complete: bool,
    /// Whether some figures are those of the worst states found, where there are too many to look at all.
    pub by_states_tried: bool,
}

/// One more device at one place: the worst of all states that it leaves.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OneMore {
    /// The place, in words.
    pub place: String,
    /// With hard bypass, bypassed.
    pub bypassed: Figures,
    /// As a buffer; null before a device that wants the bare pickup.
    pub buffered: Option<Figures>,
}

/// Figures of one state against the reference.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StateFigures {
    /// Level at 1 kHz, dB.
    pub level_1k_db: Number,
    /// Change at 4 kHz, dB.
    pub change_at_4k_db: Number,
    /// Change of 4 kHz minus 1 kHz, dB.
    pub tone_change_db: Number,
    /// Loss at 1 kHz, dB; positive is quieter.
    pub insertion_loss_1k_db: Number,
}

/// A volume pedal at one position.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Travel {
    /// Its tag.
    pub device: String,
    /// How far it is open, from 0 to 1.
    pub share: f64,
    /// The same in words.
    pub at: String,
    /// What arrives then; null where nothing does.
    pub figures: Option<StateFigures>,
}

/// The longest lead that keeps the limits.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Longest {
    /// Its length, m; null where there is none, or none was found.
    pub metres: Number,
    /// Whether a longer one would do as well; null where none was found.
    pub more: Option<bool>,
    /// Where no length that was tried keeps the limits: those that are broken at 0.1 m as well as today, or, where none
    /// is, those that are broken today, in words; left out where there is a length.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub broken: Option<Vec<&'static str>>,
}

/// Where a buffer would help.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Advice {
    /// How the search ended, in words.
    pub verdict: &'static str,
    /// The kind of the catalogue that a buffer is.
    pub buffer: &'static str,
    /// Devices that need the bare pickup, or may: places before them were left out.
    pub spared: Vec<String>,
    /// The worst figures without a buffer.
    pub before: Figures,
    /// Sets of places of the smallest size, the best first.
    pub alternatives: Vec<Alternative>,
    /// Where none keeps the limits: the place that helps most, which is not enough; left out where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub helps: Option<Alternative>,
    /// Addresses of what must be said before a buffer is put there.
    pub asks: Vec<String>,
    /// Addresses of values that nobody knows, for which usual figures stand in.
    pub rests_on: Vec<String>,
    /// Sets tried.
    pub sets_tried: usize,
    /// The largest size whose sets were all tried.
    pub size_tried: usize,
    /// Where it hangs on what is asked: the advice if those devices want the bare pickup.
    pub if_wanted: Option<Box<Advice>>,
    /// The advice if they do not.
    pub if_not_wanted: Option<Box<Advice>>,
}

/// One set of places for buffers.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Alternative {
    /// The places.
    pub places: Vec<Place>,
    /// How the search ended, in words.
    pub verdict: &'static str,
    /// The worst figures without a buffer.
    pub before: Figures,
    /// The worst figures with buffers there.
    pub after: Figures,
    /// The band of this way with buffers there; null where no way is meant.
    pub envelope: Option<Envelope>,
}

/// A place for a buffer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Place {
    /// The lead that it goes into, as `FROM > TO`.
    pub lead: String,
    /// The place in words.
    pub at: String,
}

/// A band with buffers.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Envelope {
    /// The highest level at each frequency, dB.
    pub upper_db: Vec<Number>,
    /// The lowest level at each frequency, dB.
    pub lower_db: Vec<Number>,
}

/// The figures that advice looks at, over all ways.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Figures {
    /// The largest size of change at 4 kHz, dB; into a desk, of 4 kHz minus 1 kHz.
    pub change_at_4k_db: Number,
    /// The largest shift of the resonance over the reference; null where it is lost.
    pub shift_ratio: Number,
    /// The largest loss at 1 kHz into an amp, dB; positive is quieter.
    pub loss_1k_db: Number,
}

/// What the search took.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Work {
    /// Driven nodes that the source can reach.
    pub drivers: usize,
    /// Edges of the graph of those.
    pub edges: usize,
    /// Combinations tried outside the graph.
    pub outer: usize,
    /// States solved one by one.
    pub states: usize,
    /// Steps of work, the unit of the budget.
    pub steps: u64,
}

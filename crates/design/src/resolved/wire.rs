//! What `boardwright export --as json` prints, as types: every default filled in, units in the names of keys.
//!
//! [`resolved`](crate::resolved()) fills them. `docs/schema/resolved-1.schema.json` is made from them. Places on the board
//! have their origin at the front left corner of the main deck: x to the right, y to the back, z up.
//!
//! Long because it is one form, every key of it with what it says.

use indexmap::IndexMap;
pub use power::wire::Given;
use schemars::JsonSchema;
use serde::Serialize;

/// The version of this JSON. It changes when a key changes its meaning.
pub const RESOLVED_SCHEMA: &str = "boardwright.resolved.1";

/// A point or corner: x, y and z, mm.
pub type Corner = [f64; 3];

/// The resolved rig.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Resolved<'a> {
    /// Name and version of this form.
    #[schemars(extend("const" = RESOLVED_SCHEMA))]
    pub schema: &'static str,
    /// Version of the program.
    pub program: &'a str,
    /// Hash of every file that the job was read from.
    pub inputs_sha256: &'a str,
    /// The job.
    pub job: Job<'a>,
    /// The requirements of the brief.
    pub requirements: Vec<Requirement<'a>>,
    /// Every limit by its key, which ends in its unit.
    pub limits: IndexMap<String, f64>,
    /// What is plugged in.
    pub sources: Vec<Source<'a>>,
    /// Amps and desks.
    pub sinks: Vec<Sink<'a>>,
    /// The board.
    pub board: Board<'a>,
    /// The plug that leads end in where nothing else is said, by what they carry.
    pub usual_plugs: IndexMap<&'static str, FeedPlug<'a>>,
    /// The devices.
    pub devices: Vec<Device<'a>>,
    /// The runs.
    pub runs: Vec<Run<'a>>,
    /// The named switching states.
    pub states: Vec<State<'a>>,
    /// What one switch works.
    pub switching: Vec<Switching<'a>>,
    /// Every end of a lead at a port.
    pub lead_ends: Vec<LeadEnd>,
    /// What a box of one class wants from a box of another, by class and by class with the unit, mm; null where they may
    /// share room.
    pub clearances: IndexMap<&'static str, IndexMap<String, Option<f64>>>,
    /// The boxes of every thing.
    pub boxes: Vec<SolidBox<'a>>,
    /// Boxes that cannot be made.
    pub boxes_missing: Vec<MissingBox<'a>>,
    /// The sockets of the strips on the board.
    pub sockets: Vec<Socket>,
    /// Boxes nearer to each other than they may be.
    pub conflicts: Vec<Conflict>,
    /// The leads.
    pub leads: Vec<Lead<'a>>,
    /// Outlets that feed something, with their load.
    pub outlets: Vec<OutletLoad<'a>>,
    /// The masses.
    pub mass: Mass<'a>,
}

/// The job.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Job<'a> {
    /// Its title.
    pub title: &'a str,
    /// Its number.
    pub number: Option<&'a str>,
    /// Who plays the board.
    pub player: Option<&'a str>,
    /// Letter of the revision; null for a draft.
    pub revision: Option<&'a str>,
    /// Its date.
    pub date: Option<&'a str>,
}

/// A requirement of the brief.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Requirement<'a> {
    /// Its number.
    pub id: &'a str,
    /// What is wanted, in prose.
    pub text: &'a str,
    /// What of it can be judged.
    pub wants: Vec<Wish<'a>>,
}

/// A wish of a requirement; what a wish of its kind does not say is null.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Wish<'a> {
    /// order, place, beside, together, apart, spare, mass, plays, mono or use.
    pub kind: &'static str,
    /// Tags of the devices; of `plays`, those that are out of action.
    pub devices: &'a [String],
    /// The place of a wish of place, or how often of a wish of use.
    pub word: Option<&'static str>,
    /// The run that an order is judged on.
    pub run: Option<&'a str>,
    /// The least gap of what stands apart, mm.
    pub by_mm: Option<f64>,
    /// Width of a free place, mm.
    pub width_mm: Option<f64>,
    /// Depth of a free place, mm.
    pub depth_mm: Option<f64>,
    /// The deck of a free place.
    pub deck: Option<&'a str>,
    /// The most it may weigh, g.
    pub mass_g: Option<f64>,
    /// Whether the case counts in it.
    pub cased: Option<bool>,
    /// Id of the sink that plays on or is heard alone.
    pub sink: Option<&'a str>,
    /// What the route to it begins with.
    pub from: Option<&'a str>,
}

/// A pickup with its lead.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Source<'a> {
    /// Its id.
    pub id: &'a str,
    /// Its title.
    pub title: &'a str,
    /// coil, piezo or active.
    pub kind: Given<&'static str>,
    /// Inductance, H.
    pub inductance_h: Given<f64>,
    /// Resistance, ohm.
    pub resistance_ohm: Given<f64>,
    /// Capacitance, F.
    pub capacitance_f: Given<f64>,
    /// Volume pot, ohm.
    pub volume_pot_ohm: Given<f64>,
    /// Tone pot, ohm.
    pub tone_pot_ohm: Given<f64>,
    /// Tone capacitor, F.
    pub tone_capacitor_f: Given<f64>,
    /// Length of its lead, mm.
    pub lead_mm: Given<f64>,
    /// Catalogue id of the cable of its lead.
    pub cable: Option<&'a str>,
}

/// An amp or desk with its lead.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Sink<'a> {
    /// Its id.
    pub id: &'a str,
    /// Its title.
    pub title: &'a str,
    /// Input impedance, ohm.
    pub z_ohm: Given<f64>,
    /// Length of its lead, mm.
    pub lead_mm: Given<f64>,
    /// Catalogue id of the cable of its lead.
    pub cable: Option<&'a str>,
    /// Whether it is earthed.
    pub earthed: Given<bool>,
    /// Whether it gives phantom power.
    pub phantom: Given<bool>,
}

/// The board with its decks and case.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Board<'a> {
    /// Its catalogue id.
    pub kind: Option<&'a str>,
    /// Its title.
    pub title: &'a str,
    /// Its mass, g.
    pub mass_g: Given<f64>,
    /// Height of the floor, mm; below zero.
    pub floor_level_mm: f64,
    /// What is clear below the lid, mm; null without a lid.
    pub lid_inside_height_mm: Option<Given<f64>>,
    /// Its case.
    pub case: Option<Case>,
    /// Its decks.
    pub decks: Vec<Deck<'a>>,
}

/// A case.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Case {
    /// Its mass, g.
    pub mass_g: Given<f64>,
    /// Width inside, mm.
    pub inside_width_mm: Given<f64>,
    /// Depth inside, mm.
    pub inside_depth_mm: Given<f64>,
    /// Width outside, mm.
    pub outside_width_mm: Given<f64>,
    /// Depth outside, mm.
    pub outside_depth_mm: Given<f64>,
    /// Height outside, mm.
    pub outside_height_mm: Given<f64>,
}

/// A deck.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Deck<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its origin on the board, mm.
    pub x_mm: f64,
    /// Its origin on the board, mm.
    pub y_mm: f64,
    /// Height of its surface, mm.
    pub level_mm: f64,
    /// Its thickness, mm.
    pub thickness_mm: f64,
    /// What is clear below it, mm.
    pub clear_below_mm: Given<f64>,
    /// Its surface, in its own frame.
    pub shape: Vec<Rect>,
    /// Its rails.
    pub rails: Vec<Rail<'a>>,
    /// Its risers.
    pub risers: Vec<Riser<'a>>,
    /// Its passages.
    pub passages: Vec<Passage<'a>>,
}

/// A rectangle of a deck.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Rect {
    /// From the left of the deck, mm.
    pub x_mm: f64,
    /// From the front of the deck, mm.
    pub y_mm: f64,
    /// Its width, mm.
    pub width_mm: f64,
    /// Its depth, mm.
    pub depth_mm: f64,
}

/// A rail below a deck.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Rail<'a> {
    /// Where it is.
    #[serde(flatten)]
    pub at: Rect,
    /// Its name.
    pub name: &'a str,
    /// How far it reaches below the deck, mm.
    pub drop_mm: f64,
}

/// A riser on a deck.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Riser<'a> {
    /// Where it is.
    #[serde(flatten)]
    pub at: Rect,
    /// Its name.
    pub name: &'a str,
    /// Its height, mm.
    pub height_mm: f64,
}

/// A hole through a deck that leads pass.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Passage<'a> {
    /// Where it is.
    #[serde(flatten)]
    pub at: Rect,
    /// Its name.
    pub name: &'a str,
    /// Whether it is lined.
    pub grommet: Given<bool>,
}

/// A device.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Device<'a> {
    /// Its tag.
    pub tag: &'a str,
    /// Its title.
    pub title: &'a str,
    /// Its catalogue id.
    pub kind: Option<&'a str>,
    /// What it does, in a word.
    pub role: String,
    /// Whether it is beside the board.
    pub outside: bool,
    /// Width, depth and height, mm.
    pub size_mm: Given<[f64; 3]>,
    /// Radius of its corners, mm; drawn, never computed with.
    pub corner_mm: f64,
    /// What knobs and switches add on top, mm.
    pub knobs_mm: Given<f64>,
    /// What a treadle at its full opening adds on top, mm; null without one.
    pub treadle_mm: Option<Given<f64>>,
    /// What its bracket takes under a deck, mm.
    pub bracket_mm: Given<f64>,
    /// Its mass, g.
    pub mass_g: Given<f64>,
    /// Where it stands; null while it has no place.
    pub place: Option<Place<'a>>,
    /// Height of its underside, mm; null while it has no place.
    pub base_mm: Option<f64>,
    /// Its foot switches.
    pub switches: Vec<Switch<'a>>,
    /// Its knobs and small switches; null while nobody has said which it has.
    pub controls: Option<Vec<Control<'a>>>,
    /// Its ports.
    pub ports: Vec<Port<'a>>,
    /// What it does to the signal.
    pub signal: Signal,
    /// What it takes.
    pub power: Power,
    /// How it is fed; null while that is open.
    pub feed: Option<Feed<'a>>,
    /// What a brick gives.
    pub outlets: Vec<Outlet<'a>>,
    /// Outlets that share a limit.
    pub banks: Vec<Bank<'a>>,
    /// What a brick gives at once, W.
    pub total_w: Given<f64>,
    /// What a brick gives over what it takes.
    pub efficiency_ratio: Given<f64>,
}

/// Where a device stands.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Place<'a> {
    /// Name of the deck, or `floor`.
    pub deck: &'a str,
    /// Front left corner of the turned body from the left of the deck, mm.
    pub x_mm: f64,
    /// Front left corner of the turned body from the front of the deck, mm.
    pub y_mm: f64,
    /// Turn, counter-clockwise, degrees: 0, 90, 180 or 270.
    pub turn_deg: u32,
    /// Whether it hangs under the deck.
    pub under: bool,
    /// Whether it stays there.
    pub locked: bool,
}

/// A foot switch.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Switch<'a> {
    /// Its name.
    pub name: &'a str,
    /// From the left of the body before turning, mm.
    pub x_mm: f64,
    /// From the front of the body before turning, mm.
    pub y_mm: f64,
    /// What a foot does with it; null while nobody has said.
    pub does: Option<&'a str>,
}

/// A knob or a small switch.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Control<'a> {
    /// What is printed beside it.
    pub name: &'a str,
    /// Where it stands as delivered; empty while nobody has written it down.
    pub at: &'a str,
}

/// A port.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Port<'a> {
    /// Its name.
    pub name: &'a str,
    /// What it is for.
    pub role: Given<&'static str>,
    /// Catalogue id of its connector.
    pub connector: Option<&'a str>,
    /// What nut and washer take, mm; null without a connector.
    pub nut_mm: Option<Given<f64>>,
    /// Diameter or width of its hole, mm; null without a connector.
    pub hole_mm: Option<Given<f64>>,
    /// Height of its hole where that is a cut-out, mm; null without a connector.
    pub hole_height_mm: Option<Given<f64>>,
    /// The side that it is on, before turning.
    pub face: Given<&'static str>,
    /// Its offset along that side, mm.
    pub offset_mm: Given<f64>,
    /// Its height, mm.
    pub height_mm: Given<f64>,
    /// What stands behind the wall of a panel, mm.
    pub behind_mm: Given<f64>,
    /// Whether it must stay within reach.
    pub service: bool,
    /// Its impedance, ohm.
    pub z_ohm: Given<f64>,
    /// Its place on the board, mm; null where that is not known.
    pub at_mm: Option<Corner>,
    /// The side that it faces on the board.
    pub looks: Option<&'static str>,
}

/// What a device does to the signal.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Signal {
    /// How it bypasses, in a word.
    pub bypass: Given<&'static str>,
    /// Whether it is passive.
    pub passive: bool,
    /// Whether it wants the bare pickup.
    pub bare_pickup: Given<bool>,
    /// Whether it inverts.
    pub inverts: Given<bool>,
    /// Its delay, s.
    pub latency_s: Given<f64>,
    /// The most gain at the voltage that feeds it, dB.
    pub gain_db: Given<f64>,
    /// The largest peak it takes at the voltage that feeds it, V.
    pub max_input_v: Given<f64>,
    /// What differs with the voltage that feeds it.
    pub at: Vec<AtVolts>,
    /// Its own noise at its output, engaged, gain at its largest, V rms A-weighted.
    pub noise_v: Given<f64>,
    /// Turns of a passive transformer's primary for one of its secondary.
    pub turns_ratio: Given<f64>,
}

/// What a device does at one supply voltage.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AtVolts {
    /// The supply voltage, V.
    pub volts_v: f64,
    /// The most gain there, dB; null where nothing is said of it.
    pub gain_db: Option<Given<f64>>,
    /// The largest peak it takes there, V; null where nothing is said of it.
    pub max_input_v: Option<Given<f64>>,
}

/// What a device takes.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Power {
    /// Direct or alternating current.
    #[serde(rename = "type")]
    pub nature: Given<&'static str>,
    /// The least and the greatest voltage, V.
    pub volts_v: Given<[f64; 2]>,
    /// What it draws, mA.
    pub current_ma: Given<f64>,
    /// What it draws at the start, mA.
    pub surge_ma: Given<f64>,
    /// Polarity of its barrel.
    pub sign: Given<&'static str>,
    /// Analogue or digital.
    pub class: Given<String>,
    /// Whether its ground is positive.
    pub positive_ground: Given<bool>,
    /// The frequency of the mains that it is made for: `50 Hz`, `60 Hz` or `50/60 Hz`.
    pub hertz: Given<&'static str>,
    /// What its mains selector is set to, V.
    pub selector_v: Given<f64>,
}

/// How a device is fed.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Feed<'a> {
    /// The kind of feed, in a word.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// The outlets, as `TAG.OUTLET`.
    pub outlets: Vec<String>,
    /// Whether the lead crosses polarity.
    pub crossing: bool,
    /// Whether it stays so.
    pub locked: bool,
    /// The plug that a barrel adaptor on the lead ends in.
    pub barrel_adaptor: Option<&'a str>,
    /// The plug of the lead at the device, where the feed or the job names one.
    pub plug: Option<FeedPlug<'a>>,
    /// The plug of the lead at the outlet, where the feed or the job names one.
    pub outlet_plug: Option<FeedPlug<'a>>,
    /// The adaptor that feeds it.
    pub adaptor: Option<Adaptor<'a>>,
}

/// A plug that a supply lead ends in.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FeedPlug<'a> {
    /// Its catalogue id.
    pub id: &'a str,
    /// The connectors that it is made for, by catalogue id.
    pub fits: Vec<&'a str>,
}

/// An adaptor in a socket.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Adaptor<'a> {
    /// Width, depth and height, mm.
    pub size_mm: Given<[f64; 3]>,
    /// Catalogue id of its prongs.
    pub prongs: Option<&'a str>,
    /// Middle of the prongs from its left, mm.
    pub prongs_left_mm: Given<f64>,
    /// Middle of the prongs from its bottom, mm.
    pub prongs_up_mm: Given<f64>,
    /// How it lies, in a word.
    pub lies: Given<&'static str>,
    /// Length of its lead, mm.
    pub lead_mm: Given<f64>,
    /// What its lead is shortened to, mm.
    pub shortened_mm: Option<f64>,
    /// How it is held, in a word.
    pub held: Given<&'static str>,
    /// Its mass, g.
    pub mass_g: Given<f64>,
}

/// An outlet of a brick.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Outlet<'a> {
    /// Its name.
    pub name: &'a str,
    /// Direct or alternating current.
    #[serde(rename = "type")]
    pub nature: Given<&'static str>,
    /// What it can be set to.
    pub settings: Vec<Setting>,
    /// What it is set to, V.
    pub set_v: Given<f64>,
    /// Polarity of its barrel.
    pub sign: Given<&'static str>,
    /// How it is isolated, in a word.
    pub isolation: Given<String>,
    /// Name of its bank.
    pub bank: Option<&'a str>,
    /// Whether it may be paired in parallel.
    pub parallel: Given<bool>,
    /// Whether it may be paired in series.
    pub series: Given<bool>,
}

/// A setting of an outlet.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Setting {
    /// Its voltage, V.
    pub volts_v: f64,
    /// What it gives at that voltage, mA.
    pub current_ma: Given<f64>,
}

/// Outlets that share a limit.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Bank<'a> {
    /// Its name.
    pub name: &'a str,
    /// What they give together, mA.
    pub current_ma: Given<f64>,
}

/// The order in which one signal passes devices.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Run<'a> {
    /// Its name.
    pub name: &'a str,
    /// What it carries, in a word.
    pub carries: &'static str,
    /// Its stops.
    pub stops: Vec<Stop<'a>>,
}

/// One device on a run.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Stop<'a> {
    /// As the document writes it.
    pub text: &'a str,
    /// The port it arrives at; null for a start.
    pub arrives: Option<String>,
    /// The port it leaves by; null for an end.
    pub leaves: Option<String>,
}

/// One switch that works several devices or loops.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Switching<'a> {
    /// What it is called.
    pub name: &'a str,
    /// Whether all go on and off together, or one at a time is on.
    pub way: &'static str,
    /// Tags, or `TAG.loop`.
    pub devices: &'a [String],
}

/// A named switching state.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct State<'a> {
    /// Its name.
    pub name: &'a str,
    /// Tags of what is engaged.
    pub engaged: &'a [String],
}

/// The end of a lead at a port.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LeadEnd {
    /// The port, as `TAG.PORT`.
    pub port: String,
    /// Tag of the device.
    pub device: String,
    /// Name of the port.
    pub port_name: String,
    /// The other end, as `TAG.PORT`.
    pub other: String,
    /// Which end it is.
    #[schemars(extend("enum" = ["from", "to"]))]
    pub end: &'static str,
    /// What the lead carries, in a word.
    pub class: &'static str,
    /// Whether it is on the side behind a panel's wall.
    pub inner: bool,
    /// How the plug sits; null where the place of the port is unknown or off the board.
    pub pose: Option<Pose>,
    /// The way the cable leaves an angled plug.
    pub exit: Option<&'static str>,
    /// The plug; null while it is open.
    pub plug: Option<Plug>,
}

/// How a plug sits in its port, or what stands behind the wall where it is soldered.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Pose {
    /// Behind the wall of a panel.
    Inner {
        /// Where the port meets the wall, mm.
        wall_mm: Corner,
        /// Where the wall ends inside, mm.
        inner_mm: Corner,
        /// The side that it faces.
        inward: &'static str,
        /// What stands behind the wall, mm; null where that is not known.
        depth_mm: Option<f64>,
        /// Whether it rests on an assumed value.
        assumed: bool,
    },
    /// A plug in its port.
    Plug {
        /// Where the port meets the wall, mm.
        wall_mm: Corner,
        /// The side that the port faces.
        looks: &'static str,
        /// How far the plug stands out, mm.
        reach_mm: f64,
        /// Where an angled plug turns, mm.
        turn_mm: Corner,
        /// Where the cable leaves, mm.
        leaves_mm: Corner,
        /// Where the cable goes; null while that is open.
        heading: Option<&'static str>,
        /// Room for the bend, mm.
        bend_mm: f64,
        /// Whether it rests on an assumed value.
        assumed: bool,
    },
}

/// A plug.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Plug {
    /// Its catalogue id.
    pub id: String,
    /// Its form.
    #[schemars(extend("enum" = ["angled", "straight"]))]
    pub angle: &'static str,
    /// How far it stands out, mm.
    pub depth_mm: Given<f64>,
    /// Its width, mm.
    pub width_mm: Given<f64>,
    /// Length of its sleeve, mm.
    pub tail_mm: Given<f64>,
    /// Width of its sleeve, mm.
    pub tail_width_mm: Given<f64>,
    /// Room for the bend of the cable, mm.
    pub bend_mm: Given<f64>,
}

/// What a box belongs to: a device, a port of one, or a part of the board.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Owner<'a> {
    /// A device as a whole.
    Device {
        /// Its tag.
        device: &'a str,
    },
    /// A port of a device, with its plug.
    Port {
        /// Tag of the device.
        device: &'a str,
        /// Name of the port.
        port: &'a str,
        /// Whether this is the side behind a panel's wall.
        inner: bool,
    },
    /// A part of the board.
    Board {
        /// Name of the deck.
        deck: &'a str,
        /// Name of the part.
        part: &'a str,
    },
}

/// A box of a thing.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Box")]
pub struct SolidBox<'a> {
    /// Its class, in a word.
    pub class: &'static str,
    /// What it belongs to.
    pub owner: Owner<'a>,
    /// Its corner with the least x, y and z, mm.
    pub low_mm: Corner,
    /// Its corner with the greatest x, y and z, mm.
    pub high_mm: Corner,
    /// Whether it rests on an assumed value.
    pub assumed: bool,
}

/// A box that cannot be made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct MissingBox<'a> {
    /// What it would have been, in a word.
    pub class: &'static str,
    /// What it would have belonged to.
    pub owner: Owner<'a>,
    /// Address of the value that is unknown or open.
    pub lacks: String,
}

/// A socket of a strip.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Socket {
    /// Where it is, as `TAG.PORT`.
    pub at: String,
    /// Catalogue id of its connector.
    pub pattern: Option<String>,
    /// From its middle to that of the next, mm; null for the last.
    pub pitch_mm: Option<f64>,
    /// What is the matter with it: free, used, covered or unknown, in a word.
    pub state: &'static str,
    /// Tags of what it feeds, or what stands in the way.
    pub by: Vec<String>,
    /// Whether it rests on an assumed value.
    pub assumed: bool,
}

/// Two things nearer to each other than they may be.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Conflict {
    /// The place of the one in `boxes`, from 0.
    pub of: usize,
    /// The place of the other in `boxes`, from 0.
    pub from: usize,
    /// The room there is, mm; below zero where they share room.
    pub found_mm: f64,
    /// The room wanted, mm.
    pub wanted_mm: f64,
}

/// A lead with all its ends.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Lead<'a> {
    /// Its number.
    pub tag: &'a str,
    /// Name of the run that it belongs to.
    pub run: Option<&'a str>,
    /// What it carries, in a word.
    pub class: &'static str,
    /// Whether its number is written in the document.
    pub issued: bool,
    /// Addresses of the values that its length rests on and that are only assumed.
    pub rests_on: Vec<String>,
    /// Its shape, in a word.
    pub shape: &'static str,
    /// Where it comes from.
    #[schemars(extend("enum" = ["made", "bought", "captive", "theirs"]))]
    pub making: &'static str,
    /// Where it comes from, ports joined by a plus.
    pub from: String,
    /// Where it goes to, ports joined by a plus.
    pub to: String,
    /// Its ends.
    pub ends: Vec<End<'a>>,
    /// Which contact goes to which.
    pub wiring: Vec<Wire>,
    /// Catalogue id of its cable.
    pub cable: Option<&'a str>,
    /// Distance of its ends along the straight line, mm.
    pub straight_mm: Given<f64>,
    /// Length to cut, mm.
    pub cut_mm: Given<f64>,
    /// Whether it is beside the board.
    pub outside: bool,
    /// Ports that it passes within devices.
    pub through: Vec<String>,
    /// Letters of the colours of its sleeves.
    pub sleeves: Vec<&'static str>,
}

/// An end of a lead.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct End<'a> {
    /// The number of its leg.
    pub leg: String,
    /// The port, as `TAG.PORT`.
    pub port: String,
    /// Which end it is.
    #[schemars(extend("enum" = ["from", "to"]))]
    pub end: &'static str,
    /// How it is fitted, in a word.
    pub fitting: &'static str,
    /// Catalogue id of its plug; null where it has none, or while it is open.
    pub plug: Option<&'a str>,
    /// Length to cut of its leg, mm; null where the lead has no joint.
    pub cut_mm: Option<Given<f64>>,
}

/// One contact joined to another.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Wire {
    /// Port and contact.
    pub from: String,
    /// Port and contact.
    pub to: String,
}

/// What hangs on an outlet.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OutletLoad<'a> {
    /// The outlet, as `TAG.OUTLET`.
    pub outlet: String,
    /// Tags of the devices that it feeds.
    pub devices: &'a [String],
    /// What they draw together, mA.
    pub load_ma: Given<f64>,
    /// What the outlet gives, mA.
    pub limit_ma: Given<f64>,
}

/// The masses.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Mass<'a> {
    /// Sum of what is known without the case, g.
    pub bare_g: f64,
    /// Sum of what is known with the case, g.
    pub cased_g: f64,
    /// The worst provenance among the items.
    pub from: &'static str,
    /// Every thing that weighs.
    pub items: Vec<MassItem<'a>>,
}

/// A thing that weighs.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MassItem<'a> {
    /// Its tag or name.
    pub name: &'a str,
    /// Its mass, g.
    pub mass_g: Given<f64>,
}

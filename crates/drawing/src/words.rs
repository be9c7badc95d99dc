//! The words that stand on drawings, in one place for later languages.

pub(crate) const LOOM: &str = "loom";
pub(crate) const NOT_PLACED: &str = "not placed";
pub(crate) const SIZE_UNKNOWN: &str = "size unknown";
pub(crate) const ON_THE_FLOOR: &str = "on the floor";
pub(crate) const UNDER: &str = "under";
pub(crate) const OUTSIDE: &str = "outside the board:";
pub(crate) const LID: &str = "lid";
pub(crate) const FLOOR: &str = "floor";
pub(crate) const LID_UNKNOWN: &str = "lid: inside height unknown";
pub(crate) const PLAN: &str = "plan";
pub(crate) const NEW: &str = "new";
pub(crate) const GONE: &str = "gone";
pub(crate) const MOVES: &str = "moves";
pub(crate) const CHANGES: &str = "changes";
pub(crate) const STOOD_HERE: &str = "stood here";
pub(crate) const VIEW_FROM_RIGHT: &str = "view from the right";
pub(crate) const VIEW: &str = "A";
pub(crate) const CHECK_BAR: &str = "100 mm: measure it";
/// What is written down of the bars.
pub(crate) const ACROSS: &str = "across";
pub(crate) const UPWARDS: &str = "up";
pub(crate) const STOP: &str = "Stop";
pub(crate) const LOOK: &str = "Look";

pub(crate) const LEGEND: &str = "legend";
pub(crate) const LEGEND_SIGNAL: &str = "signal";
pub(crate) const LEGEND_DC: &str = "low-voltage DC";
pub(crate) const LEGEND_CONTROL: &str = "control";
/// The joint of a lead with more than two ends.
pub(crate) const JOINT: &str = "joint";
pub(crate) const LEGEND_AC: &str = "low-voltage AC";
pub(crate) const LEGEND_MAINS: &str = "mains";
pub(crate) const LEGEND_PLUG: &str = "plug";
pub(crate) const LEGEND_BEND: &str = "bend of cable";
pub(crate) const LEGEND_HIDDEN: &str = "under a deck";
pub(crate) const LEGEND_OUTLET: &str = "brick and outlet";
pub(crate) const LEGEND_OUTLET_SAMPLE: &str = "B1.1";
pub(crate) const LEGEND_IN_OUT: &str = "in, out";
pub(crate) const LEGEND_SWITCH: &str = "foot switch";
pub(crate) const LEGEND_GAP: &str = "gap";
pub(crate) const LEGEND_DATUM: &str = "datum";

pub(crate) const TEMPLATE: &str = "template 1 : 1";
pub(crate) const SERVICE: &str = "(keep free)";
pub(crate) const SPARE_OUTLET: &str = "spare: cap it, label it";
pub(crate) const SERIES: &str = "series with";
pub(crate) const PARALLEL: &str = "parallel with";
pub(crate) const CROSSING: &str = "crossing lead";
pub(crate) const BARREL: &str = "adaptor to";
pub(crate) const WANTS: &str = "needs";
pub(crate) const PASSIVE: &str = "passive";
pub(crate) const INVERTS: &str = "inverts";
pub(crate) const BARE: &str = "bare pickup";
pub(crate) const Z_IN: &str = "in";
pub(crate) const Z_OUT: &str = "out";
/// Stands after a figure that is only assumed, where no line can be drawn under it.
pub(crate) const ASSUMED_MARK: &str = " assumed";
pub(crate) const FRONT: &str = "FRONT";
pub(crate) const REAR: &str = "REAR";
pub(crate) const FRONT_NOTE: &str = "seen from outside: plugs go in from here";
pub(crate) const REAR_NOTE: &str = "seen from inside, mirrored: never glue this one to the front";

/// How a device passes signal when it is off.
pub(crate) fn bypass(bypass: rig::Bypass) -> &'static str {
    match bypass {
        rig::Bypass::Hard => "hard bypass",
        rig::Bypass::Buffered => "buffered",
        rig::Bypass::Relay => "relay bypass",
        rig::Bypass::AlwaysOn => "always on",
    }
}
pub(crate) const OVERVIEW: &str = "what stands where";
pub(crate) const FEET: &str = "feet";
pub(crate) const UNDER_DECK: &str = "dashed, under a deck";
pub(crate) const OVER: &str = "over: ";

pub(crate) const BAND: &str = "band of all switching states";
pub(crate) const LEVEL_NOTE: &str = "level, reference at 200 Hz is 0 dB";
pub(crate) const CHANGE_NOTE: &str = "change against the reference";
pub(crate) const REFERENCE: &str = "reference";
pub(crate) const ALL_STATES: &str = "all states";
pub(crate) const STATES_TRIED: &str = "states tried, not all";
pub(crate) const BOUNDS: &str = "bounds, not exact";
pub(crate) const WORST: &str = "worst:";
pub(crate) const WORST_TRIED: &str = "worst of those tried:";
/// Before the name of the state that somebody looks at.
pub(crate) const SHOWN: &str = "shown:";
pub(crate) const DECIBEL: &str = "dB";
pub(crate) const FULL_SCALE: &str = "dBFS";
pub(crate) const HERTZ: &str = "Hz";
pub(crate) const AT_4K: &str = "4 kHz";
pub(crate) const TILE: &str = "tile";
pub(crate) const TILE_MAP: &str = "map of the tiles";
pub(crate) const NOT_PRINTED: &str = "not printed";

pub(crate) const CHANNELS: &str = "MIDI channels";
pub(crate) const KNOBS: &str = "knobs";
/// Where a knob stands that points straight up.
pub(crate) const NOON: &str = "noon";
pub(crate) const FACES: &str = "the jacks, face on";
pub(crate) const START: &str = "switching on";
pub(crate) const PHANTOM_VOLTS: &str = "48 V";
pub(crate) const PORTRAIT: &str = "the board";

/// The side of a panel that a player looks at.
pub(crate) fn side(face: rig::Face) -> &'static str {
    match face {
        rig::Face::Back => "rear, seen from behind",
        rig::Face::Right => "right end, seen from the right",
        rig::Face::Left => "left end, seen from the left",
        rig::Face::Front => "front",
    }
}

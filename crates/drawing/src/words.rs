//! The words that stand on drawings, in one place for later languages.

pub(crate) const NOT_PLACED: &str = "not placed";
pub(crate) const SIZE_UNKNOWN: &str = "size unknown";
pub(crate) const ON_THE_FLOOR: &str = "on the floor";
pub(crate) const UNDER: &str = "under";
pub(crate) const OUTSIDE: &str = "outside the board:";
pub(crate) const LID: &str = "lid";
pub(crate) const FLOOR: &str = "floor";
pub(crate) const LID_UNKNOWN: &str = "lid: inside height unknown";
pub(crate) const PLAN: &str = "plan";
pub(crate) const VIEW_FROM_RIGHT: &str = "view from the right";
pub(crate) const VIEW: &str = "A";
pub(crate) const CHECK_BAR: &str = "100 mm: measure it";
pub(crate) const STOP: &str = "Stop";
pub(crate) const LOOK: &str = "Look";

pub(crate) const LEGEND: &str = "legend";
pub(crate) const LEGEND_SIGNAL: &str = "signal";
pub(crate) const LEGEND_DC: &str = "low-voltage DC";
pub(crate) const LEGEND_CONTROL: &str = "control";
pub(crate) const LEGEND_MAINS: &str = "mains, AC";
pub(crate) const LEGEND_PLUG: &str = "plug";
pub(crate) const LEGEND_BEND: &str = "bend of cable";
pub(crate) const LEGEND_HIDDEN: &str = "under a deck";
pub(crate) const LEGEND_OUTLET: &str = "brick and outlet";
pub(crate) const LEGEND_OUTLET_SAMPLE: &str = "B1.1";
pub(crate) const LEGEND_IN_OUT: &str = "in, out";
pub(crate) const LEGEND_SWITCH: &str = "foot switch";
pub(crate) const LEGEND_GAP: &str = "gap";
pub(crate) const LEGEND_DATUM: &str = "datum";

//! What `boardwright change --format json` prints of a change, as types; lengths are millimetres.
//!
//! [`json()`](crate::json()) fills them. The command adds the two names and the money; `docs/schema/change-1.schema.json`
//! is made from both.

use schemars::JsonSchema;
use serde::Serialize;

/// The version of this JSON. It changes when a key changes its meaning.
pub const CHANGE_SCHEMA: &str = "boardwright.change.1";

/// Everything that differs between two designs.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Change<'a> {
    /// Name and version of this form.
    #[schemars(extend("const" = CHANGE_SCHEMA))]
    pub schema: &'static str,
    /// Whether nothing differs.
    pub empty: bool,
    /// Devices that are new, gone, moved or of other values.
    pub devices: Vec<Device<'a>>,
    /// Board and case: what differs.
    pub board: Vec<Words<'a>>,
    /// Runs that differ.
    pub runs: Vec<Words<'a>>,
    /// Feeds of devices that differ.
    pub feeds: Vec<Words<'a>>,
    /// Every lead of both, those that stay last.
    pub leads: Vec<Lead<'a>>,
    /// Outlets that are wired or set otherwise.
    pub outlets: Vec<Outlet<'a>>,
    /// Holes to blank.
    pub holes_blanked: Vec<Hole<'a>>,
    /// Holes to drill.
    pub holes_drilled: Vec<Hole<'a>>,
    /// Labels that come off.
    pub labels_off: Vec<Label<'a>>,
    /// Labels that go on.
    pub labels_on: Vec<Label<'a>>,
    /// Names of papers whose content differs.
    pub papers_void: &'a [&'static str],
    /// Names of papers that are good still.
    pub papers_good: &'a [&'static str],
    /// Tests to make again.
    pub tests_again: &'a [String],
    /// Results of tests that stand, a count.
    pub tests_stand: usize,
    /// Findings that are new, gone or of another severity.
    pub findings: Vec<Finding<'a>>,
}

/// A thing in words, before and after.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Words<'a> {
    /// What it is about.
    pub of: &'a str,
    /// Before; empty where it was not there.
    pub before: &'a str,
    /// After; empty where it is not there.
    pub after: &'a str,
}

/// A device that differs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Device<'a> {
    /// Its tag.
    pub tag: &'a str,
    /// Its title.
    pub title: &'a str,
    /// What became of it, in a word.
    pub became: &'static str,
    /// Its kind in a list of one; null where that is the same.
    pub kind: Option<[Words<'a>; 1]>,
    /// Its place in a list of one; null where that is the same.
    pub place: Option<[Words<'a>; 1]>,
    /// Its other values that differ.
    pub values: Vec<Value<'a>>,
}

/// A value of a device.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Value<'a> {
    /// Its key in the resolved rig, which has the unit.
    pub key: &'a str,
    /// Before, as written there.
    pub before: &'a str,
    /// After, as written there.
    pub after: &'a str,
}

/// What becomes of a lead.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Lead<'a> {
    /// Its number, that of the second design where it is in both.
    pub tag: &'a str,
    /// What it joins, in words.
    pub name: &'a str,
    /// Its number before, where that was another.
    pub was: Option<&'a str>,
    /// What becomes of it, in a word.
    pub became: &'static str,
    /// Why it is made again, what of it is altered, or why nobody can say; null for the others.
    pub why: Option<&'a str>,
    /// What a lead that is left has to spare, mm.
    pub spare_mm: Option<f64>,
    /// The offcut that a lead leaves which is gone, mm; null where it is too short to keep.
    pub offcut_mm: Option<f64>,
    /// Whether it has another number.
    pub renumbered: bool,
    /// How it was made.
    pub before: Option<Made<'a>>,
    /// How it is made.
    pub after: Option<Made<'a>>,
}

/// How a lead is made.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Made<'a> {
    /// Its number.
    pub tag: &'a str,
    /// What it carries, in a word.
    pub class: &'static str,
    /// Where it comes from: made, bought, captive or theirs.
    pub making: String,
    /// Catalogue id of its cable.
    pub cable: Option<&'a str>,
    /// Its ends.
    pub ends: Vec<End<'a>>,
    /// The cut length of each piece, mm; null where that is not known.
    pub cuts_mm: Vec<Option<f64>>,
    /// How the second plug is turned against the first, degrees.
    pub turned_deg: Option<u32>,
    /// Its wires by contact, where it is not simply through.
    pub wires: &'a [String],
}

/// An end of a lead.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct End<'a> {
    /// The port, as `TAG.PORT`.
    pub port: &'a str,
    /// Catalogue id of the plug.
    pub plug: Option<&'a str>,
    /// How it is fitted, in a word.
    pub fitting: &'static str,
}

/// An outlet that is wired or set otherwise.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Outlet<'a> {
    /// The outlet, as `TAG.OUTLET`.
    pub outlet: &'a str,
    /// Before, in words; empty where it was not there.
    pub before: &'a str,
    /// After, in words; empty where it is not there.
    pub after: &'a str,
}

/// A hole by where it is and how large.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Hole<'a> {
    /// The panel and its face, or the deck.
    pub plate: &'a str,
    /// What it is for.
    pub of: &'a str,
    /// From the datum to the right, mm; null where that is not known.
    pub x_mm: Option<f64>,
    /// From the datum up, or to the back on a deck, mm.
    pub y_mm: Option<f64>,
    /// Its diameter, or its width where it is a cut-out, mm.
    pub width_mm: Option<f64>,
    /// Height of a cut-out, mm; null where it is round.
    pub height_mm: Option<f64>,
}

/// A label.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Label<'a> {
    /// Its kind, in a word.
    pub kind: &'static str,
    /// What it is on.
    pub of: &'a str,
    /// Its lines.
    pub lines: &'a [String],
}

/// A finding that differs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Finding<'a> {
    /// As it was; null where it is new.
    pub before: Option<Case<'a>>,
    /// As it is; null where it is gone.
    pub after: Option<Case<'a>>,
}

/// A finding on one side.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Case<'a> {
    /// The rule.
    pub rule: &'static str,
    /// How much it matters.
    #[schemars(extend("enum" = ["stop", "look", "note"]))]
    pub severity: &'static str,
    /// The fact.
    pub message: &'a str,
    /// Tags of the devices that it is about.
    pub devices: &'a [String],
    /// Numbers of the leads that it is about.
    pub leads: &'a [String],
}

//! What `boardwright feed --format json` prints, as types: volts, milliamperes, watts, millimetres.
//!
//! [`json()`](crate::json()) fills them. `docs/schema/feed-1.schema.json` is made from them.

use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::Serialize;

/// A value with where it comes from.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Given<T> {
    /// The value; null where it is not known.
    pub is: Option<T>,
    /// Where it comes from: measured, printed, assumed, computed, unknown, or the document.
    pub from: &'static str,
}

impl<T> Given<T> {
    /// A value of a rig in the form that is printed.
    pub fn of<V: Copy>(value: rig::Known<V>, form: impl Fn(V) -> T) -> Self {
        Self { is: value.value.map(form), from: value.from.word() }
    }
}

/// Which outlet feeds which device, why, and what cannot be beaten.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Feeds<'a> {
    /// How the search ended: proven, feasible, impossible or cancelled.
    pub status: &'static str,
    /// What was reached.
    pub objective: Objective,
    /// What cannot be beaten; equal to `objective` where that is proven.
    pub bound: Objective,
    /// The same term by term, with what it was reckoned with.
    pub cost: Cost,
    /// What a careful colleague would look at; `objective.looks` counts them.
    pub looks: Vec<Look<'a>>,
    /// The feeds, in the order of the document.
    pub feeds: Vec<Feed<'a>>,
    /// Every outlet with what hangs on it.
    pub outlets: Vec<Outlet<'a>>,
    /// What strips, inlets and wall outlets must give; last the whole rig.
    pub mains: Vec<Mains<'a>>,
    /// Loads of banks.
    pub banks: Vec<Bank<'a>>,
    /// Loads of bricks.
    pub bricks: Vec<Brick<'a>>,
    /// From each outlet to each device, as far as placed.
    pub distances_mm: Vec<Distance<'a>>,
    /// Devices whose feed is locked.
    pub locks: Vec<Lock<'a>>,
    /// Devices whose feed is made, and changes all the same.
    pub unmade: &'a [String],
    /// What was assumed because nobody wrote it down.
    pub assumed: Vec<Assumed<'a>>,
    /// Outlets of which something is not known, so that they are not used as they might be.
    pub unchecked: Vec<Unchecked<'a>>,
    /// Devices without a feed.
    pub unserved: Vec<Unserved<'a>>,
    /// Sets of devices that cannot be served together, smallest first.
    pub conflict: Vec<Conflict<'a>>,
    /// Ways out, the cheapest first.
    pub cures: Vec<Cure<'a>>,
    /// Whether the work for them ended before all was tried: there may be more, or cheaper ones.
    pub cures_cut_short: bool,
    /// Ways out that work too and are not in `cures`, because they cost no less, or cost less and do not fit.
    pub cures_untold: usize,
    /// Whether all of those were counted; else there may be more.
    pub cures_untold_counted: bool,
    /// Whether no way out costs less than the first in `cures`, in their order; `false` where not all that cost less could be tried
    /// to the end, and where no way out is known that feeds all.
    pub cures_cheapest_proven: bool,
}

/// The objectives, each as good as can be before the next is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Objective {
    /// Findings to look at, a count; fewer is better.
    pub looks: i64,
    /// Special leads, a count; fewer is better.
    pub special_leads: i64,
    /// What the fullest outlet has left, in thousandths of what it gives; more is better.
    pub margin_permille: i64,
    /// All leads along the axes, mm; null where nothing is placed; less is better.
    pub length_mm: Option<i64>,
}

/// The objective term by term, and all it was reckoned with. `docs/power-cost.md` explains each name.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Cost {
    /// The terms in their order: each is as good as can be before the next is looked at.
    pub terms: Vec<Term>,
    /// What one look of each kind counts in the term `looks`, by its kind.
    pub look_weights: IndexMap<&'static str, i64>,
    /// The limits used.
    pub limits: Limits,
    /// What is taken where nothing is known, and constants.
    pub assumptions: Assumptions,
}

/// One term of the cost.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Term {
    /// Its name.
    pub name: &'static str,
    /// The unit of `is` and `bound`: devices, findings, leads, permille or mm.
    pub unit: &'static str,
    /// Which way is better: less or more.
    pub better: &'static str,
    /// What was reached, in `unit`; null where there is nothing to count.
    pub is: Option<i64>,
    /// What cannot be beaten, in `unit`.
    pub bound: Option<i64>,
    /// Whether `is` cannot be beaten.
    pub proven: bool,
}

/// The limits that the cost was reckoned with.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Limits {
    /// Load of an outlet over what it gives, from which on somebody should look.
    pub outlet_load_look_ratio: f64,
    /// The same, from which on it is refused.
    pub outlet_load_stop_ratio: f64,
    /// Load of a brick or bank over what it gives, from which on somebody should look.
    pub brick_load_look_ratio: f64,
    /// The same, from which on it is refused.
    pub brick_load_stop_ratio: f64,
    /// Draw at the start over the draw of a digital device.
    pub surge_factor_ratio: f64,
    /// Draw of analogue devices on one outlet, mA, from which on somebody should look.
    pub shared_analogue_look_ma: f64,
    /// The most devices on one outlet.
    pub outlet_share_most: usize,
    /// Voltage lost on a lead over the voltage of the outlet, from which on somebody should look.
    pub supply_drop_look_ratio: f64,
}

/// What is taken where nothing is known, and constants.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Assumptions {
    /// The usual voltage of a device, V.
    pub usual_v: f64,
    /// What an outlet must give for a device of unknown draw, mA.
    pub strong_ma: f64,
    /// What a brick gives over what it takes.
    pub efficiency_ratio: f64,
    /// Real power over apparent power on the mains.
    pub power_factor_ratio: f64,
    /// Resistance of the contacts of a lead, ohm.
    pub contacts_ohm: f64,
    /// Length of a lead over the way along the axes.
    pub pull_ratio: f64,
}

/// Something that a careful colleague would look at.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Look<'a> {
    /// Its kind, as in `cost.look_weights`.
    pub what: &'static str,
    /// The outlet, brick, bank or device that it is about.
    pub about: &'a str,
    /// The fact in one line.
    pub words: &'a str,
}

/// How one device is fed.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Feed<'a> {
    /// Tag of the device.
    pub device: &'a str,
    /// The kind of feed, in a word.
    pub kind: &'static str,
    /// The outlets; none for an adaptor.
    pub outlets: Vec<FedBy<'a>>,
    /// All that hangs on the outlet (the worse one of a pair), mA; of an adaptor, the draw of the device.
    pub load_ma: f64,
    /// What that outlet gives, mA; null for an adaptor.
    pub limit_ma: Option<f64>,
    /// What is left of it, in thousandths.
    pub margin_permille: Option<i64>,
    /// Why it hangs here and not on the neighbour, in one line.
    pub why: &'a str,
    /// What is lost along the lead, V; null where that is not known.
    pub lost_v: Option<f64>,
    /// What the device needs.
    pub requirement: Requirement,
    /// The leads that feed it.
    pub lead: Vec<FeedLead<'a>>,
}

/// One outlet of a feed.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FedBy<'a> {
    /// Tag of the brick.
    pub brick: &'a str,
    /// Name of the outlet.
    pub outlet: &'a str,
    /// The voltage it is set to, V.
    pub setting_v: f64,
    /// Its own polarity, before a crossing lead; null for alternating current.
    pub sign: Option<&'static str>,
}

/// What a device needs, each value with where it comes from.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Requirement {
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
    pub class: Given<&'static str>,
    /// Whether its ground is positive.
    pub positive_ground: Given<bool>,
}

/// A lead of a feed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct FeedLead<'a> {
    /// The outlet or socket, as `TAG.OUTLET`.
    pub from: String,
    /// The inlet, as `TAG.PORT`; the tag alone where the device has none.
    pub to: String,
    /// The way along the axes, mm; null where one end is not placed, and for an adaptor.
    pub distance_mm: Option<i64>,
    /// What makes it special, in words.
    pub special: Vec<&'static str>,
    /// Whether it crosses polarity.
    pub crossing: bool,
    /// The connector that a barrel adaptor on it presents to the device.
    pub barrel_adaptor: Option<&'a str>,
}

/// What hangs on an outlet, and what is left of it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Outlet<'a> {
    /// Tag of the brick.
    pub brick: &'a str,
    /// Name of the outlet.
    pub outlet: &'a str,
    /// The voltage it is set to, or would be first, V.
    pub setting_v: f64,
    /// Tags of the devices on it.
    pub devices: &'a [String],
    /// What they draw, mA; of an unknown draw all that can be kept for it.
    pub load_ma: f64,
    /// Whether that is the most it may be, because nobody knows what some device draws.
    pub up_to: bool,
    /// What it gives at that voltage, mA.
    pub limit_ma: f64,
    /// What is left, mA.
    pub free_ma: f64,
    /// What is left, in thousandths of what it gives.
    pub margin_permille: i64,
    /// The load as power, W.
    pub load_w: f64,
    /// Whether it is kept for a device that cannot be judged.
    pub kept: bool,
}

/// What a strip, an inlet or a wall outlet must give.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Mains<'a> {
    /// Its tag; null for the whole rig.
    pub at: Option<&'a str>,
    /// Tags of the bricks and devices that take it, through strips as well.
    pub takers: &'a [String],
    /// Real power, W, at the efficiency of each brick.
    pub load_w: f64,
    /// Whether that is the most it may be, because nobody knows what some device draws.
    pub up_to: bool,
    /// Apparent power, VA, at the usual power factor.
    pub load_va: f64,
    /// Current at the mains of the job, mA; null where their voltage is not known.
    pub load_ma: Option<f64>,
    /// Voltage of the mains, V.
    pub mains_v: Option<f64>,
    /// Real power over apparent power.
    pub power_factor_ratio: Given<f64>,
}

/// Load of a bank.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Bank<'a> {
    /// Tag of the brick.
    pub brick: &'a str,
    /// Name of the bank.
    pub bank: &'a str,
    /// What its outlets give together, mA.
    pub load_ma: f64,
    /// Whether that is the most it may be, because nobody knows what some device draws.
    pub up_to: bool,
    /// What they may give, mA.
    pub limit_ma: f64,
    /// The load as power, W.
    pub load_w: f64,
}

/// Load of a brick.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Brick<'a> {
    /// Its tag.
    pub brick: &'a str,
    /// What its outlets give together, W.
    pub load_w: f64,
    /// Whether that is the most it may be, because nobody knows what some device draws.
    pub up_to: bool,
    /// What it takes for that off the mains, VA; null where it is not on the mains.
    pub takes_va: Option<f64>,
    /// What it may give, W; null where that is not known.
    pub limit_w: Option<f64>,
    /// The currents of its outlets together, mA.
    pub load_ma: f64,
    /// What it takes, W: load over efficiency.
    pub takes_w: f64,
    /// What it turns into heat, W.
    pub heat_w: f64,
    /// What it gives over what it takes.
    pub efficiency_ratio: Given<f64>,
    /// Of a brick that hangs on another, the most it can give on what it takes, W.
    pub intake_gives_w: Option<f64>,
    /// How many of its outlets are in use.
    pub used: usize,
    /// How many it has.
    pub outlets: usize,
}

/// From an outlet to a device.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Distance<'a> {
    /// Tag of the device.
    pub device: &'a str,
    /// The outlet, as `TAG.OUTLET`.
    pub outlet: &'a str,
    /// The way along the axes, mm.
    pub distance_mm: i64,
}

/// A device whose feed is locked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Lock<'a> {
    /// Its tag.
    pub device: &'a str,
    /// The outlets as written.
    pub outlets: &'a [String],
}

/// Something that was assumed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Assumed<'a> {
    /// Tag of the device or brick.
    pub device: &'a str,
    /// Address of the value that is missing.
    pub field: String,
    /// What was taken for it, in one line.
    pub words: &'a str,
}

/// An outlet of which something is not known.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Unchecked<'a> {
    /// Tag of the brick.
    pub brick: &'a str,
    /// Name of the outlet.
    pub outlet: &'a str,
    /// Addresses of the values to find out.
    pub lacks: Vec<String>,
    /// What is not checked, in one line.
    pub words: &'a str,
}

/// A device without a feed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Unserved<'a> {
    /// Its tag.
    pub device: &'a str,
    /// Why, in one line.
    pub why: &'a str,
    /// Addresses of the values without which it cannot be judged.
    pub lacks: Vec<String>,
}

/// Devices that cannot be served together.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Conflict<'a> {
    /// Their tags.
    pub devices: &'a [String],
    /// Why, in words.
    pub words: &'a str,
    /// Whether it is proven that leaving out any one of them helps.
    pub irreducible: bool,
    /// Whether it is proven that no smaller conflict is left among the devices.
    pub smallest: bool,
}

/// A way out; cures are compared by their figures in this order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Cure<'a> {
    /// What it is, in one line.
    pub name: &'a str,
    /// Catalogue ids of what it brings.
    pub kinds: Vec<&'a str>,
    /// Tags of devices that go without all the same.
    pub leaves: &'a [String],
    /// Whether what it brings fits under the decks and on the strips, as far as known.
    pub fits: bool,
    /// Things to buy of which no price is known.
    pub unpriced: usize,
    /// Money for what has a price, in the smallest coin of the shop's currency.
    pub money_minor: i64,
    /// Things to buy.
    pub buys: usize,
    /// Things to buy of unknown mass.
    pub unweighed: usize,
    /// Mass of what comes, g.
    pub mass_g: i64,
    /// Room under the deck for what comes, mm².
    pub space_mm2: i64,
    /// Leads that are made and must be taken out.
    pub unmade: usize,
    /// Things to do: settings, leads and questions.
    pub work: usize,
    /// Tags of the devices that are then fed otherwise than the document has it.
    pub refed: &'a [String],
    /// How those are fed then, one line each.
    pub follows: &'a [String],
    /// Whether an edit can apply it.
    pub pressable: bool,
}

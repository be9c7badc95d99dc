//! What came of an allocation.

use finding::{Edit, Field};
use rig::{FeedKind, PortRef, PowerNeed, Sign};

use crate::input::Rules;

/// How an allocation ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// Nothing is better, by any of the objectives.
    Proven,
    /// Every device is served; something may be better, but not by more than the bounds say.
    Feasible,
    /// Some devices cannot be served together.
    Impossible,
    /// Someone asked to stop; what was found so far is there.
    Cancelled,
}

impl Status {
    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Proven => "proven",
            Self::Feasible => "feasible",
            Self::Impossible => "impossible",
            Self::Cancelled => "cancelled",
        }
    }
}

/// How one device is fed, as indices into the input.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Feed {
    /// The device.
    pub need: usize,
    /// Single, pair or adaptor.
    pub kind: FeedKind,
    /// The outlets; none for an adaptor.
    pub outlets: Vec<usize>,
    /// The voltage each of them is set to; zero for an adaptor.
    pub setting_mv: i64,
    /// Whether the lead crosses.
    pub crossing: bool,
    /// The connector that a barrel adaptor on the lead presents to the device.
    pub barrel_adaptor: Option<String>,
    /// Strip and socket of an adaptor, where the document has strips.
    pub socket: Option<PortRef>,
}

/// Objectives, in their order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Objective {
    /// Findings to look at; few are better.
    pub looks: i64,
    /// Special leads; few are better.
    pub special: i64,
    /// The worst margin of an outlet in thousandths; much is better.
    pub margin_permille: i64,
    /// All leads along the axes in millimetres, where anything is placed; little is better.
    pub length_mm: Option<i64>,
}

/// Something that a careful colleague would look at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Look {
    /// Which term of the objective it is.
    pub what: LookKind,
    /// The outlet, brick, bank or device it is about.
    pub about: String,
    /// The fact in one line.
    pub words: String,
}

/// The terms that count as looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LookKind {
    /// An outlet near its limit.
    OutletLoad,
    /// A digital device that may not start.
    StartSurge,
    /// Analogue devices that share an outlet and draw much together.
    SharedLoad,
    /// A device of much gain, or of unknown gain, that shares an outlet.
    SharedGain,
    /// A bank near its limit.
    BankLoad,
    /// A brick near its limit.
    BrickLoad,
    /// A lead that loses much of the voltage.
    SupplyDrop,
    /// A device whose draw, voltage or polarity was assumed.
    Assumed,
    /// A device of unknown draw on an outlet that gives little.
    UnknownDraw,
    /// A device that may have positive ground on an outlet that is not isolated.
    UnknownGround,
}

impl LookKind {
    /// All of them. Each counts one.
    pub const ALL: [Self; 10] = [
        Self::OutletLoad,
        Self::StartSurge,
        Self::SharedLoad,
        Self::SharedGain,
        Self::BankLoad,
        Self::BrickLoad,
        Self::SupplyDrop,
        Self::Assumed,
        Self::UnknownDraw,
        Self::UnknownGround,
    ];

    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::OutletLoad => "outlet-load",
            Self::StartSurge => "start-surge",
            Self::SharedLoad => "shared-load",
            Self::SharedGain => "shared-gain",
            Self::BankLoad => "bank-load",
            Self::BrickLoad => "brick-load",
            Self::SupplyDrop => "supply-drop",
            Self::Assumed => "assumed",
            Self::UnknownDraw => "unknown-draw",
            Self::UnknownGround => "unknown-ground",
        }
    }
}

/// One outlet of a feed as people read it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FedBy {
    /// Tag of the brick.
    pub brick: String,
    /// Name of the outlet.
    pub outlet: String,
    /// The voltage it is set to.
    pub setting_mv: i64,
    /// Its own sign, before a crossing lead; none for alternating current.
    pub sign: Option<Sign>,
    /// Millimetres to the device, when placed.
    pub distance_mm: Option<i64>,
}

/// A feed as people read it.
#[derive(Debug, Clone)]
pub struct FeedLine {
    /// Tag of the device.
    pub device: String,
    /// The kind of feed.
    pub kind: FeedKind,
    /// The outlets.
    pub outlets: Vec<FedBy>,
    /// Strip and socket of an adaptor; where it is written as a unit with an outlet, these.
    pub socket: Option<PortRef>,
    /// All that hangs on the outlet (the worse one of a pair); of an adaptor, the device's draw.
    pub load_ua: i64,
    /// What that outlet gives; none for an adaptor.
    pub limit_ua: Option<i64>,
    /// What is left of it.
    pub margin_permille: Option<i64>,
    /// What the device needs, with where each value comes from.
    pub requirement: PowerNeed,
    /// Whether the lead crosses.
    pub crossing: bool,
    /// The connector that a barrel adaptor presents to the device.
    pub barrel_adaptor: Option<String>,
    /// Whether its lead goes from one size of plug to another.
    pub is_between_sizes: bool,
    /// The other devices on the outlet.
    pub shares_with: Vec<String>,
    /// Whether it was locked.
    pub locked: bool,
    /// The device's inlet.
    pub inlet: Option<String>,
    /// What is lost along the lead, made or estimated, where that is known.
    pub lost: Option<quantity::Volts>,
    /// Why it hangs here and not on the neighbour, in one line.
    pub why: String,
}

impl FeedLine {
    /// What makes the lead special, in words.
    pub fn special(&self) -> Vec<&'static str> {
        let mut words = Vec::new();
        match self.kind {
            FeedKind::SeriesPair => words.push("series"),
            FeedKind::ParallelPair => words.push("parallel"),
            FeedKind::Single if !self.shares_with.is_empty() => words.push("splitter"),
            FeedKind::Single | FeedKind::Adaptor => {}
        }
        if self.crossing {
            words.push("crossing");
        }
        if self.barrel_adaptor.is_some() {
            words.push("barrel-adaptor");
        } else if self.is_between_sizes {
            words.push("two-sizes");
        }
        words
    }
}

/// What hangs on an outlet, and what is left of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutletLine {
    /// Tag of the brick.
    pub brick: String,
    /// Name of the outlet.
    pub outlet: String,
    /// The voltage it is set to, or would be first.
    pub setting_mv: i64,
    /// The devices on it.
    pub devices: Vec<String>,
    /// What they draw; of an unknown draw all that can be kept for it.
    pub load_ua: i64,
    /// Whether that is the most it may be: nobody knows what a device on it draws, and all that its outlet gives is kept for it.
    pub up_to: bool,
    /// What it gives at that voltage.
    pub limit_ua: i64,
    /// What is left.
    pub free_ua: i64,
    /// What is left in thousandths of what it gives.
    pub margin_permille: i64,
    /// The load as power.
    pub load_nw: i64,
    /// Whether it is kept for a device that cannot be judged.
    pub kept: bool,
}

/// What a strip, an inlet or a wall outlet must give.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MainsLine {
    /// Its tag; none for the whole rig.
    pub at: Option<String>,
    /// The bricks and the devices with own adaptors that take it, through strips as well.
    pub takers: Vec<String>,
    /// Real power in nanowatts: what they give over their efficiency.
    pub load_nw: i64,
    /// Whether that is the most it may be: nobody knows what a device on it draws, and all that its outlet gives is kept for it.
    pub up_to: bool,
    /// Apparent power: real power over [`crate::mains::POWER_FACTOR`].
    pub load_nva: i64,
    /// Current at the mains voltage of the job, where that is known.
    pub load_ua: Option<i64>,
    /// That voltage.
    pub mains_mv: Option<i64>,
}

/// Load of a bank.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BankLine {
    /// Tag of the brick.
    pub brick: String,
    /// Name of the bank.
    pub bank: String,
    /// What its outlets give together.
    pub load_ua: i64,
    /// Whether that is the most it may be: nobody knows what a device on it draws, and all that its outlet gives is kept for it.
    pub up_to: bool,
    /// What they may give.
    pub limit_ua: i64,
    /// The same load as power.
    pub load_nw: i64,
}

/// Load of a brick.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BrickLine {
    /// Its tag.
    pub brick: String,
    /// What its outlets give together.
    pub load_nw: i64,
    /// Whether that is the most it may be: nobody knows what a device on it draws, and all that its outlet gives is kept for it.
    pub up_to: bool,
    /// What it may give, when known.
    pub limit_nw: Option<i64>,
    /// The currents of its outlets together.
    pub load_ua: i64,
    /// What it takes for that: load over efficiency.
    pub takes_nw: i64,
    /// The same as apparent power, of a brick on the mains.
    pub takes_nva: Option<i64>,
    /// Whether it runs on the mains.
    pub mains: bool,
    /// What it turns into heat.
    pub heat_nw: i64,
    /// The efficiency counted with, in millionths.
    pub efficiency_ppm: i64,
    /// Whether that is the usual one, because nobody wrote it down.
    pub efficiency_assumed: bool,
    /// Of a brick that hangs on another: the most it can give on what it takes.
    pub intake_nw: Option<i64>,
    /// How many of its outlets are in use.
    pub used: usize,
    /// How many it has.
    pub outlets: usize,
}

/// A device without a feed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unserved {
    /// Its tag.
    pub device: String,
    /// Why, in one line.
    pub why: String,
    /// The values it lacks, when it cannot be judged.
    pub lacks: Vec<Field>,
}

/// Something that was assumed because nobody wrote it down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assumed {
    /// The device or brick.
    pub device: String,
    /// The value that is missing.
    pub field: Field,
    /// What was taken for it, in one line.
    pub words: String,
}

/// An outlet of which something is not known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unchecked {
    /// Tag of the brick.
    pub brick: String,
    /// Name of the outlet.
    pub outlet: String,
    /// The values to find out.
    pub fields: Vec<Field>,
    /// What is not checked, and what to find out, in one line.
    pub words: String,
}

/// Devices that cannot be served together, while any fewer of them can.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    /// Their tags, in document order.
    pub devices: Vec<String>,
    /// Why, in words.
    pub words: String,
    /// Whether it is proven that no smaller conflict is left among the devices.
    pub smallest: bool,
    /// Whether it is proven that dropping any one of them helps.
    pub irreducible: bool,
}

/// A way out.
#[derive(Debug, Clone, PartialEq)]
pub struct Cure {
    /// What to change.
    pub change: crate::CureStep,
    /// What it is, in one line.
    pub name: String,
    /// Money, mass, space and work, for ranking and for people.
    pub price: Price,
    /// Whether what it brings fits under the decks and on the strips, as far as known.
    pub fits: bool,
    /// Which devices are fed otherwise than the document has it, once it is applied.
    pub refed: Vec<String>,
    /// How those are fed then, one line each.
    pub follows: Vec<String>,
    /// Devices that go without all the same; none of a cure that feeds all.
    pub leaves: Vec<String>,
    /// The edit that applies it, where an edit can.
    pub edit: Option<Edit>,
}

/// Ways out that work and are not listed, because they cost more than those that are, or do not fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Untold {
    /// How many were found.
    pub count: usize,
    /// Whether all were counted; else there may be more.
    pub is_counted: bool,
    /// Whether some cost less than some that are listed, and do not fit where those do.
    pub is_cheaper: bool,
    /// Whether something that would cost less than the first that is listed was not tried to the end.
    pub is_open: bool,
}

impl Default for Untold {
    fn default() -> Self {
        Self { count: 0, is_counted: true, is_cheaper: false, is_open: false }
    }
}

/// What a cure costs: compared in the order of its fields.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Price {
    /// Things to buy of which no price is known; without a price list that is all of them.
    pub unpriced: usize,
    /// Money in the smallest coin, for what has a price.
    pub money: i64,
    /// Things to buy.
    pub buys: usize,
    /// Things to buy of unknown mass.
    pub unweighed: usize,
    /// Mass of what comes, in grams.
    pub mass_g: i64,
    /// Room under the deck for what comes, in square millimetres.
    pub space_mm2: i64,
    /// Leads that are made and must be taken out.
    pub unmade: usize,
    /// Things to do: settings, leads and questions.
    pub work: usize,
}

impl Price {
    /// What it costs, to stand behind its name: ` (89.00 EUR)`. `None` where nothing is bought.
    pub(crate) fn words(&self, shown: impl Fn(i64) -> String) -> Option<String> {
        let open = match self.unpriced {
            0 => None,
            1 => Some("one thing without a price".to_owned()),
            many => Some(format!("{} things without a price", crate::list::number(many))),
        };
        // What is bought with a price costs something.
        let priced = (self.unpriced < self.buys || 0 < self.money).then(|| shown(self.money));
        match (priced, open) {
            (Some(money), Some(open)) => Some(format!(" ({money} and {open})")),
            (Some(words), None) | (None, Some(words)) => Some(format!(" ({words})")),
            (None, None) => None,
        }
    }

    /// Both.
    pub(crate) fn plus(&self, other: &Self) -> Self {
        Self {
            unpriced: self.unpriced + other.unpriced,
            money: self.money + other.money,
            buys: self.buys + other.buys,
            unweighed: self.unweighed + other.unweighed,
            mass_g: self.mass_g + other.mass_g,
            space_mm2: self.space_mm2 + other.space_mm2,
            unmade: self.unmade + other.unmade,
            work: self.work + other.work,
        }
    }
}

/// What came of an allocation.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// How it ended.
    pub status: Status,
    /// What devices without a feed count for: one each, a locked one more than all that are not.
    pub missing: i64,
    /// What cannot be beaten of that.
    pub missing_bound: i64,
    /// What was reached.
    pub objective: Objective,
    /// What cannot be beaten.
    pub bound: Objective,
    /// The findings that the first objective counts.
    pub looks: Vec<Look>,
    /// The feeds as indices, for the verifier.
    pub allocation: Vec<Feed>,
    /// The feeds as people read them, in document order.
    pub feeds: Vec<FeedLine>,
    /// Every outlet with what hangs on it.
    pub outlets: Vec<OutletLine>,
    /// What strips, inlets and wall outlets must give; last the whole rig.
    pub mains: Vec<MainsLine>,
    /// Loads of banks.
    pub banks: Vec<BankLine>,
    /// Loads of bricks.
    pub bricks: Vec<BrickLine>,
    /// Millimetres from each outlet to each device, as far as placed: device, outlet, way.
    pub distances: Vec<(String, String, i64)>,
    /// Devices whose feed was locked, with the outlets as written.
    pub locks: Vec<(String, Vec<String>)>,
    /// Devices whose feed is made, and changes all the same.
    pub unmade: Vec<String>,
    /// Devices without a feed.
    pub unserved: Vec<Unserved>,
    /// Sets of devices that cannot be served together, smallest first.
    pub conflicts: Vec<Conflict>,
    /// Ways out, the cheapest first.
    pub cures: Vec<Cure>,
    /// Whether the work for them ended before all was tried: there may be more, or cheaper ones.
    pub cures_cut_short: bool,
    /// Ways out that work too and are not among them.
    pub untold: Untold,
    /// Sockets of strips that nothing sits in, for adaptors that a cure may add.
    pub free_sockets: usize,
    /// Bricks and converters that cures were sought among.
    pub candidates: usize,
    /// What turns the present feeds of the document into these.
    pub edit: Edit,
    /// The thresholds used.
    pub rules: Rules,
    /// Values of bricks and devices that are not known and were taken as the worse.
    pub lacks: Vec<Field>,
    /// What was assumed of devices that are fed, and of supplies that feed others.
    pub assumed: Vec<Assumed>,
    /// Outlets of which something is not known, so that they are not used as they might be.
    pub unchecked: Vec<Unchecked>,
    /// Search nodes opened: as a budget they reproduce a cancelled outcome.
    pub nodes: u64,
}

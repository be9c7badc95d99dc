//! What the allocation works on: devices that want power, outlets, bricks, thresholds, all in integers.
//!
//! Voltages are whole millivolts, currents whole microamperes, powers whole nanowatts (one of each multiplied).

use finding::Field;
use quantity::{Length, Volts};
use rig::{FeedKind, PowerNeed, Sign};

/// A snapshot of everything that decides which outlet may feed what.
#[derive(Debug, Clone, Default)]
pub struct Input {
    /// Devices that want direct or low-voltage alternating current, in document order.
    pub needs: Vec<Need>,
    /// Every outlet of every brick, in document order.
    pub outlets: Vec<Outlet>,
    /// The banks that have a limit.
    pub banks: Vec<Bank>,
    /// The bricks.
    pub bricks: Vec<Brick>,
    /// Mains strips.
    pub strips: Vec<Strip>,
    /// The thresholds.
    pub rules: Rules,
    /// Way from each outlet to each device in whole millimetres, `distances[need][outlet]`; `None` when not placed.
    pub distances: Vec<Vec<Option<i64>>>,
    /// Devices that cannot be judged, and why.
    pub lacks: Vec<Lack>,
    /// Free boxes under the decks, for another brick.
    pub rooms: Vec<Room>,
}

/// A device that wants power.
#[derive(Debug, Clone, Default)]
#[expect(clippy::struct_excessive_bools, reason = "facts that hold or do not, independent of each other")]
pub struct Need {
    /// Its tag.
    pub tag: String,
    /// What it needs, as the document has it, with where each value comes from.
    pub stated: PowerNeed,
    /// Whether it wants alternating current.
    pub ac: bool,
    /// The least voltage it runs on.
    pub low_mv: i64,
    /// The most it stands.
    pub high_mv: i64,
    /// What it draws.
    pub current_ua: i64,
    /// What it draws when it starts, where measured.
    pub surge_ua: Option<i64>,
    /// The sign at its inlet; none for alternating current.
    pub sign: Option<Sign>,
    /// Whether it must be alone: digital, or nobody knows that it is not.
    pub alone: bool,
    /// Whether its positive is joined to the screen.
    pub positive_ground: bool,
    /// Whether it has much gain, or nobody knows that it has not: sharing then wants a look.
    pub loud: bool,
    /// The connector of its inlet.
    pub connector: Option<String>,
    /// Its inlet's name.
    pub inlet: Option<String>,
    /// Its own adaptor, if it has one.
    pub adaptor: Option<Adaptor>,
    /// How it is fed now.
    pub present: Option<Present>,
}

/// A device's own adaptor for a mains strip.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Adaptor {
    /// The socket it sits in now, as index into `strips` and the socket's name.
    pub socket: Option<(usize, String)>,
    /// How many sockets it takes. What its body covers of the neighbours is not among the free ones of the strip.
    pub takes: i64,
    /// The sockets where its body and prongs have room, as things stand: strip and name.
    pub room: Vec<(usize, String)>,
}

/// How a device is fed in the document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Present {
    /// Single, pair or adaptor.
    pub kind: FeedKind,
    /// The outlets, as indices into `outlets`; those that exist.
    pub outlets: Vec<usize>,
    /// The outlets as written.
    pub written: Vec<String>,
    /// Whether the lead crosses.
    pub crossing: bool,
    /// The barrel adaptor on it.
    pub barrel_adaptor: Option<String>,
    /// Whether it must stay.
    pub locked: bool,
    /// Whether its lead is cut, plugged in or wired: taking it out again is work.
    pub made: bool,
}

impl Need {
    /// The feed that must stay, if there is one.
    pub fn lock(&self) -> Option<&Present> {
        self.present.as_ref().filter(|present| present.locked)
    }
}

/// A voltage that an outlet can be set to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Setting {
    /// The voltage.
    pub mv: i64,
    /// What it gives there.
    pub ua: i64,
}

/// An outlet.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Outlet {
    /// Its name on the brick.
    pub name: String,
    /// The brick, as index into `bricks`.
    pub brick: usize,
    /// Its bank, as index into `banks`, when that has a limit.
    pub bank: Option<usize>,
    /// Whether it gives alternating current.
    pub ac: bool,
    /// The voltages it can be set to whose current is known, in document order.
    pub settings: Vec<Setting>,
    /// The voltage it is set to now.
    pub set_mv: Option<i64>,
    /// Its sign; none for alternating current.
    pub sign: Option<Sign>,
    /// The group of outlets with one negative that it belongs to; `None` when isolated. Groups are numbered across
    /// all bricks.
    pub joined: Option<usize>,
    /// Whether the maker allows pairing for more voltage; `None` when nobody knows.
    pub series: Option<bool>,
    /// Whether the maker allows pairing for more current; `None` when nobody knows.
    pub parallel: Option<bool>,
    /// Its connector.
    pub connector: Option<String>,
    /// Whether it is kept for a device that cannot be judged.
    pub reserved: bool,
}

/// A group of outlets with a common limit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bank {
    /// The brick, as index into `bricks`.
    pub brick: usize,
    /// Its name.
    pub name: String,
    /// What its outlets give together.
    pub limit_ua: i64,
}

/// A supply brick.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Brick {
    /// Its tag.
    pub tag: String,
    /// What it is.
    pub title: String,
    /// All it gives at once; `None` when nobody knows.
    pub limit_nw: Option<i64>,
    /// What share of what it takes it gives on, in millionths, when known; the rest is heat.
    pub efficiency_ppm: Option<i64>,
    /// The box it takes, with bracket and plugs, where its size is known.
    pub wants: Option<[Length; 3]>,
    /// The free boxes that there would be without it, for another in its place.
    pub rooms_without: Vec<Room>,
}

/// A mains strip.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Strip {
    /// Its tag.
    pub tag: String,
    /// The sockets that no brick and no mains lead takes and that nothing covers.
    pub free: Vec<String>,
}

/// The thresholds, ratios in millionths.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rules {
    /// Load of an outlet above which to look.
    pub outlet_look_ppm: i64,
    /// Load of an outlet above which to stop.
    pub outlet_stop_ppm: i64,
    /// Load of a brick or bank above which to look.
    pub brick_look_ppm: i64,
    /// Load of a brick or bank above which to stop.
    pub brick_stop_ppm: i64,
    /// What an outlet should give over a digital device's draw when its surge is unknown.
    pub surge_ppm: i64,
    /// Sum of what shares an outlet above which to look.
    pub shared_look_ua: i64,
}

/// The most devices that share one outlet. *Common practice, no source.*
pub const MOST_SHARING: usize = 4;

/// One whole, in millionths.
pub const PPM: i64 = 1_000_000;

impl Rules {
    /// The load above which a limit passes a threshold: the largest whole load that does not.
    pub fn part(limit: i64, ppm: i64) -> i64 {
        let part = i128::from(limit) * i128::from(ppm) / i128::from(PPM);
        i64::try_from(part).unwrap_or(i64::MAX)
    }
}

impl Default for Rules {
    fn default() -> Self {
        Self::from_limits(&rig::Limits::default())
    }
}

/// A device that cannot be judged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lack {
    /// Its tag, or the brick's.
    pub device: String,
    /// The values it lacks.
    pub fields: Vec<Field>,
    /// Whether the device therefore goes without a feed of ours.
    pub unserved: bool,
}

/// A free box under a deck.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Room {
    /// The deck.
    pub deck: String,
    /// Left edge, in the board's frame.
    pub x: Length,
    /// Front edge, in the board's frame.
    pub y: Length,
    /// Left to right.
    pub width: Length,
    /// Front to back.
    pub depth: Length,
    /// The highest thing that hangs there with its bracket.
    pub height: Length,
}

impl Input {
    /// An outlet as documents write it: brick and outlet.
    pub fn outlet_name(&self, outlet: usize) -> String {
        let outlet = &self.outlets[outlet];
        format!("{}.{}", self.bricks[outlet.brick].tag, outlet.name)
    }

    /// The need with this tag.
    pub fn need(&self, tag: &str) -> Option<usize> {
        self.needs.iter().position(|need| need.tag == tag)
    }

    /// The same with some of the devices only; the others' locks go with them.
    #[must_use]
    pub fn only(&self, needs: &[usize]) -> Self {
        let mut part = self.clone();
        part.needs = needs.iter().map(|&need| self.needs[need].clone()).collect();
        part.distances = needs.iter().filter_map(|&need| self.distances.get(need).cloned()).collect();
        part
    }
}

/// How a plug at an outlet's connector gets to a device's: `Some(false)` plainly, `Some(true)` by a barrel adaptor,
/// `None` not at all. An unknown connector is taken as fitting, and so is a captive lead (`fixed`).
///
/// Barrels and 3.5 mm jacks are adapted to each other in the trade; other families are not. *Common practice, no
/// source.*
pub(crate) fn adapted(outlet: Option<&str>, device: Option<&str>) -> Option<bool> {
    let (Some(outlet), Some(device)) = (outlet, device) else { return Some(false) };
    if outlet == device || outlet == "fixed" || device == "fixed" {
        return Some(false);
    }
    let adaptable = |id: &str| id.starts_with("barrel-") || id.starts_with("jack-");
    (adaptable(outlet) && adaptable(device)).then_some(true)
}

/// Millivolts as documents write volts.
pub(crate) fn volts_text(mv: i64) -> String {
    Volts::new(crate::assignment::real(mv) / 1000.0).unwrap_or_default().to_string()
}

/// Microamperes as people read them.
pub(crate) fn milliamps_text(ua: i64) -> String {
    quantity::Milliamps::new(milliamps(ua)).unwrap_or_default().to_string()
}

/// Microamperes in milliamperes.
pub(crate) fn milliamps(ua: i64) -> f64 {
    crate::assignment::real(ua) / 1000.0
}

/// Nanowatts in watts.
pub(crate) fn watts(nw: i64) -> f64 {
    crate::assignment::real(nw) / 1e9
}

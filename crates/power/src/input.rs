//! What the allocation works on: devices that want power, outlets, bricks, thresholds, all in integers.
//!
//! Voltages are whole millivolts, currents whole microamperes, powers whole nanowatts (one of each multiplied).

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use finding::Field;
use quantity::{Length, Volts};
use rig::{FeedKind, PlugKind, PortRef, PowerNeed, Sign};

use crate::fit::Fitting;
use crate::inlet::{Inlet, MainsRun};
use crate::placed::Placed;
use crate::remade::Remade;
use crate::stand::Stand;

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
    /// The plug that a lead is made up with at each connector of this job, by catalogue ids.
    pub plugs: BTreeMap<String, String>,
    /// What supply leads end in where no feed says otherwise: direct current, then alternating.
    pub usual_plugs: [Option<PlugKind>; 2],
    /// Mains strips.
    pub strips: Vec<Strip>,
    /// The mains leads: from which device to which, wall outlets, inlets, strips and bricks.
    pub mains: Vec<(String, String)>,
    /// The mains voltage of the job in millivolts, where it is said.
    pub mains_mv: Option<i64>,
    /// The thresholds.
    pub rules: Rules,
    /// Way from each outlet to each device in whole millimetres, `distances[need][outlet]`; `None` when not placed.
    pub distances: Vec<Vec<Option<i64>>>,
    /// Resistance of both conductors of a lead from each outlet to each device in whole microohms, made or estimated,
    /// `loops[need][outlet]`; `None` where nothing is placed or the cable is unknown.
    pub loops: Vec<Vec<Option<i64>>>,
    /// Devices that cannot be judged, and why.
    pub lacks: Vec<Lack>,
    /// Free boxes under the decks, for another brick.
    pub rooms: Vec<Room>,
    /// Length in nanometres of each lead of `loops` that is not made, of the usual cable and as long as it is estimated.
    pub lengths: Vec<Vec<Option<i64>>>,
    /// The usual cable of supply leads, and the resistance of one metre of a core in microohms.
    pub cable: Option<(String, i64)>,
    /// All runs by name, with their stops as written.
    pub runs: Vec<(String, Vec<String>)>,
    /// The entries for leads in the document.
    pub leads: Vec<WrittenLead>,
    /// Numbers of leads that are gone.
    pub retired: Vec<String>,
    /// The supply lead of each device whose lead is made: what its entry is known by.
    pub(crate) made: BTreeMap<String, String>,
    /// Supply leads that are made, and what they would measure anew.
    pub(crate) remade: Vec<Remade>,
    /// Where everything stands; nothing where there is no rig behind it.
    pub(crate) placed: Option<Arc<Placed>>,
}

/// An entry for a lead in the document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WrittenLead {
    /// What it is known by.
    pub name: String,
    /// Its ends as written.
    pub ends: Vec<String>,
    /// Its number, once that is issued.
    pub number: Option<String>,
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
    pub connector: Option<Fitting>,
    /// Whether the plug of its lead is made for its inlet: the one that its feed names, else the job's usual one. `None` where
    /// neither is named.
    pub plug_fits: Option<bool>,
    /// Its inlet's name.
    pub inlet: Option<String>,
    /// Its own adaptor, if it has one.
    pub adaptor: Option<Adaptor>,
    /// How it is fed now.
    pub present: Option<Present>,
    /// What nobody knows of it.
    pub unknown: Unknown,
    /// The brick that it is, as index into `bricks`, when it feeds others from what it is fed with.
    pub supplies: Option<usize>,
}

/// What nobody knows of a device, although a feed wants it. Something was assumed for each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[expect(clippy::struct_excessive_bools, reason = "each is a value of its own that is known or not")]
pub struct Unknown {
    /// What it draws: all that its outlet gives is kept for it.
    pub draw: bool,
    /// Its voltage: what arrives now, else [`USUAL_MV`].
    pub volts: bool,
    /// Its polarity: what arrives now, else centre-negative.
    pub sign: bool,
    /// Whether its positive is joined to the screen: taken as not, and on an isolated outlet it does not matter.
    pub ground: bool,
    /// Whether it is analogue: taken as digital.
    pub class: bool,
    /// Its gain: taken as much.
    pub gain: bool,
}

impl Unknown {
    /// Whether it is fed on an assumption that a wrong plug could punish.
    pub fn is_unsure(self) -> bool {
        self.draw || self.volts || self.sign
    }

    /// Whether nobody may share an outlet with it unless that is locked.
    pub fn keeps_to_itself(self) -> bool {
        self.is_unsure() || self.ground
    }
}

/// The voltage of a device that nobody wrote down: the commonest of the trade. *Common practice, no source.*
pub const USUAL_MV: i64 = 9000;

/// A device whose draw is unknown wants a look on an outlet that gives less than this. *Common practice, no source:* few
/// pedals draw more than 500 mA.
pub const STRONG_UA: i64 = 500_000;

/// A device's own adaptor for a mains strip.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Adaptor {
    /// The socket it sits in now, as index into `strips` and the socket's name.
    pub socket: Option<(usize, String)>,
    /// How many sockets it takes. What its body covers of the neighbours is not among the free ones of the strip.
    pub takes: i64,
    /// The sockets where its body and prongs have room, as things stand: strip and name.
    pub room: Vec<(usize, String)>,
    /// Where it is written as a unit with an outlet of its own: what that gives.
    pub unit: Option<Unit>,
    /// Whether it would have to be bought first: only while cures are looked for.
    pub to_buy: bool,
}

/// What an own adaptor gives that the document writes as a unit with an outlet; what it does not tell is not judged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unit {
    /// Unit and outlet.
    pub at: PortRef,
    /// Whether it gives alternating current.
    pub ac: Option<bool>,
    /// The voltage it is set to.
    pub mv: Option<i64>,
    /// The polarity that arrives, a crossing lead reckoned in.
    pub sign: Option<Sign>,
}

impl Input {
    /// The plug that a lead is made up with at a connector, by catalogue id.
    pub(crate) fn plug_for(&self, connector: &str) -> String {
        self.plugs.get(connector).cloned().unwrap_or_else(|| crate::fit::plug_for(connector))
    }
}

impl Need {
    /// How a lead from an outlet gets into it: `Some(false)` plainly, `Some(true)` from one size of plug to another, `None` not
    /// at all.
    ///
    /// Not a matter of the plugs that the document names: a feed that is written costs what it cost before.
    pub(crate) fn adapted(&self, outlet: &Outlet) -> Option<bool> {
        crate::fit::adapted(outlet.connector.as_ref(), self.connector.as_ref())
    }

    /// The catalogue id of the connector of its inlet.
    pub fn inlet_id(&self) -> Option<String> {
        self.connector.as_ref().map(|fitting| fitting.id.clone())
    }

    /// The barrel adaptor that a lead from one size of plug to another wants: none where it ends in a plug made for the inlet.
    pub(crate) fn adaptor_on<'a>(&self, lead: Option<&'a String>) -> Option<&'a String> {
        lead.filter(|_| self.plug_fits != Some(true))
    }

    /// Whether what its own adaptor gives suits it: kind of current, voltage and polarity, as far as they are known.
    pub fn suits(&self, unit: &Unit) -> bool {
        let volts = unit.mv.is_none_or(|mv| self.unknown.volts || self.low_mv <= mv && mv <= self.high_mv);
        let sign = self.ac || self.unknown.sign || unit.sign.is_none_or(|sign| self.sign == Some(sign));
        unit.ac.is_none_or(|ac| ac == self.ac) && volts && sign
    }
}

impl Adaptor {
    /// An adaptor that takes one socket and sits nowhere yet.
    pub(crate) fn usual() -> Self {
        Self { takes: 1, ..Self::default() }
    }
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
    /// The connectors that the plug at the outlet is made for, where one is named for this feed alone; the job's usual
    /// plug is none.
    pub outlet_plug: Option<Vec<String>>,
    /// Where its cable leaves the plug at the outlet, in the document's word; `None` when that is open.
    pub outlet_exit: Option<&'static str>,
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
    pub connector: Option<Fitting>,
    /// Whether it is kept for a device that cannot be judged.
    pub reserved: bool,
    /// Whether nobody knows if it is isolated: then it is taken as joined.
    pub isolation_unknown: bool,
    /// What it might give besides, if somebody found out what is not known of it.
    pub unchecked: Option<Unseen>,
}

/// What is not known of an outlet, so that it feeds nobody, or not at all its voltages.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Unseen {
    /// The values to find out.
    pub fields: Vec<Field>,
    /// Whether it gives alternating current; `None` when nobody knows.
    pub ac: Option<bool>,
    /// The voltages that it may give, with the current where that is known; no voltage at all when nobody knows any.
    pub settings: Vec<(i64, Option<i64>)>,
}

impl Unseen {
    /// Whether it might feed a device, for all that is known.
    pub(crate) fn might(&self, need: &Need) -> bool {
        let nature = self.ac.is_none_or(|ac| ac == need.ac);
        let gives = |&(mv, ua): &(i64, Option<i64>)| {
            need.low_mv <= mv && mv <= need.high_mv && ua.is_none_or(|ua| need.current_ua <= ua)
        };
        nature && (self.settings.is_empty() || self.settings.iter().any(gives))
    }
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
#[expect(clippy::struct_excessive_bools, reason = "facts that hold or do not, independent of each other")]
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
    /// Where it stands on a deck or hangs under one, if it does.
    pub stand: Option<Stand>,
    /// Whether its own adaptor is locked to it.
    pub own_locked: bool,
    /// The most its outlets give together on what it is fed with, when that is another brick.
    pub intake_nw: Option<i64>,
    /// Whether nobody wrote down its efficiency.
    pub efficiency_assumed: bool,
    /// Whether it runs on the mains.
    pub mains: bool,
    /// Whether what it takes is worked out from its outlets, because nobody wrote it down.
    pub intake_worked_out: bool,
    /// How it takes what it runs on.
    pub inlet: Inlet,
    /// The run that brings its mains, where one is written.
    pub run: Option<MainsRun>,
    /// The socket that its mains lead or its own adaptor sits in, as index into `strips` and the socket's name.
    pub socket: Option<(usize, String)>,
    /// Whether the document gives it an adaptor of its own.
    pub own_feed: bool,
    /// Whether it wants a socket and none is free: only of one that a cure brings.
    pub unplugged: bool,
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
    /// The most devices that share one outlet.
    pub share_most: usize,
    /// Share of the voltage lost along a lead above which to look.
    pub drop_look_ppm: i64,
}

pub use crate::millionths::PPM;

/// The largest whole load within this share of a limit.
pub(crate) fn share_of(limit: i64, ppm: i64) -> i64 {
    let share = i128::from(limit) * i128::from(ppm) / i128::from(PPM);
    i64::try_from(share).unwrap_or(i64::MAX)
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

    /// What a device draws at an outlet set to a voltage: what it is known to draw, else all that the outlet, its bank,
    /// its brick and what feeds that can give, since nobody knows what is left of it.
    pub fn draw_at(&self, need: usize, outlet: usize, mv: i64) -> i64 {
        let device = &self.needs[need];
        if !device.unknown.draw {
            return device.current_ua;
        }
        let of = &self.outlets[outlet];
        let gives = of.settings.iter().find(|setting| setting.mv == mv).map_or(0, |setting| setting.ua);
        let brick = &self.bricks[of.brick];
        let bank = of.bank.map(|bank| share_of(self.banks[bank].limit_ua, self.rules.brick_stop_ppm));
        let total = brick.limit_nw.map(|limit| share_of(limit, self.rules.brick_stop_ppm) / mv.max(1));
        let intake = brick.intake_nw.map(|limit| limit / mv.max(1));
        let least = [bank, total, intake].into_iter().flatten();
        least.fold(share_of(gives, self.rules.outlet_stop_ppm), i64::min)
    }

    /// Resistance of the leads from the outlets to a device, when all are known.
    pub fn loops_of(&self, need: usize, outlets: &[usize]) -> Option<Vec<i64>> {
        let row = self.loops.get(need)?;
        outlets.iter().map(|&outlet| *row.get(outlet)?).collect()
    }

    /// How many made leads are taken out where these devices are rewired and these leads are made anew.
    pub(crate) fn made_leads<'a>(&self, rewired: impl Iterator<Item = &'a String>, anew: &[&str]) -> usize {
        let leads = rewired.filter_map(|tag| self.made.get(tag)).map(String::as_str);
        leads.chain(anew.iter().copied()).collect::<BTreeSet<&str>>().len()
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
        part.loops = needs.iter().filter_map(|&need| self.loops.get(need).cloned()).collect();
        part.lengths = needs.iter().filter_map(|&need| self.lengths.get(need).cloned()).collect();
        part
    }
}

/// Millivolts as documents write volts.
pub(crate) fn volts_text(mv: i64) -> String {
    Volts::new(crate::assignment::real(mv) / 1000.0).unwrap_or_default().to_string()
}

/// A voltage window in words.
pub(crate) fn window_text(low_mv: i64, high_mv: i64) -> String {
    if low_mv == high_mv {
        volts_text(low_mv)
    } else {
        format!("{} to {}", volts_text(low_mv), volts_text(high_mv))
    }
}

/// Microamperes as people read them.
pub(crate) fn milliamps_text(ua: i64) -> String {
    quantity::Milliamps::new(milliamps(ua)).unwrap_or_default().to_string()
}

/// Microamperes in milliamperes.
pub(crate) fn milliamps(ua: i64) -> f64 {
    crate::assignment::real(ua) / 1000.0
}

/// Two powers as people read them, with as many digits as tell them apart.
pub(crate) fn watts_apart(one: i64, other: i64) -> (String, String) {
    /// No more than a tenth of a milliwatt is told.
    const MOST: usize = 4;
    let text = |nw: i64, digits: usize| format!("{:.digits$} W", watts(nw));
    let apart = |digits: &usize| one == other || text(one, *digits) != text(other, *digits);
    let digits = (1..=MOST).find(apart).unwrap_or(MOST);
    (text(one, digits), text(other, digits))
}

/// Nanowatts in watts.
pub(crate) fn watts(nw: i64) -> f64 {
    crate::assignment::real(nw) / 1e9
}

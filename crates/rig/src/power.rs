//! What a device needs to run, what an outlet gives, and how the one gets to the other.

use quantity::{Milliamps, Volts, Window};

use crate::{Known, PlugKind, PlugSpec};

/// The nature of a supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Nature {
    /// Direct current.
    Dc,
    /// Alternating current at low voltage.
    Ac,
    /// Mains.
    Mains,
    /// Needs none.
    None,
}

vocabulary! { Nature: Dc = "dc", Ac = "ac", Mains = "mains", None = "none" }

/// The mains that a supply is made for, as its label says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MainsHertz {
    /// 50 Hz alone.
    Fifty,
    /// 60 Hz alone.
    Sixty,
    /// Either.
    Both,
}

vocabulary! { MainsHertz: Fifty = "50 Hz", Sixty = "60 Hz", Both = "50/60 Hz" }

/// Which contact of a barrel is negative (symbols of IEC 60417).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sign {
    /// The de-facto norm.
    CentreNegative,
    /// The other way round.
    CentrePositive,
}

vocabulary! { Sign: CentreNegative = "centre-negative", CentrePositive = "centre-positive" }

impl Sign {
    /// The other one.
    #[must_use]
    pub fn crossed(self) -> Self {
        match self {
            Self::CentreNegative => Self::CentrePositive,
            Self::CentrePositive => Self::CentreNegative,
        }
    }
}

/// What a device does to a supply it shares.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Class {
    /// Draws steadily.
    Analogue,
    /// Has clocks and converters that put noise on what they share.
    Digital,
}

vocabulary! { Class: Analogue = "analogue", Digital = "digital" }

/// What a device needs to run.
#[derive(Debug, Clone, Default)]
pub struct PowerNeed {
    /// Direct, alternating, mains or nothing.
    pub nature: Known<Nature>,
    /// The voltages it runs on.
    pub volts: Known<Window>,
    /// The current it draws when working.
    pub current: Known<Milliamps>,
    /// The current it draws at start-up.
    pub surge: Known<Milliamps>,
    /// The sign it wants at its inlet.
    pub sign: Known<Sign>,
    /// Analogue or digital.
    pub class: Known<Class>,
    /// Whether its positive is joined to the screen.
    pub positive_ground: Known<bool>,
    /// Whether its case, of a brick the negative of its joined outlets, stands on the protective earth.
    pub earthed: Known<bool>,
    /// The frequency of the mains that it is made for.
    pub hertz: Known<MainsHertz>,
    /// Whether it has a selector for the mains of the country.
    pub has_selector: bool,
    /// The mains that the selector is set to.
    pub selector: Known<Volts>,
}

/// Whether an outlet's negative is joined to others.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Isolation {
    /// No galvanic path between its negative and any other outlet's.
    Isolated,
    /// Joined to the other outlets of its bank.
    Joined,
}

vocabulary! { Isolation: Isolated = "isolated", Joined = "joined" }

/// A voltage an outlet can be set to and what it gives there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Setting {
    /// The voltage.
    pub volts: Volts,
    /// The current it gives at that voltage.
    pub current: Known<Milliamps>,
}

/// One outlet of a brick. It is also a port of the brick with the same name.
#[derive(Debug, Clone)]
pub struct Outlet {
    /// Its name, as printed on the brick.
    pub name: String,
    /// Direct or alternating.
    pub nature: Known<Nature>,
    /// The voltages it can be set to, with their currents.
    pub settings: Vec<Setting>,
    /// The voltage it is set to in this rig; unknown when it has several and none is stated.
    pub set: Known<Volts>,
    /// Its sign.
    pub sign: Known<Sign>,
    /// Whether it is isolated.
    pub isolation: Known<Isolation>,
    /// The bank it belongs to, when it shares a limit or a negative.
    pub bank: Option<String>,
    /// Whether the maker allows pairing for more current.
    pub parallel: Known<bool>,
    /// Whether the maker allows pairing for more voltage.
    pub series: Known<bool>,
}

impl Outlet {
    /// The setting in force, when it is known.
    pub fn setting(&self) -> Option<&Setting> {
        let volts = self.set.value?;
        self.settings.iter().find(|setting| setting.volts == volts)
    }
}

/// A group of outlets with a common limit.
#[derive(Debug, Clone)]
pub struct Bank {
    /// Its name.
    pub name: String,
    /// What all its outlets give together.
    pub current: Known<Milliamps>,
}

/// How many outlets a feed uses and how they are joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FeedKind {
    /// One outlet, alone or shared with others that name it too.
    Single,
    /// Two outlets whose voltages add.
    SeriesPair,
    /// Two outlets whose currents add.
    ParallelPair,
    /// The device's own adaptor on a mains strip.
    Adaptor,
}

vocabulary! { FeedKind: Single = "single", SeriesPair = "series-pair", ParallelPair = "parallel-pair", Adaptor = "adaptor" }

/// How an adaptor lies in its socket.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Lie {
    /// As its maker draws it: print to read, lead downwards or to the front.
    Upright,
    /// Turned by a quarter about the axis of its prongs.
    OnItsSide,
    /// Turned by a half.
    UpsideDown,
}

vocabulary! { Lie: Upright = "upright", OnItsSide = "on-its-side", UpsideDown = "upside-down" }

/// What keeps an adaptor in its socket.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Held {
    /// Nothing but its prongs.
    Loose,
    /// A strap around it and the strip.
    Strap,
    /// A cradle that it lies in.
    Cradle,
    /// A clamp.
    Clamp,
}

vocabulary! { Held: Loose = "loose", Strap = "strap", Cradle = "cradle", Clamp = "clamp" }

/// The adaptor that a device brings.
#[derive(Debug, Clone, Default)]
pub struct Adaptor {
    /// Its body as it lies upright: across the socket's wall, out of it being the depth, and high.
    pub size: Known<crate::Size>,
    /// Its prongs, as a plug; `None` when nobody said: it is then taken to suit its socket.
    pub prongs: Option<PlugKind>,
    /// The middle of its prongs from the left edge of its body as it lies upright; unknown: half its width.
    pub prongs_left: Known<quantity::Length>,
    /// The middle of its prongs above the base of its body as it lies upright; unknown: half its height.
    pub prongs_up: Known<quantity::Length>,
    /// How it lies in its socket.
    pub lies: Known<Lie>,
    /// Its mass.
    pub mass: Known<quantity::Grams>,
    /// The length of the lead that is fixed to it.
    pub lead: Known<quantity::Length>,
    /// What that lead is shortened to; `None` when it stays whole and what is left over is coiled.
    pub shortened: Option<quantity::Length>,
    /// Who agreed to that, and when.
    pub consent: Option<String>,
    /// What keeps it in its socket.
    pub held: Known<Held>,
}

/// How a device gets its power.
#[derive(Debug, Clone)]
pub struct Feed {
    /// Single, pair or adaptor.
    pub kind: FeedKind,
    /// The outlets, as brick tag and outlet name.
    pub outlets: Vec<crate::PortRef>,
    /// Whether the lead swaps the sign.
    pub crossing: bool,
    /// A barrel adaptor on the lead: the plug it ends in, which goes into the device.
    pub barrel_adaptor: Option<PlugKind>,
    /// Whether power allocation may not change it.
    pub locked: bool,
    /// Whether its own adaptor is clamped in the strip.
    pub clamped: bool,
    /// What is known of its own adaptor.
    pub adaptor: Option<Adaptor>,
    /// The plug at the device.
    pub device_plug: PlugSpec,
    /// The plug at the outlet.
    pub outlet_plug: PlugSpec,
}

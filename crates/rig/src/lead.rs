//! Leads, cables and plugs.

use quantity::{Farads, Length, Ohms};

use crate::{Known, PortRef};

/// What a lead carries. It decides dash and hue on drawings and what it must keep away from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LeadClass {
    /// Audio.
    Signal,
    /// Low-voltage power.
    Dc,
    /// Expression, switching, MIDI, USB.
    Control,
    /// Low-voltage alternating current: the secondary of an adaptor or a supply.
    Ac,
    /// Mains.
    Mains,
}

impl LeadClass {
    /// The word used in documents and on paper.
    pub fn word(self) -> &'static str {
        match self {
            Self::Signal => "signal",
            Self::Dc => "DC",
            Self::Control => "control",
            Self::Ac => "low-voltage AC",
            Self::Mains => "mains",
        }
    }

    /// The key of the class in documents and settings.
    pub fn key(self) -> &'static str {
        match self {
            Self::Signal => "signal",
            Self::Dc => "dc",
            Self::Control => "control",
            Self::Ac => "ac",
            Self::Mains => "mains",
        }
    }

    /// The letters that the numbers of its leads begin with: `L07`, `D02`, `K01`, `AC01`, `M01`.
    pub fn letters(self) -> &'static str {
        match self {
            Self::Signal => "L",
            Self::Dc => "D",
            Self::Control => "K",
            Self::Ac => "AC",
            Self::Mains => "M",
        }
    }

    /// Whether it carries power at low voltage.
    pub fn is_supply(self) -> bool {
        matches!(self, Self::Dc | Self::Ac)
    }

    /// Every key of [`key`](Self::key), in the order of lists.
    pub const KEYS: &'static [&'static str] = &["signal", "dc", "control", "ac", "mains"];

    /// Every class, in the order of lists.
    pub const ALL: [Self; 5] = [Self::Signal, Self::Dc, Self::Control, Self::Ac, Self::Mains];
}

/// What is on the reel.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cable {
    /// Catalogue id.
    pub id: String,
    /// What it is, for papers.
    pub title: String,
    /// Outer diameter.
    pub diameter: Known<Length>,
    /// How many cores it has besides its screen; `None` when nobody said.
    pub cores: Option<u32>,
    /// What it is made for; nothing when nobody said.
    pub carries: Vec<LeadClass>,
    /// Capacitance of one metre, core to screen.
    pub capacitance_per_metre: Known<Farads>,
    /// Resistance of one metre of core.
    pub resistance_per_metre: Known<Ohms>,
}

/// Whether cable leaves a plug straight out or to the side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PlugAngle {
    /// Cable leaves along the jack's axis.
    Straight,
    /// Cable leaves across the jack's axis.
    Angled,
}

vocabulary! { PlugAngle: Straight = "straight", Angled = "angled" }

/// A plug, resolved from the catalogue.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlugKind {
    /// Catalogue id.
    pub id: String,
    /// What it is, for papers.
    pub title: String,
    /// Straight or angled.
    pub angle: PlugAngle,
    /// The connectors it fits, catalogue ids.
    pub fits: Vec<String>,
    /// How many contacts it has; `None` when nobody said.
    pub contacts: Option<u32>,
    /// The connectors it goes into but sits loosely in, catalogue ids.
    pub loose_in: Vec<String>,
    /// The connectors among those it fits where it gets no protective earth, catalogue ids.
    pub unearthed_in: Vec<String>,
    /// How far it stands out beyond the jack's nut.
    pub depth: Known<Length>,
    /// Its width across the jack's axis, also its height.
    pub width: Known<Length>,
    /// From the jack's axis to the end of the sleeve the cable leaves from (angled plugs).
    pub tail: Known<Length>,
    /// Width of that sleeve.
    pub tail_width: Known<Length>,
    /// Room the cable needs to bend after the plug.
    pub bend: Known<Length>,
    /// Cable used up inside the plug.
    pub allowance: Known<Length>,
    /// How much of the cable's jacket comes off for it.
    pub strip: Known<Length>,
    /// How much of each core's insulation comes off for it.
    pub strip_core: Known<Length>,
    /// Capacitance it adds.
    pub capacitance: Known<Farads>,
}

/// Where cable leaves an angled plug, seen on the device before it is turned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Exit {
    /// Away from the player.
    Toe,
    /// Towards the player.
    Heel,
    /// To the player's left.
    Left,
    /// To the player's right.
    Right,
    /// Up.
    Up,
    /// Down.
    Down,
}

vocabulary! { Exit: Toe = "toe", Heel = "heel", Left = "left", Right = "right", Up = "up", Down = "down" }

impl Exit {
    /// The side it points to, or `None` for up and down.
    pub fn face(self) -> Option<crate::Face> {
        match self {
            Self::Toe => Some(crate::Face::Back),
            Self::Heel => Some(crate::Face::Front),
            Self::Left => Some(crate::Face::Left),
            Self::Right => Some(crate::Face::Right),
            Self::Up | Self::Down => None,
        }
    }
}

/// The plug on one end of a lead as the document states it; both parts may be open.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PlugSpec {
    /// The plug, or `None` when left open.
    pub plug: Option<PlugKind>,
    /// Where the cable leaves, or `None` when left open.
    pub exit: Option<Exit>,
}

/// What the document says of one lead, matched by its ends.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeadSpec {
    /// The port or end it comes from.
    pub from: PortRef,
    /// The port or end it goes to.
    pub to: PortRef,
    /// Its further ends, when it is a lead with a joint.
    pub branches: Vec<(PortRef, PlugSpec)>,
    /// Its number on labels, once it is issued.
    pub tag: Option<String>,
    /// Its cable.
    pub cable: Option<Cable>,
    /// The plug where it comes from.
    pub from_plug: PlugSpec,
    /// The plug where it goes to.
    pub to_plug: PlugSpec,
    /// Whether tip and ring are crossed from end to end.
    pub crossed: bool,
    /// The length it was cut to, when it is made already.
    pub cut: Option<Length>,
    /// What the legs of a lead with a joint were cut to, each by its end.
    pub legs: Vec<(PortRef, Length)>,
    /// Whether it is plugged in or wired: taking it out again is work.
    pub fitted: bool,
    /// Where its joint lies, in the board's frame; open when the routing may place it.
    pub joint: Option<[Length; 2]>,
    /// Tie points that it passes over, in order, in the board's frame.
    pub ties: Vec<[Length; 2]>,
    /// Extra cable that stays beside it, so that a device can be lifted out without unplugging.
    pub service: Option<Length>,
    /// Places among the ends as they are written whose end is gone, the lowest first: the legs of the others keep their
    /// letters.
    pub gone: Vec<usize>,
}

/// What stands in the list of ends where one is gone.
pub const GONE_END: &str = "-";

impl LeadSpec {
    /// An entry that says nothing yet of the lead between two ports.
    pub fn between(from: PortRef, to: PortRef) -> Self {
        Self {
            from,
            to,
            branches: Vec::new(),
            tag: None,
            cable: None,
            from_plug: PlugSpec::default(),
            to_plug: PlugSpec::default(),
            crossed: false,
            cut: None,
            legs: Vec::new(),
            fitted: false,
            joint: None,
            ties: Vec::new(),
            service: None,
            gone: Vec::new(),
        }
    }

    /// The place of an end among those that are written, the ones that are gone counted: its leg has the letter of it.
    pub fn place_of(&self, port: &PortRef) -> Option<usize> {
        let at = self.ends().position(|end| end == port)?;
        Some(self.gone.iter().fold(at, |place, &gone| place + usize::from(gone <= place)))
    }

    /// Its ends as they are written.
    pub fn ends(&self) -> impl Iterator<Item = &PortRef> {
        [&self.from, &self.to].into_iter().chain(self.branches.iter().map(|(port, _)| port))
    }

    /// What it says of the plug at an end.
    pub fn plug_at(&self, port: &PortRef) -> Option<&PlugSpec> {
        if self.from == *port {
            return Some(&self.from_plug);
        }
        if self.to == *port {
            return Some(&self.to_plug);
        }
        self.branches.iter().find(|(end, _)| end == port).map(|(_, plug)| plug)
    }

    /// Whether it is written end by end, as a lead with a joint is: with three ends or more, those counted that are gone.
    pub fn is_joined(&self) -> bool {
        !self.branches.is_empty() || !self.gone.is_empty()
    }

    /// Whether it is a thing by now: cut, plugged in or wired.
    pub fn is_made(&self) -> bool {
        self.cut.is_some() || !self.legs.is_empty() || self.fitted
    }

    /// What it is known by in the document: `A1.OUT > A2.IN`, or `S.1 + S.2 + A1.DC` with a joint.
    pub fn name(&self) -> String {
        if !self.is_joined() {
            return format!("{} > {}", self.from, self.to);
        }
        let mut names: Vec<String> = self.ends().map(ToString::to_string).collect();
        for &gone in &self.gone {
            names.insert(gone.min(names.len()), GONE_END.to_owned());
        }
        names.join(" + ")
    }
}

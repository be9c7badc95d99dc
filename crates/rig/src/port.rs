//! Ports: named jacks and inlets of a device.

use quantity::{Farads, Length, Ohms, Volts};

use crate::{Carries, Known, PlugKind};

/// A side of a body before turning. Front is the side next to the player.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Face {
    /// Next to the player.
    Front,
    /// The player's right.
    Right,
    /// Away from the player.
    Back,
    /// The player's left.
    Left,
}

vocabulary! { Face: Front = "front", Right = "right", Back = "back", Left = "left" }

impl Face {
    /// The side it becomes after counter-clockwise quarter turns.
    #[must_use]
    pub fn turned(self, quarters: u8) -> Self {
        const ROUND: [Face; 4] = [Face::Front, Face::Right, Face::Back, Face::Left];
        let here = ROUND.iter().position(|face| *face == self).unwrap_or(0);
        ROUND[(here + usize::from(quarters)) % 4]
    }
}

/// What a port is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PortRole {
    /// Signal in.
    In,
    /// Signal out.
    Out,
    /// Signal out to something inserted.
    Send,
    /// Signal back from something inserted.
    Return,
    /// A jack of the panel that leads through the wall.
    Through,
    /// Low-voltage inlet.
    Power,
    /// Low-voltage outlet of a brick.
    Outlet,
    /// Mains inlet.
    Mains,
    /// Expression or control voltage.
    Expression,
    /// Foot-switch, tap or amp-switching jack.
    Control,
    /// MIDI in.
    MidiIn,
    /// MIDI out.
    MidiOut,
    /// MIDI thru.
    MidiThru,
    /// USB.
    Usb,
}

vocabulary! { PortRole: In = "in", Out = "out", Send = "send", Return = "return", Through = "through", Power = "power", Outlet = "outlet", Mains = "mains", Expression = "expression", Control = "control", MidiIn = "midi-in", MidiOut = "midi-out", MidiThru = "midi-thru", Usb = "usb" }

impl PortRole {
    /// What it is to the player and the builder, with its article: `an output`.
    pub fn phrase(self) -> &'static str {
        match self {
            Self::In => "an input",
            Self::Out => "an output",
            Self::Send => "a send",
            Self::Return => "a return",
            Self::Through => "a jack that leads through the wall",
            Self::Power => "a power inlet",
            Self::Outlet => "a power outlet",
            Self::Mains => "a mains connector",
            Self::Expression => "an expression jack",
            Self::Control => "a control jack",
            Self::MidiIn => "a MIDI input",
            Self::MidiOut => "a MIDI output",
            Self::MidiThru => "a MIDI thru",
            Self::Usb => "a USB connector",
        }
    }

    /// Which way something passes here; `None` where it does not pass at all.
    ///
    /// Of expression, control, USB and mains the role does not tell the direction. A jack for expression often takes
    /// foot switches too, so that control passes there. Common practice, no source.
    pub fn flow(self, carries: Carries) -> Option<Flow> {
        match (self, carries) {
            (Self::In | Self::Return, Carries::Signal) | (Self::MidiIn, Carries::Midi) => Some(Flow::In),
            (Self::Out | Self::Send, Carries::Signal) | (Self::MidiOut | Self::MidiThru, Carries::Midi) => {
                Some(Flow::Out)
            }
            (Self::Through, _)
            | (Self::Expression, Carries::Expression | Carries::Control)
            | (Self::Control, Carries::Control)
            | (Self::Usb, Carries::Usb)
            | (Self::Mains, Carries::Mains) => Some(Flow::Both),
            _ => None,
        }
    }

    /// Whether audio goes into the device here.
    pub fn takes_signal(self) -> bool {
        matches!(self, Self::In | Self::Return | Self::Through)
    }

    /// Whether audio comes out of the device here.
    pub fn gives_signal(self) -> bool {
        matches!(self, Self::Out | Self::Send | Self::Through)
    }
}

/// The way something passes through a port, seen from the device.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Flow {
    /// Into the device.
    In,
    /// Out of the device.
    Out,
    /// Either way.
    Both,
}

impl Flow {
    /// Whether it may come in here.
    pub fn takes(self) -> bool {
        matches!(self, Self::In | Self::Both)
    }

    /// Whether it may go out here.
    pub fn gives(self) -> bool {
        matches!(self, Self::Out | Self::Both)
    }
}

/// The family a connector belongs to; it decides marks on drawings and which rules look at it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ConnectorFamily {
    /// Phone jacks after IEC 60603-11.
    Jack,
    /// Direct-current barrels.
    Barrel,
    /// XLR after IEC 61076-2-103.
    Xlr,
    /// DIN circular.
    Din,
    /// USB.
    Usb,
    /// The two snaps of a 9 V battery after IEC 60086-2.
    Snap,
    /// Two bare contacts: screw or spring terminals.
    Bare,
    /// Mains: inlets and outlets after IEC 60320, household sockets.
    Mains,
    /// Soldered or captive, no connector.
    Fixed,
}

vocabulary! { ConnectorFamily: Jack = "jack", Barrel = "barrel", Xlr = "xlr", Din = "din", Usb = "usb", Snap = "snap", Bare = "bare", Mains = "mains", Fixed = "fixed" }

impl ConnectorFamily {
    /// Whether nobody chooses which contact is plus: USB and battery snaps have it by their standards. Plus goes to plus with
    /// them; on a lead that ends in a barrel at the other end that counts as centre-negative, as such leads are made up.
    /// *Common practice, no source*, for the barrel.
    pub fn has_own_polarity(self) -> bool {
        matches!(self, Self::Usb | Self::Snap)
    }

    /// Whether plus and minus are two bare contacts, each marked, so that a lead is wired as it must be and no barrel says which is the centre.
    pub fn is_wired_as_marked(self) -> bool {
        self == Self::Bare
    }
}

/// A connector of a device, resolved from the catalogue.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Connector {
    /// Catalogue id, such as `jack-6.35-ts` or `barrel-5.5-2.1`.
    pub id: String,
    /// What it is, for papers.
    pub title: String,
    /// Its family.
    pub family: ConnectorFamily,
    /// Number of contacts.
    pub contacts: u32,
    /// How far nut and washer stand out before the plug begins.
    pub nut: Known<Length>,
    /// Diameter of the hole it needs in a wall; the width of the cut-out where that is not round.
    pub hole: Known<Length>,
    /// Height of a cut-out that is not round; unknown for a round hole.
    pub hole_height: Known<Length>,
    /// Width that its flange, or the spanner on its nut, needs on the wall.
    pub room: Known<Length>,
    /// The plug that usually goes into it: its box is the room that a free mains socket must have before it.
    pub usual: Option<Box<PlugKind>>,
    /// A plug of the catalogue that is made for it, by id: what a lead is made up with when nobody names one.
    pub made_for: Option<String>,
}

impl Connector {
    /// Whether it is a mains connector with a contact for protective earth.
    pub fn has_earth_contact(&self) -> bool {
        self.family == ConnectorFamily::Mains && 3 <= self.contacts
    }

    /// Whether it is a mains connector that a plug goes into and feeds something from: the sockets that a plug is known
    /// for. An inlet is no socket.
    pub fn is_socket(&self) -> bool {
        self.family == ConnectorFamily::Mains && self.usual.is_some()
    }

    /// The letter of a household pattern, of the list of the world's plugs: `F` of `socket-f`.
    pub fn letter(&self) -> Option<char> {
        let mut rest = self.id.strip_prefix("socket-")?.chars();
        let letter = rest.next().filter(char::is_ascii_lowercase)?;
        rest.next().is_none().then(|| letter.to_ascii_uppercase())
    }
}

/// The contact that carries the wiper of an expression pot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Wiper {
    /// The tip.
    Tip,
    /// The ring.
    Ring,
}

vocabulary! { Wiper: Tip = "tip", Ring = "ring" }

/// How MIDI lies on a 3.5 mm jack.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MidiJack {
    /// Tip to pin 5, ring to pin 4: the published one.
    TypeA,
    /// Tip to pin 4, ring to pin 5.
    TypeB,
    /// Tip and sleeve alone.
    TipOnly,
}

vocabulary! { MidiJack: TypeA = "type-a", TypeB = "type-b", TipOnly = "tip-only" }

/// How the end of a lead is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fitting {
    /// A plug goes into a jack.
    Plugged,
    /// Soldered to the tags of a jack.
    Soldered,
    /// Wired to terminals; at mains by a competent person, licensed where that is required.
    Terminals,
    /// Fixed to the thing it comes from: it cannot be unplugged there.
    Captive,
}

vocabulary! { Fitting: Plugged = "plugged", Soldered = "soldered", Terminals = "terminals", Captive = "captive" }

/// A named jack or inlet.
#[derive(Debug, Clone, Default)]
pub struct Port {
    /// Its name, unique on the device.
    pub name: String,
    /// What is printed beside it, where that is not its name.
    pub legend: Option<String>,
    /// What it is for.
    pub role: Known<PortRole>,
    /// What fits it.
    pub connector: Option<Connector>,
    /// The side it is on, before turning.
    pub face: Known<Face>,
    /// Its centre: from the front edge on the left and right sides, from the left edge on front and back.
    pub offset: Known<Length>,
    /// Its centre above the base.
    pub height: Known<Length>,
    /// Input impedance of what takes signal, output impedance of what gives it.
    pub z: Known<Ohms>,
    /// The same while a buffered device is off; as when it is on where nothing is said.
    pub z_bypassed: Known<Ohms>,
    /// Capacitance from an input to earth, its own without leads.
    pub capacitance: Known<Farads>,
    /// Capacitor in series with an input or output.
    pub coupling: Known<Farads>,
    /// Whether it must stay reachable though nothing is plugged (USB, battery lid, trim switch).
    pub service: bool,
    /// Whether its sleeve is insulated from the case.
    pub insulated: Known<bool>,
    /// Whether its screen is lifted: by a switch, a transformer or an optical link of this port alone.
    pub lifted: Known<bool>,
    /// Whether it stands phantom power.
    pub phantom_safe: Known<bool>,
    /// Depth behind the wall, for jacks of a panel.
    pub behind: Known<Length>,
    /// How a lead meets this jack from behind the wall, when the document says so.
    pub inside: Option<Fitting>,
    /// Nominal level, of outputs and sends.
    pub level: Known<Volts>,
    /// The contact with the wiper: of a pedal where it is, of an input where it is wanted.
    pub wiper: Known<Wiper>,
    /// The pot of an expression pedal, or the pot that an expression input wants.
    pub track: Known<Ohms>,
    /// How MIDI lies on a 3.5 mm jack.
    pub midi_jack: Known<MidiJack>,
    /// Whether it may stay empty without a remark (a spare, a second output).
    pub may_stay_empty: bool,
}

impl Port {
    /// Whether the standard of its connector leaves no choice which contact is plus.
    pub fn has_own_polarity(&self) -> bool {
        self.connector.as_ref().is_some_and(|connector| connector.family.has_own_polarity())
    }

    /// Whether its connector is two bare contacts, each marked.
    pub(crate) fn is_wired_as_marked(&self) -> bool {
        self.connector.as_ref().is_some_and(|connector| connector.family.is_wired_as_marked())
    }

    /// What is printed beside it: its legend, else its name with spaces for underscores.
    pub fn printed(&self) -> String {
        self.legend.clone().unwrap_or_else(|| self.name.replace('_', " "))
    }
}

/// How much of an insert's normal the plug breaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Normal {
    /// Both jacks break it.
    Full,
    /// Only the return breaks it.
    Half,
    /// There is none: with nothing plugged the path is open.
    Open,
}

vocabulary! { Normal: Full = "full", Half = "half", Open = "open" }

/// A pair of jacks where the path can be opened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Insert {
    /// Its name.
    pub name: String,
    /// The port that sends.
    pub send: String,
    /// The port that returns.
    pub back: String,
    /// The normal that closes it.
    pub normal: Known<Normal>,
    /// Which contact sends, where one jack does both.
    pub wiring: Known<InsertWiring>,
    /// Input impedance of the contact that returns, where one jack does both: what the port states is that of the contact
    /// that sends.
    pub return_z: Known<Ohms>,
}

impl Insert {
    /// Whether one jack of three contacts sends and returns.
    pub fn is_on_one_jack(&self) -> bool {
        self.send == self.back
    }
}

/// Which contact of an insert on one jack sends; the other returns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InsertWiring {
    /// The tip sends, the ring returns.
    TipSend,
    /// The ring sends, the tip returns.
    RingSend,
}

vocabulary! { InsertWiring: TipSend = "tip-send", RingSend = "ring-send" }

/// A loop that a switcher puts in and out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Loop {
    /// Its name.
    pub name: String,
    /// The port that sends.
    pub send: String,
    /// The port that returns.
    pub back: String,
}

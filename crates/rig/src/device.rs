//! Devices: anything with ports that is placed or stands outside.

use quantity::{Area, Decibels, Grams, Length, Ohms, Ratio, Seconds, Turns, Volts};

use crate::at_volts::AtVolts;
use crate::{
    Bank, Carries, ConnectorFamily, FLOOR, Feed, Flow, Insert, Known, Loop, Outlet, Port, PowerNeed,
    Provenance, Rect, Sign,
};

/// What a device is to the builder.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Role {
    /// An effect device under the player's foot.
    #[default]
    Pedal,
    /// A supply brick.
    Brick,
    /// The interface panel.
    Panel,
    /// A mains strip.
    Strip,
    /// Anything else that takes room.
    Other,
}

vocabulary! { Role: Pedal = "pedal", Brick = "brick", Panel = "panel", Strip = "strip", Other = "other" }

/// Width, depth and height of a body, without knobs and plugs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size {
    /// Along x before turning.
    pub width: Length,
    /// Along y before turning.
    pub depth: Length,
    /// Along z.
    pub height: Length,
}

/// How a device passes signal when it is off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bypass {
    /// A switch contact and nothing else; players say true bypass.
    Hard,
    /// Through its own buffer.
    Buffered,
    /// A relay contact.
    Relay,
    /// It is never off.
    AlwaysOn,
}

vocabulary! { Bypass: Hard = "hard", Buffered = "buffered", Relay = "relay", AlwaysOn = "always-on" }

/// What a device does to signal.
#[derive(Debug, Clone, Default)]
pub struct Signal {
    /// What happens when it is off.
    pub bypass: Known<Bypass>,
    /// Whether it only attenuates: no active stage between input and output.
    pub passive: bool,
    /// Whether it must see the guitar's coil with no buffer between.
    pub bare_pickup: Known<bool>,
    /// Whether it turns polarity over when engaged.
    pub inverts: Known<bool>,
    /// Delay of its direct sound.
    pub latency: Known<Seconds>,
    /// Largest gain it can be set to, whatever feeds it; [`Rig::gain`](crate::Rig::gain) is what is in force.
    pub gain: Known<Decibels>,
    /// Largest level it takes before clipping, peak, whatever feeds it;
    /// [`Rig::max_input`](crate::Rig::max_input) is what is in force.
    pub max_input: Known<Volts>,
    /// What differs with the voltage that feeds it.
    pub at: Vec<AtVolts>,
    /// Its own noise at its output when it is engaged with the gain at its largest, A-weighted, rms.
    pub noise: Known<Volts>,
    /// Whether it holds a coil that picks up magnetic fields.
    pub coil: Known<bool>,
    /// Whether it has an aerial.
    pub aerial: Known<bool>,
    /// Whether repeats ring on after it is switched off.
    pub tails: Known<bool>,
    /// Whether its outputs are isolated from its inputs by a transformer.
    pub transformer: Known<bool>,
    /// The turns of that transformer, primary to secondary; the document gives them to a passive one only.
    pub turns: Known<Turns>,
    /// The resistors that keep its switched contacts at rest; unknown or large ones pop.
    pub bleed: Known<Ohms>,
    /// How far a passive volume stands open: the share of its resistance below the wiper.
    pub travel: Known<Ratio>,
}

/// What a device listens to on its MIDI input.
#[derive(Debug, Clone, Default)]
pub struct Midi {
    /// Its channel, 1 to 16.
    pub channel: Known<u32>,
    /// Whether it listens to every channel.
    pub omni: Known<bool>,
    /// Bytes that one change of sound sends to it.
    pub bytes: Known<u32>,
    /// The least time it wants between two messages.
    pub gap: Known<Seconds>,
}

/// A foot switch of a device, from the front left corner of the body before turning.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Switch {
    /// Its name.
    pub name: String,
    /// From the left edge.
    pub x: Length,
    /// From the front edge.
    pub y: Length,
    /// What a foot does with it, for the player: `on, off`.
    pub does: Option<String>,
}

/// A knob or a small switch that sets the sound.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Control {
    /// What is printed beside it.
    pub name: String,
    /// Where it stands as delivered; empty while nobody has written it down.
    pub at: String,
}

/// How a device is held on its deck.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FastenKind {
    /// Hook-and-loop strip.
    Strip,
    /// Pads with mushroom heads on both sides.
    Pad,
    /// Screws.
    Screw,
    /// A clamp or bracket.
    Clamp,
}

vocabulary! { FastenKind: Strip = "strip", Pad = "pad", Screw = "screw", Clamp = "clamp" }

/// Where the hooks of a hook-and-loop strip are; the loops are on the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum HookSide {
    /// Under the device.
    Device,
    /// On the board.
    Board,
}

vocabulary! { HookSide: Device = "device", Board = "board" }

/// What holds a device on its deck.
#[derive(Debug, Clone, Default)]
pub struct Fasten {
    /// How it is held.
    pub kind: Known<FastenKind>,
    /// How many strips, pads, screws or clamps.
    pub count: Known<u32>,
    /// Length of each strip or pad.
    pub length: Known<Length>,
    /// Width of each strip or pad.
    pub width: Known<Length>,
    /// Area of all strips or pads together, where that is stated.
    pub stated_area: Known<Area>,
    /// Where the hooks are.
    pub hooks: Known<HookSide>,
}

impl Fasten {
    /// Area of all strips or pads together: as stated, else count × length × width.
    pub fn area(&self) -> Known<Area> {
        const MM2_PER_CM2: f64 = 100.0;
        if !self.stated_area.is_unknown() {
            return self.stated_area;
        }
        match (self.count.value, self.length.value, self.width.value) {
            (Some(count), Some(length), Some(width)) => {
                let from = self.count.from.max(self.length.from).max(self.width.from);
                let area = f64::from(count) * length.as_mm() * width.as_mm() / MM2_PER_CM2;
                Known { value: Area::new(area), from }
            }
            _ => Known::default(),
        }
    }

    /// Length of all strips together: count × length, else area over width.
    pub fn strip(&self) -> Option<Length> {
        const MM2_PER_CM2: f64 = 100.0;
        if let (Some(count), Some(length)) = (self.count.value, self.length.value) {
            return Some(Length::from_nm(length.nm().saturating_mul(i64::from(count))));
        }
        let (area, width) = (self.area().value?, self.width.value?);
        (0.0 < width.as_mm()).then(|| Length::from_mm_rounded(area.get() * MM2_PER_CM2 / width.as_mm()))
    }
}

/// Where a device stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The deck's name, or [`FLOOR`](crate::FLOOR).
    pub deck: String,
    /// Left edge of the turned bounding box, in the deck's frame.
    pub x: Length,
    /// Front edge of the turned bounding box, in the deck's frame.
    pub y: Length,
    /// Counter-clockwise quarter turns, 0 to 3.
    pub quarters: u8,
    /// Whether it hangs under the deck.
    pub under: bool,
    /// Whether layout may not move it.
    pub locked: bool,
}

/// Anything with ports that is placed or stands outside.
#[derive(Debug, Clone, Default)]
pub struct Device {
    /// Short name on labels.
    pub tag: String,
    /// What it is, for papers.
    pub title: String,
    /// The catalogue kind it is of.
    pub kind: Option<String>,
    /// What it is to the builder.
    pub role: Role,
    /// Whose it is, for the intake sheet.
    pub owner: Option<String>,
    /// Serial number, for the intake sheet.
    pub serial: Option<String>,
    /// A remark, printed.
    pub note: Option<String>,
    /// Body without knobs.
    pub size: Known<Size>,
    /// Corner radius; drawn, never computed with.
    pub corner: Length,
    /// What knobs or switches add on top of the body.
    pub knobs: Known<Length>,
    /// What a treadle adds at its full opening; `None` when it has none.
    pub treadle: Option<Known<Length>>,
    /// The bracket that holds it when it hangs under a deck.
    pub bracket: Known<Length>,
    /// Mass.
    pub mass: Known<Grams>,
    /// Foot switches.
    pub switches: Vec<Switch>,
    /// Knobs and small switches; `None` while nobody has said which it has.
    pub controls: Option<Vec<Control>>,
    /// Jacks and inlets.
    pub ports: Vec<Port>,
    /// Pairs of send and return jacks closed by a normal.
    pub inserts: Vec<Insert>,
    /// Loops that a switcher puts in and out.
    pub loops: Vec<Loop>,
    /// What it does to signal.
    pub signal: Signal,
    /// What it listens to by MIDI; `None` when it has none.
    pub midi: Option<Midi>,
    /// What it needs to run.
    pub power: PowerNeed,
    /// How it gets it.
    pub feed: Option<Feed>,
    /// Outlets, for a brick.
    pub outlets: Vec<Outlet>,
    /// Groups of outlets that share a limit or a negative.
    pub banks: Vec<Bank>,
    /// All a brick gives at once.
    pub total: Known<quantity::Watts>,
    /// What share of what it takes a brick gives on; the rest is heat.
    pub efficiency: Known<Ratio>,
    /// What holds it on its deck; `None` when nothing is said of it.
    pub fasten: Option<Fasten>,
    /// Where it stands; `None` when not placed yet.
    pub place: Option<Place>,
    /// Whether it stands outside the board and takes no room (rack, amp top).
    pub outside: bool,
}

/// What the standard of a connector says of its polarity, in the words of barrels.
const SETTLED: Known<Sign> = Known { value: Some(Sign::CentreNegative), from: Provenance::Printed };

impl Device {
    /// The turns of a passive transformer, where they are known.
    pub fn turns(&self) -> Option<Turns> {
        let is_transformer = self.signal.passive && self.signal.transformer.value == Some(true);
        self.signal.turns.value.filter(|_| is_transformer)
    }

    /// The port with this name.
    pub fn port(&self, name: &str) -> Option<&Port> {
        self.ports.iter().find(|port| port.name == name)
    }

    /// The insert that has its send and its return on this one jack.
    pub fn insert_on_jack(&self, port: &str) -> Option<&Insert> {
        self.inserts.iter().find(|insert| insert.is_on_one_jack() && insert.send == port)
    }

    /// Which way something passes through one of its ports: by the port's role, except where one jack of an insert
    /// sends and returns. `None` where it does not pass, or where the role is unknown. Nothing but mains passes a mains
    /// connector.
    pub fn flow(&self, port: &Port, carries: Carries) -> Option<Flow> {
        let flow = port.role.value?.flow(carries)?;
        let mains = port.connector.as_ref().is_some_and(|c| c.family == ConnectorFamily::Mains);
        if mains && carries != Carries::Mains {
            return None;
        }
        // Mains comes in by an inlet or a lead of its own, and goes out by a socket. A gland of a panel lets it pass.
        if carries == Carries::Mains && port.role.value == Some(crate::PortRole::Mains) {
            let has_own_lead = self.role != Role::Panel && self.has_sockets();
            return Some(match &port.connector {
                Some(connector) if connector.is_socket() => Flow::Out,
                Some(_) if mains => Flow::In,
                // The lead that is fixed to a unit with sockets is its own; a strip may also give by leads fixed to it.
                Some(connector) if connector.family == ConnectorFamily::Fixed && has_own_lead => Flow::In,
                _ => Flow::Both,
            });
        }
        let both = carries == Carries::Signal && self.insert_on_jack(&port.name).is_some();
        Some(if both { Flow::Both } else { flow })
    }

    fn has_sockets(&self) -> bool {
        self.ports.iter().filter_map(|port| port.connector.as_ref()).any(crate::Connector::is_socket)
    }

    /// Its mains sockets, by name: what gives mains, as far as its connectors are known.
    pub fn mains_sockets(&self) -> impl Iterator<Item = &str> {
        let gives = |port: &&Port| self.flow(port, Carries::Mains).is_some_and(Flow::gives);
        self.ports.iter().filter(gives).map(|port| port.name.as_str())
    }

    /// The polarity that an outlet gives: what the document says, unless the standard of its connector settles it.
    pub fn outlet_sign(&self, outlet: &Outlet) -> Known<Sign> {
        if self.is_sign_settled(outlet) { SETTLED } else { outlet.sign }
    }

    /// Whether the connector of an outlet leaves no choice which contact is plus, so that nobody needs to be told.
    pub fn is_sign_settled(&self, outlet: &Outlet) -> bool {
        let port = self.port(&outlet.name);
        port.is_some_and(Port::has_own_polarity)
            || outlet.sign.is_unknown() && port.is_some_and(Port::is_wired_as_marked)
    }

    /// The polarity that it needs at its inlet: what the document says, unless the standard of its connector settles it.
    pub fn wanted_sign(&self) -> Known<Sign> {
        if self.has_own_polarity() { SETTLED } else { self.power.sign }
    }

    /// Whether the connector of its inlet leaves no choice which contact is plus.
    pub fn has_own_polarity(&self) -> bool {
        let inlet = self.ports.iter().find(|port| port.role.value == Some(crate::PortRole::Power));
        inlet.is_some_and(|port| {
            port.has_own_polarity() || self.power.sign.is_unknown() && port.is_wired_as_marked()
        })
    }

    /// The outlet with this name.
    pub fn outlet(&self, name: &str) -> Option<&Outlet> {
        self.outlets.iter().find(|outlet| outlet.name == name)
    }

    /// The body's rectangle in the frame of its deck, turned, when size and place are known.
    pub fn footprint(&self) -> Option<Rect> {
        let size = self.size.value?;
        let place = self.place.as_ref()?;
        let (width, depth) =
            if place.quarters % 2 == 0 { (size.width, size.depth) } else { (size.depth, size.width) };
        Some(Rect { x: place.x, y: place.y, width, depth })
    }

    /// Whether it stands beside the board: in a rack, on an amp, on the floor.
    pub fn is_beside_board(&self) -> bool {
        self.outside || self.place.as_ref().is_some_and(|place| place.deck == FLOOR)
    }

    /// Whether a foot works it: it has a switch or a treadle.
    pub fn is_foot_operated(&self) -> bool {
        !self.switches.is_empty() || self.treadle.is_some()
    }
}

//! What the engine is given: parts, a graph of links, where things can be plugged, and what powers what.

use crate::history::Repair;
use crate::kind::Kind;

/// Something that may be at fault.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// What it is known by: `L07`, `D5.IN`, `D5`.
    pub id: String,
    /// What it is.
    pub kind: Kind,
    /// What a person calls it: `lead L07`.
    pub title: String,
    /// The device it belongs to or hangs on, for the drawing; none for a lead.
    pub device: Option<String>,
}

/// A way that sound goes from one node to another while all its parts are sound.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Link {
    /// Where it begins.
    pub from: usize,
    /// Where it ends.
    pub to: usize,
    /// Whether sound also passes backwards: a wire does, a device does not.
    pub both: bool,
    /// Whether it is a plain wire: what is shorted at one end is silent at the other.
    pub wire: bool,
    /// What it needs, by place among the parts.
    pub parts: Vec<usize>,
}

/// Where the sound begins or ends, outside the board.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct End {
    /// Its name: `guitar`.
    pub id: String,
    /// The node it drives or hears.
    pub node: usize,
    /// The part that it is.
    pub part: usize,
    /// The leads that the player plugs in there.
    pub leads: Vec<usize>,
}

/// A jack that a lead can be plugged into by hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Jack {
    /// Its name: `D5.IN`.
    pub port: String,
    /// The node behind it.
    pub node: usize,
    /// The part that it is.
    pub part: usize,
    /// The lead that must be pulled out first, if any.
    pub pulls: Option<usize>,
    /// The normals that a plug in it opens.
    pub opens: Vec<usize>,
    /// Whether sound goes in there; otherwise it comes out.
    pub is_in: bool,
}

/// A device with what it needs to run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Powered {
    /// Its tag.
    pub device: String,
    /// The device as a part.
    pub part: usize,
    /// Everything from its inlet to the wall.
    pub chain: Vec<usize>,
    /// The outlet that feeds it with what it should read, such as `SUP1.3` and `9 V DC`.
    pub outlet: Option<(usize, String)>,
    /// An outlet that is free and gives the same, by name.
    pub free: Option<String>,
}

/// The links while one device is switched off.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OffState {
    /// The device.
    pub device: String,
    /// The links then.
    pub links: Vec<Link>,
}

/// A board as the engine sees it, in the state of the switches that is complained of.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Input {
    /// Everything that may be at fault.
    pub parts: Vec<Part>,
    /// How many nodes there are.
    pub nodes: usize,
    /// The state of the switches, by name.
    pub state: String,
    /// The links in that state.
    pub links: Vec<Link>,
    /// The same with one device switched off, for each that can be.
    pub off: Vec<OffState>,
    /// The links in another state, in which it plays: what *one state only* is held against.
    pub other: Vec<Link>,
    /// Guitars and the like.
    pub sources: Vec<End>,
    /// Amps and the like.
    pub sinks: Vec<End>,
    /// Where a lead can be plugged by hand.
    pub jacks: Vec<Jack>,
    /// What powers what.
    pub powered: Vec<Powered>,
    /// Ends whose earths meet with that of the sink in the screens, by place among the sinks, with the part that the loop is.
    pub earth_loops: Vec<(usize, usize, usize)>,
    /// What the shop has mended before; may be empty.
    pub history: Vec<Repair>,
}

impl Input {
    /// The part of this name.
    pub fn part(&self, id: &str) -> Option<usize> {
        self.parts.iter().position(|part| part.id == id)
    }
}

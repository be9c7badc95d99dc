//! What comes onto the board, as boxes, in the order in which one would like to set it down.

use quantity::Length;

use crate::{Bulk, Fact};

/// Something that stands on the board from some moment on: a device, or a deck above the first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Thing {
    /// Its tag, or the name of the deck.
    pub tag: String,
    /// Its boxes, plugs apart.
    pub boxes: Vec<Bulk>,
    /// The deck that it stands on or hangs under, or that it is.
    pub deck: usize,
    /// The height of that deck's surface.
    pub surface: Length,
    /// Whether it hangs under the deck, and is worked at from below.
    pub under: bool,
    /// Whether it is a deck itself.
    pub is_deck: bool,
    /// Whether it can be swung out of the way with its deck.
    pub swings: bool,
    /// What says that it stands; `None` when it does from the beginning.
    pub stands: Option<Fact>,
}

/// A plug at a port.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct End {
    /// Its name, which no other end has: lead and port.
    pub key: String,
    /// Its lead.
    pub lead: String,
    /// The thing that it goes into, by its place in [`World::things`].
    pub thing: usize,
    /// The plug as it sits: body, and sleeve where it is angled.
    pub plug: Vec<Bulk>,
    /// The axis along which it goes in: 0 across, 1 along the board.
    pub axis: usize,
    /// Whether it is pulled out towards more of that axis.
    pub forward: bool,
    /// How far it moves until it sits.
    pub stroke: Length,
    /// Whether it may go in while its device is in the hand. What has to be metered first goes in where it stands.
    pub in_hand: bool,
}

/// How a lead runs: the corners of its way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Course {
    /// The lead.
    pub lead: String,
    /// Its corners, in the board's frame.
    pub corners: Vec<[Length; 3]>,
}

/// All that is put together.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct World {
    /// What stands, in the order in which one would set it down.
    pub things: Vec<Thing>,
    /// Every plug.
    pub ends: Vec<End>,
    /// The ways of leads that are laid.
    pub courses: Vec<Course>,
}

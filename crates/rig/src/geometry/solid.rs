//! One box.

use quantity::Length;

use crate::PortRef;

/// What a box stands for. The clearance table is keyed by pairs of these.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BoxClass {
    /// A body.
    Body,
    /// Knobs and switches on top of a body, or a treadle at its full opening.
    Knobs,
    /// A plug in a jack, nut and washer included.
    Plug,
    /// Room the cable needs to bend after a plug.
    Bend,
    /// What stands behind a panel's wall: jack body and wiring.
    Behind,
    /// The corridor in front of a port that must stay reachable.
    Service,
    /// A raised place.
    Riser,
    /// A rail below the deck.
    Rail,
    /// The sheet of a deck.
    Sheet,
}

impl BoxClass {
    /// The word used in messages and files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Body => "body",
            Self::Knobs => "knobs",
            Self::Plug => "plug",
            Self::Bend => "bend",
            Self::Behind => "behind",
            Self::Service => "service",
            Self::Riser => "riser",
            Self::Rail => "rail",
            Self::Sheet => "sheet",
        }
    }
}

/// What a box belongs to.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Owner {
    /// A device as a whole.
    Device(String),
    /// A port of a device, with its plug. `inner` is the inward side of a panel jack.
    Port {
        /// The port.
        port: PortRef,
        /// Whether this is the side behind a panel's wall.
        inner: bool,
    },
    /// A part of the board: deck name and part name.
    Board {
        /// The deck.
        deck: String,
        /// Riser, rail or sheet.
        part: String,
    },
}

impl Owner {
    /// The tag of the device it belongs to, if it belongs to one.
    pub fn device(&self) -> Option<&str> {
        match self {
            Self::Device(tag) => Some(tag),
            Self::Port { port, .. } => Some(&port.device),
            Self::Board { .. } => None,
        }
    }
}

impl std::fmt::Display for Owner {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Device(tag) => f.write_str(tag),
            Self::Port { port, .. } => port.fmt(f),
            Self::Board { deck, part } => write!(f, "{part} of deck {deck}"),
        }
    }
}

/// An open axis-aligned box in the board's frame.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Solid {
    /// What it stands for.
    pub class: BoxClass,
    /// What it belongs to.
    pub owner: Owner,
    /// Left, front, bottom.
    pub low: [Length; 3],
    /// Right, back, top.
    pub high: [Length; 3],
    /// Whether a size it rests on is only assumed.
    pub assumed: bool,
}

//! Wishes: what a requirement asks of a rig, in a form that can be judged.

use quantity::{Grams, Length};

/// Where on its deck a device is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Spot {
    /// Nothing that a foot works stands further right on its deck.
    RightEnd,
    /// Nothing that a foot works stands further left on its deck.
    LeftEnd,
    /// In the row at the front edge.
    FrontRow,
    /// In the row at the back edge.
    BackRow,
    /// Hanging under a deck.
    UnderDeck,
    /// On a deck above the lowest.
    UpperDeck,
    /// On the deck itself: on no riser, in no bracket.
    Flat,
    /// Found blind by a foot: at one end of the front row.
    ByFeel,
}

vocabulary! { Spot:
    RightEnd = "right-end", LeftEnd = "left-end", FrontRow = "front-row", BackRow = "back-row",
    UnderDeck = "under-deck", UpperDeck = "upper-deck", Flat = "flat", ByFeel = "by-feel"
}

/// How often a device is stepped on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Frequency {
    /// Many times in a song.
    Often,
    /// Now and then.
    Sometimes,
    /// Set once and left.
    SetAndForget,
}

vocabulary! { Frequency: Often = "often", Sometimes = "sometimes", SetAndForget = "set-and-forget" }

/// One wish of a requirement. Devices are named by their tags.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Wish {
    /// Signal passes these devices in this order.
    Order {
        /// Two or more, the first in the signal first.
        devices: Vec<String>,
        /// The run it is judged on; every one where it is left out.
        run: Option<String>,
    },
    /// Where each of these devices stands.
    Place {
        /// The place.
        at: Spot,
        /// One or more.
        devices: Vec<String>,
    },
    /// Two devices side by side, with no other body between them.
    Beside {
        /// The two.
        devices: [String; 2],
    },
    /// Devices near one another.
    Together {
        /// Two or more.
        devices: Vec<String>,
    },
    /// Devices away from one another.
    Apart {
        /// Two or more.
        devices: Vec<String>,
        /// The least gap between two bodies.
        by: Length,
    },
    /// A free place on a deck.
    Spare {
        /// Along x.
        width: Length,
        /// Along y.
        depth: Length,
        /// The deck; any where it is left out.
        deck: Option<String>,
    },
    /// The most it may weigh.
    Mass {
        /// The limit.
        most: Grams,
        /// Whether the case counts.
        cased: bool,
    },
    /// A sink that still gets signal when some devices are out of action.
    Plays {
        /// The sink.
        sink: String,
        /// The devices, one or more.
        without: Vec<String>,
        /// The source, or the device that its run begins with; any where it is left out.
        from: Option<String>,
    },
    /// A sink that may be the only one that is heard.
    Mono {
        /// The sink.
        sink: String,
    },
    /// How often these devices are stepped on.
    Use {
        /// How often.
        how: Frequency,
        /// One or more.
        devices: Vec<String>,
    },
}

impl Wish {
    /// Its kind, by the key that says it in a document.
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::Order { .. } => "order",
            Self::Place { .. } => "place",
            Self::Beside { .. } => "beside",
            Self::Together { .. } => "together",
            Self::Apart { .. } => "apart",
            Self::Spare { .. } => "spare",
            Self::Mass { .. } => "mass",
            Self::Plays { .. } => "plays",
            Self::Mono { .. } => "mono",
            Self::Use { .. } => "use",
        }
    }

    /// The tags that it names, as written.
    pub fn devices(&self) -> &[String] {
        match self {
            Self::Order { devices, .. }
            | Self::Place { devices, .. }
            | Self::Together { devices }
            | Self::Apart { devices, .. }
            | Self::Plays { without: devices, .. }
            | Self::Use { devices, .. } => devices,
            Self::Beside { devices } => devices,
            Self::Spare { .. } | Self::Mass { .. } | Self::Mono { .. } => &[],
        }
    }

    /// What is left of it when something goes; `None` where nothing is.
    pub fn without(&self, gone: Named<'_>) -> Option<Self> {
        match (self, gone) {
            (Self::Order { run: Some(named), .. }, Named::Run(gone))
            | (Self::Spare { deck: Some(named), .. }, Named::Deck(gone))
            | (Self::Plays { sink: named, .. } | Self::Mono { sink: named }, Named::Sink(gone))
            | (Self::Plays { from: Some(named), .. }, Named::Source(gone) | Named::Device(gone))
                if named == gone =>
            {
                return None;
            }
            _ => {}
        }
        let mut left = self.clone();
        let Named::Device(tag) = gone else { return Some(left) };
        let (devices, least) = match &mut left {
            Self::Beside { devices } => return (!devices.iter().any(|device| device == tag)).then_some(left),
            Self::Spare { .. } | Self::Mass { .. } | Self::Mono { .. } => return Some(left),
            Self::Order { devices, .. } | Self::Together { devices } | Self::Apart { devices, .. } => {
                (devices, 2)
            }
            Self::Place { devices, .. }
            | Self::Plays { without: devices, .. }
            | Self::Use { devices, .. } => (devices, 1),
        };
        devices.retain(|device| device != tag);
        (least <= devices.len()).then_some(left)
    }
}

/// Something that a wish may name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Named<'a> {
    /// A device, by its tag.
    Device(&'a str),
    /// A run, by its name.
    Run(&'a str),
    /// A sink, by its id.
    Sink(&'a str),
    /// A source, by its id.
    Source(&'a str),
    /// A deck, by its name.
    Deck(&'a str),
}

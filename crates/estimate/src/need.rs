//! What a job needs: parts and acts, as the model counts them.

use std::collections::BTreeMap;

use quantity::Length;

use crate::PriceItem;

/// How much of a thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Amount {
    /// So many pieces.
    Pieces(i64),
    /// So much length.
    Length(Length),
}

impl Amount {
    /// Pieces, or nanometres.
    pub fn units(self) -> i64 {
        match self {
            Self::Pieces(count) => count,
            Self::Length(length) => length.nm(),
        }
    }

    /// The same kind of amount with another number of units.
    #[must_use]
    pub fn with(self, units: i64) -> Self {
        match self {
            Self::Pieces(_) => Self::Pieces(units),
            Self::Length(_) => Self::Length(Length::from_nm(units)),
        }
    }

    /// Whether both count pieces or both measure length.
    pub fn is_like(self, other: Self) -> bool {
        matches!((self, other), (Self::Pieces(_), Self::Pieces(_)) | (Self::Length(_), Self::Length(_)))
    }

    /// In words: `3`, `1.20 m`.
    pub fn words(self) -> String {
        match self {
            Self::Pieces(count) => count.to_string(),
            Self::Length(length) => {
                // Rounded up to a centimetre: what is ordered must not be short.
                let cm =
                    length.nm().div_euclid(10_000_000) + i64::from(length.nm().rem_euclid(10_000_000) != 0);
                format!("{}.{:02} m", cm.div_euclid(100), cm.rem_euclid(100))
            }
        }
    }
}

/// The part of the bill a need stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BillGroup {
    /// Board and case.
    Board,
    /// Devices.
    Devices,
    /// Supplies, strips, adaptors.
    Power,
    /// Panels and what goes in their holes.
    Panel,
    /// Cable.
    Cable,
    /// Plugs.
    Plugs,
    /// Ready-made leads.
    Leads,
    /// Sleeves, labels, grommets, brackets, fasteners.
    Small,
}

impl BillGroup {
    /// The word for other programs.
    pub fn word(self) -> &'static str {
        match self {
            Self::Board => "board",
            Self::Devices => "devices",
            Self::Power => "power",
            Self::Panel => "panel",
            Self::Cable => "cable",
            Self::Plugs => "plugs",
            Self::Leads => "leads",
            Self::Small => "small",
        }
    }
}

/// One thing that the model needs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Need {
    /// What price files and stock know it by: a catalogue id, or a word of ours such as `label`.
    pub key: String,
    /// What it is, in words.
    pub title: String,
    /// Where it stands.
    pub group: BillGroup,
    /// How much the design needs.
    pub needed: Amount,
    /// How much is added.
    pub waste: Amount,
    /// What of both is still to be got, where some of it is cut already; otherwise all.
    pub left: Option<Amount>,
    /// What it is for.
    pub serves: String,
    /// Whether the player brings it.
    pub theirs: bool,
    /// Whether the amount rests on estimates.
    pub estimated: bool,
    /// What of the amount nobody knows, in words: it is then a lower bound. `None` where all of it is counted.
    pub open: Option<String>,
    /// What the shop's reels and offcuts cover of it, piece by piece as a cut plan has it; `None` where stock is counted by
    /// amount alone.
    pub from_stock: Option<Amount>,
}

impl Need {
    /// A need of ours with nothing known beyond how much of what; its title is its key.
    pub fn new(key: &str, group: BillGroup, needed: Amount) -> Self {
        Self {
            key: key.to_owned(),
            title: key.to_owned(),
            group,
            needed,
            waste: needed.with(0),
            left: None,
            serves: String::new(),
            theirs: false,
            estimated: false,
            open: None,
            from_stock: None,
        }
    }

    /// Needed and waste together.
    pub fn wanted(&self) -> Amount {
        self.needed.with(self.needed.units().saturating_add(self.waste.units()))
    }

    /// What is still to be got: all that is wanted, but for what is cut already.
    pub fn to_get(&self) -> Amount {
        self.left.unwrap_or_else(|| self.wanted())
    }
}

/// The part of the work a client reads as one line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// Taking in, measuring, laying out.
    Plan,
    /// Panels and drilling.
    Panel,
    /// Making leads.
    Leads,
    /// Mounting and wiring.
    Build,
    /// Tests.
    Test,
    /// Papers and handover.
    Handover,
    /// Work of an option.
    Option,
    /// Carrying out a change on a board that is built.
    Change,
}

impl Stage {
    /// What a client reads.
    pub fn title(self) -> &'static str {
        match self {
            Self::Plan => "Taking in and measuring the gear, laying out",
            Self::Panel => "Panel and drilling",
            Self::Leads => "Leads, each tested and labelled at both ends",
            Self::Build => "Mounting, wiring, dressing",
            Self::Test => "Listening and tests",
            Self::Handover => "Papers, handover and lesson",
            Self::Option | Self::Change => "Work",
        }
    }

    /// The word for other programs.
    pub fn word(self) -> &'static str {
        match self {
            Self::Plan => "plan",
            Self::Panel => "panel",
            Self::Leads => "leads",
            Self::Build => "build",
            Self::Test => "test",
            Self::Handover => "handover",
            Self::Option => "option",
            Self::Change => "change",
        }
    }
}

/// One operation of the work, all of its kind in a job together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Act {
    /// What rate tables and logs know it by: `lead-signal`.
    pub operation: String,
    /// What it is, in words.
    pub title: String,
    /// Where a client reads it.
    pub stage: Stage,
    /// How often it is done.
    pub units: u32,
    /// Minutes planned for all of them.
    pub minutes: u32,
}

/// What a shop has of each thing, by key.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PartsOnHand(pub BTreeMap<String, Amount>);

impl PartsOnHand {
    /// Adds to what there is of a thing. An amount of another kind than the one there is left alone.
    pub fn add(&mut self, key: &str, amount: Amount) {
        let there = self.0.entry(key.to_owned()).or_insert_with(|| amount.with(0));
        if there.is_like(amount) {
            *there = amount.with(there.units().saturating_add(amount.units()));
        }
    }

    /// Takes what there is of a need: what its cut plan covers, else what is held under its own key, and then under the other
    /// keys that the same item serves.
    pub(crate) fn take_for(&mut self, need: &Need, wanted: Amount, item: Option<&PriceItem>) -> Amount {
        if let Some(covered) = need.from_stock.filter(|covered| covered.is_like(wanted)) {
            return wanted.with(covered.units().clamp(0, wanted.units().max(0)));
        }
        let mut taken = self.take(&need.key, wanted).units();
        for key in item.iter().flat_map(|item| &item.serves).filter(|key| **key != need.key) {
            taken += self.take(key, wanted.with(wanted.units() - taken)).units();
        }
        wanted.with(taken)
    }

    /// Takes what there is of a wanted amount, and says how much that was.
    pub fn take(&mut self, key: &str, wanted: Amount) -> Amount {
        let Some(there) = self.0.get_mut(key).filter(|there| there.is_like(wanted)) else {
            return wanted.with(0);
        };
        let taken = there.units().min(wanted.units()).max(0);
        *there = there.with(there.units() - taken);
        wanted.with(taken)
    }
}

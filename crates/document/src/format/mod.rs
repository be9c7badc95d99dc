//! The file format as data: every table, key, shape and word, once.
//!
//! Reading checks documents against these tables, the JSON Schema and `docs/rig-file.md` are printed from
//! them, and the fuzz tests draw documents from them.

mod board;
mod catalogue;
mod device;
mod examples;
mod job;
pub(crate) mod page;
mod prices;
pub(crate) mod schema;

use quantity::{
    Area, Decibels, Farads, Grams, Henries, Hertz, Length, Milliamps, Ohms, ParseError, Quantity, Ratio,
    Seconds, Share, Sum, Turns, Volts, Watts, Window,
};

pub use catalogue::CATALOGUE;
pub use device::{DEVICE, FASTEN, OUTLET, PORT};
pub use examples::{EXAMPLES, Example};
pub use job::{RIG, SHOP, STOCK};
pub use prices::PRICES;

/// The number a rig document carries in `format`.
pub const FORMAT: u32 = 1;

/// One table of the format.
#[derive(Debug)]
pub struct Table {
    /// What it is called in messages.
    pub name: &'static str,
    /// What it says.
    pub doc: &'static str,
    /// Its keys.
    pub keys: &'static [Key],
}

impl Table {
    /// The key with this name.
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|key| key.name == name)
    }
}

/// One key of a table.
#[derive(Debug)]
pub struct Key {
    /// How it is written.
    pub name: &'static str,
    /// What may stand there.
    pub shape: Shape,
    /// Whether a document without it cannot be read.
    pub required: bool,
    /// Whether the value may carry where it comes from, and may be `"unknown"`.
    pub given: bool,
    /// What it says.
    pub doc: &'static str,
}

/// What may stand behind a key.
#[derive(Debug)]
pub enum Shape {
    /// Any text.
    Text,
    /// A short name: not empty, no point, no control characters.
    Tag,
    /// `true` or `false`.
    Switch,
    /// A whole number from 0 to the given one.
    Count(u32),
    /// Quarter turns in degrees: 0, 90, 180 or 270.
    Turn,
    /// One of these words.
    Words(&'static [&'static str]),
    /// A quantity with its unit.
    Measure(&'static Measure),
    /// A list of one shape.
    List(&'static Shape),
    /// A table.
    Table(&'static Table),
    /// Named tables: `[device.port.IN]`.
    Named(&'static Table),
    /// Named values of one shape.
    Values(&'static Shape),
    /// A list of tables, each known by the text under the given key.
    Tables(&'static Table, &'static str),
}

/// A kind of quantity.
#[derive(Debug)]
pub struct Measure {
    /// What it is called.
    pub name: &'static str,
    /// How it is written.
    pub example: &'static str,
    /// The units it may have.
    pub units: &'static str,
    /// Reads it; says only whether it can be read.
    pub check: fn(&str) -> Result<Sense, ParseError>,
}

/// What a quantity read, as far as a document may forbid it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sense {
    /// Below zero.
    Negative,
    /// Zero.
    Zero,
    /// Above zero.
    Positive,
    /// Zero, of what cannot be nothing.
    Nothing,
    /// More than the whole, of what is a part of it.
    Beyond,
}

/// A part of a whole: from nothing to all of it.
pub(crate) const PORTION: &Measure = &Measure {
    name: <Ratio as Quantity>::NAME,
    example: <Ratio as Quantity>::EXAMPLE,
    units: <Ratio as Quantity>::UNITS,
    check: |text| Ratio::parse(text).map(part),
};

/// The part that a machine gives on of what it takes: none gives nothing, and none more than it takes.
pub(crate) const EFFICIENCY: &Measure = &Measure {
    check: |text| {
        Ratio::parse(text).map(|value| match part(value) {
            Sense::Zero => Sense::Nothing,
            other => other,
        })
    },
    ..*PORTION
};

fn part(value: Ratio) -> Sense {
    match value.get() {
        share if share < 0.0 => Sense::Negative,
        0.0 => Sense::Zero,
        share if 1.0 < share => Sense::Beyond,
        _ => Sense::Positive,
    }
}

macro_rules! measure {
    ($($constant:ident: $type:ty, $sign:expr;)*) => {$(
        pub(crate) const $constant: &Measure = &Measure {
            name: <$type as Quantity>::NAME,
            example: <$type as Quantity>::EXAMPLE,
            units: <$type as Quantity>::UNITS,
            check: |text| <$type as Quantity>::parse(text).map(|value| {
                let sign: fn($type) -> std::cmp::Ordering = $sign;
                match sign(value) {
                    std::cmp::Ordering::Less => Sense::Negative,
                    std::cmp::Ordering::Equal => Sense::Zero,
                    std::cmp::Ordering::Greater => Sense::Positive,
                }
            }),
        };
    )*};
}

measure! {
    // Positions may be negative: a thing on the floor stands in front of the board.
    POSITION: Length, |_| std::cmp::Ordering::Greater;
    LENGTH: Length, |value| value.cmp(&Length::ZERO);
    VOLTS: Volts, |value| value.cmp(&Volts::ZERO);
    WINDOW: Window, |value| value.low().cmp(&Volts::ZERO);
    CURRENT: Milliamps, |value| value.cmp(&Milliamps::ZERO);
    WATTS: Watts, |value| value.cmp(&Watts::ZERO);
    OHMS: Ohms, |value| value.cmp(&Ohms::ZERO);
    FARADS: Farads, |value| value.cmp(&Farads::ZERO);
    HENRIES: Henries, |value| value.cmp(&Henries::ZERO);
    HERTZ: Hertz, |value| value.cmp(&Hertz::ZERO);
    SECONDS: Seconds, |value| value.cmp(&Seconds::ZERO);
    AREA: Area, |value| value.cmp(&Area::ZERO);
    GRAMS: Grams, |value| value.cmp(&Grams::ZERO);
    SUM: Sum, |value| value.minor(15).map_or(0, i64::signum).cmp(&0);
    SHARE: Share, |value| value.cmp(&Share::ZERO);
    DECIBELS: Decibels, |_| std::cmp::Ordering::Greater;
    TURNS: Turns, |_| std::cmp::Ordering::Greater;
}

/// The words for where a value comes from.
pub(crate) const PROVENANCE: &[&str] = &["measured", "photo", "printed", "assumed", "unknown"];

/// A plain key that may be left out.
const fn key(name: &'static str, shape: Shape, doc: &'static str) -> Key {
    Key { name, shape, required: false, given: false, doc }
}

/// A plain key that must stand.
const fn must(name: &'static str, shape: Shape, doc: &'static str) -> Key {
    Key { name, shape, required: true, given: false, doc }
}

/// A value that may carry where it comes from.
const fn given(name: &'static str, shape: Shape, doc: &'static str) -> Key {
    Key { name, shape, required: false, given: true, doc }
}

/// The key that says where the values of a table come from.
const FROM: Key = key(
    "from",
    Shape::Words(PROVENANCE),
    "Where the values of this table come from, unless a value says otherwise. Left out: assumed.",
);

//! The figures behind a finding.

use std::fmt;

use quantity::{
    Area, Decibels, Devices, Farads, Grams, Hertz, Length, Milliamps, Ohms, Ratio, Seconds, Volts, Watts,
};

/// A figure with its unit, as findings and papers show it.
///
/// The number is kept as computed; only showing it rounds, to what tapes, scales and meters read.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// The number, in `unit`.
    pub value: f64,
    /// The unit's symbol; empty for a count.
    pub unit: &'static str,
    /// It lies so close to its limit that more digits are wanted.
    is_close: bool,
}

impl Figure {
    /// A figure in a unit.
    pub fn new(value: f64, unit: &'static str) -> Self {
        Self { value, unit, is_close: false }
    }

    /// The same, with more digits where it would read as a limit that it is not.
    fn against(self, limit: &Self) -> Self {
        let is_other = 1e-9 < (self.value - limit.value).abs();
        Self { is_close: is_other && self.to_string() == limit.to_string(), ..self }
    }
}

macro_rules! figure_from {
    ($($quantity:ty => $unit:literal, $number:expr;)*) => {$(
        impl From<$quantity> for Figure {
            fn from(quantity: $quantity) -> Self {
                let number: fn($quantity) -> f64 = $number;
                Self::new(number(quantity), $unit)
            }
        }
    )*};
}

figure_from! {
    Length => "mm", Length::as_mm;
    Milliamps => "mA", Milliamps::get;
    Volts => "V", Volts::get;
    Watts => "W", Watts::get;
    Devices => "devices", Devices::get;
    Area => "cm²", Area::get;
    Ohms => "Ω", Ohms::get;
    Farads => "pF", |farads| farads.get() * 1e12;
    Hertz => "Hz", Hertz::get;
    Seconds => "ms", |seconds| seconds.get() * 1e3;
    Grams => "kg", |grams| grams.get() / 1000.0;
    Decibels => "dB", Decibels::get;
    Ratio => "%", |ratio| ratio.get() * 100.0;
}

impl fmt::Display for Figure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (value, prefix) = match self.unit {
            "Ω" if self.value.abs() >= 1e6 => (self.value / 1e6, "M"),
            "Ω" if self.value.abs() >= 1e3 => (self.value / 1e3, "k"),
            _ => (self.value, ""),
        };
        let text = if self.is_close { format!("{value:.3}") } else { read(value, self.unit) };
        let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
        let text = if text == "-0" { "0" } else { text };
        f.write_str(&text.replace('-', "−"))?;
        if self.unit.is_empty() { Ok(()) } else { write!(f, " {prefix}{}", self.unit) }
    }
}

/// A number as it is read at the bench: half millimetres on a tape, tenths on a caliper up to 10 mm, 0.1 dB, whole
/// milliamps, hundredths of a volt, three digits of a resistance (common practice, no source).
fn read(value: f64, unit: &str) -> String {
    let size = value.abs();
    let decimals = match unit {
        "mm" if size < 10.0 => 1,
        "mm" => return format!("{:.1}", (value * 2.0).round() / 2.0),
        "mA" | "%" if 10.0 <= size => 0,
        "pF" | "Hz" => 0,
        "V" => 2,
        "kg" if size < 1.0 => 2,
        "Ω" if 100.0 <= size => 0,
        "Ω" if size < 10.0 => 2,
        "" => 3,
        _ => 1,
    };
    format!("{value:.decimals$}")
}

/// What is allowed.
#[derive(Debug, Clone, PartialEq)]
pub enum Bound {
    /// The figure may not be larger.
    AtMost(Figure),
    /// The figure may not be smaller.
    AtLeast(Figure),
    /// What is allowed in words, for things that are no number (a sign, a connector).
    Words(String),
}

impl fmt::Display for Bound {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::AtMost(figure) => write!(f, "≤ {figure}"),
            Self::AtLeast(figure) => write!(f, "≥ {figure}"),
            Self::Words(words) => f.write_str(words),
        }
    }
}

/// What was found and what is allowed.
#[derive(Debug, Clone, PartialEq)]
pub enum Evidence {
    /// A number against a limit.
    Number {
        /// The number found.
        found: Figure,
        /// The limit it is held against.
        allowed: Bound,
    },
    /// A word against what is allowed (a sign, a connector, a count of leads).
    Words {
        /// What was found.
        found: String,
        /// What is allowed.
        allowed: String,
    },
}

impl Evidence {
    /// A figure that may not exceed a limit.
    pub fn at_most(found: impl Into<Figure>, limit: impl Into<Figure>) -> Self {
        let limit = limit.into();
        Self::Number { found: found.into().against(&limit), allowed: Bound::AtMost(limit) }
    }

    /// A figure that may not fall below a limit.
    pub fn at_least(found: impl Into<Figure>, limit: impl Into<Figure>) -> Self {
        let limit = limit.into();
        Self::Number { found: found.into().against(&limit), allowed: Bound::AtLeast(limit) }
    }

    /// One word where another is allowed.
    pub fn words(found: impl Into<String>, allowed: impl Into<String>) -> Self {
        Self::Words { found: found.into(), allowed: allowed.into() }
    }

    /// How much is left to the limit; negative when it is passed, `None` when there is no number.
    pub fn margin(&self) -> Option<Figure> {
        let Self::Number { found, allowed } = self else { return None };
        match allowed {
            Bound::AtMost(limit) => Some(Figure::new(limit.value - found.value, found.unit)),
            Bound::AtLeast(limit) => Some(Figure::new(found.value - limit.value, found.unit)),
            Bound::Words(_) => None,
        }
    }
}

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
    /// Most decimals that are shown, where not as many as a bench reads.
    decimals: Option<usize>,
}

/// Decimals of a figure that lies so close to its limit that it would read as the limit.
const CLOSE: usize = 3;
/// Decimals of a difference of two figures that are shown: more than either has.
const DIFFERENCE: usize = 6;

impl Figure {
    /// A figure in a unit.
    pub fn new(value: f64, unit: &'static str) -> Self {
        Self { value, unit, decimals: None }
    }

    /// The same, with more digits where it would read as a limit that it is not.
    fn against(self, limit: &Self) -> Self {
        let is_other = 1e-9 < (self.value - limit.value).abs();
        let is_close = is_other && self.to_string() == limit.to_string();
        Self { decimals: is_close.then_some(CLOSE), ..self }
    }

    /// The digits that are shown, what they are multiplied by to be in `unit`, and the prefix for that.
    fn digits(&self) -> (String, f64, &'static str) {
        let (scale, prefix) = match self.unit {
            "Ω" if self.value.abs() >= 1e6 => (1e6, "M"),
            "Ω" if self.value.abs() >= 1e3 => (1e3, "k"),
            _ => (1.0, ""),
        };
        let value = self.value / scale;
        let text = self.decimals.map_or_else(|| read(value, self.unit), |most| format!("{value:.most$}"));
        let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
        (if text == "-0" { "0" } else { text }.to_owned(), scale, prefix)
    }

    /// The number that is read, in `unit`.
    fn shown(&self) -> f64 {
        let (digits, scale, _) = self.digits();
        digits.parse().map_or(self.value, |digits: f64| digits * scale)
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
        let (digits, _, prefix) = self.digits();
        f.write_str(&digits.replace('-', "−"))?;
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

    /// What was found, as it is shown beside the limit.
    pub fn found(&self) -> String {
        match self {
            Self::Number { found, .. } => found.to_string(),
            Self::Words { found, .. } => found.clone(),
        }
    }

    /// How much is left to the limit; negative when it is passed, `None` when there is no number.
    pub fn margin(&self) -> Option<Figure> {
        self.left(|figure| figure.value)
    }

    /// The same for people: the difference of the two figures as they are shown beside it.
    pub fn shown_margin(&self) -> Option<Figure> {
        self.left(Figure::shown).map(|left| Figure { decimals: Some(DIFFERENCE), ..left })
    }

    fn left(&self, of: impl Fn(&Figure) -> f64) -> Option<Figure> {
        let Self::Number { found, allowed } = self else { return None };
        match allowed {
            Bound::AtMost(limit) => Some(Figure::new(of(limit) - of(found), found.unit)),
            Bound::AtLeast(limit) => Some(Figure::new(of(found) - of(limit), found.unit)),
            Bound::Words(_) => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use quantity::{Decibels, Length, Ohms};

    use super::Evidence;

    #[test]
    fn the_margin_shown_is_the_difference_of_the_figures_shown() {
        let mm = Length::from_mm_rounded;
        let cases = [
            (Evidence::at_least(mm(140.2), mm(150.0)), "−10 mm"),
            (Evidence::at_least(mm(9.72), mm(150.0)), "−140.3 mm"),
            (Evidence::at_most(Decibels::of(1.023), Decibels::of(1.0)), "−0.023 dB"),
            (Evidence::at_least(Ohms::of(235_000.0), Ohms::of(1e6)), "−765 kΩ"),
            (Evidence::at_least(mm(5.0), mm(5.0)), "0 mm"),
        ];
        for (evidence, shown) in cases {
            assert_eq!(evidence.shown_margin().expect("numbers").to_string(), shown);
        }
    }
}

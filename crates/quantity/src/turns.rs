//! The turns of a transformer, as the trade writes them: primary to secondary.

use std::fmt;
use std::str::FromStr;

use crate::number::{TEXT_LIMIT, Words, quote};
use crate::{ParseError, Quantity};

/// The most turns either side may be written with.
const MOST: f64 = 100_000.0;

/// The turns ratio of a transformer, primary to secondary; both figures are above zero, and only their ratio counts.
///
/// ```
/// use quantity::Turns;
///
/// let down: Turns = "12:1".parse()?;
/// assert_eq!(down.ratio(), 12.0);
/// assert_eq!(down.to_string(), "12:1");
/// assert_eq!("1 : 10".parse::<Turns>()?.ratio(), 0.1);
/// assert!("12".parse::<Turns>().is_err());
/// # Ok::<(), quantity::ParseError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Turns {
    primary: f64,
    secondary: f64,
}

impl Turns {
    /// From the turns of both sides; `None` unless both are above zero and at most 100 000.
    pub fn new(primary: f64, secondary: f64) -> Option<Self> {
        let suits = |turns: f64| 0.0 < turns && turns <= MOST;
        (suits(primary) && suits(secondary)).then_some(Self { primary, secondary })
    }

    /// Turns of the primary for one of the secondary: 12 for `12:1`, 0.1 for `1:10`.
    pub fn ratio(self) -> f64 {
        self.primary / self.secondary
    }
}

impl Quantity for Turns {
    const NAME: &'static str = "turns ratio";
    const EXAMPLE: &'static str = "12:1 or 1:10";
    const UNITS: &'static str = "primary:secondary";
}

/// Both figures with a colon between; reads back as the same turns.
impl fmt::Display for Turns {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.primary, self.secondary)
    }
}

/// Reads `12:1` or `1 : 10`.
impl FromStr for Turns {
    type Err = ParseError;

    fn from_str(text: &str) -> Result<Self, ParseError> {
        let text = Words::of::<Self>().trim(text, TEXT_LIMIT)?;
        let refused = || ParseError::NotTurns { found: quote(text) };
        let (primary, secondary) = text.split_once(':').ok_or_else(refused)?;
        let turns = |side: &str| {
            let side = side.trim();
            let is_plain = side.chars().all(|c| c.is_ascii_digit() || c == '.');
            side.parse::<f64>().ok().filter(|_| is_plain)
        };
        let (primary, secondary) = turns(primary).zip(turns(secondary)).ok_or_else(refused)?;
        Self::new(primary, secondary).ok_or_else(refused)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turns_read_back_and_refuse_what_is_none() {
        for (text, ratio, shown) in
            [("12:1", 12.0, "12:1"), ("1:10", 0.1, "1:10"), (" 6.45 : 1 ", 6.45, "6.45:1")]
        {
            let turns: Turns = text.parse().expect("turns");
            assert!((turns.ratio() / ratio - 1.0).abs() < 1e-12, "{text}");
            assert_eq!(turns.to_string(), shown);
            assert_eq!(shown.parse::<Turns>().expect("reads back"), turns);
        }
        for text in ["", "12", "12:", ":1", "0:1", "1:0", "-1:1", "1e3:1", "1:2:3", "NaN:1", "inf:1", "12/1"]
        {
            assert!(text.parse::<Turns>().is_err(), "{text}");
        }
        let said = "12".parse::<Turns>().expect_err("no ratio").to_string();
        assert_eq!(
            said,
            "`12` is no turns ratio; write the turns of the primary, a colon and those of the secondary, for example 12:1"
        );
    }
}

//! The voltages that something accepts, from a lower to an upper one.

use std::fmt;
use std::str::FromStr;

use crate::number::{self, TEXT_LIMIT, Words, quote};
use crate::{ParseError, Quantity, Volts, scalar};

/// Two figures and the word between them.
const WINDOW_LIMIT: usize = 2 * TEXT_LIMIT + JOIN.len();
const JOIN: &str = " to ";

/// A window of voltages, both ends included; the lower end is never above the upper one.
///
/// ```
/// use quantity::{Volts, Window};
///
/// let accepted: Window = "9 to 18 V".parse()?;
/// assert!(accepted.contains(Volts::of(12.0)));
/// assert_eq!(accepted.to_string(), "9 V to 18 V");
/// # Ok::<(), quantity::ParseError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Window {
    low: Volts,
    high: Volts,
}

impl Window {
    /// From both ends, in volts; `None` if the lower one is above the upper one.
    pub fn new(low: Volts, high: Volts) -> Option<Self> {
        (low <= high).then_some(Self { low, high })
    }

    /// The window that holds one voltage only.
    pub const fn exactly(voltage: Volts) -> Self {
        Self { low: voltage, high: voltage }
    }

    /// The lower end.
    pub const fn low(self) -> Volts {
        self.low
    }

    /// The upper end.
    pub const fn high(self) -> Volts {
        self.high
    }

    /// Whether the voltage lies in the window, its ends included.
    pub fn contains(self, voltage: Volts) -> bool {
        self.low <= voltage && voltage <= self.high
    }
}

impl Quantity for Window {
    const NAME: &'static str = "voltage";
    const EXAMPLE: &'static str = "9 V or 9 V to 18 V";
    const UNITS: &'static str = Volts::UNITS;
}

/// One voltage, or both joined by "to"; reads back as the same window.
impl fmt::Display for Window {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.low == self.high {
            write!(f, "{}", self.low)
        } else {
            write!(f, "{}{JOIN}{}", self.low, self.high)
        }
    }
}

/// Reads `9 V`, `9 V to 18 V` or `9 to 18 V`; in the last the unit goes for both.
impl FromStr for Window {
    type Err = ParseError;

    fn from_str(text: &str) -> Result<Self, ParseError> {
        let words = Words::of::<Self>();
        let text = words.trim(text, WINDOW_LIMIT)?;
        let Some((first, second)) = text.split_once(JOIN) else {
            return Ok(Self::exactly(volts(text)?));
        };
        let high = volts(second)?;
        let low = match volts(first) {
            Err(ParseError::MissingUnit { .. }) => {
                let (_, unit) = number::split(second.trim());
                volts(&format!("{} {unit}", first.trim()))?
            }
            read => read?,
        };
        Self::new(low, high).ok_or_else(|| ParseError::ReversedWindow { found: quote(text), low, high })
    }
}

/// One end, with the words of the window in its messages.
fn volts(text: &str) -> Result<Volts, ParseError> {
    let value = scalar::read(text, Volts::TABLE, Words::of::<Window>())?;
    Volts::new(value).ok_or_else(|| Words::of::<Window>().not_a_number(text))
}

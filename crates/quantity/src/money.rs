//! Sums of money and shares of them, as whole numbers: nothing is rounded before somebody asks for it.

use std::fmt;
use std::str::FromStr;

use crate::number::{TEXT_LIMIT, Unit, Words, quote, sign};
use crate::{ParseError, Quantity};

/// The most digits a sum may have, before and after its point together: fits an `i64` at every scale of a currency.
const DIGITS: usize = 15;
/// Decimals of a percentage that are kept: a share is a whole number of millionths.
const SHARE_DECIMALS: usize = 4;

/// A sum of money as it is written, `12.50`, without its currency: that is the shop's.
///
/// It holds the digits and how many of them stand after the point, so that `12.5` and `12.50` are equal in worth and a
/// currency without minor unit can refuse both.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Sum {
    digits: i64,
    decimals: u32,
}

impl Sum {
    /// So many minor units of a currency with this many decimals: `(1250, 2)` is 12.50.
    pub const fn new(digits: i64, decimals: u32) -> Self {
        Self { digits, decimals }
    }

    /// The sum in minor units of a currency with this many decimals (ISO 4217 calls it the exponent); `None` where it has
    /// digits beyond them or does not fit.
    pub fn minor(self, decimals: u32) -> Option<i64> {
        if let Some(more) = decimals.checked_sub(self.decimals) {
            return self.digits.checked_mul(10_i64.checked_pow(more)?);
        }
        let less = 10_i64.checked_pow(self.decimals - decimals)?;
        (self.digits % less == 0).then_some(self.digits / less)
    }
}

/// Digits and decimals of a plain decimal; `None` where it is none.
fn plain(text: &str) -> Option<(i64, u32)> {
    let (negative, text) = sign(text);
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    let all_digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if whole.is_empty() || !all_digits(whole) || !all_digits(part) || (text.contains('.') && part.is_empty())
    {
        return None;
    }
    let digits: i64 = format!("{whole}{part}").parse().ok()?;
    Some((if negative { -digits } else { digits }, u32::try_from(part.len()).ok()?))
}

impl FromStr for Sum {
    type Err = ParseError;

    fn from_str(text: &str) -> Result<Self, ParseError> {
        let words = Words::of::<Self>();
        let text = words.trim(text, TEXT_LIMIT)?;
        if text.contains(',') {
            return Err(ParseError::DecimalComma { found: quote(text) });
        }
        if DIGITS < text.bytes().filter(u8::is_ascii_digit).count() {
            return Err(words.out_of_range(text, "at most 15 digits"));
        }
        let (digits, decimals) = plain(text).ok_or_else(|| words.not_a_number(text))?;
        Ok(Self { digits, decimals })
    }
}

impl fmt::Display for Sum {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.digits < 0 { "\u{2212}" } else { "" };
        let size = self.digits.unsigned_abs();
        let one = 10_u64.saturating_pow(self.decimals);
        if self.decimals == 0 {
            return write!(f, "{sign}{size}");
        }
        let width = usize::try_from(self.decimals).unwrap_or_default();
        write!(f, "{sign}{}.{:0width$}", size / one, size % one)
    }
}

impl Quantity for Sum {
    const NAME: &'static str = "sum of money";
    const EXAMPLE: &'static str = "12.50";
    const UNITS: &'static str = "no unit, the currency is the shop's";
}

/// A share of a sum, exact to a millionth: `20 %`, `8.875 %`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Share(i64);

impl Share {
    /// Nothing of it.
    pub const ZERO: Self = Self(0);
    /// Millionths in the whole.
    pub const WHOLE: i64 = 1_000_000;

    /// So many millionths.
    pub const fn from_millionths(millionths: i64) -> Self {
        Self(millionths)
    }

    /// So many percent.
    pub const fn from_percent(percent: i64) -> Self {
        Self(percent * 10_000)
    }

    /// In millionths.
    pub const fn millionths(self) -> i64 {
        self.0
    }
}

/// The one unit of a share.
const PERCENT: &[Unit] = &[Unit { name: "%", factor: 1, exponent: 4, shown: true }];

impl FromStr for Share {
    type Err = ParseError;

    fn from_str(text: &str) -> Result<Self, ParseError> {
        let words = Words::of::<Self>();
        let text = words.trim(text, TEXT_LIMIT)?;
        let (number, unit) = words.split(text)?;
        words.unit(text, unit, PERCENT)?;
        let (digits, decimals) = plain(number).ok_or_else(|| words.not_a_number(text))?;
        let allowed = "from −1000 % to 1000 %, with at most four decimals";
        let more = usize::try_from(decimals).ok().and_then(|decimals| SHARE_DECIMALS.checked_sub(decimals));
        let scale = more.and_then(|more| 10_i64.checked_pow(u32::try_from(more).ok()?));
        let millionths = scale.and_then(|scale| digits.checked_mul(scale));
        match millionths {
            Some(millionths) if millionths.abs() <= 10 * Self::WHOLE => Ok(Self(millionths)),
            _ => Err(words.out_of_range(text, allowed)),
        }
    }
}

impl fmt::Display for Share {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 < 0 { "\u{2212}" } else { "" };
        let size = self.0.unsigned_abs();
        let part = format!("{:04}", size % 10_000);
        let part = part.trim_end_matches('0');
        let point = if part.is_empty() { "" } else { "." };
        write!(f, "{sign}{}{point}{part} %", size / 10_000)
    }
}

impl Quantity for Share {
    const NAME: &'static str = "share";
    const EXAMPLE: &'static str = "20 %";
    const UNITS: &'static str = "%";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_are_exact_in_the_minor_unit() {
        let minor = |text: &str, decimals| text.parse::<Sum>().map(|sum| sum.minor(decimals));
        assert_eq!(minor("12.5", 2), Ok(Some(1250)));
        assert_eq!(minor("12.500", 2), Ok(Some(1250)));
        assert_eq!(minor("12.505", 2), Ok(None));
        assert_eq!(minor("1200", 0), Ok(Some(1200)));
        assert_eq!(minor("\u{2212}0.07", 2), Ok(Some(-7)));
        assert_eq!("-0.07".parse::<Sum>().map(|sum| sum.to_string()), Ok("\u{2212}0.07".to_owned()));
    }

    #[test]
    fn what_is_no_sum_is_refused_with_what_may_be_written() {
        for text in ["", "12,50", "12.", ".5", "1e3", "€ 12", "12.50 EUR", "1234567890123456"] {
            assert!(text.parse::<Sum>().is_err(), "{text}");
        }
    }

    #[test]
    fn shares_keep_four_decimals_of_a_percentage() {
        let share = |text: &str| text.parse::<Share>().map(Share::millionths);
        assert_eq!(share("20 %"), Ok(200_000));
        assert_eq!(share("8.875%"), Ok(88_750));
        assert!(share("8.87501 %").is_err() && share("20").is_err() && share("2000 %").is_err());
        for text in ["20 %", "8.875 %", "0 %", "0.5 %"] {
            assert_eq!(text.parse::<Share>().map(|share| share.to_string()), Ok(text.to_owned()));
        }
    }
}

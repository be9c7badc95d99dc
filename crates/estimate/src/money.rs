//! Money as a whole number of minor units, and the one place where it is rounded.

use std::iter::Sum;
use std::ops::{Add, AddAssign, Neg, Sub};

/// A sum of money in minor units of the shop's currency: cents of euro.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Money(pub i64);

impl Money {
    /// Nothing.
    pub const ZERO: Self = Self(0);
}

impl Add for Money {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl AddAssign for Money {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for Money {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

impl Neg for Money {
    type Output = Self;

    fn neg(self) -> Self {
        Self(self.0.saturating_neg())
    }
}

impl Sum for Money {
    fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
        all.fold(Self::ZERO, Add::add)
    }
}

/// What is done with half a minor unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Rounding {
    /// Away from zero: 0.5 becomes 1. What the German VAT application decree asks of tax; EN 16931 leaves the choice.
    #[default]
    HalfUp,
    /// To the even neighbour.
    HalfEven,
}

impl Rounding {
    /// The word used in the price file.
    pub fn word(self) -> &'static str {
        match self {
            Self::HalfUp => "half-up",
            Self::HalfEven => "half-even",
        }
    }
}

/// `value` × `numerator` ÷ `denominator`, rounded once; a denominator of zero counts as one.
pub fn mul_div_rounded(value: i64, numerator: i128, denominator: i128, rounding: Rounding) -> i64 {
    let denominator = if denominator == 0 { 1 } else { denominator };
    let Some(product) = i128::from(value).checked_mul(numerator) else { return i64::MAX };
    let negative = (product < 0) != (denominator < 0);
    let (size, by) = (product.unsigned_abs(), denominator.unsigned_abs());
    let (whole, rest) = (size / by, size % by);
    let up = match (rest * 2).cmp(&by) {
        std::cmp::Ordering::Less => false,
        std::cmp::Ordering::Greater => true,
        std::cmp::Ordering::Equal => rounding == Rounding::HalfUp || whole % 2 == 1,
    };
    let rounded = i64::try_from(whole + u128::from(up)).unwrap_or(i64::MAX);
    if negative { -rounded } else { rounded }
}

/// A currency.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Currency {
    /// Its three letters, ISO 4217.
    pub code: String,
    /// Decimals of its minor unit.
    pub decimals: u32,
}

/// Currencies whose minor unit is not a hundredth [src:ISO-4217]; from memory.
const EXPONENTS: &[(&str, u32)] = &[
    ("BHD", 3),
    ("CLP", 0),
    ("IQD", 3),
    ("ISK", 0),
    ("JOD", 3),
    ("JPY", 0),
    ("KRW", 0),
    ("KWD", 3),
    ("LYD", 3),
    ("OMR", 3),
    ("PYG", 0),
    ("TND", 3),
    ("UGX", 0),
    ("VND", 0),
    ("XAF", 0),
    ("XOF", 0),
    ("XPF", 0),
];

impl Currency {
    /// The currency of these letters, with the decimals of ISO 4217.
    pub fn of(code: &str) -> Self {
        let decimals =
            EXPONENTS.iter().find(|(known, _)| *known == code).map_or(2, |(_, decimals)| *decimals);
        Self { code: code.to_owned(), decimals }
    }

    /// A sum as it is printed: `1 234.50`, a narrow space between thousands, a minus sign before what is below zero.
    pub fn shown(&self, money: Money) -> String {
        self.grouped(money, "\u{202f}")
    }

    /// A sum as other programs read it: `1234.50`.
    pub fn plain(&self, money: Money) -> String {
        self.grouped(money, "").replace('\u{2212}', "-")
    }

    /// A difference: `+12.00`, `−3.50`, `0.00`.
    pub fn signed(&self, money: Money) -> String {
        let sign = if Money::ZERO < money { "+" } else { "" };
        format!("{sign}{}", self.shown(money))
    }

    fn grouped(&self, money: Money, between: &str) -> String {
        let text = quantity::Sum::new(money.0, self.decimals).to_string();
        let (sign, size) =
            text.strip_prefix('\u{2212}').map_or(("", text.as_str()), |size| ("\u{2212}", size));
        let (whole, part) = size.split_once('.').unwrap_or((size, ""));
        let mut out = String::new();
        for (at, digit) in whole.chars().enumerate() {
            if 0 < at && (whole.len() - at).is_multiple_of(3) {
                out.push_str(between);
            }
            out.push(digit);
        }
        let point = if part.is_empty() { "" } else { "." };
        format!("{sign}{out}{point}{part}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn halves_go_where_the_shop_says() {
        let round = |value, rounding| mul_div_rounded(value, 1, 10, rounding);
        let up: Vec<i64> = [25, 35, -25, 24, 26].map(|value| round(value, Rounding::HalfUp)).into();
        assert_eq!(up, [3, 4, -3, 2, 3]);
        let even: Vec<i64> = [25, 35, -25, 24, 26].map(|value| round(value, Rounding::HalfEven)).into();
        assert_eq!(even, [2, 4, -2, 2, 3]);
    }

    #[test]
    fn sums_are_printed_with_the_decimals_of_their_currency() {
        let euro = Currency::of("EUR");
        assert_eq!(euro.shown(Money(123_456_789)), "1\u{202f}234\u{202f}567.89");
        assert_eq!(euro.plain(Money(-5)), "-0.05");
        assert_eq!(euro.signed(Money(1200)), "+12.00");
        assert_eq!(Currency::of("JPY").shown(Money(1500)), "1\u{202f}500");
        assert_eq!(Currency::of("KWD").plain(Money(1500)), "1.500");
    }
}

//! Lengths as whole nanometres, so that millimetres and inches meet exactly.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Neg, Sub, SubAssign};
use std::str::FromStr;

use crate::number::{self, Decimal, Misfit, TEXT_LIMIT, Unit, Words, quote};
use crate::{ParseError, Quantity};

const NM_PER_MM: i64 = 1_000_000;
/// 1/64 in, exact because the inch is 25.4 mm by definition (1959).
const NM_PER_64TH: u64 = 396_875;
/// The inches with a finite decimal lie on this grid: 0.000005 in.
const NM_PER_DECIMAL_STEP: u64 = 127;
/// Lengths are read up to 1000 m either way.
const READ_LIMIT_NM: u128 = 1_000_000_000_000;
const ALLOWED: &str = "at most 1000 m either way";

const fn unit(name: &'static str, factor: u64, exponent: i32) -> Unit {
    Unit { name, factor, exponent, shown: false }
}

/// Sizes in nanometres.
const UNITS: [Unit; 7] = [
    unit("mm", 1, 6),
    unit("cm", 1, 7),
    unit("m", 1, 9),
    unit("µm", 1, 3),
    unit("in", 254, 5),
    unit("inch", 254, 5),
    unit("\"", 254, 5),
];

/// A length or a coordinate: a whole number of nanometres.
///
/// Holds ±9.2 million km; arithmetic stops at these ends instead of overflowing.
/// Texts are read up to ±1000 m, and must be whole nanometres: `1/64 in` is, `1/3 in` is not.
///
/// ```
/// use quantity::Length;
///
/// let pitch: Length = "1/2 in".parse()?;
/// assert_eq!(pitch + Length::from_mm(1), "13.7 mm".parse()?);
/// # Ok::<(), quantity::ParseError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Length(i64);

/// The unit that a length is shown in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum LengthUnit {
    /// Millimetres, with as many decimals as the length needs.
    #[default]
    Millimetre,
    /// Inches, as a fraction where the length is a multiple of 1/64 in.
    Inch,
}

impl Length {
    /// Zero.
    pub const ZERO: Self = Self(0);

    /// From nanometres.
    pub const fn from_nm(nm: i64) -> Self {
        Self(nm)
    }

    /// From millimetres; beyond the range it stops at the end.
    pub const fn from_mm(mm: i64) -> Self {
        Self(mm.saturating_mul(NM_PER_MM))
    }

    /// From millimetres as engines compute them, to the nearest nanometre; beyond the range it stops at the end.
    pub fn from_mm_rounded(mm: f64) -> Self {
        #[expect(
            clippy::cast_possible_truncation,
            reason = "a float to integer cast saturates, which is wanted"
        )]
        Self((mm * 1e6).round() as i64)
    }

    /// The length in nanometres.
    pub const fn nm(self) -> i64 {
        self.0
    }

    /// The length in millimetres, for engines that compute in floating point; exact to the nanometre up to 9000 km.
    #[expect(clippy::cast_precision_loss, reason = "lengths of boards are far below 2^53 nm")]
    pub fn as_mm(self) -> f64 {
        self.0 as f64 / NM_PER_MM as f64
    }

    /// Half the length; an odd nanometre is dropped towards zero.
    #[must_use]
    pub const fn half(self) -> Self {
        Self(self.0 / 2)
    }

    /// The length without its sign.
    #[must_use]
    pub const fn abs(self) -> Self {
        Self(self.0.saturating_abs())
    }

    /// The length as text in the given unit.
    ///
    /// Millimetres always read back as the same length. Inches do where it is a multiple of 1/64 in
    /// (`4 3/4 in`) or has a finite decimal (`0.1 in`); any other length prints as the nearest
    /// 0.000005 in, which reads back at most 63 nm away.
    pub fn display(self, unit: LengthUnit) -> String {
        match unit {
            LengthUnit::Millimetre => self.to_string(),
            LengthUnit::Inch => self.inches(),
        }
    }

    /// The figure in millimetres without a unit, for drawings: rounded half away from zero to exactly
    /// `decimals` places (at most 6), with the true minus sign `−` and never a minus zero.
    ///
    /// ```
    /// use quantity::Length;
    ///
    /// assert_eq!(Length::from_nm(-12_750_000).figure_mm(1), "−12.8");
    /// assert_eq!(Length::from_nm(-40).figure_mm(2), "0.00");
    /// ```
    pub fn figure_mm(self, decimals: usize) -> String {
        let mut step = NM_PER_MM.unsigned_abs();
        let mut per_mm = 1;
        for _ in 0..decimals.min(6) {
            step /= 10;
            per_mm *= 10;
        }
        let rounded = (self.0.unsigned_abs() + step / 2) / step;
        let minus = if self.0 < 0 && rounded > 0 { "\u{2212}" } else { "" };
        let (whole, part) = (rounded / per_mm, rounded % per_mm);
        match decimals.min(6) {
            0 => format!("{minus}{whole}"),
            places => format!("{minus}{whole}.{part:0>places$}"),
        }
    }

    fn inches(self) -> String {
        let size = self.0.unsigned_abs();
        let minus = if self.0 < 0 { "-" } else { "" };
        if size.is_multiple_of(NM_PER_64TH) {
            let (whole, mut top) = (size / NM_PER_64TH / 64, size / NM_PER_64TH % 64);
            let mut bottom = 64;
            while top > 0 && top.is_multiple_of(2) {
                (top, bottom) = (top / 2, bottom / 2);
            }
            return match (whole, top) {
                (_, 0) => format!("{minus}{whole} in"),
                (0, _) => format!("{minus}{top}/{bottom} in"),
                _ => format!("{minus}{whole} {top}/{bottom} in"),
            };
        }
        let steps = (size + NM_PER_DECIMAL_STEP / 2) / NM_PER_DECIMAL_STEP;
        let minus = if steps > 0 { minus } else { "" };
        format!("{minus}{} in", number::show_scaled(u128::from(steps) * 5, 6))
    }
}

/// In millimetres, with as many decimals as needed; reads back as the same length up to 1000 m.
impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let minus = if self.0 < 0 { "-" } else { "" };
        write!(f, "{minus}{} mm", number::show_scaled(u128::from(self.0.unsigned_abs()), 6))
    }
}

impl Quantity for Length {
    const NAME: &'static str = "length";
    const EXAMPLE: &'static str = "52 mm or 3/4 in";
    const UNITS: &'static str = "mm, cm, m, µm, in, inch or \"";
}

/// Reads `52 mm`, `0.3 m`, `1.5 in`, `3/4 in`, `4 3/4 in` or `4-3/4"`.
impl FromStr for Length {
    type Err = ParseError;

    fn from_str(text: &str) -> Result<Self, ParseError> {
        let words = Words::of::<Self>();
        let text = words.trim(text, TEXT_LIMIT)?;
        let (number, unit_text) = words.split(text)?;
        let (negative, digits) = number::sign(number);
        let (decimal, divisor) = read_number(digits).ok_or_else(|| words.not_a_number(text))?;
        let unit = words.unit(text, unit_text, &UNITS)?;
        if divisor.is_some() && unit.factor == 1 {
            return Err(ParseError::FractionNotInch { found: quote(text), unit: quote(unit_text) });
        }
        let too_far = || words.out_of_range(text, ALLOWED);
        let not_whole = || ParseError::NotWholeNanometres { found: quote(text) };
        let divisor = divisor.unwrap_or(1);
        let size = decimal.whole_in_unit(unit).map_err(|misfit| match misfit {
            Misfit::TooLarge => too_far(),
            Misfit::NotWhole => not_whole(),
        })?;
        if size / divisor > READ_LIMIT_NM {
            return Err(too_far());
        }
        if !size.is_multiple_of(divisor) {
            return Err(not_whole());
        }
        let size = size / divisor;
        let nm = i64::try_from(size).map_err(|_| too_far())?;
        Ok(Self(if negative { -nm } else { nm }))
    }
}

/// A decimal without divisor, or a fraction as its top (the whole part carried in) and its divisor.
fn read_number(text: &str) -> Option<(Decimal, Option<u128>)> {
    let Some((front, bottom)) = text.split_once('/') else {
        return Some((Decimal::read(text)?, None));
    };
    let bottom = read_whole(bottom)?;
    let top =
        if let Some((whole, top)) = front.split_once('-').or_else(|| front.split_once(char::is_whitespace)) {
            let (whole, top) = (read_whole(whole)?, read_whole(top.trim_start())?);
            // `4 7/4` is a slip of the pen rather than a number.
            if bottom <= top {
                return None;
            }
            whole * bottom + top
        } else {
            read_whole(front)?
        };
    (bottom > 0).then_some((Decimal::read(&top.to_string())?, Some(bottom)))
}

/// Digits only, short enough that a product of two and the size of an inch still fits.
fn read_whole(text: &str) -> Option<u128> {
    let short = !text.is_empty() && text.len() <= 15 && text.bytes().all(|b| b.is_ascii_digit());
    if short { text.parse().ok() } else { None }
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(self.0.saturating_neg())
    }
}

impl Mul<i64> for Length {
    type Output = Self;
    fn mul(self, times: i64) -> Self {
        Self(self.0.saturating_mul(times))
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl SubAssign for Length {
    fn sub_assign(&mut self, other: Self) {
        *self = *self - other;
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
        items.fold(Self::ZERO, Add::add)
    }
}

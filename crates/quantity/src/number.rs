//! Decimal text taken apart and put together exactly, without a detour through binary fractions.

use crate::{ParseError, Quantity};

/// The most characters a text for one figure may have.
pub const TEXT_LIMIT: usize = 64;

/// How many characters of a text that is too long are quoted.
const QUOTED: usize = 24;

/// A unit as it is written, and its size: `factor` × 10^`exponent` of the unit held inside.
pub(crate) struct Unit {
    pub(crate) name: &'static str,
    pub(crate) factor: u64,
    pub(crate) exponent: i32,
    /// Whether figures are printed in it.
    pub(crate) shown: bool,
}

/// The words of one quantity, for messages.
#[derive(Clone, Copy)]
pub(crate) struct Words {
    name: &'static str,
    units: &'static str,
    example: &'static str,
}

impl Words {
    /// The words that a quantity says of itself.
    pub(crate) const fn of<Q: Quantity>() -> Self {
        Self { name: Q::NAME, units: Q::UNITS, example: Q::EXAMPLE }
    }

    pub(crate) fn not_a_number(self, text: &str) -> ParseError {
        ParseError::NotANumber { found: quote(text), quantity: self.name, example: self.example }
    }

    pub(crate) fn out_of_range(self, text: &str, allowed: &'static str) -> ParseError {
        ParseError::OutOfRange { found: quote(text), quantity: self.name, allowed }
    }

    /// The text without space around it, refused where it is empty or longer than `limit` characters.
    pub(crate) fn trim(self, text: &str, limit: usize) -> Result<&str, ParseError> {
        if text.chars().nth(limit).is_some() {
            let mut found = quote(&text.chars().take(QUOTED).collect::<String>());
            found.push('…');
            return Err(ParseError::TooLong { found, quantity: self.name, limit });
        }
        let text = text.trim();
        if text.is_empty() {
            return Err(ParseError::Empty { quantity: self.name, example: self.example });
        }
        Ok(text)
    }

    /// The number and the unit of a trimmed text; the number is not looked into beyond its commas.
    pub(crate) fn split(self, text: &str) -> Result<(&str, &str), ParseError> {
        let (number, unit) = split(text);
        if !number.contains(|c: char| c.is_ascii_digit()) {
            return Err(self.not_a_number(text));
        }
        if number.contains(',') {
            return Err(ParseError::DecimalComma { found: quote(text) });
        }
        // Powers of ten and digits of other scripts belong to the number, not to the unit.
        let mut rest = unit.chars();
        let (first, second) = (rest.next(), rest.next());
        let power = matches!(first, Some('e' | 'E'))
            && second.is_some_and(|c| c.is_ascii_digit() || matches!(c, '+' | '-' | '\u{2212}'));
        if power || first.is_some_and(char::is_numeric) {
            return Err(self.not_a_number(text));
        }
        Ok((number, unit))
    }

    /// The unit that is written as `unit` at the end of `text`.
    pub(crate) fn unit<'u>(self, text: &str, unit: &str, units: &'u [Unit]) -> Result<&'u Unit, ParseError> {
        if unit.is_empty() {
            return Err(ParseError::MissingUnit {
                found: quote(text),
                quantity: self.name,
                units: self.units,
                example: self.example,
            });
        }
        let plain = plain_unit(unit);
        units.iter().find(|known| known.name == plain).ok_or_else(|| ParseError::UnknownUnit {
            found: quote(text),
            unit: quote(unit),
            quantity: self.name,
            units: self.units,
            nearest: nearest(&plain, units),
        })
    }
}

/// The text for a message: control characters must not reach a terminal.
pub(crate) fn quote(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { '\u{FFFD}' } else { c }).collect()
}

/// Parts a trimmed text where the number ends.
pub(crate) fn split(text: &str) -> (&str, &str) {
    let of_number = |c: char| {
        c.is_ascii_digit() || c.is_whitespace() || matches!(c, '.' | ',' | '/' | '+' | '-' | '\u{2212}')
    };
    let end = text.find(|c| !of_number(c)).unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    (number.trim_end(), unit)
}

/// Whether the number is negative, and the number without its sign.
pub(crate) fn sign(number: &str) -> (bool, &str) {
    if let Some(rest) = number.strip_prefix(['-', '\u{2212}']) {
        (true, rest)
    } else {
        (false, number.strip_prefix('+').unwrap_or(number))
    }
}

/// One spelling for units that can be written in several ways: `u`, `μ`, `ohm`, the ohm sign.
fn plain_unit(unit: &str) -> String {
    let mut plain: String = unit.chars().filter(|c| !c.is_whitespace()).collect();
    if let Some(rest) = plain.strip_prefix(['u', '\u{3bc}']) {
        plain = format!("\u{b5}{rest}");
    }
    if let Some(rest) = plain.strip_suffix("ohms").or_else(|| plain.strip_suffix("ohm")) {
        plain = format!("{rest}\u{3a9}");
    }
    plain.replace('\u{2126}', "\u{3a9}")
}

/// The unit that differs from the found one in capitals or a plural only, or that the found one begins.
fn nearest(plain: &str, units: &[Unit]) -> Option<&'static str> {
    let same = |a: &str, b: &str| a.to_lowercase() == b.to_lowercase();
    let lower = plain.to_lowercase();
    let unspelt = plain_unit(&lower);
    let singular = lower.strip_suffix("es").or_else(|| lower.strip_suffix('s')).unwrap_or(&lower);
    let mut close =
        units.iter().filter(|unit| same(unit.name, &unspelt) || unit.name == singular).map(|unit| unit.name);
    // `MOHM` may be a milliohm or a megohm; the letter as written decides.
    let first = close.next();
    let as_written = close.find(|name| name.chars().next() == plain.chars().next());
    as_written.or(first).or_else(|| {
        units.iter().map(|unit| unit.name).find(|name| name.len() > plain.len() && name.starts_with(plain))
    })
}

/// Why a decimal is no whole number that fits.
pub(crate) enum Misfit {
    /// Beyond what a `u128` holds.
    TooLarge,
    /// Something is left behind the point.
    NotWhole,
}

/// A plain decimal without sign: its digits and how many of them stand after the point.
pub(crate) struct Decimal {
    digits: Vec<u8>,
    decimals: i32,
}

impl Decimal {
    /// Reads `12`, `12.5` or `.5`; nothing else.
    pub(crate) fn read(text: &str) -> Option<Self> {
        let (whole, part) = match text.split_once('.') {
            Some((_, "")) => return None,
            Some((whole, part)) => (whole, part),
            None => (text, ""),
        };
        if whole.is_empty() && part.is_empty() {
            return None;
        }
        let part = if part.bytes().all(|b| b.is_ascii_digit()) { part.trim_end_matches('0') } else { part };
        // A leading zero costs nothing and keeps `.0` from having no digits.
        let digits: Option<Vec<u8>> = "0"
            .bytes()
            .chain(whole.bytes())
            .chain(part.bytes())
            .map(|b| b.is_ascii_digit().then(|| b - b'0'))
            .collect();
        Some(Self { digits: digits?, decimals: i32::try_from(part.len()).ok()? })
    }

    /// The double nearest to this number of units, in the unit held inside.
    pub(crate) fn in_unit(&self, unit: &Unit) -> Option<f64> {
        let mut text: String = self.times(unit.factor).into_iter().map(|d| char::from(b'0' + d)).collect();
        text.push('e');
        text.push_str(&(unit.exponent - self.decimals).to_string());
        text.parse().ok()
    }

    /// This number of units as a whole number of what is held inside.
    pub(crate) fn whole_in_unit(&self, unit: &Unit) -> Result<u128, Misfit> {
        let digits = self.times(unit.factor);
        let shift = unit.exponent - self.decimals;
        let lost = usize::try_from(-shift).unwrap_or(0).min(digits.len());
        let (kept, cut) = digits.split_at(digits.len() - lost);
        let zeros = usize::try_from(shift).unwrap_or(0);
        let mut value: u128 = 0;
        for digit in kept.iter().chain(std::iter::repeat_n(&0, zeros)) {
            let grown = value.checked_mul(10).and_then(|value| value.checked_add(u128::from(*digit)));
            value = grown.ok_or(Misfit::TooLarge)?;
        }
        if cut.iter().all(|digit| *digit == 0) { Ok(value) } else { Err(Misfit::NotWhole) }
    }

    /// The digits multiplied by a factor, by hand as on paper.
    fn times(&self, factor: u64) -> Vec<u8> {
        let mut product = Vec::with_capacity(self.digits.len() + 20);
        let mut carry: u64 = 0;
        for digit in self.digits.iter().rev() {
            carry += u64::from(*digit) * factor;
            product.push(last_digit(carry));
            carry /= 10;
        }
        while carry > 0 {
            product.push(last_digit(carry));
            carry /= 10;
        }
        product.reverse();
        product
    }
}

fn last_digit(value: u64) -> u8 {
    u8::try_from(value % 10).unwrap_or(0)
}

/// Prints a finite value in the largest shown unit that leaves a figure of one or more,
/// with the fewest digits that read back as the same double.
pub(crate) fn show(value: f64, units: &[Unit]) -> String {
    let scientific = format!("{:e}", value.abs());
    let (mantissa, exponent) = scientific.split_once('e').unwrap_or((&scientific, "0"));
    let exponent: i32 = exponent.parse().unwrap_or(0);
    let digits = mantissa.replace('.', "");
    // Shown units stand from large to small; zero is printed in the plain one.
    let wanted = if digits == "0" { 0 } else { exponent };
    let mut shown = units.iter().filter(|unit| unit.shown);
    let unit = shown.clone().find(|unit| unit.exponent <= wanted).or_else(|| shown.next_back());
    let (name, shift) = unit.map_or(("", 0), |unit| (unit.name, unit.exponent));
    let minus = if value < 0.0 { "-" } else { "" };
    format!("{minus}{} {name}", place_point(&digits, if digits == "0" { 1 } else { exponent + 1 - shift }))
}

/// The digits as a plain decimal with the point after the first `before` of them.
fn place_point(digits: &str, before: i32) -> String {
    let Ok(before) = usize::try_from(before) else {
        return format!("0.{}{digits}", "0".repeat(usize::try_from(-before).unwrap_or(0)));
    };
    if before == 0 {
        format!("0.{digits}")
    } else if digits.len() <= before {
        format!("{digits}{}", "0".repeat(before - digits.len()))
    } else {
        let (whole, part) = digits.split_at(before);
        format!("{whole}.{part}")
    }
}

/// A whole number of 10^-`places` as a plain decimal without needless zeros.
pub(crate) fn show_scaled(value: u128, places: usize) -> String {
    let digits = format!("{value:0>width$}", width = places + 1);
    let (whole, part) = digits.split_at(digits.len() - places);
    let part = part.trim_end_matches('0');
    if part.is_empty() { whole.to_owned() } else { format!("{whole}.{part}") }
}

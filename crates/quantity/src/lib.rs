//! Lengths, volts, ohms and their kin: read only with a unit, printed so that they read back the same.
//!
//! - [`Length`] is a whole number of nanometres, so millimetres and 64ths of an inch are both exact.
//! - [`Volts`], [`Milliamps`], [`Ohms`] and the other scalars hold one finite `f64` in the unit of their name.
//! - [`Sum`] is money as written, its currency left to the shop, and [`Share`] a share of it in millionths.
//! - [`Window`] is a pair of voltages, the lower first.
//! - [`Turns`] is the turns ratio of a transformer.
//! - [`Quantity`] is what they share: a name, an example and a reader.
//! - [`ParseError`] says what was found and what may be written instead.
//!
//! Texts are plain decimals with a decimal point and a unit, at most [`TEXT_LIMIT`] characters long.
//! A bare number is refused, since nobody can tell later whether `52` meant millimetres.
//!
//! ```
//! use quantity::{Length, LengthUnit, Milliamps, Ohms, Volts};
//!
//! let width: Length = "4 3/4 in".parse()?;
//! assert_eq!(width.to_string(), "120.65 mm");
//! assert_eq!(width.display(LengthUnit::Inch), "4 3/4 in");
//!
//! let input: Ohms = "1 Mohm".parse()?;
//! assert_eq!(input.to_string(), "1 MΩ");
//!
//! let power = "9 V".parse::<Volts>()? * "0.1 A".parse::<Milliamps>()?;
//! assert_eq!(power.to_string(), "900 mW");
//!
//! let refused = "52".parse::<Length>().expect_err("a bare number has no unit");
//! assert!(refused.to_string().starts_with("`52` has no unit"));
//! # Ok::<(), quantity::ParseError>(())
//! ```

mod error;
mod length;
mod money;
mod number;
mod scalar;
mod turns;
mod window;

use std::fmt::Display;
use std::str::FromStr;

pub use error::ParseError;
pub use length::{Length, LengthUnit};
pub use money::{Share, Sum};
pub use number::TEXT_LIMIT;
pub use scalar::{
    Area, Decibels, Devices, Farads, Grams, Henries, Hertz, Milliamps, Ohms, Ratio, Seconds, VoltAmps, Volts,
    Watts,
};
pub use turns::Turns;
pub use window::Window;

/// What every quantity of this crate can say of itself, for readers and messages that serve them all.
pub trait Quantity: Sized + Display + FromStr<Err = ParseError> {
    /// What is measured, as a lower-case noun for messages, such as `length` or `current`.
    const NAME: &'static str;
    /// One text, or two joined by "or", that this quantity reads.
    const EXAMPLE: &'static str;
    /// The units it may be written in, as a list for messages.
    const UNITS: &'static str;

    /// Reads the quantity from a number with its unit; the same as [`FromStr`].
    ///
    /// # Errors
    /// A [`ParseError`] that quotes the text and says what is allowed.
    fn parse(text: &str) -> Result<Self, ParseError> {
        text.parse()
    }
}

//! Why a text is no quantity, in words for the person who wrote it.

use thiserror::Error;

use crate::Volts;

/// Why a text could not be read as a quantity.
///
/// Each message quotes the text in back-ticks and says what is allowed, in one line.
/// `quantity`, `units` and `example` are those of the [`Quantity`](crate::Quantity) that was wanted.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ParseError {
    /// The text is empty or only spaces.
    #[error("nothing is written where {quantity} is wanted; write for example {example}")]
    Empty {
        /// What was wanted.
        quantity: &'static str,
        /// A text that reads.
        example: &'static str,
    },
    /// The text has more characters than any sensible figure needs.
    #[error("`{found}` is too long for {quantity}; at most {limit} characters are read")]
    TooLong {
        /// The beginning of the text.
        found: String,
        /// What was wanted.
        quantity: &'static str,
        /// How many characters may be written.
        limit: usize,
    },
    /// A bare number.
    #[error("`{found}` has no unit; for {quantity} add {units}, for example {example}")]
    MissingUnit {
        /// The text as written.
        found: String,
        /// What was wanted.
        quantity: &'static str,
        /// The units that may be added.
        units: &'static str,
        /// A text that reads.
        example: &'static str,
    },
    /// A number with a unit that does not belong to this quantity.
    #[error("`{unit}` in `{found}` is not a unit of {quantity}; {} {units}", did_you_mean(*nearest))]
    UnknownUnit {
        /// The text as written.
        found: String,
        /// The unit as written.
        unit: String,
        /// What was wanted.
        quantity: &'static str,
        /// The units that are allowed.
        units: &'static str,
        /// The allowed unit that was most likely meant, where that is obvious.
        nearest: Option<&'static str>,
    },
    /// Something else than one plain decimal stands before the unit.
    #[error("`{found}` is not a plain number with its unit ({quantity}); write for example {example}")]
    NotANumber {
        /// The text as written.
        found: String,
        /// What was wanted.
        quantity: &'static str,
        /// A text that reads.
        example: &'static str,
    },
    /// No two figures above zero with a colon between.
    #[error(
        "`{found}` is no turns ratio; write the turns of the primary, a colon and those of the secondary, \
         for example 12:1"
    )]
    NotTurns {
        /// The text as written.
        found: String,
    },
    /// A comma in the number.
    #[error("`{found}` has a comma; write a decimal point, and nothing between thousands")]
    DecimalComma {
        /// The text as written.
        found: String,
    },
    /// A fraction with a unit other than the inch.
    #[error(
        "`{found}` is a fraction of `{unit}`; fractions go with inches only, write a decimal such as 0.75"
    )]
    FractionNotInch {
        /// The text as written.
        found: String,
        /// The unit as written.
        unit: String,
    },
    /// A length that falls between two nanometres.
    #[error(
        "`{found}` is not a whole number of nanometres; write millimetres with up to six decimals \
         or inches in 64ths"
    )]
    NotWholeNanometres {
        /// The text as written.
        found: String,
    },
    /// A number beyond what this quantity holds.
    #[error("`{found}` is out of range; {quantity} may be {allowed}")]
    OutOfRange {
        /// The text as written.
        found: String,
        /// What was wanted.
        quantity: &'static str,
        /// The range in words.
        allowed: &'static str,
    },
    /// A window whose first voltage is above its second.
    #[error("`{found}` runs from {low} down to {high}; write the lower voltage first")]
    ReversedWindow {
        /// The text as written.
        found: String,
        /// The voltage written first.
        low: Volts,
        /// The voltage written second.
        high: Volts,
    },
}

fn did_you_mean(nearest: Option<&'static str>) -> String {
    nearest.map_or_else(|| "write".to_owned(), |unit| format!("did you mean `{unit}`? Write"))
}

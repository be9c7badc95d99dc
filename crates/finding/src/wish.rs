//! Whether the wishes of a brief are met, as pure data.

use crate::{Evidence, Field};

/// A wish with what became of it.
#[derive(Debug, Clone)]
pub struct Judged {
    /// The number of its requirement, `R3`.
    pub requirement: String,
    /// What is wished, as it follows "R3 wants": `the reverb (D11) after the delay (D10)`.
    pub wish: String,
    /// Whether it is met.
    pub verdict: Verdict,
    /// What it is about: tags, ids of sinks, or the board.
    pub about: Vec<String>,
    /// Values that the verdict rests on and that are only assumed.
    pub assumed: Vec<Field>,
}

/// Whether a wish is met.
#[derive(Debug, Clone)]
pub enum Verdict {
    /// It is.
    Met,
    /// It is not.
    NotMet {
        /// Why not, in a few words.
        why: String,
        /// What was found and what is allowed.
        evidence: Evidence,
    },
    /// Nobody can say yet.
    NotKnown {
        /// The values that are missing, in words: `width of D5`.
        missing: String,
        /// Their addresses.
        lacks: Vec<Field>,
    },
}

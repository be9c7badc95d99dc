//! Why a wish is not met.

use finding::Evidence;

/// Why a wish is not met.
#[derive(Debug, Clone)]
pub(super) struct Unmet {
    /// Why, in a few words.
    pub(super) why: String,
    /// What was found and what is allowed.
    pub(super) evidence: Evidence,
}

impl Unmet {
    /// With the figure that decides.
    pub(super) fn new(why: impl Into<String>, evidence: Evidence) -> Self {
        Self { why: why.into(), evidence }
    }

    /// Where nothing is measured: what is so, and what is wished.
    pub(super) fn words(why: impl Into<String>, found: impl Into<String>, wished: impl Into<String>) -> Self {
        Self::new(why, Evidence::words(found, wished))
    }
}

/// Nothing against it, or why it is not met.
pub(super) type Found = Result<(), Unmet>;

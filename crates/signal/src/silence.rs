//! Why there is no answer for a state.

/// Why nothing is said of a state.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WhyNot {
    /// The document says of some of what would be on that only one at a time is.
    Excluded,
    /// Nothing arrives in it.
    Silent,
    /// A ring of devices howls in it with gains at 0 dB: no level there means anything.
    Howls,
    /// It takes more work than one question may.
    NotWorkedOut,
}

impl WhyNot {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Excluded => "no such state: of some only one at a time is on",
            Self::Silent => "nothing arrives",
            Self::Howls => "no level: with gains at 0 dB a ring of devices howls",
            Self::NotWorkedOut => "not worked out: more work than one question may take",
        }
    }
}

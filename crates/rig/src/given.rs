//! Values and where they come from.

/// Where a value comes from. *Assumed* must always show on paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Provenance {
    /// Measured in the workshop.
    Measured,
    /// Measured from a photograph: within what its note says.
    Photo,
    /// Printed on the device or in its manual.
    Printed,
    /// Worked out from other values, none of which is assumed or unknown.
    Computed,
    /// Taken from custom or a guess.
    Assumed,
    /// Nobody knows yet.
    #[default]
    Unknown,
}

impl Provenance {
    /// The word used in documents and on paper.
    pub fn word(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Photo => "photo",
            Self::Printed => "printed",
            Self::Computed => "computed",
            Self::Assumed => "assumed",
            Self::Unknown => "unknown",
        }
    }

    /// The letter of the workbench's mark: `M`, `P`, `C`, `A`, `?`.
    pub fn letter(self) -> &'static str {
        match self {
            Self::Measured | Self::Photo => "M",
            Self::Printed => "P",
            Self::Computed => "C",
            Self::Assumed => "A",
            Self::Unknown => "?",
        }
    }
}

/// A value together with where it comes from; it may be unknown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Known<T> {
    /// The value, `None` when unknown.
    pub value: Option<T>,
    /// Where it comes from.
    pub from: Provenance,
}

impl<T> Default for Known<T> {
    fn default() -> Self {
        Self { value: None, from: Provenance::Unknown }
    }
}

impl<T> Known<T> {
    /// A value with its provenance.
    pub fn new(value: T, from: Provenance) -> Self {
        Self { value: Some(value), from }
    }

    /// Whether the value is there but only assumed.
    pub fn is_assumed(&self) -> bool {
        self.value.is_some() && self.from == Provenance::Assumed
    }

    /// Whether there is no value.
    pub fn is_unknown(&self) -> bool {
        self.value.is_none()
    }

    /// The value by reference.
    pub fn as_ref(&self) -> Known<&T> {
        Known { value: self.value.as_ref(), from: self.from }
    }
}

impl<T: Copy> Known<T> {
    /// The value, or the default a limit gives when it is unknown; then marked assumed.
    #[must_use]
    pub fn or_assume(self, default: T) -> Self {
        match self.value {
            Some(_) => self,
            None => Self::new(default, Provenance::Assumed),
        }
    }
}

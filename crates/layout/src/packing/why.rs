//! What a proof says.

/// Why nothing fits, with what it hangs on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Hopeless {
    pub(crate) why: String,
    /// The devices that have no place by themselves.
    pub(crate) alone: Vec<String>,
    /// Those that have none together.
    pub(crate) together: Vec<String>,
    /// The lead ends whose plugs are in the way.
    pub(crate) ends: Vec<usize>,
}

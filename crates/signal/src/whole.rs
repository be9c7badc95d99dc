//! The states that are answered for though nobody has named them.

/// The name of the state with everything off.
pub const EVERYTHING_OFF: &str = "everything off";

/// The name of the state with everything on, which is answered for where the rig names no state.
pub const EVERYTHING_ON: &str = "everything on";

/// What the states with everything on are called where of some devices only one at a time is on.
pub(crate) const EVERYTHING_BUT: &str = "everything on but ";

/// A state with everything on, or as much of it as can be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Whole {
    /// Its name: [`EVERYTHING_ON`], or `everything on but B`.
    pub name: String,
    /// The switches that are on.
    pub engaged: Vec<String>,
    /// What is left out: tags and loops of which only one at a time is on, and what stands in such a loop.
    pub left_out: Vec<String>,
}

/// Whether a name is that of a state with everything on, or as much of it as can be.
pub(crate) fn is_whole(name: &str) -> bool {
    name == EVERYTHING_ON || name.starts_with(EVERYTHING_BUT)
}

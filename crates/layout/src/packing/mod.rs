//! Proofs that nothing fits: a device with no place by itself, or bodies alone that cannot be packed.

mod alone;
mod order;
mod position;
mod together;

use crate::model::Model;

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

/// The proof that no placement of the model fits, where a few lines give it. What cannot be, by sizes and heights alone, is
/// taken from the model: the search does not try to stand a device where it cannot stand wherever it is put.
pub(crate) fn hopeless(model: &mut Model) -> Option<Hopeless> {
    alone::prune(model).or_else(|| together::no_room(model))
}

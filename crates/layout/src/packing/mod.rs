//! Proofs that nothing fits: a device with no place by itself, or bodies alone that cannot be packed.

mod alone;
mod order;
mod position;
mod together;
mod why;

use crate::model::Model;
pub(crate) use why::Hopeless;

/// The proof that no placement of the model fits, where a few lines give it. What cannot be, by sizes and heights alone, is
/// taken from the model: the search does not try to stand a device where it cannot stand wherever it is put.
pub(crate) fn hopeless(model: &mut Model) -> Option<Hopeless> {
    alone::prune(model).or_else(|| together::no_room(model))
}

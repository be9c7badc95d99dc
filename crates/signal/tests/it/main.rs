//! Tests of the signal engine.

mod advice;
mod bands;
mod closed;
mod cross;
mod forms;
mod longest;
mod one_more;
mod outcomes;
mod pinned;
mod rigs;
mod sums;
mod verified;

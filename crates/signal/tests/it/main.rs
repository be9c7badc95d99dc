//! Tests of the signal engine.

mod advice;
mod bands;
mod closed;
mod cross;
mod forms;
mod longest;
mod outcomes;
mod pinned;
mod rigs;
mod sums;
mod verified;

//! Tests of the signal engine.

mod advice;
mod bands;
mod beside;
mod closed;
mod cross;
mod forms;
mod longest;
mod one_more;
mod outcomes;
mod own_noise;
mod pinned;
mod rigs;
mod sums;
mod switched;
mod told;
mod turns;
mod verified;

//! The engine against closed forms, published optima and its own judge.

mod absurd;
mod binpack;
mod bins;
mod boards;
mod closed;
mod cuts;
mod dressed;
mod ends;
mod random;
mod ties;

//! The engine against closed forms, published optima and its own judge.

mod bins;
mod binpack;
mod boards;
mod closed;
mod cuts;
mod random;

//! Which values nobody measured decide something, and in which order to measure them.
//!
//! For every value of a rig that is assumed or unknown there is a plausible range (`catalogue/ranges.tsv`: by what it is and
//! the class of the device). [`first`] asks the checks again with one value after the other at the ends of its range, and
//! lists those that change a *stop* or a *look*, a length by more than its slack, or whether a device can be fed at all:
//! what decides most for a minute of measuring first. Where nobody knows a value, the usual one of its class stands in
//! while the others are tried.
//!
//! It is a bounded search: leads are laid anew only as far as [`Config::routings`] goes, and pairs of values are tried as far
//! as [`Config::pairs`] goes. What was left out is told in [`Answer`].

#[cfg(test)]
mod against;
mod cell;
mod judge;
mod range;
mod search;
mod values;
mod visit;
mod words;

pub use range::Tool;
pub use search::{Answer, Config, Decides, Effect, first};

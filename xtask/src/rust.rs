//! As much of Rust as the chores read: words and marks with their lines, the items of a file, the paths it names.
//!
//! This is no parser of the language: it reads what `rustfmt` leaves, and knows no macro. What it does not see is
//! taken for used, so that a check built on it says too little rather than something false.

pub(crate) mod items;
pub(crate) mod paths;
pub(crate) mod tokens;

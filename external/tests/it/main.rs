//! Checks against the outside.

mod boxes;
mod check_bar;

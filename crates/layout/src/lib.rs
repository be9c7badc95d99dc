//! Where each device sits: placements that fit, then good ones, and why none does.
mod axis;
pub mod blocks;
mod config;
mod edits;
mod input;
mod json;
mod model;
mod outcome;
mod packing;
mod plane;
mod random;
mod relax;
mod rounds;
mod solve;
pub mod verify;
mod watch;

pub use config::{Config, Freedom, Weights};
pub use edits::edits;
pub use input::{Input, Spare};
pub use json::json;
pub use outcome::{Alternative, Breach, Outcome, Placement, Plug, Relaxation, Terms};
pub use solve::{measure, solve};
pub use watch::{Never, Progress, Report, Silent, Stop};

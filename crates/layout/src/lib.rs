//! Where each device sits: placements that fit, then good ones, and why none does.
pub mod blocks;
pub mod verify;
mod config;
mod edits;
mod input;
mod json;
mod model;
mod outcome;
mod plane;
mod random;
mod relax;
mod rounds;
mod solve;
mod watch;

pub use config::{Config, Freedom, Weights};
pub use input::{Input, Spare};
pub use edits::edits;
pub use json::json;
pub use outcome::{Alternative, Outcome, Placement, Plug, Relaxation, Terms, Breach};
pub use solve::{measure, solve};
pub use watch::{Never, Progress, Report, Silent, Stop};

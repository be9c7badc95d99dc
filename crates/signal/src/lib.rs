//! What the guitar's signal loses and gains.
//!
mod build;
mod complex;
mod envelope;
pub mod grid;
mod input;
mod ladder;
pub mod level;
pub mod loading;
pub mod model;
pub mod nodal;
pub mod noise;
pub mod phantom;
mod section;
mod state;
pub mod timing;
pub mod wire;

pub use complex::Complex;
pub use envelope::{Envelope, Extreme, Work, enumerate, envelope};
pub use ladder::Sweep;
pub use input::{BufferPlace, Config, Controls, End, Input, LeadLength};

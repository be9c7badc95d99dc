//! How each lead runs, how long it is, and how the cable is cut.
//!
//! [`Input::from_rig`] takes a snapshot of a rig: bodies, holes, and leads with the place and direction where each leaves
//! its plugs. [`solve`] lays them all from scratch and does not look at their order; [`preview`] is a quick answer while a
//! device is moved. [`verify::verify`] judges any outcome by the bodies and the rules alone. [`json()`] is the outcome for
//! other programs, with the types of [`wire`].
//!
//! - [`cut`] plans from which reel or offcut each lead is cut.

pub mod cut;
pub mod verify;
pub mod wire;

mod alone;
mod apart;
mod batch;
mod classes;
mod cross;
mod field;
mod from_rig;
mod holes;
mod input;
mod joint;
mod json;
mod loom;
mod outcome;
mod route;
mod solve;
mod turned;

pub use cross::FLAT_DEG;
pub use from_rig::{Given, GivenEnd};
pub use holes::{FAR, ProposedHole, proposed_holes};
pub use input::{Body, End, Hole, Input, Point, Rules, Turn, Unlaid, Wanted};
pub use json::{CableCuts, json};
pub use outcome::{Crossing, Failed, Laid, Loom, LoomLead, Near, Outcome, Passing};
pub use route::shape::chords;
pub use solve::{LaidAlone, any_bend_sharper_than, bent_sharper_than, grid_cost, lay_alone, preview, solve};

//! Where each device sits: placements that fit, then good ones, and why none does.
//!
//! [`Input::from_rig`] takes a snapshot of a rig; [`Input::unplaced`] takes everything off that is not locked,
//! [`Input::with_stock`] and [`Input::with_boards`] tell what the workshop has. The wishes of its brief for places, company,
//! use and free room are part of the aim; those that a placement does not meet are [named](Outcome::unmet). [`solve`] searches for the placement of the least [total](Outcome::total), the sum of the
//! [`Terms`] under the [`Weights`] of a [`Config`]; [`measure`] gives the same terms for the places that a rig has, so that
//! a person's placement and a proposed one are compared by the same figures.
//!
//! - [`straightened`] is the placement of the rig with its rows straightened and nothing else changed.
//! - While it runs, a [`Progress`] hears of every round and a [`Cancel`] may end it early; the best so far is handed back.
//!   [`NoProgress`] and [`NeverCancelled`] are for those who wait. The search counts moves, never time: with the same seed and
//!   [`Config::workers`] the bytes are the same whatever [`Config::threads`] is.
//! - [`Outcome::alternatives`] are other placements that fit, each with its terms and with the edit that writes it.
//! - Where nothing fits, [`Outcome::proof`] says why when a few lines prove it, and [`Outcome::relaxations`] what would
//!   help, each found by trying it; those that an edit can write carry it with the placement that then fits, and a
//!   [`Judge`] is asked about the document that it leaves.
//! - A device whose size nobody knows is [left out](Outcome::left_out), and the others are arranged.
//! - [`edits()`] is the edit that writes the placement into the document, [`json()`] the outcome for other programs.
//! - [`verify::verify`] judges any placement by the boxes of `rig::geometry` alone, and shares no code with the search.
//! - [`search`] is the core that [`solve`] runs, for whatever is placed: the example `floorplan` runs published instances
//!   through it.
//!
//! How it searches: all devices stand somewhere, overlaps are allowed and priced, and the price of a pair that keeps
//! colliding grows, until nothing overlaps; then the placement is cooled; last each axis is slid to its best, exactly.
//! Every worker keeps its sums move by move, and a twin makes them anew under debug assertions.
//!
//! ```
//! use layout::{Config, Input, NeverCancelled, NoProgress};
//!
//! let input = Input::from_rig(&rig::Rig::default(), &rig::Limits::default());
//! let config = Config { moves: 100, ..Config::standard() };
//! let outcome = layout::solve(&input, &config, &NoProgress, &NeverCancelled);
//! assert!(outcome.feasible, "nothing stands well on no board");
//! ```

pub mod search;
pub mod verify;

mod axis;
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
mod solve;
mod watch;

pub use config::{Config, Freedom, Weights};
pub use edits::edits;
pub use input::Input;
pub use json::json;
pub use outcome::{Alternative, Breach, LeftOut, Outcome, Placement, Plug, Relaxation, Room, Terms, Unmet};
pub use relax::{Answer, Judge, on_board};
pub use solve::{again, measure, relaxations, replugged, solve, straightened};
pub use watch::{Cancel, NeverCancelled, NoProgress, Progress, Report};

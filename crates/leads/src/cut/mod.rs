//! Which lead is cut from which reel or offcut.
//!
//! - [`plan`] answers the workshop: pieces, reels, offcuts and a kerf; least fresh cable first, then least scrap.
//! - [`pack`] is the classical bin packing problem, the same question with one length of stock: the fewest bins.
//!
//! Both say how far from the best they can be at most, and whether they are proven to be the best.

mod complete;
mod dive;
mod heuristic;
mod knapsack;
mod master;
mod number;
mod pack;
mod plan;

pub use pack::{Certificate, Packing, PackingEffort, Size, pack};
pub use plan::{CutEffort, CutPlan, CutStep, Piece, Source, plan};

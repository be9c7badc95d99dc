//! Which lead is cut from which reel or offcut.
//!
//! [`plan`] answers: pieces, reels, offcuts and a kerf; least fresh cable first, then least scrap, then the fewest reels. It
//! says how far from the best it can be at most, and whether it is proven to be the best. With reels of one length and no
//! offcuts it is the classical bin packing problem, and published ones are solved by it.

mod complete;
mod dive;
mod heuristic;
mod knapsack;
mod master;
mod number;
mod pack;
mod plan;
mod reels;

pub use pack::{Certificate, PackingEffort};
pub use plan::{CutEffort, CutPlan, CutStep, Piece, Source, plan};

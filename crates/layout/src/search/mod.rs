//! The one search: workers side by side that change a placement, cool, keep their best and start again from it.
//!
//! What is placed and what it costs is a [`Walk`]. The devices of a rig are walked over by the code in `plane`; published
//! floorplanning instances by the example `floorplan`, so that their figures judge the search that arranges devices.

mod rounds;
mod run;
mod worker;

pub use run::{Plan, search};
pub use worker::{Kept, Worker};

pub use crate::axis::{Axis, Lead};
pub use crate::random::Random;

/// How far a move is on the way down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heat {
    /// In the unit of the energy.
    pub temperature: f64,
    /// The share of the plan that is done.
    pub share: f64,
}

/// One worker's placement, which can be changed, weighed and taken back.
///
/// A move is [`change`](Walk::change), then [`weigh`](Walk::weigh), then [`weigh_dear`](Walk::weigh_dear) where that may
/// still matter, then one of [`accept`](Walk::accept) and [`take_back`](Walk::take_back).
pub trait Walk: Send {
    /// A whole placement, as it is kept.
    type Placement: Clone + Send;

    /// Whether there is nothing to change.
    fn is_fixed(&self) -> bool;

    /// A step towards a placement that fits, made instead of a move until one is known; hands back how many placements were
    /// tried. `None` where cooling itself finds what fits.
    fn towards_fit(&mut self, random: &mut Random) -> Option<u64> {
        let _ = random;
        None
    }

    /// Chooses a change at random; says whether there is one.
    fn change(&mut self, random: &mut Random, heat: Heat) -> bool;

    /// What the placement costs without the change, its faults included.
    fn energy(&self) -> f64;

    /// What it costs with the change; `None` as soon as that is known to be more than `most`.
    fn weigh(&mut self, most: f64, heat: Heat) -> Option<f64>;

    /// How much worse the change makes what is too dear to find for a change that fails without it; `None` where there is
    /// nothing of the kind.
    fn weigh_dear(&mut self) -> Option<f64> {
        None
    }

    /// Stands by the change that was weighed.
    fn accept(&mut self);

    /// Goes back to before the change that was weighed, wholly or in part.
    fn take_back(&mut self);

    /// The total of a placement that fits and may be below `bound`.
    fn total(&mut self, bound: f64) -> Option<f64>;

    /// The placement as it is.
    fn placement(&self) -> Self::Placement;

    /// Goes on from another placement; it need not fit.
    fn begin_at(&mut self, placement: &Self::Placement);

    /// Insists on what fits more than before, after a plan that ended without it; says whether it can.
    fn insist(&mut self) -> bool {
        false
    }

    /// The last touches on the best, without chance.
    fn polish(&mut self, best: Kept<Self::Placement>) -> Kept<Self::Placement>;

    /// Whether the sums kept move by move are those made anew.
    fn agrees_with_twin(&self) -> bool;
}

//! What follows from a rig, with nothing chosen in passing.
//!
//! [`derive`] is a pure function: the same rig and limits give the same [`Design`]. Where the document
//! leaves something open (a plug, a feed, a place) the design leaves it open too; choosing is a proposal
//! that becomes an edit when the builder takes it.

mod lead;
mod load;
mod mass;
mod resolved;

pub use lead::{Lead, LeadEndAt, PULL};
pub use load::{FeedState, OutletLoad, feed_state, outlet_loads};
pub use mass::{Mass, MassItem};
pub use resolved::{RESOLVED_SCHEMA, resolved};

use rig::geometry::{Conflict, Solids, conflicts, solids};
use rig::{Limits, Rig};

/// Everything that follows from one rig under one set of limits.
#[derive(Debug, Clone)]
pub struct Design {
    /// The rig it follows from.
    pub rig: Rig,
    /// The limits in force.
    pub limits: Limits,
    /// The boxes of every thing.
    pub solids: Solids,
    /// The boxes that are too near each other.
    pub conflicts: Vec<Conflict>,
    /// Every lead, signal and control first, then power.
    pub leads: Vec<Lead>,
    /// What hangs on each outlet that feeds something.
    pub outlets: Vec<OutletLoad>,
    /// Masses and their sums.
    pub mass: Mass,
}

/// Derives the design.
pub fn derive(rig: Rig, limits: Limits) -> Design {
    let solids = solids(&rig, &limits);
    let conflicts = conflicts(&solids.boxes, &limits);
    let leads = lead::leads(&rig, &limits);
    let outlets = outlet_loads(&rig);
    let mass = mass::mass(&rig);
    Design { rig, limits, solids, conflicts, leads, outlets, mass }
}

//! The order in which a board is built.
//!
//! An [`Act`] says what it needs and what is true once it is done. Which acts must come before which follows from that, and
//! from the boxes: [`reach`] finds for every plug whether it goes in at any time, before a neighbour stands, or while its
//! device is still in the hand. [`plan`] puts the acts into one order in which nothing has to come off again, and shares them
//! between two people. What can be reached in no order is told by name, and the rest is still ordered.
//!
//! ```
//! use build::{Act, Fact, What, World, plan};
//!
//! let fixed = Fact::new(What::Stands, "PNL");
//! let wired = Fact::new(What::Wired, "PNL");
//! let acts = vec![
//!     Act { wants: vec![wired.clone()], gives: vec![fixed], ..Act::new("fix:PNL", 1, 10) },
//!     Act { gives: vec![wired], ..Act::new("wire:PNL", 0, 4) },
//! ];
//! let plan = plan(&acts, &World::default());
//! assert_eq!(plan.order, [1, 0], "the loom before the panel is closed");
//! assert_eq!((plan.minutes, plan.critical.minutes), (14, 14));
//! ```

mod act;
mod bulk;
mod links;
mod order;
mod people;
mod plan;
mod reach;
mod world;

pub use act::{Act, Fact, What};
pub use bulk::Bulk;
pub use links::{Link, Why};
pub use people::{Critical, Shared, Turn};
pub use plan::{Plan, Unreached, plan};
pub use reach::{Blocker, Mode, Reach, reach};
pub use world::{Course, End, Thing, World};

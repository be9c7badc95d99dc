//! Which outlet feeds what: the best allocation with its proof, or the few devices that cannot be served together.
//!
//! [`Input::from_rig`] takes a snapshot of a rig: devices that want power, outlets, bricks, thresholds. [`solve`] finds
//! the allocation with the fewest findings to look at, then the fewest special leads, then the widest worst margin,
//! then the shortest leads; [`Outcome::bound`] tells what cannot be beaten. Where not all devices can be served, it
//! tells the smallest sets that cannot ([`Conflict`]) and what would help ([`Cure`]). [`verify::verify`] judges any
//! allocation by the rules alone.
//!
//! - [`json()`] is the outcome for other programs, [`edits()`] the edit that writes it into the document.
//! - [`assignment`] is the search core, which knows nothing of power.
//! - [`lead_drop`] and [`mains`] are the sums around it: what a lead loses, what the mains must give, which countries suit.
//!
//! ```
//! let outcome = power::solve(&power::Input::default(), &power::Config::standard());
//! assert_eq!(outcome.status, power::Status::Proven);
//! ```

pub mod assignment;
pub mod energy;
pub mod lead_drop;
pub mod mains;
pub mod verify;
pub mod wire;

mod allocate;
mod assumed;
mod breach;
mod candidate;
mod change;
mod config;
mod conflict;
mod cost;
mod cure;
mod edits;
mod fit;
mod from_rig;
mod inlet;
mod input;
mod json;
mod kept;
mod list;
mod load_limit;
mod locked;
mod lossy;
mod millionths;
mod model;
mod moving;
mod obstacle;
mod outcome;
mod placed;
mod plugged;
mod purchase;
mod reasons;
mod remade;
mod report;
mod resistance;
mod rewired;
mod rings;
mod share;
mod sockets;
mod space;
mod stage;
mod stand;
mod stated;
mod text;
mod thicker;
mod totals;
mod twin;
mod why;
mod words;

pub use candidate::Candidate;
pub use change::CureStep;
pub use config::{Config, Means};
pub use edits::edits;
pub use fit::Fitting;
pub use from_rig::{microamps, millivolts, ppm as millionths};
pub use inlet::{Inlet, MainsRun};
pub use input::{
    Adaptor, Bank, Brick, Input, Lack, Need, Outlet, PPM, Present, Room, Rules, STRONG_UA, Setting, Strip,
    USUAL_MV, Unknown, Unseen, WrittenLead,
};
pub use json::json;
pub use moving::{Move, moves};
pub use outcome::{
    Assumed, BankLine, BrickLine, Conflict, Cure, FedBy, Feed, FeedLine, Look, LookKind, MainsLine,
    Objective, Outcome, OutletLine, Price, Status, Unchecked, Unserved, Untold,
};
pub use report::{allocation, explain, measure, solve, solve_watched};
pub use stated::stated;
pub use text::text;
pub use thicker::Thicker;

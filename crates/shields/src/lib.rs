//! Loops that the earths of several ends close through the screens of a board, and the least that opens them.
//!
//! An [`Input`] is a graph: pieces of metal (chassis, insulated jacks, negatives of supplies), joins between them (screens
//! of leads, negatives, bonds), and ends that stand on the protective earth. Two ends in one piece of the graph close a
//! loop through the building's earth. [`solve`] finds every such loop for each [`Use`] of the board, what a stated field
//! induces in it, and the cheapest cures that open all of them. The protective earth is never among the cures: it is no
//! join of this graph, and nothing here can take it away.
//!
//! ```
//! use shields::{Config, End, Input, Join, JoinKind, Use, solve};
//!
//! // An amp and a desk, both earthed, and a board between them.
//! let join = |id: &str, a, b, balanced| Join { balanced, ..Join::new(id, JoinKind::Screen, a, b) };
//! let input = Input {
//!     pieces: vec!["board".into(), "amp".into(), "desk".into()],
//!     joins: vec![join("L09", 0, 1, false), join("L12", 0, 2, true)],
//!     ends: vec![End::earthed("amp", 1), End::earthed("desk", 2)],
//!     uses: vec![Use { name: "amp and desk".into(), ends: vec![0, 1] }],
//! };
//! let outcome = solve(&input, &Config::default());
//! assert_eq!(outcome.uses[0].loops.len(), 1);
//! // A balanced screen is lifted at one end; the amp's lead would need a transformer.
//! assert_eq!(outcome.uses[0].cure.steps[0].join, "L12");
//! ```

mod cure;
mod induced;
mod input;
mod paths;
mod solve;

pub use induced::{area, induced};
pub use input::{Config, CureKind, End, Input, Join, JoinKind, Use};
pub use solve::{Cure, EarthLoop, Outcome, Step, UseOutcome, solve};

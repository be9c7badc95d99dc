//! The project's chores, each a command of `cargo xtask`.
//!
//! - [`ci`] runs every stage that a change must pass, and tells how long each took.
//! - [`mod@test`] runs the tests.
//! - [`needs`] knows what they need beyond cargo: says what is missing, or installs it when asked to.
//! - [`tidy`] holds the tree to its map, its packages and its habits; `tests/tidy.rs` runs the same code.
//! - [`soak`] runs tests with large budgets and records what they came to.
//! - [`generate`] writes the files that the program itself produces, or says which are stale.
//! - [`package`] makes the archive that is handed out, and sees that the program in it answers.
//! - [`floorplan`] runs the search core of the placements on published instances, and tells how good and how quick.
//! - [`floorplan_table`] writes what came of that into a page, beside a general solver.
//! - [`cut`] runs the cut planner on published instances, and tells how long it took.
//! - [`gap`] runs the search core of the power allocation on published instances, and tells how long it took.
//!
//! The chores know the tree only from outside: no crate of the product is linked here, so that a chore
//! still builds when the product does not.

pub mod ci;
pub mod command;
pub mod cut;
pub mod floorplan;
pub mod floorplan_table;
pub mod gap;
pub mod generate;
pub mod needs;
pub mod package;
pub mod soak;
pub mod test;
pub mod tidy;
pub mod tree;

mod console;
mod markdown;
mod metadata;
mod process;
mod rust;

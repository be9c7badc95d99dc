//! What a careful colleague would say of a design: one file per rule.
//!
//! [`RULES`] is the plain table of rules; [`check`] runs them all and gives one sorted list of findings,
//! with the acceptances of the rig applied. [`explain`] and [`rules_markdown`] print the pages. [`wishes`] judges what
//! the requirements of the brief want, met or not.
//!
//! *A value that is unknown never silences a rule.* The rule then says what was not checked, and names the values
//! to measure, in one finding for all devices. Where several rules rest on the same values, one speaks for them all
//! and names them, so that one unknown size gives one remark.
//!
//! *One cause is told once*, with all that it touches (`group`), and a limit that is passed by less than a tape or a
//! meter can tell is no look (`compare`).

mod acceptance;
mod asked;
mod branches;
mod check;
mod compare;
mod explain;
mod feed_cure;
mod fit;
mod group;
mod holes;
mod pains;
mod rule;
mod rules;
mod space;
mod supply;
mod way;
mod wishes;
mod words;

pub use check::{check, check_by, check_stated};
pub use explain::{explain, near_rules, rules_markdown};
pub use pains::{PAINS, Pain};
pub use rule::{Page, Rule};
pub use rules::{RULES, rule};
pub use wishes::wishes;

//! One verdict: what the checks say of a document as a proposal would leave it.
//!
//! An engine judges its own answer by its own rules. What is offered to a builder is judged once more, by all rules, on
//! the document itself: the edit is applied to the text, the text is read again, everything is derived and the leads are
//! laid as `check` lays them. So no two commands contradict one another on one document. [`judge`] does that for any edit;
//! [`arrange`] offers only placements that pass.

mod arrange;
mod arranged;
mod assembled;
mod boards;
mod choices;
mod exits;
mod joint;
mod json;
mod judge;
mod judging;
mod made;
mod patience;
mod remedies;
mod trials;
mod what_if;

pub use arrange::{arrange, straighten};
pub use arranged::Arranged;
pub use assembled::{Obstacle, Stuck, assembled};
pub use boards::{Boards, Fitting, boards};
pub use choices::{Aim, Choice, Choices, choices};
pub use joint::{joint, joint_of_run};
pub use json::{boards_json, choices_json, json};
pub use judge::{FEED, FIT, Refused, Verdict, concerns, judge, judge_stated};
pub use made::Remade;
pub use what_if::{WhatIf, what_if};

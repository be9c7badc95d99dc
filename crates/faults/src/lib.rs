//! What to try next when something on a board is dead, weak or hums, and how to play tonight nevertheless.
//!
//! An [`Input`] is a plain graph: nodes that sound reaches, links between them, and for each link the parts that must be
//! sound for it to carry: a lead, its jacks, a contact, a device with everything that powers it. Whoever has a network
//! makes it; nothing here knows how. [`Walk`] weighs the suspects for a [`Complaint`], offers the trial that tells most in
//! a minute, takes answers that may be wrong once in twenty, and says what is left. [`around`] finds ways to play without
//! what is left.
//!
//! ```
//! use faults::{Answer, Complaint, Config, Given, Input, Symptom, Walk, chain};
//!
//! // A guitar, three devices in a row, an amp.
//! let input: Input = chain(3);
//! let complaint = Complaint::new(Symptom::Dead, 0);
//! let walk = Walk::new(&input, &complaint, &Config::default(), &[]);
//! let next = walk.next().expect("there is something to try");
//! let told = [Given { trial: next.trial.id.clone(), answer: Answer::Yes }];
//! let walk = Walk::new(&input, &complaint, &Config::default(), &told);
//! assert!(walk.left().len() < walk.suspects().len());
//! ```

mod around;
mod card;
mod history;
mod input;
mod kind;
mod reach;
mod trials;
mod walk;

pub use around::{Around, around};
pub use card::{Card, CardStep, Region, Then, card};
pub use history::Repair;
pub use input::{End, Input, Jack, Link, OffState, Part, Powered, chain};
pub use kind::{Kind, Symptom, Tool, TrialKind};
pub use reach::reaches;
pub use trials::{Complaint, Trial};
pub use walk::{Answer, CURED, Config, Given, Next, Suspect, Walk};

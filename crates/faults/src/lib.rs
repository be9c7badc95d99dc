//! What to try next when something on a board is dead, weak or hums, and how to play tonight nevertheless.
//!
//! An [`Input`] is a plain graph: nodes that sound reaches, links between them, and for each link the parts that must be
//! sound for it to carry: a lead, its jacks, a contact, a device with everything that powers it. Whoever has a network
//! makes it; nothing here knows how. [`Walk`] weighs the suspects for a [`Complaint`], offers the trial that tells most in
//! a minute, takes answers that may be wrong once in twenty, and says what is left. [`around`] finds ways to play without
//! what is left.
//!
//! ```
//! use faults::{Answer, Complaint, Config, End, Given, Input, Kind, Link, Part, Symptom, Walk};
//!
//! // A guitar, one lead, an amp.
//! let part = |id: &str, kind| Part { id: id.into(), kind, title: id.into(), device: None };
//! let input = Input {
//!     parts: vec![part("guitar", Kind::Source), part("L01", Kind::Lead), part("amp", Kind::Sink)],
//!     nodes: 2,
//!     links: vec![Link { from: 0, to: 1, both: true, wire: true, parts: vec![0, 1, 2] }],
//!     sources: vec![End { id: "guitar".into(), node: 0, part: 0, leads: vec![1] }],
//!     sinks: vec![End { id: "amp".into(), node: 1, part: 2, leads: vec![1] }],
//!     ..Input::default()
//! };
//! let complaint = Complaint::new(Symptom::Dead, 0);
//! let walk = Walk::new(&input, &complaint, &Config::default(), &[]);
//! assert_eq!(walk.next().expect("a trial").trial.id, "swap:L01");
//! let told = [Given { trial: "swap:L01".into(), answer: Answer::No }];
//! let walk = Walk::new(&input, &complaint, &Config::default(), &told);
//! assert!(walk.left().iter().all(|one| one.part != 1));
//! ```

mod around;
mod card;
mod history;
mod input;
mod kind;
mod reach;
mod tail;
mod trials;
mod walk;

pub use around::{Around, around, tonight};
pub use card::{Card, CardStep, Region, Then, card};
pub use history::Repair;
pub use input::{End, Input, Jack, Link, OffState, Part, Powered};
pub use kind::{Kind, Symptom, Tool, TrialKind};
pub use reach::{reaches, source_of};
pub use trials::{Complaint, Trial};
pub use walk::{Answer, CURED, Config, Given, Next, Suspect, Walk, percent};

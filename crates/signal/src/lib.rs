//! What the guitar's signal loses and gains on its way through a board, in every switching state.
//!
//! [`solve()`] is a pure function of an [`Input`] (a rig, the lengths of its leads, how things are set) and a
//! [`Config`] (figures to assume, limits for advice). It makes a network of nodes ([`model`]), finds the exact band
//! of levels over all switching states as shortest and longest paths ([`envelope()`]), answers for the named states
//! one by one, and compares everything with the same guitar straight into the same amp by the usual lead.
//!
//! - [`level`] and [`noise`] are the formulas of the trade that it uses, each with its source.
//! - [`nodal`] solves any circuit at one frequency. [`verify::verify`] judges an outcome by a solver of its own, and shares
//!   no code with the engine's.
//! - [`spice()`] and [`json()`] hand networks and outcomes to others.
//!
//! ```
//! // Five metres of lead on a coil, then eleven: where does its peak go?
//! use quantity::Length;
//! use rig::{Known, PortRef, Provenance, Rig, Run, Sink, Source, Stop};
//! use signal::{Config, Input, LeadLength, solve};
//!
//! let guitar = Source { id: "guitar".into(), ..Source::default() };
//! let amp = Sink { id: "amp".into(), ..Sink::default() };
//! let (from, to) = (PortRef::new("guitar", ""), PortRef::new("amp", ""));
//! let first = Stop { text: "guitar".into(), arrives: None, leaves: Some(from.clone()) };
//! let last = Stop { text: "amp".into(), arrives: Some(to.clone()), leaves: None };
//! let run = Run { name: "main".into(), stops: vec![first, last], ..Run::default() };
//! let rig = Rig { sources: vec![guitar], sinks: vec![amp], runs: vec![run], ..Rig::default() };
//! let length = Known::new(Length::from_mm(11_000), Provenance::Measured);
//! let input = Input::new(&rig, vec![LeadLength { from, to, length }]);
//! let outcome = solve(&input, &Config::default());
//! let resonance = &outcome.ways[0].resonance;
//! assert!(resonance.worst.expect("a peak") < 0.8 * resonance.reference.expect("a peak by the usual lead"));
//! assert_eq!(signal::verify::verify(&input, &Config::default(), &outcome).breaches, []);
//! ```
//!
//! Small signals, linear, steady state. Screens are one node, earth. What is unknown is never a failure: a stated
//! figure stands in, and the outcome names the field it lacks.

mod advice;
mod answers;
mod asked;
mod branches;
mod budget;
mod build;
mod complex;
mod concerns;
mod contacts;
mod downstream;
mod envelope;
mod extremes;
mod figures;
mod fitting;
mod graph;
pub mod grid;
mod hiss;
mod hung;
mod input;
mod json;
mod junction;
mod kept;
mod ladder;
pub mod level;
mod loads;
mod longest;
pub mod model;
pub mod nodal;
pub mod noise;
mod one_more;
mod outcome;
mod polarity;
mod put;
mod reached;
mod resonance;
mod rings;
mod search;
mod section;
mod segment;
mod shares;
mod shown;
mod silence;
mod solve;
mod sparing;
mod spice;
mod state;
mod stated;
mod timing;
mod travel;
mod turn;
pub mod verify;
mod ways;
mod whole;
pub mod wire;
mod words;

pub use advice::LOW_INPUT;
pub use answers::{Answers, Travel, answers};
pub use asked::{Said, asked};
pub use budget::WHOLE as BUDGET;
pub use complex::Complex;
pub use contacts::{Contacts, Plugged, contact_z};
pub use envelope::{enumerate, envelope};
pub use extremes::{Envelope, Extreme, Work};
pub use fitting::{BUFFER, fit_buffers};
pub use input::{BufferPlace, Config, Controls, Input, LeadLength};
pub use json::json;
pub use ladder::Sweep;
pub use longest::Longest;
pub use one_more::{OneMore, OneMoreEverywhere};
pub use outcome::{
    Advice, AdviceStatus, Alternative, Band, Branches, ByWish, ClipsBefore, Figures, Junction, Level, Limit,
    Load, Noise, Outcome, Resonance, Ring, StateResponse, Turned, Way, Worst,
};
pub use polarity::{inverts, response};
pub use shown::{StateFigures, in_state, on_in_states, switches};
pub use silence::WhyNot;
pub use solve::{
    BufferSearch, can_be, circuit, everything_on, network, possible, reference_circuit, solve, solve_with,
};
pub use spice::spice;
pub use state::respond;
pub use stated::StatedLevel;
pub use whole::{EVERYTHING_OFF, EVERYTHING_ON, Whole};
pub use wire::SCHEMA;
pub use words::{
    ASIDE, EVERYTHING_BYPASSED, OUT, engaged_words, in_state_words, lacks_words, loop_out, state_word,
};

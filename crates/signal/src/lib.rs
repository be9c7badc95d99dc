//! What the guitar's signal loses and gains on its way through a board, in every switching state.
//!
//! [`solve()`] is a pure function of an [`Input`] (a rig, the lengths of its leads, how things are set) and a
//! [`Config`] (figures to assume, limits for advice). It makes a network of nodes ([`model`]), finds the exact band
//! of levels over all switching states as shortest and longest paths ([`envelope()`]), answers for the named states
//! one by one, and compares everything with the same guitar straight into the same amp by the usual lead.
//!
//! - [`level`], [`loading`], [`noise`], [`wire`], [`timing`] and [`phantom`] are the formulas of the trade, each with
//!   its source, for rules and checks.
//! - [`nodal`] solves any circuit at one frequency; [`verify`] does so again and shares no code with it.
//! - [`spice()`] and [`json()`] hand networks and outcomes to others.
//!
//! ```
//! // Eleven metres of lead on a bare coil: where does its peak go?
//! let lead = |metres| signal::loading::lead_capacitance(metres, 100e-12, 30e-12);
//! let peak = |metres| signal::loading::coil_peak(6e3, 2.5, 110e-12 + lead(metres), 200e3).frequency;
//! let (short, long) = (peak(3.0).expect("a peak"), peak(11.0).expect("a peak"));
//! assert!(long < 0.7 * short);
//! ```
//!
//! Small signals, linear, steady state. Screens are one node, earth. What is unknown is never a failure: a stated
//! figure stands in, and the outcome names the field it lacks.

mod advice;
mod answers;
mod branches;
mod budget;
mod build;
mod complex;
mod contacts;
mod envelope;
mod figures;
mod fitting;
mod graph;
pub mod grid;
mod hiss;
mod input;
mod json;
mod junction;
mod ladder;
pub mod level;
pub mod loading;
mod loads;
mod longest;
pub mod model;
pub mod nodal;
pub mod noise;
mod outcome;
pub mod phantom;
mod reached;
mod resonance;
mod section;
mod segment;
mod shown;
mod solve;
mod spice;
mod state;
pub mod timing;
pub mod verify;
pub mod wire;
mod words;

pub use answers::{Answers, Travel, answers};
pub use budget::WHOLE as BUDGET;
pub use complex::Complex;
pub use contacts::{Contacts, Plugged};
pub use envelope::{Envelope, Extreme, Work, enumerate, envelope};
pub use fitting::fit_buffers;
pub use input::{BufferPlace, Config, Controls, End, Input, LeadLength};
pub use json::{SCHEMA, json, network as network_json};
pub use ladder::Sweep;
pub use longest::Longest;
pub use outcome::{
    Advice, Alternative, Band, Branches, Figures, Junction, Level, Limit, Load, Noise, Outcome, Resonance,
    StateResponse, Verdict, Way, Worst,
};
pub use shown::{StateFigures, in_state, switches};
pub use solve::{
    EVERYTHING_OFF, EVERYTHING_ON, circuit, network, reference_circuit, solve, solve_without_advice,
};
pub use spice::spice;
pub use state::respond;
pub use words::in_state_words;

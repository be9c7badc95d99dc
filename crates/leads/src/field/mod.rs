//! Leads dressed square: each runs along lines that keep off what stands on the board, turns at right angles, and goes
//! where its like go already.
//!
//! [`lines`] finds the lines, [`mesh`] crosses those that one lead may use, [`search`] finds its way over them by
//! what [`seek`] says of its steps, [`form`]
//! makes cable of that way. [`traffic`] is what the other leads make dear or cheap, [`rounds`] lets all leads settle among
//! one another, and [`lanes`] lays those that share a line side by side.

pub(crate) mod across;
pub(crate) mod form;
pub(crate) mod lanes;
pub(crate) mod left;
pub(crate) mod lines;
pub(crate) mod mesh;
pub(crate) mod rounds;
pub(crate) mod search;
pub(crate) mod seek;
pub(crate) mod traffic;

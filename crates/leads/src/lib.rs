//! How each lead runs, how long it is, and how the cable is cut.

pub mod cut;

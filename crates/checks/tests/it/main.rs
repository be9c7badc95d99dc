//! The rules on small rigs: each fires, is silent, and says when it cannot judge.

#![expect(clippy::unwrap_used, reason = "a case that lacks what it spoils is a wrong case")]

mod build;
mod cases;
mod later;
mod limits;
mod mechanism;
mod table;
mod unknown;

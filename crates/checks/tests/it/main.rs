//! The rules on small rigs: each fires, is silent, and says when it cannot judge.

mod build;
mod cases;
mod examples;
mod laid;
mod later;
mod limits;
mod mechanism;
mod ports;
mod table;
mod unknown;
mod written;

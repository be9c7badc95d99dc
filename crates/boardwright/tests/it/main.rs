//! The program as its users meet it: commands, exit codes, what they print.

mod attacked;
mod bench;
mod bytes;
mod commands;
mod deletion;
mod engines;
mod expected;
mod jobs;
mod measuring;
mod money;
mod schemas;
mod shop;
mod soak;
mod tested;

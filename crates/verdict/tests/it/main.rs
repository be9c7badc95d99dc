//! One verdict: what is offered stands by the checks, written and read again.

mod again;
mod assembled;
mod cases;
mod choices;
mod ended;
mod held;
mod presses;
mod rigs;
mod signed;
mod sizes;
mod what_if;

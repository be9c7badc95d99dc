//! The allocation against cases of the trade, against every allocation there is, and against the rules.

mod cases;
mod cures;
mod every;
mod overfull;
mod purchases;
mod random;
mod reasons;
mod rigs;

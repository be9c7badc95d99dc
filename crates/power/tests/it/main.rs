//! The allocation against cases of the trade, against every allocation there is, and against the rules.

mod cases;
mod every;
mod overfull;
mod random;
mod rigs;

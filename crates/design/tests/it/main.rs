//! What follows from the example jobs.

mod faults;
mod shields;
mod tested;

//! What quantities read, print and refuse.

mod arithmetic;
mod reading;
mod refusals;
mod round_trips;

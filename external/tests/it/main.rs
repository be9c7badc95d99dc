//! Checks against the outside.

mod boxes;
mod check_bar;
mod control;
mod estimate;
mod hiss;
mod leads;
mod levels;
mod networks;
mod ngspice;
mod papers;
mod pickups;
mod power;
mod standards;
mod wires;

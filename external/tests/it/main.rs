//! Checks against the outside.

mod boxes;
mod chain;
mod check_bar;
mod circuits;
mod control;
mod cures;
mod estimate;
mod hiss;
mod leads;
mod levels;
mod mains;
mod mutated;
mod networks;
mod ngspice;
mod papers;
mod photo;
mod pickups;
mod power;
mod standards;
mod takes;
mod wires;

//! The engine from outside: closed forms, WAV of every kind, refusals, planted hum and faults, damaged files.

mod closed;
mod damaged;
mod faults;
mod hum;
mod kinds;
mod outputs;
mod recorded;
mod refused;
mod rigs;
mod states;

//! Devices on decks: a placement with overlaps priced, made legal, then good.

mod body;
mod descent;
mod insert;
mod moves;
mod polish;
mod room;
mod rows;
mod search;
mod slide;
mod spots;
mod state;
mod straight;
mod walk;
mod wishes;

pub(crate) use body::{Body, alone, covered};
pub(crate) use room::Rooms;
pub(crate) use search::{Found, search};
pub(crate) use spots::{at_home, in_rim};
pub(crate) use state::{State, mm};
pub(crate) use straight::straighten;

//! The one directed table of clearances per pair of classes.

use quantity::Length;

use super::BoxClass;
use crate::Limits;

/// How much room two boxes want between them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Clearance {
    /// At least so much; zero means that they may touch.
    AtLeast(Length),
    /// They may share room: cable bends aside, a corridor is only a wish.
    Free,
}

/// The room that a box of class `of` wants from a box of class `from`.
///
/// The table is directed: a service corridor wants to be clear of bodies, while a body wants nothing of
/// a corridor. A pair conflicts when either direction is broken.
pub fn clearance(of: BoxClass, from: BoxClass, limits: &Limits) -> Clearance {
    use BoxClass::{Behind, Bend, Body, Knobs, Plug, Rail, Riser, Service, Sheet};
    match (of, from) {
        // A plug wants room from every plug and from every body but its own (see `conflicts`).
        (Plug, Plug | Body | Knobs | Behind) => Clearance::AtLeast(limits.plug_clearance),
        // Solid things may touch, never share room. Cable leaving a plug needs its bend free of solid
        // things, but cables may pass each other. A hand must reach a service port.
        (Body | Knobs | Behind, Body | Knobs | Behind)
        | (Body | Knobs | Plug | Behind, Riser | Rail | Sheet)
        | (Bend, Body | Knobs | Plug | Behind | Riser | Rail | Sheet)
        | (Service, Body | Knobs | Plug | Behind | Riser) => Clearance::AtLeast(Length::ZERO),
        _ => Clearance::Free,
    }
}

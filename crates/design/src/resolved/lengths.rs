//! Lengths as they go out.

use super::wire::Given;

/// A length in millimetres; a whole nanometre survives the way through the number.
pub(super) fn mm(length: quantity::Length) -> f64 {
    length.as_mm()
}

/// A length with its provenance, in millimetres.
pub(super) fn known_mm(length: rig::Known<quantity::Length>) -> Given<f64> {
    Given::of(length, mm)
}

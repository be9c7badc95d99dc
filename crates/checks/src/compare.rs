//! A figure against its two limits.

use finding::Severity;

/// What a sum of decimals may be off by, as a share of the limit: a few last digits of a double.
const ROUNDING: f64 = 1e-12;

/// Whether a figure is above a limit by more than rounding.
pub(crate) fn above(found: f64, limit: f64) -> bool {
    limit + limit.abs() * ROUNDING < found
}

/// Whether a figure is below a limit by more than rounding.
pub(crate) fn below(found: f64, limit: f64) -> bool {
    found < limit - limit.abs() * ROUNDING
}

/// The severity of a figure that should be small, and the limit it passed.
pub(crate) fn too_much(found: f64, look: f64, stop: f64) -> Option<(Severity, f64)> {
    if above(found, stop) {
        Some((Severity::Stop, stop))
    } else {
        above(found, look).then_some((Severity::Look, look))
    }
}

/// The severity of a figure that should be large, and the limit it passed.
pub(crate) fn too_little(found: f64, look: f64, stop: f64) -> Option<(Severity, f64)> {
    if below(found, stop) {
        Some((Severity::Stop, stop))
    } else {
        below(found, look).then_some((Severity::Look, look))
    }
}

/// The same for things that compare exactly.
pub(crate) fn too_near<T: Ord + Copy>(found: T, look: T, stop: T) -> Option<(Severity, T)> {
    if found < stop { Some((Severity::Stop, stop)) } else { (found < look).then_some((Severity::Look, look)) }
}

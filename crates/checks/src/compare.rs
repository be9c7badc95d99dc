//! A figure against its two limits, and how exactly figures of each kind are known.
//!
//! A *look* asks somebody to look at a figure with a tape, a scale or a meter. When it passes its limit by less than
//! those can tell, there is nothing to see, so it is not told. A *stop* is exact: touching boxes are counted in
//! whole nanometres, and what must not happen must not happen by a hair either.

use finding::Severity;
use quantity::{Decibels, Grams, Hertz, Length, Milliamps, Ohms, Ratio, Seconds, Volts, Watts};

/// What a sum of decimals may be off by, as a share of the limit: a few last digits of a double.
const ROUNDING: f64 = 1e-12;

/// Where a length comes from, which says how exactly it is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Basis {
    /// Read from a tape or a drawing.
    Measured,
    /// Resting on a value that nobody measured.
    Assumed,
}

impl Basis {
    /// Assumed as soon as anything it rests on is.
    pub(crate) fn of<T>(assumed: &[T]) -> Self {
        if assumed.is_empty() { Self::Measured } else { Self::Assumed }
    }
}

/// A quantity that is compared with limits: how near to a limit it cannot be told from it.
///
/// Each is half of the last digit that findings print, which is the last that the usual meter shows
/// (common practice, no source).
pub(crate) trait Reading: Copy {
    /// The number that is compared.
    fn number(self) -> f64;
    /// Half a digit at this limit, in the same unit; never negative.
    fn tolerance(limit: f64) -> f64;
}

macro_rules! readings {
    ($($quantity:ty: $number:expr, $tolerance:expr;)*) => {$(
        impl Reading for $quantity {
            fn number(self) -> f64 {
                let number: fn($quantity) -> f64 = $number;
                number(self)
            }
            fn tolerance(limit: f64) -> f64 {
                let tolerance: fn(f64) -> f64 = $tolerance;
                tolerance(limit)
            }
        }
    )*};
}

readings! {
    // Levels are told to 0.1 dB.
    Decibels: Decibels::get, |_| 0.05;
    // A bench meter shows whole milliamps in the range of pedals.
    Milliamps: Milliamps::get, |_| 1.0;
    // It shows hundredths of a volt.
    Volts: Volts::get, |_| 0.01;
    // Watts are products of both, told to 0.1 W.
    Watts: Watts::get, |_| 0.05;
    // Parts are made and meters read to 1 % at best.
    Ohms: Ohms::get, |limit| limit.abs() * 0.01;
    // A luggage scale shows 0.1 kg.
    Grams: Grams::get, |_| 50.0;
    // Delays are told to 0.1 ms.
    Seconds: Seconds::get, |_| 0.05e-3;
    // Resonances are told in whole hertz.
    Hertz: Hertz::get, |_| 0.5;
    // Shares are told in whole per cent, small ones in tenths.
    Ratio: Ratio::get, |limit| if limit < 0.1 { 0.0005 } else { 0.005 };
}

/// Whether a figure is above a limit by more than rounding: for what must not be.
pub(crate) fn above(found: f64, limit: f64) -> bool {
    limit + limit.abs() * ROUNDING < found
}

/// Whether a figure is below a limit by more than rounding: for what must not be.
pub(crate) fn below(found: f64, limit: f64) -> bool {
    found < limit - limit.abs() * ROUNDING
}

/// Whether a figure is above a limit by as much as a meter can tell: for what is to be looked at.
pub(crate) fn over<Q: Reading>(found: Q, limit: Q) -> bool {
    let (found, limit) = (found.number(), limit.number());
    !below(found, limit + Q::tolerance(limit)) && above(found, limit)
}

/// Whether a figure is below a limit by as much as a meter can tell: for what is to be looked at.
pub(crate) fn under<Q: Reading>(found: Q, limit: Q) -> bool {
    let (found, limit) = (found.number(), limit.number());
    !above(found, limit - Q::tolerance(limit)) && below(found, limit)
}

/// The severity of a figure that should be small, and the limit it passed.
pub(crate) fn too_much<Q: Reading>(found: Q, look: Q, stop: Q) -> Option<(Severity, Q)> {
    if above(found.number(), stop.number()) {
        Some((Severity::Stop, stop))
    } else {
        over(found, look).then_some((Severity::Look, look))
    }
}

/// The severity of a figure that should be large, and the limit it passed.
pub(crate) fn too_little<Q: Reading>(found: Q, look: Q, stop: Q) -> Option<(Severity, Q)> {
    if below(found.number(), stop.number()) {
        Some((Severity::Stop, stop))
    } else {
        under(found, look).then_some((Severity::Look, look))
    }
}

/// How near to its limit a length cannot be told from it.
pub(crate) fn tape(basis: Basis) -> Length {
    rig::geometry::tape(basis == Basis::Assumed)
}

/// Whether a length falls below a limit by as much as a tape can tell: for what is to be looked at.
pub(crate) fn shorter(found: Length, limit: Length, basis: Basis) -> bool {
    found <= limit - tape(basis)
}

/// Whether a length passes a limit by as much as a tape can tell: for what is to be looked at.
pub(crate) fn longer(found: Length, limit: Length, basis: Basis) -> bool {
    limit + tape(basis) <= found
}

/// The severity of room that is too little: a stop below its limit by a nanometre, a look by what a tape tells.
pub(crate) fn too_near(
    found: Length,
    look: Length,
    stop: Length,
    basis: Basis,
) -> Option<(Severity, Length)> {
    if found < stop {
        Some((Severity::Stop, stop))
    } else {
        shorter(found, look, basis).then_some((Severity::Look, look))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Found, look, stop, and what is said of a figure that should be small.
    #[test]
    fn what_a_meter_cannot_tell_is_no_look() {
        let db = Decibels::of;
        for (found, said) in [
            (0.5, None),
            (0.507, None),
            (0.549, None),
            (0.55, Some(Severity::Look)),
            (0.6, Some(Severity::Look)),
            (1.0, Some(Severity::Look)),
            // A stop is not softened.
            (1.001, Some(Severity::Stop)),
        ] {
            assert_eq!(too_much(db(found), db(0.5), db(1.0)).map(|(s, _)| s), said, "{found} dB");
        }
        for (found, said) in [(400.0, false), (400.9, false), (401.0, true)] {
            assert_eq!(over(Milliamps::of(found), Milliamps::of(400.0)), said, "{found} mA");
        }
        for (found, said) in [(500e3, false), (496e3, false), (495e3, true), (470e3, true)] {
            assert_eq!(under(Ohms::of(found), Ohms::of(500e3)), said, "{found} ohms");
        }
    }

    #[test]
    fn what_a_tape_cannot_tell_is_no_look() {
        let um = |micrometres: i64| Length::from_nm(micrometres * 1000);
        for (found, basis, said) in [
            (16_000, Basis::Measured, None),
            (15_900, Basis::Measured, None),
            (15_501, Basis::Measured, None),
            (15_500, Basis::Measured, Some(Severity::Look)),
            (15_500, Basis::Assumed, None),
            (15_000, Basis::Assumed, Some(Severity::Look)),
            (8_000, Basis::Measured, Some(Severity::Look)),
            (7_999, Basis::Measured, Some(Severity::Stop)),
            (7_999, Basis::Assumed, Some(Severity::Stop)),
        ] {
            let said_is = too_near(um(found), um(16_000), um(8_000), basis).map(|(severity, _)| severity);
            assert_eq!(said_is, said, "{found} µm, {basis:?}");
        }
    }
}

//! Whether levels count, and what is taken as the same where they do not.

use crate::number::float;

/// Where a level that is not known is taken as the same, in hertz.
const LEVEL_HZ: (f64, f64) = (150.0, 300.0);

/// Whether a difference in level counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Level {
    /// It does: nothing that is on has a gain of its own.
    Counts,
    /// It does not: a device with a gain of its own is on, so that 150 to 300 Hz is taken as right.
    Free,
}

/// By how much a curve is shifted where its level does not count.
pub(crate) fn shift(level: Level, hertz: &[f64], measured: &[f64], expected: &[f64]) -> f64 {
    if level == Level::Counts {
        return 0.0;
    }
    let pairs = hertz.iter().zip(measured.iter().zip(expected));
    let (sum, count) = pairs
        .filter(|(hertz, _)| (LEVEL_HZ.0..=LEVEL_HZ.1).contains(*hertz))
        .fold((0.0, 0), |(sum, count), (_, (a, b))| (sum + b - a, count + 1));
    if count == 0 { 0.0 } else { sum / float(count) }
}

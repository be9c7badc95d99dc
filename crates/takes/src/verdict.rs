//! Measured beside expected, band by band.

use signal::grid::frequencies;

use crate::expected::Expected;
use crate::level::{Level, shift};
use crate::number::float;
use crate::refusal::Refusal;

/// Edges of the bands in hertz: bass, middle, presence, treble, air. Common practice, no source.
pub const EDGES_HZ: [f64; 6] = [20.0, 200.0, 1_000.0, 3_000.0, 6_000.0, 20_000.0];

/// How far a measurement may be from what is expected, over the band that parts allow, in dB. Common practice, no source.
pub const ALLOWED_DB: f64 = 0.5;

/// The same within a third of an octave, where a mean over a band hides what stands out. Common practice, no source.
pub const ALLOWED_NARROW_DB: f64 = 1.0;

/// Points of the grid in a third of an octave.
const THIRD: usize = 8;

/// A recording of the board within this of the straight lead everywhere is another one of the lead, in dB. Common practice, no
/// source.
const TWICE_DB: f64 = 0.1;

/// Where that is looked at, in hertz.
const TWICE_HZ: (f64, f64) = (40.0, 16_000.0);

/// One band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// From this frequency, in hertz.
    pub from_hz: f64,
    /// To this one.
    pub to_hz: f64,
    /// Mean of what was measured against the straight lead, in dB.
    pub measured_db: f64,
    /// Mean of what is expected, in dB.
    pub expected_db: f64,
    /// How far the two may be apart, in dB.
    pub allowed_db: f64,
    /// A third of an octave within it that is further off than a third may be.
    pub narrow: Option<Narrow>,
}

/// A third of an octave that stands out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Narrow {
    /// Its middle, in hertz.
    pub hertz: f64,
    /// How much more was measured than expected, in dB.
    pub off_db: f64,
    /// How far the two may be apart there, in dB.
    pub allowed_db: f64,
}

impl Band {
    /// How much more was measured than expected.
    pub fn off_db(&self) -> f64 {
        self.measured_db - self.expected_db
    }

    /// Whether it is as expected.
    pub fn passes(&self) -> bool {
        self.off_db().abs() <= self.allowed_db && self.narrow.is_none()
    }
}

/// Judges what was measured, at the frequencies of the grid.
pub fn bands(measured: &[f64], expected: &Expected, level: Level) -> Vec<Band> {
    let hertz = frequencies();
    let shift = shift(level, &hertz, measured, &expected.change_db);
    EDGES_HZ
        .windows(2)
        .map(|edges| {
            let own: Vec<usize> =
                (0..hertz.len()).filter(|k| edges[0] <= hertz[*k] && hertz[*k] <= edges[1]).collect();
            let mean_of = |own: &[usize], of: &dyn Fn(usize) -> f64| {
                own.iter().map(|k| of(*k)).sum::<f64>() / float(own.len().max(1))
            };
            let mean = |of: &dyn Fn(usize) -> f64| mean_of(&own, of);
            let third = |third: &[usize]| Narrow {
                hertz: third.get(third.len() / 2).map_or(0.0, |k| hertz[*k]),
                off_db: mean_of(third, &|k| measured[k] + shift - expected.change_db[k]),
                allowed_db: ALLOWED_NARROW_DB + mean_of(third, &|k| expected.band_db[k]),
            };
            let over = |one: &Narrow| one.off_db.abs() - one.allowed_db;
            let worst = own.windows(THIRD).map(third).max_by(|a, b| over(a).total_cmp(&over(b)));
            Band {
                from_hz: edges[0],
                to_hz: edges[1],
                measured_db: mean(&|k| measured[k] + shift),
                expected_db: mean(&|k| expected.change_db[k]),
                allowed_db: ALLOWED_DB + mean(&|k| expected.band_db[k]),
                narrow: worst.filter(|worst| 0.0 < over(worst)),
            }
        })
        .collect()
}

/// Whether recordings were mixed up: what was measured is what is expected, but upside down, or both are of the straight lead.
///
/// # Errors
/// When they were.
pub fn not_mixed_up(measured: &[f64], expected: &Expected, level: Level) -> Result<(), Refusal> {
    let passes = |values: &[f64]| bands(values, expected, level).iter().all(Band::passes);
    if passes(measured) {
        return Ok(());
    }
    let hertz = frequencies();
    let middle = measured.iter().zip(&hertz).filter(|(_, hertz)| (TWICE_HZ.0..=TWICE_HZ.1).contains(*hertz));
    if middle.map(|(db, _)| db.abs()).fold(0.0, f64::max) < TWICE_DB {
        return Err(Refusal::Twice { within_db: TWICE_DB });
    }
    let upside_down: Vec<f64> = measured.iter().map(|db| -db).collect();
    if !passes(&upside_down) {
        return Ok(());
    }
    let why = "as given, the straight lead does what the circuit makes one expect of the board, and the board does not";
    Err(Refusal::Swapped { why: why.to_owned() })
}

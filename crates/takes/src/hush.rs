//! Noise while nothing is played.

use signal::noise::a_weighting;

use crate::number::{db, float};
use crate::spectrum::density;

/// The band that noise is summed over, in hertz, as AES17 has it. `[src:AES-17]`
pub const BAND_HZ: (usize, usize) = (20, 20_000);

/// Noise in dBFS: 0 dB is the level of a sine that just reaches full scale. `[src:AES-17]`
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Noise {
    /// From 20 Hz to 20 kHz, not weighted.
    pub flat_db: f64,
    /// A-weighted. `[src:IEC-61672-1]`
    pub weighted_db: f64,
}

/// The noise of a silence, of at least one second.
pub fn noise(silence: &[f64], rate: u32) -> Noise {
    let bins = density(silence, rate);
    let band = bins.iter().enumerate().take(BAND_HZ.1 + 1).skip(BAND_HZ.0);
    let (mut flat, mut weighted) = (0.0, 0.0);
    for (hertz, power) in band {
        let weight = a_weighting(float(hertz));
        flat += power;
        weighted += power * weight * weight;
    }
    // A sine of full scale has half its square as power.
    Noise { flat_db: db(2.0 * flat), weighted_db: db(2.0 * weighted) }
}

/// Level of a tone in dBFS, and all else from 20 Hz to 20 kHz against it in dB (distortion and noise).
pub(crate) fn tone(piece: &[f64], rate: u32, hertz: f64) -> (f64, f64) {
    let bins = density(piece, rate);
    let is_tone = |at: usize| (float(at) - hertz).abs() <= 3.0;
    let sum = |own: bool| -> f64 {
        let band = bins.iter().enumerate().take(BAND_HZ.1 + 1).skip(BAND_HZ.0);
        band.filter(|(at, _)| is_tone(*at) == own).map(|(_, power)| power).sum()
    };
    let (own, rest) = (sum(true), sum(false));
    (db(2.0 * own), db(rest) - db(own))
}

//! From what was recorded of the sweep to what the way does: the linear response, and each order of distortion apart.
//!
//! The recording is divided by the sweep as the recorder's clock has seen it. What is linear then stands at zero, and the
//! n-th order L·ln n earlier, so that a window parts them. `[src:FARINA-2000]`

use realfft::num_complex::Complex64;
use signal::Complex;

use crate::find::Found;
use crate::number::{float, whole};
use crate::signals::{GROWTH, PEAK, SWEEP, SWEEP_HZ, sweep, sweep_at, sweep_seconds};
use crate::spectrum::{fast_length, forward, inverse};

/// Seconds of the linear response that are looked at, before and after its beginning. A response that is cut off at 10 Hz rings as long.
const LINEAR: (f64, f64) = (0.35, 0.6);

/// The same of an order of distortion, as far as its neighbours allow.
const ORDER: (f64, f64) = (0.03, 0.16);

/// The highest order that is looked at.
pub(crate) const HIGHEST: usize = 5;

/// What is behind a recorded sweep.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Responses {
    /// Linear response at 0, 1, 2 … Hz, of what was played.
    pub(crate) linear: Vec<Complex>,
    /// For the orders 2 to [`HIGHEST`]: response at 0, 1, 2 … Hz of what comes out.
    pub(crate) orders: Vec<Vec<Complex>>,
}

/// The spectrum of the sweep on one recorder's clock, and where in the recording it is held against.
pub(crate) struct Played {
    first: usize,
    length: usize,
    rate: f64,
    drift: f64,
    /// One over the sweep's spectrum within its band, zero outside.
    over: Vec<Complex64>,
}

impl Played {
    pub(crate) fn new(rate: u32, found: &Found) -> Self {
        let at = found.sample(rate, SWEEP);
        let rate = f64::from(rate);
        let first = whole(at.floor());
        let late = at - float(first);
        let count = whole(sweep_seconds() * rate * (1.0 + found.drift)) + 2;
        // Half a second for the tail; what comes before the beginning stands at the end.
        let length = fast_length(count + whole((LINEAR.1 + 0.1) * rate));
        let bins = forward(&on_clock(rate * (1.0 + found.drift), late, count), length);
        let most = bins.iter().map(Complex64::norm_sqr).fold(0.0, f64::max);
        let over = bins
            .iter()
            .enumerate()
            .map(|(k, bin)| {
                let hertz = float(k) * rate / float(length);
                bin.conj() * within(hertz) / (bin.norm_sqr() + most * 1e-9)
            })
            .collect();
        Self { first, length, rate, drift: found.drift, over }
    }

    /// What lies between the sweep and a channel.
    pub(crate) fn responses(&self, channel: &[f64]) -> Responses {
        let piece = channel.get(self.first..).unwrap_or_default();
        let bins = forward(&piece[..piece.len().min(self.length)], self.length)
            .iter()
            .zip(&self.over)
            .map(|(value, over)| value * over)
            .collect();
        let impulse = inverse(bins, self.length);
        let linear = self.windowed(&impulse, 0.0, LINEAR);
        let orders = (2..=HIGHEST)
            .map(|order| {
                let earlier = -GROWTH * (1.0 + self.drift) * libm::log(float(order));
                self.windowed(&impulse, earlier, ORDER)
            })
            .collect();
        Responses { linear, orders }
    }

    /// A piece of the impulse response with soft ends, as a spectrum with a bin for each hertz, from the piece's own zero.
    fn windowed(&self, impulse: &[f64], zero: f64, (before, after): (f64, f64)) -> Vec<Complex> {
        let length = whole(self.rate) & !1;
        let centre = zero * self.rate;
        let nearest = centre.round();
        let turned = self.length - whole(-nearest);
        let mut piece = vec![0.0; length];
        let (back, on) = (whole(before * self.rate), whole(after * self.rate));
        let (rise, fall) = (float(back) * 0.7, float(on) * 0.4);
        for n in 0..back + on {
            // Held in place with what comes before zero at the end.
            let from_zero = (n + length - back) % length;
            let soft = |share: f64| 0.5 - 0.5 * libm::cos(std::f64::consts::PI * share.min(1.0));
            let weight = soft(float(n) / rise) * soft(float(back + on - n) / fall);
            piece[from_zero] = weight * impulse[(turned + n + self.length - back) % self.length];
        }
        let late = (centre - nearest) / self.rate;
        let bins = forward(&piece, length);
        bins.iter()
            .enumerate()
            .map(|(k, bin)| {
                // The zero that lies between samples is turned to.
                let (s, c) = libm::sincos(std::f64::consts::TAU * float(k) * late);
                let value = bin * Complex64::new(c, s);
                Complex::new(value.re, value.im)
            })
            .collect()
    }
}

/// The share of a frequency that counts: all of it from 12 Hz to 20.6 kHz, nothing beyond the sweep.
fn within(hertz: f64) -> f64 {
    let soft = |share: f64| 0.5 - 0.5 * libm::cos(std::f64::consts::PI * share.clamp(0.0, 1.0));
    soft((hertz - 8.0) / 4.0) * soft((SWEEP_HZ.1 + 300.0 - hertz) / 700.0)
}

/// The sweep in samples at `rate`, beginning `late` samples after the first.
///
/// The exponential grows by a factor from sample to sample and is set right every thousand; most of the time of reading
/// goes into this.
fn on_clock(rate: f64, late: f64, count: usize) -> Vec<f64> {
    let factor = libm::exp(1.0 / (rate * GROWTH));
    let (from, to) = (sweep_at(14.0), sweep_at(20_400.0));
    let mut out = Vec::with_capacity(count);
    let mut grown = 1.0;
    for n in 0..count {
        let t = (float(n) - late) / rate;
        if n % 1000 == 0 {
            grown = libm::exp(t / GROWTH);
        }
        if from < t && t < to {
            let cycles = SWEEP_HZ.0 * GROWTH * (grown - 1.0);
            out.push(PEAK * libm::sin(std::f64::consts::TAU * (cycles - cycles.floor())));
        } else {
            out.push(sweep(t));
        }
        grown *= factor;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_fast_sweep_is_the_sweep() {
        let fast = on_clock(48_000.0, 0.3, 470_000);
        let far = |(n, value): (usize, &f64)| (value - sweep((float(n) - 0.3) / 48_000.0)).abs();
        let worst = fast.iter().enumerate().map(far).fold(0.0, f64::max);
        assert!(worst < 1e-7, "{worst}");
    }
}

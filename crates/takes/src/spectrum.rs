//! Transforms, windows and densities.

use realfft::RealFftPlanner;
use realfft::num_complex::Complex64;

use crate::number::float;

/// The least length of at least `least` that is a product of twos, threes and fives, and even: what transforms fast.
pub(crate) fn fast_length(least: usize) -> usize {
    let mut best = least.next_power_of_two().max(2);
    let mut fives = 1;
    while fives < best {
        let mut threes = fives;
        while threes < best {
            let mut length = threes * 2;
            while length < least {
                length *= 2;
            }
            best = best.min(length);
            threes *= 3;
        }
        fives *= 5;
    }
    best
}

/// The spectrum of a signal filled up with zeros to a length: bins 0 to half of it.
pub(crate) fn forward(values: &[f64], length: usize) -> Vec<Complex64> {
    let plan = RealFftPlanner::<f64>::new().plan_fft_forward(length);
    let mut input = plan.make_input_vec();
    let count = values.len().min(length);
    input[..count].copy_from_slice(&values[..count]);
    let mut out = plan.make_output_vec();
    // The lengths are the plan's own, which is all that can be wrong.
    let done = plan.process(&mut input, &mut out);
    debug_assert!(done.is_ok());
    out
}

/// The signal of a spectrum, of that even length.
pub(crate) fn inverse(mut bins: Vec<Complex64>, length: usize) -> Vec<f64> {
    let plan = RealFftPlanner::<f64>::new().plan_fft_inverse(length);
    bins.resize(length / 2 + 1, Complex64::default());
    // The first and the last bin of a real signal are real.
    bins[0].im = 0.0;
    bins[length / 2].im = 0.0;
    let mut out = plan.make_output_vec();
    let done = plan.process(&mut bins, &mut out);
    debug_assert!(done.is_ok());
    let over = 1.0 / float(length);
    for value in &mut out {
        *value *= over;
    }
    out
}

/// A window as the sum of a few cosines, in its periodic form.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window(&'static [f64]);

/// Hann's: for densities.
pub const HANN: Window = Window(&[0.5, 0.5]);

/// Of Blackman and Harris, four terms: for lines, since nothing leaks beyond four bins. `[src:HARRIS-1978]`
pub const BLACKMAN_HARRIS: Window = Window(&[0.358_75, 0.488_29, 0.141_28, 0.011_68]);

impl Window {
    /// Its values over a length.
    pub fn values(self, length: usize) -> Vec<f64> {
        let at = |n: usize| {
            let angle = std::f64::consts::TAU * float(n) / float(length);
            let term = |(k, a): (usize, &f64)| {
                let sign = if k % 2 == 0 { 1.0 } else { -1.0 };
                sign * a * libm::cos(angle * float(k))
            };
            self.0.iter().enumerate().map(term).sum()
        };
        (0..length).map(at).collect()
    }

    /// The mean of its values, and how many bins wide noise sees it.
    pub fn constants(self, length: usize) -> (f64, f64) {
        let values = self.values(length);
        let sum: f64 = values.iter().sum();
        let squares: f64 = values.iter().map(|value| value * value).sum();
        (sum / float(length), float(length) * squares / (sum * sum))
    }
}

/// The power in each bin of one hertz, of full scale 1: mean over pieces of a second that overlap by half (Welch).
pub(crate) fn density(values: &[f64], rate: u32) -> Vec<f64> {
    let length = usize::try_from(rate).unwrap_or(usize::MAX) & !1;
    let window = HANN.values(length);
    let (gain, bins) = HANN.constants(length);
    let scale = 2.0 / (bins * gain * gain * float(length) * f64::from(rate));
    let mut out = vec![0.0; length / 2 + 1];
    let mut pieces = 0.0;
    let mut from = 0;
    while from + length <= values.len() {
        let piece: Vec<f64> =
            values[from..from + length].iter().zip(&window).map(|(value, weight)| value * weight).collect();
        for (out, bin) in out.iter_mut().zip(forward(&piece, length)) {
            *out += scale * bin.norm_sqr();
        }
        pieces += 1.0;
        from += length / 2;
    }
    if 0.0 < pieces {
        for value in &mut out {
            *value /= pieces;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_the_next_that_transform_fast() {
        assert_eq!(fast_length(1000), 1000);
        assert_eq!(fast_length(1001), 1024);
        assert_eq!(fast_length(1025), 1080);
        assert_eq!(fast_length(1), 2);
        assert_eq!(fast_length(7), 8);
    }

    #[test]
    fn there_and_back_is_the_same_signal() {
        let signal: Vec<f64> = (0..60).map(|n| libm::sin(float(n) * 0.7) + 0.2).collect();
        let back = inverse(forward(&signal, 60), 60);
        assert!(signal.iter().zip(&back).all(|(a, b)| (a - b).abs() < 1e-12));
    }
}

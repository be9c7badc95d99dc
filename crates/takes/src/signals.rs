//! What is played through a board: two marks to find the rest by, a pulse for each side, an exponential sweep, two tones
//! and silence, one after the other.
//!
//! Every signal is a function of time, so that it can be made at any rate and on a clock that runs fast or slow: a
//! recording is compared with the sweep as *its* clock has seen it, and no sample is ever moved.

use std::f64::consts::{PI, TAU};

use crate::number::{float, whole};

/// Largest value of every signal, of full scale 1: −6 dB. Common practice, no source.
pub const PEAK: f64 = 0.5;

/// Where the sweep begins and ends, in hertz: an octave below 20 Hz, and as far above 20 kHz as 44.1 kHz allows, so that
/// its fades lie outside of what is judged.
pub const SWEEP_HZ: (f64, f64) = (10.0, 21_000.0);

/// L of the sweep sin(2π·f1·L·(e^(t/L) − 1)), in seconds: in L the frequency grows by e. `[src:FARINA-2000]`
///
/// f1·L is a whole number, so that each order of distortion is the sweep itself, earlier by L·ln n. `[src:NOVAK-2015]`
pub const GROWTH: f64 = 1.3;

/// Hertz of the two tones. 997 Hz shares no factor with the usual rates, so that no two cycles meet the same samples.
/// `[src:AES-17]`
pub const TONES_HZ: (f64, f64) = (997.0, 101.0);

/// One part of the signals.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// A short chirp; the first and the last signal.
    Mark,
    /// A single positive half wave, on the left first and then on the right.
    Pulse,
    /// The exponential sweep.
    Sweep,
    /// A tone of [`TONES_HZ`].
    Tone,
    /// Nothing.
    Silence,
}

/// Which outputs of the interface play.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// The left, or first.
    Left,
    /// The right, or second.
    Right,
}

/// Starts of all parts in seconds.
pub(crate) const FIRST_MARK: f64 = 0.5;
pub(crate) const PULSES: (f64, f64) = (1.25, 1.75);
pub(crate) const SWEEP: f64 = 2.5;
pub(crate) const TONES: (f64, f64) = (13.5, 16.0);
pub(crate) const TONE_SECONDS: (f64, f64) = (2.0, 1.0);
pub(crate) const SILENCE: f64 = 17.25;
pub(crate) const SILENCE_SECONDS: f64 = 4.75;
pub(crate) const LAST_MARK: f64 = 22.0;
pub(crate) const MARK_SECONDS: f64 = 0.25;
const PULSE_SECONDS: f64 = 500e-6;

/// How long everything is, in seconds.
pub const SECONDS: f64 = 23.0;

/// The chirp of a mark runs from the first to the second, in hertz: what every pickup lead, pedal and interface passes.
const MARK_HZ: (f64, f64) = (300.0, 4_000.0);

/// How long the sweep is, in seconds.
pub(crate) fn sweep_seconds() -> f64 {
    GROWTH * libm::log(SWEEP_HZ.1 / SWEEP_HZ.0)
}

/// When the sweep passes a frequency, in seconds from its start.
pub(crate) fn sweep_at(hertz: f64) -> f64 {
    GROWTH * libm::log(hertz / SWEEP_HZ.0)
}

/// Rises from 0 to 1 and falls again at both ends of a signal, as half waves of a cosine.
fn fade(t: f64, long: f64, (rise, fall): (f64, f64)) -> f64 {
    let half = |share: f64| 0.5 - 0.5 * libm::cos(PI * share.clamp(0.0, 1.0));
    half(t / rise) * half((long - t) / fall)
}

/// The sweep at a time from its start in seconds.
pub(crate) fn sweep(t: f64) -> f64 {
    let long = sweep_seconds();
    if t <= 0.0 || long <= t {
        return 0.0;
    }
    // It is full from 14 Hz to 20.4 kHz.
    let fades = (sweep_at(14.0), long - sweep_at(20_400.0));
    let cycles = SWEEP_HZ.0 * GROWTH * libm::expm1(t / GROWTH);
    PEAK * fade(t, long, fades) * libm::sin(TAU * cycles)
}

/// A mark at a time from its start in seconds.
pub(crate) fn mark(t: f64) -> f64 {
    if t <= 0.0 || MARK_SECONDS <= t {
        return 0.0;
    }
    let growth = MARK_SECONDS / libm::log(MARK_HZ.1 / MARK_HZ.0);
    let cycles = MARK_HZ.0 * growth * libm::expm1(t / growth);
    PEAK * fade(t, MARK_SECONDS, (0.03, 0.02)) * libm::sin(TAU * cycles)
}

/// A pulse at a time from its start in seconds: a raised cosine.
pub(crate) fn pulse(t: f64) -> f64 {
    if t <= 0.0 || PULSE_SECONDS <= t { 0.0 } else { PEAK * (0.5 - 0.5 * libm::cos(TAU * t / PULSE_SECONDS)) }
}

fn tone(t: f64, hertz: f64, long: f64) -> f64 {
    if t <= 0.0 || long <= t { 0.0 } else { PEAK * fade(t, long, (0.02, 0.02)) * libm::sin(TAU * hertz * t) }
}

/// What one side plays at a time in seconds; of full scale 1.
fn value(t: f64, side: Side) -> f64 {
    let own = if side == Side::Left { PULSES.0 } else { PULSES.1 };
    mark(t - FIRST_MARK)
        + pulse(t - own)
        + sweep(t - SWEEP)
        + tone(t - TONES.0, TONES_HZ.0, TONE_SECONDS.0)
        + tone(t - TONES.1, TONES_HZ.1, TONE_SECONDS.1)
        + mark(t - LAST_MARK)
}

/// Everything that one side plays, at a rate in hertz.
pub fn played(rate: u32, side: Side) -> Vec<f64> {
    let rate = f64::from(rate);
    (0..whole(SECONDS * rate)).map(|at| value(float(at) / rate, side)).collect()
}

/// One part alone, at a rate in hertz, with a tenth of a second before and after it: for the meter and the scope.
pub fn alone(rate: u32, part: Part, side: Side) -> Vec<f64> {
    let own = if side == Side::Left { PULSES.0 } else { PULSES.1 };
    let (from, to) = match part {
        Part::Mark => (FIRST_MARK, FIRST_MARK + MARK_SECONDS),
        Part::Pulse => (own, own + PULSE_SECONDS),
        Part::Sweep => (SWEEP, SWEEP + sweep_seconds()),
        Part::Tone => (TONES.0, TONES.1 + TONE_SECONDS.1),
        Part::Silence => (SILENCE, SILENCE + SILENCE_SECONDS - 0.3),
    };
    let rate = f64::from(rate);
    let count = whole((to - from + 0.2) * rate);
    (0..count).map(|at| value(from - 0.1 + float(at) / rate, side)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sweep_has_whole_cycles_in_the_time_in_which_it_grows_by_e() {
        let cycles = SWEEP_HZ.0 * GROWTH;
        assert!((cycles - cycles.round()).abs() < 1e-9);
        // 10 Hz to 21 kHz is a factor of 2100.
        assert!((sweep_seconds() - 1.3 * libm::log(2100.0)).abs() < 1e-9);
    }

    #[test]
    fn each_order_is_the_sweep_itself_but_earlier() {
        // sin(n·phase(t)) = sin(phase(t + L·ln n)) where f1·L is whole.
        let phase = |t: f64| TAU * SWEEP_HZ.0 * GROWTH * libm::expm1(t / GROWTH);
        for order in [2.0, 3.0, 4.0, 5.0] {
            for t in [0.5, 2.0, 4.0] {
                let earlier = libm::sin(phase(t + GROWTH * libm::log(order)));
                assert!((libm::sin(order * phase(t)) - earlier).abs() < 1e-6, "{order} at {t}");
            }
        }
    }

    #[test]
    fn nothing_is_played_louder_than_stated_and_the_pulse_is_positive() {
        let left = played(44_100, Side::Left);
        assert!(left.iter().all(|value| value.abs() <= PEAK + 1e-9));
        let pulse = alone(48_000, Part::Pulse, Side::Right);
        assert!(pulse.iter().all(|value| 0.0 <= *value) && pulse.iter().any(|value| 0.45 < *value));
        assert!(alone(48_000, Part::Silence, Side::Left).iter().all(|value| value.abs() <= 0.0));
    }
}

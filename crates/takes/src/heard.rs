//! One recording read: found, judged fit for use, and measured channel by channel.

use rayon::prelude::*;

use crate::deconvolve::{Played, Responses};
use crate::find::{Found, find};
use crate::hum::{Hum, hum};
use crate::hush::{BAND_HZ, Noise, noise, tone};
use crate::number::{db, float, whole};
use crate::refusal::Refusal;
use crate::signals::{LAST_MARK, PULSES, SECONDS, SILENCE, TONE_SECONDS, TONES, TONES_HZ, pulse};
use crate::spectrum::density;
use crate::wav::Recording;

/// The tone must stand this far over the noise, in dB; what comes nearer measures the noise. Common practice, no source.
const OVER_NOISE: f64 = 20.0;

/// The tone must stand as high, in dBFS. Common practice, no source.
const LEAST: f64 = -70.0;

/// Full scale, less what the last bit of 16 is off. Common practice, no source.
const FULL: f64 = 0.999_9;

/// Samples in a row at full scale that are no chance. Common practice, no source.
const IN_A_ROW: usize = 3;

/// Which of the played sides a channel has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Has {
    /// What the left output played.
    Left,
    /// What the right output played.
    Right,
    /// Both.
    Both,
    /// Neither pulse stands out of the noise.
    Neither,
}

/// What one channel says.
#[derive(Debug, Clone, PartialEq)]
pub struct Channel {
    /// Its place in the file, from 0.
    pub number: usize,
    /// Which side it has.
    pub has: Has,
    /// Level of the tone of 997 Hz in dBFS.
    pub tone_db: f64,
    /// Distortion and noise against that tone, from 20 Hz to 20 kHz, in dB.
    pub rest_db: f64,
    /// Noise while nothing is played.
    pub noise: Noise,
    /// What hums while nothing is played.
    pub hum: Hum,
    /// The silence bin by bin of one hertz, from 0 Hz, in dBFS.
    pub silence_db: Vec<f64>,
    pub(crate) responses: Responses,
}

/// A recording, found and measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Heard {
    /// Samples in a second.
    pub rate: u32,
    /// Bits of a sample.
    pub bits: u16,
    /// How long the recording is, in seconds.
    pub seconds: f64,
    /// Where the signals stand.
    pub found: Found,
    /// Its channels; those without anything of the signals are left out.
    pub channels: Vec<Channel>,
    /// Places of the channels that were left out, from 0.
    pub silent: Vec<usize>,
    /// A few samples that tell whether two files are one recording.
    print: Vec<u64>,
}

/// Reads a recording of the signals.
///
/// # Errors
/// When it cannot be used, with what to do.
pub fn hear(recording: &Recording) -> Result<Heard, Refusal> {
    let found = find(recording)?;
    let rate = recording.rate;
    let seconds = recording.seconds();
    let end = found.sample(rate, LAST_MARK + 0.2) / f64::from(rate);
    if seconds < end {
        return Err(Refusal::Ends { missing: SECONDS - LAST_MARK + end - seconds });
    }
    if let Some(refusal) = recording.channels.iter().find_map(|channel| clipped(channel, rate)) {
        return Err(refusal);
    }
    let levels: Vec<(f64, f64)> =
        recording.channels.iter().map(|channel| level(channel, rate, &found)).collect();
    let is_there = |(tone, noise): (f64, f64)| LEAST <= tone && OVER_NOISE <= tone - noise;
    if !levels.iter().copied().any(is_there) {
        let best = levels.iter().copied().max_by(|a, b| (a.0 - a.1).total_cmp(&(b.0 - b.1)));
        let (level_db, noise_db) = best.unwrap_or((-200.0, 0.0));
        return Err(Refusal::Quiet { level_db, over_noise_db: level_db - noise_db, least_db: OVER_NOISE });
    }
    let (used, silent): (Vec<usize>, Vec<usize>) = (0..levels.len()).partition(|at| is_there(levels[*at]));
    let played = Played::new(rate, &found);
    let channels: Vec<Channel> =
        used.par_iter().map(|at| measure(*at, &recording.channels[*at], rate, &found, &played)).collect();
    if let [first, second] = channels.as_slice()
        && (first.has, second.has) == (Has::Right, Has::Left)
    {
        return Err(Refusal::Sides);
    }
    let first = recording.channels.first();
    let print = first.into_iter().flatten().step_by(997).map(|value| value.to_bits()).collect();
    Ok(Heard { rate, bits: recording.bits, seconds, found, channels, silent, print })
}

impl Heard {
    /// Whether another one is the same recording.
    pub(crate) fn is(&self, other: &Self) -> bool {
        self.rate == other.rate && self.print == other.print
    }
}

fn level(channel: &[f64], rate: u32, found: &Found) -> (f64, f64) {
    let (from, to) = (TONES.0 + 0.3, TONES.0 + TONE_SECONDS.0 - 0.2);
    let (tone_db, _) = tone(found.part(rate, channel, from, to), rate, TONES_HZ.0);
    (tone_db, noise(silence(channel, rate, found), rate).flat_db)
}

/// The part in which nothing is played, without the tail of the last tone.
fn silence<'a>(channel: &'a [f64], rate: u32, found: &Found) -> &'a [f64] {
    let all = found.part(rate, channel, SILENCE + 0.35, LAST_MARK - 0.2);
    &all[..all.len().min(4 * usize::try_from(rate).unwrap_or(0))]
}

fn measure(number: usize, channel: &[f64], rate: u32, found: &Found, played: &Played) -> Channel {
    let quiet = silence(channel, rate, found);
    let (from, to) = (TONES.0 + 0.3, TONES.0 + TONE_SECONDS.0 - 0.2);
    let (tone_db, rest_db) = tone(found.part(rate, channel, from, to), rate, TONES_HZ.0);
    Channel {
        number,
        has: has(channel, rate, found),
        tone_db,
        rest_db,
        noise: noise(quiet, rate),
        hum: hum(quiet, rate),
        silence_db: density(quiet, rate).iter().take(BAND_HZ.1 + 1).map(|power| db(2.0 * power)).collect(),
        responses: played.responses(channel),
    }
}

/// Whether the input was overdriven: samples in a row at one and the same end of the scale.
fn clipped(channel: &[f64], rate: u32) -> Option<Refusal> {
    let (mut count, mut first, mut row) = (0, 0, 0);
    let mut last = 0.0;
    for (at, value) in channel.iter().enumerate() {
        let is_same = (value - last).abs() <= 0.0;
        row = if value.abs() < FULL {
            0
        } else if is_same {
            row + 1
        } else {
            1
        };
        if row == IN_A_ROW {
            if count == 0 {
                first = at;
            }
            count += 1;
        }
        last = *value;
    }
    (0 < count).then(|| Refusal::Clipped { count, seconds: float(first) / f64::from(rate) })
}

/// Which of the two pulses a channel has.
fn has(channel: &[f64], rate: u32, found: &Found) -> Has {
    let (left, right) = (met(channel, rate, found, PULSES.0), met(channel, rate, found, PULSES.1));
    // Between pulses and sweep nothing is played.
    let nothing = met(channel, rate, found, 2.3);
    let is_there = |value: f64, other: f64| 12.0 < db(value / nothing) && -10.0 < db(value / other);
    match (is_there(left, right), is_there(right, left)) {
        (true, true) => Has::Both,
        (true, false) => Has::Left,
        (false, true) => Has::Right,
        (false, false) => Has::Neither,
    }
}

/// How much of a pulse there is about a time of the signals, as a power; hum takes no part in it.
fn met(channel: &[f64], rate: u32, found: &Found, seconds: f64) -> f64 {
    let per = f64::from(rate);
    let long = whole(0.0005 * per);
    let shape: Vec<f64> = (0..long).map(|n| pulse(float(n) / per)).collect();
    // Twice the difference with what stands half a millisecond on: slow waves cancel.
    let weight = |n: isize| -> f64 {
        let at = |n: isize| usize::try_from(n).ok().and_then(|n| shape.get(n)).copied().unwrap_or(0.0);
        let step = isize::try_from(long).unwrap_or(0);
        2.0 * at(n - step) - at(n) - at(n - 2 * step)
    };
    let pattern: Vec<f64> = (0..3 * long).map(|n| weight(isize::try_from(n).unwrap_or(0))).collect();
    let piece = found.part(rate, channel, seconds - 0.03, seconds + 0.05);
    let mut most = 0.0_f64;
    for at in (0..piece.len().saturating_sub(pattern.len())).step_by((long / 8).max(1)) {
        let sum: f64 = piece[at..].iter().zip(&pattern).map(|(value, weight)| value * weight).sum();
        most = most.max(sum * sum);
    }
    most + 1e-12
}

//! Where the signals begin in a recording, and how fast its clock runs: by the two marks, which every linear circuit delays
//! alike, so that their distance is that of the clocks alone.

use realfft::num_complex::Complex64;

use crate::number::{float, top, whole};
use crate::refusal::Refusal;
use crate::signals::{FIRST_MARK, LAST_MARK, MARK_SECONDS, SECONDS, mark};
use crate::spectrum::{forward, inverse};
use crate::wav::Recording;

/// How much of a mark must be found again, as the coefficient of correlation: noise alone stays below 0.1 in as long
/// a recording, a mark through a filter of 12 dB per octave within its band keeps over 0.5. Common practice, no source.
const LEAST: f64 = 0.25;

/// How far clocks may be apart, as a share. Quartz clocks keep 100 ppm. Common practice, no source.
const DRIFT: f64 = 600e-6;

/// A recording without anything above this is silent, in dBFS. Common practice, no source.
const SILENT: f64 = 3e-5;

/// Where the signals stand in a recording.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Found {
    /// Their beginning in samples of the recording; not whole.
    pub start: f64,
    /// How much faster the clock of the recorder runs than that of the player, as a share.
    pub drift: f64,
}

impl Found {
    /// The sample at which a time of the signals was recorded.
    pub(crate) fn sample(&self, rate: u32, seconds: f64) -> f64 {
        self.start + seconds * f64::from(rate) * (1.0 + self.drift)
    }

    /// What was recorded from one time of the signals to another.
    pub(crate) fn part<'a>(&self, rate: u32, channel: &'a [f64], from: f64, to: f64) -> &'a [f64] {
        let at = |seconds: f64| whole(self.sample(rate, seconds)).min(channel.len());
        &channel[at(from)..at(to)]
    }
}

/// How well a mark is met at each place, −1 to 1, of a channel that was thinned out.
struct Met {
    rate: f64,
    every: usize,
    at: Vec<f64>,
}

/// Finds the signals by the channel that has them loudest.
pub(crate) fn find(recording: &Recording) -> Result<Found, Refusal> {
    let peak = |channel: &Vec<f64>| channel.iter().fold(0.0_f64, |most, value| most.max(value.abs()));
    let peaks: Vec<f64> = recording.channels.iter().map(peak).collect();
    let loudest = peaks.iter().copied().fold(0.0, f64::max);
    if loudest < SILENT {
        return Err(Refusal::Silent { peak_db: 20.0 * libm::log10(loudest.max(1e-10)) });
    }
    let mut best: Option<(f64, Refusal)> = None;
    for channel in recording.channels.iter().zip(&peaks).filter(|(_, peak)| SILENT <= **peak).map(|one| one.0)
    {
        match in_channel(channel, recording) {
            Ok(found) => return Ok(found),
            Err(refusal) => {
                let weight = if refusal == Refusal::NotThere { 0.0 } else { 1.0 };
                if best.as_ref().is_none_or(|(other, _)| *other < weight) {
                    best = Some((weight, refusal));
                }
            }
        }
    }
    Err(best.map_or(Refusal::NotThere, |(_, refusal)| refusal))
}

fn in_channel(channel: &[f64], recording: &Recording) -> Result<Found, Refusal> {
    let rate = f64::from(recording.rate);
    let met = met(channel, rate, 1.0);
    if let Some((first, last, sign)) = pair(&met, 1.0) {
        let fine = |at: usize| refine(channel, rate, at * met.every, met.every, sign);
        let (first, last) = (fine(first), fine(last));
        let drift = (last - first) / ((LAST_MARK - FIRST_MARK) * rate) - 1.0;
        let found = Found { start: first - FIRST_MARK * rate * (1.0 + drift), drift };
        let missing = -found.start / rate;
        // Half a second of silence comes first, which nobody misses.
        return if FIRST_MARK <= missing { Err(Refusal::Begins { missing }) } else { Ok(found) };
    }
    for (likely, factor) in other_rates(recording.rate) {
        let has_room = (LAST_MARK - FIRST_MARK) * factor < recording.seconds();
        if has_room && pair(&self::met(channel, rate, factor), factor).is_some() {
            let share = 100.0 * (factor - 1.0);
            let word = if 0.0 < share { "slow" } else { "fast" };
            let by = format!("{:.1} % {word}", share.abs());
            return Err(Refusal::Rate { by, stated: recording.rate, likely });
        }
    }
    Err(lone(&met, channel, recording))
}

/// One mark alone: the other lies outside of the recording.
fn lone(met: &Met, channel: &[f64], recording: &Recording) -> Refusal {
    let seconds = recording.seconds();
    let best = met.at.iter().enumerate().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    let Some((at, _)) = best.filter(|(_, value)| LEAST < value.abs()) else {
        return if seconds < SECONDS - 1.0 { Refusal::Short { seconds } } else { Refusal::NotThere };
    };
    let at = float(at) / met.rate;
    // Before the last mark stand a tone and then silence; after the first there is more to come.
    let size = |from: f64, to: f64| {
        let sample = |seconds: f64| whole(seconds * f64::from(recording.rate)).min(channel.len());
        let part = &channel[sample(at + from)..sample(at + to)];
        (part.iter().map(|value| value * value).sum::<f64>() / float(part.len().max(1))).sqrt()
    };
    let is_last = if at < 6.0 { seconds - at < 1.3 } else { 5.0 * size(-4.0, -0.5) < size(-8.0, -6.6) };
    let (missing_before, missing_after) = (LAST_MARK - at, at + (SECONDS - FIRST_MARK) - seconds);
    match is_last {
        true if FIRST_MARK < missing_before => Refusal::Begins { missing: missing_before },
        false if FIRST_MARK < missing_after => Refusal::Ends { missing: missing_after },
        _ => Refusal::NotThere,
    }
}

/// Rates that a file may really have been made at, with how many of its samples then make one that it should have.
fn other_rates(stated: u32) -> Vec<(u32, f64)> {
    [44_100, 48_000, 88_200, 96_000]
        .into_iter()
        .filter(|rate| *rate != stated)
        .map(|rate| (rate, f64::from(stated) / f64::from(rate)))
        .filter(|(_, factor)| (0.4..2.5).contains(factor))
        .map(|(rate, factor)| (rate, 1.0 / factor))
        .collect()
}

/// A channel against the mark, played `slower` times as slowly.
fn met(channel: &[f64], rate: f64, slower: f64) -> Met {
    let every = whole((rate / 11_000.0).floor()).max(1);
    let thin_rate = rate / float(every);
    let thin: Vec<f64> =
        channel.chunks(every).map(|group| group.iter().sum::<f64>() / float(every)).collect();
    // Differences, so that hum weighs little.
    let sharpen = |values: &[f64]| -> Vec<f64> { values.windows(2).map(|pair| pair[1] - pair[0]).collect() };
    let thin = sharpen(&thin);
    let long = whole(MARK_SECONDS * slower * thin_rate);
    let template: Vec<f64> = (0..long).map(|n| mark(float(n) / thin_rate / slower)).collect();
    let template = sharpen(&template);
    let own: f64 = template.iter().map(|value| value * value).sum();
    let block = 1 << 15;
    let step = block - template.len();
    let pattern = forward(&template, block);
    let mut at = Vec::with_capacity(thin.len());
    let mut from = 0;
    while from < thin.len() {
        let piece = &thin[from..(from + block).min(thin.len())];
        let bins: Vec<Complex64> =
            forward(piece, block).iter().zip(&pattern).map(|(value, mark)| value * mark.conj()).collect();
        let correlation = inverse(bins, block);
        let count = step.min(thin.len() - from);
        at.extend_from_slice(&correlation[..count]);
        from += step;
    }
    // The energy that stands beside the mark.
    let mut sums = Vec::with_capacity(thin.len() + 1);
    let mut sum = 0.0;
    sums.push(sum);
    for value in &thin {
        sum += value * value;
        sums.push(sum);
    }
    let floor = sum / float(thin.len().max(1)) * float(template.len()) * 1e-9 + f64::MIN_POSITIVE;
    for (n, value) in at.iter_mut().enumerate() {
        let energy = sums[(n + template.len()).min(thin.len())] - sums[n];
        *value /= (own * energy.max(floor)).sqrt();
    }
    Met { rate: thin_rate, every, at }
}

/// Two places at the marks' distance that both meet the mark, and with which sign.
///
/// Through a resonance a mark is met nearly as well upside down half a wave beside: each sign is looked at by itself, so that both
/// marks are met at the same half wave.
fn pair(met: &Met, slower: f64) -> Option<(usize, usize, f64)> {
    let apart = (LAST_MARK - FIRST_MARK) * slower * met.rate;
    let within = whole(apart * DRIFT) + 2;
    let mut best: Option<(f64, (usize, usize, f64))> = None;
    for sign in [1.0, -1.0] {
        let at = |n: usize| sign * met.at[n];
        let peaks: Vec<usize> = (0..met.at.len())
            .filter(|n| {
                LEAST < at(*n)
                    && (n.saturating_sub(4)..(n + 5).min(met.at.len())).all(|other| at(other) <= at(*n))
            })
            .collect();
        for first in &peaks {
            let middle = first + whole(apart);
            let from = peaks.partition_point(|peak| *peak + within < middle);
            for last in peaks[from..].iter().take_while(|peak| **peak <= middle + within) {
                let weight = at(*first).min(at(*last));
                if best.is_none_or(|(most, _)| most < weight) {
                    best = Some((weight, (*first, *last, sign)));
                }
            }
        }
    }
    best.map(|(_, found)| found)
}

/// The place of a mark to a fraction of a sample.
fn refine(channel: &[f64], rate: f64, near: usize, within: usize, sign: f64) -> f64 {
    let long = whole(MARK_SECONDS * rate);
    let template: Vec<f64> = (0..long).map(|n| mark(float(n) / rate)).collect();
    let first = near.saturating_sub(2 * within + 2);
    let value = |at: usize| -> f64 {
        let piece = channel.get(at..).unwrap_or_default();
        piece.iter().zip(&template).map(|(a, b)| a * b).sum::<f64>()
    };
    let values: Vec<f64> = (first..=near + 2 * within + 2).map(value).collect();
    let at = |n: usize| sign * values[n];
    let best = (0..values.len()).max_by(|a, b| at(*a).total_cmp(&at(*b))).unwrap_or(0);
    let offset =
        if 0 < best && best + 1 < values.len() { top(at(best - 1), at(best), at(best + 1)) } else { 0.0 };
    float(first + best) + offset
}

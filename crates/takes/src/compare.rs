//! Two recordings side by side: the board against the straight lead.

use realfft::num_complex::Complex64;
use signal::Complex;
use signal::grid::frequencies;

use crate::deconvolve::HIGHEST;
use crate::heard::{Channel, Has, Heard};
use crate::number::{db, float, top, whole};
use crate::refusal::Refusal;
use crate::spectrum::inverse;

/// Frequencies of the played tone at which distortion is told, in hertz.
pub const DISTORTION_HZ: [usize; 2] = [200, 1_000];

/// What polarity and latency are found in, in hertz.
const VOICE_HZ: (f64, f64) = (80.0, 8_000.0);

/// A channel is the interface's own output when it is as flat, in dB from 50 Hz to 15 kHz. Common practice, no source.
const FLAT: f64 = 0.3;

/// Peaks of either sign as near in size tell no polarity, in dB. Common practice, no source.
const AS_LARGE: f64 = 1.0;

/// Without a channel that shows the interface's own delay, recordings that begin further apart were not started with the
/// player, in seconds. Common practice, no source.
const TOGETHER: f64 = 0.25;

/// What one output of the board does against the straight lead.
#[derive(Debug, Clone, PartialEq)]
pub struct Take {
    /// Which channel of the board's recording, from 0.
    pub channel: usize,
    /// Level against the straight lead in dB, at [`signal::grid::frequencies`].
    pub change_db: Vec<f64>,
    /// Whether it inverts; `None` where that does not show.
    pub inverts: Option<bool>,
    /// How much later it arrives than by the straight lead.
    pub latency: Option<Latency>,
    /// Noise over that of the straight lead in dB, not weighted and A-weighted.
    pub noise_over_db: (f64, f64),
    /// Distortion at the frequencies of [`DISTORTION_HZ`], each with its orders from 2.
    pub distortion: Vec<Vec<Order>>,
}

/// A delay.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Latency {
    /// In seconds; below zero is earlier.
    pub seconds: f64,
    /// Whether a channel of both recordings shows the interface's own delay. Without one it counts as long as recorder and
    /// player were started together.
    pub is_sure: bool,
}

/// One order of distortion, in dB against the tone itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Order {
    /// 2 for the octave.
    pub order: usize,
    /// Of the board.
    pub board_db: f64,
    /// Of the straight lead.
    pub reference_db: f64,
}

/// Compares a recording of the board with one of the straight lead, one take for each output of the board.
///
/// # Errors
/// When the two are one recording, or changed over.
pub fn compare(board: &Heard, reference: &Heard) -> Result<Vec<Take>, Refusal> {
    if board.is(reference) {
        return Err(Refusal::Same);
    }
    let (Some(straight), true) = (reference.channels.first(), !board.channels.is_empty()) else {
        return Err(Refusal::NotThere);
    };
    let own = [board, reference].map(own_output);
    let outputs: Vec<(usize, &Channel)> =
        board.channels.iter().enumerate().filter(|(at, _)| own != [Some(*at), Some(1)]).collect();
    Ok(outputs
        .into_iter()
        .map(|(at, channel)| {
            let crossed = cross(&channel.responses.linear, &straight.responses.linear);
            let between = match (own, board.channels.get(1), reference.channels.get(1)) {
                ([Some(_), Some(_)], Some(one), Some(other)) => {
                    Some(cross(&one.responses.linear, &other.responses.linear).0)
                }
                _ => None,
            };
            Take {
                channel: at,
                change_db: change(&channel.responses.linear, &straight.responses.linear),
                inverts: crossed.1,
                latency: latency(board, reference, crossed.0, between),
                noise_over_db: (
                    channel.noise.flat_db - straight.noise.flat_db,
                    channel.noise.weighted_db - straight.noise.weighted_db,
                ),
                distortion: DISTORTION_HZ.iter().map(|hertz| orders(channel, straight, *hertz)).collect(),
            }
        })
        .collect())
}

/// The second channel, where it is the right output led straight into an input.
fn own_output(heard: &Heard) -> Option<usize> {
    let second = heard.channels.get(1)?;
    let level = |hertz: f64| mean_power(&second.responses.linear, hertz);
    let middle = db(level(1_000.0));
    let flat = frequencies()
        .into_iter()
        .filter(|hertz| (50.0..=15_000.0).contains(hertz))
        .all(|hertz| (db(level(hertz)) - middle).abs() <= FLAT);
    (second.has == Has::Right && flat).then_some(1)
}

fn latency(board: &Heard, reference: &Heard, crossed: f64, between: Option<f64>) -> Option<Latency> {
    if let Some(between) = between {
        return Some(Latency { seconds: crossed - between, is_sure: true });
    }
    let began = |heard: &Heard| heard.found.start / f64::from(heard.rate);
    let seconds = crossed + began(board) - began(reference);
    (seconds.abs() < TOGETHER).then_some(Latency { seconds, is_sure: false })
}

/// Level at each frequency of the grid, of one response over another.
fn change(board: &[Complex], reference: &[Complex]) -> Vec<f64> {
    frequencies()
        .into_iter()
        .map(|hertz| db(mean_power(board, hertz)) - db(mean_power(reference, hertz)))
        .collect()
}

/// The mean power over a 24th of an octave about a frequency, or between two bins where these are further apart.
fn mean_power(bins: &[Complex], hertz: f64) -> f64 {
    let half = libm::exp2(1.0 / 48.0);
    let (from, to) = (hertz / half, hertz * half);
    let (first, last) = (whole(from.ceil()), whole(to.floor()));
    let at = |n: usize| bins.get(n).map_or(0.0, |value| value.square());
    if first + 2 < last {
        return (first..=last).map(at).sum::<f64>() / float(last - first + 1);
    }
    let below = hertz.floor();
    let share = hertz - below;
    (1.0 - share) * at(whole(below)) + share * at(whole(below) + 1)
}

/// How much later one response is than another in seconds, and whether it is inverted.
fn cross(one: &[Complex], other: &[Complex]) -> (f64, Option<bool>) {
    const LENGTH: usize = 1 << 17;
    let most = other.iter().map(|value| value.square()).fold(0.0, f64::max);
    let mut bins = vec![Complex64::default(); LENGTH / 2 + 1];
    for (at, bin) in bins.iter_mut().enumerate().take(whole(VOICE_HZ.1)).skip(whole(VOICE_HZ.0)) {
        let (Some(a), Some(b)) = (one.get(at), other.get(at)) else { break };
        // Soft at both ends, so that little rings.
        let share = libm::log(float(at) / VOICE_HZ.0) / libm::log(VOICE_HZ.1 / VOICE_HZ.0);
        let weight = libm::sin(std::f64::consts::PI * share) / (b.square() + 1e-6 * most);
        *bin = Complex64::new(weight * (a.re * b.re + a.im * b.im), weight * (a.im * b.re - a.re * b.im));
    }
    let values = inverse(bins, LENGTH);
    let at = |n: usize| values[n % LENGTH];
    let best = (0..LENGTH).max_by(|a, b| at(*a).abs().total_cmp(&at(*b).abs())).unwrap_or(0);
    let sign = at(best).signum();
    let offset = top(sign * at(best + LENGTH - 1), sign * at(best), sign * at(best + 1));
    let turned = if LENGTH / 2 < best { float(best) - float(LENGTH) } else { float(best) };
    let (highest, lowest) =
        values.iter().fold((0.0_f64, 0.0_f64), |(high, low), value| (high.max(*value), low.min(*value)));
    let apart = (db(highest * highest) - db(lowest * lowest)).abs();
    ((turned + offset) / float(LENGTH), (AS_LARGE <= apart).then_some(sign < 0.0))
}

fn orders(board: &Channel, reference: &Channel, hertz: usize) -> Vec<Order> {
    let level = |channel: &Channel, order: usize| {
        let out = mean_power(&channel.responses.orders[order - 2], float(order * hertz));
        db(out) - db(mean_power(&channel.responses.linear, float(hertz)))
    };
    (2..=HIGHEST)
        .map(|order| Order { order, board_db: level(board, order), reference_db: level(reference, order) })
        .collect()
}

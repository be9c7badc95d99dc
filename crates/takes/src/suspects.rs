//! What explains a difference between measured and expected, most likely first, and which recording would tell more.

use std::collections::BTreeSet;

use rayon::prelude::*;
use signal::grid::frequencies;
use signal::{Complex, Sweep, response};

use crate::expected::{Question, inverts, over};
use crate::fault::{Fault, all, elsewhere};
use crate::level::{Level, shift};
use crate::number::float;

/// How far measurement and a true circuit may be apart, in dB, beside what parts allow. Common practice, no source.
const SIGMA_DB: f64 = 0.15;

/// Neighbouring frequencies say much the same: so much each of them counts. Common practice, no source.
const COUNTS: f64 = 0.25;

/// What a polarity that does not fit counts, in nepers of likelihood. Common practice, no source.
const POLARITY: f64 = 10.0;

/// *Something else* is as likely as what leaves this much, in dB. Common practice, no source.
const SOMETHING_ELSE_DB: f64 = 0.5;

/// What a size that is fitted counts, in nepers: it makes any curve fit somewhat. Common practice, no source.
const FITTED: f64 = 1.5;

/// Curves this near are the same to any recording, in dB. Common practice, no source.
const SAME_DB: f64 = 0.15;

/// A recording tells two apart where they differ by as much, in dB. Common practice, no source.
const TOLD_APART_DB: f64 = 1.0;

/// Where measurement is held against the circuit, in hertz.
const FIT_HZ: (f64, f64) = (40.0, 16_000.0);

/// A gain that nobody stated is this or less in two of three devices, in dB. Common practice, no source.
const GAIN_DB: f64 = 8.0;

/// What is on has this gain or less in two of three recordings, in dB: a way that loses 60 dB is none with a gain. Common practice,
/// no source.
const ON_GAIN_DB: f64 = 15.0;

/// How many suspects are named.
const NAMED: usize = 5;

/// What was measured in one state at one output.
#[derive(Debug, Clone, PartialEq)]
pub struct Evidence {
    /// What is on.
    pub engaged: Vec<String>,
    /// The amp or desk that it was measured for.
    pub sink: String,
    /// Level against the straight lead in dB, at the frequencies of the grid.
    pub change_db: Vec<f64>,
    /// Whether it inverts, where that shows.
    pub inverts: Option<bool>,
    /// Whether its level counts.
    pub level: Level,
}

/// One explanation.
#[derive(Debug, Clone, PartialEq)]
pub struct Suspect {
    /// What would be wrong.
    pub fault: Fault,
    /// The same at other places, which these recordings cannot tell from it.
    pub or: Vec<Fault>,
    /// How likely it is among all, 0 to 1.
    pub share: f64,
    /// What it leaves unexplained, in dB rms.
    pub leaves_db: f64,
    /// The next recording that tells it from the next likely.
    pub next: Option<Next>,
}

/// A recording that was not made yet and tells two explanations apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Next {
    /// What to have on.
    pub engaged: Vec<String>,
    /// By how much the two then differ, in dB; `None` where it is the polarity that tells.
    pub apart_db: Option<f64>,
}

/// All explanations.
#[derive(Debug, Clone, PartialEq)]
pub struct Suspects {
    /// Most likely first.
    pub list: Vec<Suspect>,
    /// How likely it is that it is something else.
    pub something_else: f64,
    /// The difference to be explained, in dB rms.
    pub off_db: f64,
}

/// What a fault makes of each state.
struct Tried {
    fault: Fault,
    curves: Vec<Vec<f64>>,
    /// Whether each state inverts then.
    inverts: Vec<bool>,
    leaves: f64,
    weight: f64,
}

/// What is expected of each state.
struct Plain {
    curves: Vec<Vec<f64>>,
    inverts: Vec<bool>,
}

impl Plain {
    /// Whether a fault shows at all: what changes nothing explains nothing.
    fn shows(&self, tried: &Tried) -> bool {
        let moves = tried.curves.iter().zip(&self.curves).any(|(a, b)| 1e-3 < apart(a, b));
        moves || tried.inverts != self.inverts
    }
}

/// The measured curves at the frequencies of the fit.
struct Bench<'a> {
    /// The way of each piece of evidence.
    ways: Vec<Question<'a>>,
    /// What is on in each, loops included.
    on: Vec<Vec<String>>,
    sweep: Sweep,
    /// The straight lead into each input.
    straight: Vec<Vec<Complex>>,
    evidence: &'a [Evidence],
    measured: Vec<Vec<f64>>,
    band: Vec<Vec<f64>>,
}

/// Looks for what explains measurements of one or more states, at one or more outputs.
///
/// `None` where signal does not arrive in the circuit at all.
pub fn suspects(way: Question<'_>, evidence: &[Evidence]) -> Option<Suspects> {
    let grid = frequencies();
    // Six to the octave.
    let own: Vec<usize> =
        (0..grid.len()).filter(|k| k % 4 == 0 && (FIT_HZ.0..=FIT_HZ.1).contains(&grid[*k])).collect();
    let sweep = Sweep::new(own.iter().map(|k| grid[*k]).collect());
    let ways: Vec<Question<'_>> = evidence.iter().map(|one| Question { sink: &one.sink, ..way }).collect();
    let states = evidence.iter().map(|one| one.engaged.as_slice());
    let states: Vec<Vec<String>> = states.map(<[String]>::to_vec).collect();
    let on = on_in(&way, &states);
    let straight: Option<Vec<_>> = ways.iter().map(|way| way.straight(&sweep)).collect();
    let pick = |values: &[f64]| own.iter().map(|k| values.get(*k).copied().unwrap_or(0.0)).collect();
    let measured = evidence.iter().map(|one| pick(&one.change_db)).collect();
    // A fault may make a level hang on parts that it does not hang on by itself: they keep all of their room.
    let pairs = ways.iter().zip(evidence);
    let expected: Option<Vec<_>> =
        pairs.map(|(way, one)| way.expected_as(&one.engaged, &sweep, Level::Counts)).collect();
    let expected = expected?;
    let band = expected.iter().map(|one| one.band_db.clone()).collect();
    let bench = Bench { ways, on, sweep, straight: straight?, evidence, measured, band };
    let turned: Vec<bool> = expected.iter().map(|one| one.inverts).collect();
    let curves: Vec<Vec<f64>> = expected.into_iter().map(|one| one.change_db).collect();
    let off_db = bench.leaves(&curves, None).0;
    let plain = Plain { curves, inverts: turned };
    let states: Vec<&[String]> = bench.on.iter().map(Vec::as_slice).collect();
    let fit = |faults: Vec<Fault>| -> Vec<Tried> {
        faults.into_par_iter().filter_map(|fault| bench.fit(&fault, &plain)).collect()
    };
    let mut tried = fit(all(&way, &states));
    // A buffer that is elsewhere is missing where it should be: without that it explains nothing.
    let missing: BTreeSet<String> = tried
        .iter()
        .filter_map(|one| match &one.fault {
            Fault::NoBuffer { device } => Some(device.clone()),
            _ => None,
        })
        .collect();
    tried.extend(fit(elsewhere(&way, &missing)));
    tried.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    Some(bench.ranked(tried, off_db))
}

impl Bench<'_> {
    /// What curves leave of the measurement: rms in dB, and the logarithm of their likelihood.
    fn leaves(&self, curves: &[Vec<f64>], free: Option<Level>) -> (f64, f64) {
        let (mut squares, mut nepers, mut count) = (0.0, 0.0, 0.0);
        for (at, curve) in curves.iter().enumerate() {
            let measured = &self.measured[at];
            let level = free.unwrap_or(self.evidence[at].level);
            let shift = shift(level, &self.sweep.hertz, measured, curve);
            for ((measured, expected), band) in measured.iter().zip(curve).zip(&self.band[at]) {
                let off = measured + shift - expected;
                squares += off * off;
                // What parts allow moves the curve as a whole; a third of it counts as chance.
                nepers -= 0.5 * COUNTS * off * off / (SIGMA_DB * SIGMA_DB + band * band / 9.0);
                count += 1.0;
            }
        }
        ((squares / f64::max(count, 1.0)).sqrt(), nepers)
    }

    /// A fault with the size that fits best; `None` where it changes nothing.
    fn fit(&self, fault: &Fault, plain: &Plain) -> Option<Tried> {
        let sizes = fault.sizes();
        if sizes.is_empty() {
            return self.tried(fault.clone()).filter(|tried| plain.shows(tried));
        }
        let mut best = 0;
        let mut found: Vec<Option<Tried>> = sizes.iter().map(|size| self.tried(fault.sized(*size))).collect();
        let weight = |one: &Option<Tried>| one.as_ref().map_or(f64::NEG_INFINITY, |one| one.weight);
        for at in 1..found.len() {
            if weight(&found[best]) < weight(&found[at]) {
                best = at;
            }
        }
        let mut top = found.swap_remove(best)?;
        let (mut low, mut high) = (sizes[best.saturating_sub(1)], sizes[(best + 1).min(sizes.len() - 1)]);
        // By golden section between the neighbours of the best.
        let golden = 0.5 * (5.0_f64.sqrt() - 1.0);
        let between = |low: f64, high: f64, share: f64| {
            if fault.goes_by_factors() {
                low * libm::pow(high / low, share)
            } else {
                low + (high - low) * share
            }
        };
        let tried = |share: f64, low: f64, high: f64| {
            let size = between(low, high, share);
            (size, self.tried(fault.sized(size)))
        };
        let (mut left, mut right) = (tried(1.0 - golden, low, high), tried(golden, low, high));
        for _ in 0..11 {
            let worse = if weight(&left.1) < weight(&right.1) {
                low = left.0;
                let next = tried(golden, low, high);
                std::mem::replace(&mut left, std::mem::replace(&mut right, next))
            } else {
                high = right.0;
                let next = tried(1.0 - golden, low, high);
                std::mem::replace(&mut right, std::mem::replace(&mut left, next))
            };
            drop(worse);
        }
        for one in [left.1, right.1].into_iter().flatten() {
            if top.weight < one.weight {
                top = one;
            }
        }
        top.weight -= FITTED;
        plain.shows(&top).then_some(top)
    }

    fn tried(&self, fault: Fault) -> Option<Tried> {
        let mut curves = Vec::with_capacity(self.evidence.len());
        let mut turned = Vec::with_capacity(self.evidence.len());
        let mut polarity = 0.0;
        let mut is_met = false;
        for (at, one) in self.evidence.iter().enumerate() {
            let way = &self.ways[at];
            let circuit = match fault.applied(way, &self.on[at]) {
                Some(circuit) => {
                    is_met = true;
                    circuit
                }
                None => way.circuit(&self.on[at]),
            };
            let straight = self.straight_with(way, at, &fault)?;
            let mut curve = over(&response(&circuit, way.source, way.sink, &self.sweep)?, &straight);
            if let (Fault::Level { db }, Level::Counts) = (&fault, one.level) {
                for value in &mut curve {
                    *value += db;
                }
            }
            curves.push(curve);
            let is_turned = inverts(&circuit, way, &self.straight[at], &self.sweep);
            turned.push(is_turned);
            if one.inverts.is_some_and(|is_inverted| is_inverted != is_turned) {
                polarity += POLARITY;
            }
        }
        // A device that is on by mistake brings a gain that nobody knows.
        let free = matches!(&fault, Fault::Stays { name, is_in: true } if self.is_active(name));
        let (leaves, nepers) = self.leaves(&curves, free.then_some(Level::Free));
        let mut weight = nepers - polarity + libm::log(fault.odds()) - fault.seldom();
        if free {
            // That gain is fitted, and a large one is seldom.
            weight -= FITTED;
        }
        for ((one, measured), curve) in self.evidence.iter().zip(&self.measured).zip(&curves) {
            let usual = match one.level {
                Level::Counts if free => GAIN_DB,
                Level::Counts => continue,
                Level::Free => ON_GAIN_DB,
            };
            let gain = shift(Level::Free, &self.sweep.hertz, measured, curve) / usual;
            weight -= 0.5 * gain * gain;
        }
        is_met.then_some(Tried { fault, curves, inverts: turned, leaves, weight })
    }

    /// The straight lead into an input, with what a fault does to it.
    fn straight_with(&self, way: &Question<'_>, at: usize, fault: &Fault) -> Option<Vec<Complex>> {
        let farads = fault.in_straight(way.source);
        if 0.0 < farads.abs() {
            way.straight_with(farads, &self.sweep)
        } else {
            Some(self.straight[at].clone())
        }
    }

    fn is_active(&self, tag: &str) -> bool {
        let rig = self.ways.first().map(|way| way.input.rig);
        rig.and_then(|rig| rig.device(tag)).is_some_and(|device| !device.signal.passive)
    }

    /// Puts what cannot be told apart together, and says how likely each is.
    fn ranked(&self, tried: Vec<Tried>, off_db: f64) -> Suspects {
        let count: usize = self.measured.iter().map(Vec::len).sum();
        let else_share = SOMETHING_ELSE_DB / SIGMA_DB;
        let something_else = -0.5 * COUNTS * float(count) * else_share * else_share;
        let most = tried.first().map_or(something_else, |best| best.weight.max(something_else));
        let mut groups: Vec<(Tried, Vec<Fault>, f64)> = Vec::new();
        for one in tried {
            let own = libm::exp(one.weight - most);
            let same = groups.iter_mut().find(|(other, ..)| {
                other.fault.is_like(&one.fault)
                    && other.inverts == one.inverts
                    && other.curves.iter().zip(&one.curves).all(|(a, b)| apart(a, b) < SAME_DB)
            });
            match same {
                Some((_, or, share)) => {
                    or.push(one.fault);
                    *share += own;
                }
                None => groups.push((one, Vec::new(), own)),
            }
        }
        groups.sort_by(|a, b| b.2.total_cmp(&a.2));
        let rest = libm::exp(something_else - most);
        let sum = rest + groups.iter().map(|group| group.2).sum::<f64>();
        let faults: Vec<Fault> = groups.iter().take(2).map(|group| group.0.fault.clone()).collect();
        let list = groups
            .into_iter()
            .take(NAMED)
            .enumerate()
            .map(|(at, (tried, or, share))| {
                // The first is told from what it could as well be, the others from the first.
                let other = if at == 0 { or.first().or(faults.get(1)) } else { faults.first() };
                let next = other.and_then(|other| self.next(&tried.fault, other));
                Suspect { fault: tried.fault, or, share: share / sum, leaves_db: tried.leaves, next }
            })
            .collect();
        Suspects { list, something_else: rest / sum, off_db }
    }

    /// A state that was not recorded yet in which two faults differ, most in dB or else in polarity.
    fn next(&self, one: &Fault, other: &Fault) -> Option<Next> {
        let first = self.ways.first()?;
        let (input, config) = (first.input, first.config);
        let mut states: Vec<Vec<String>> = vec![Vec::new()];
        states.extend(input.rig.states.iter().map(|state| state.engaged.clone()));
        for evidence in self.evidence {
            for name in signal::switches(input, config) {
                let mut state = evidence.engaged.clone();
                match state.iter().position(|other| *other == name) {
                    Some(at) => {
                        state.remove(at);
                    }
                    None => state.push(name),
                }
                states.push(state);
            }
        }
        let can_be = signal::possible(input, config);
        states.retain(|state| can_be(state));
        let on = on_in(first, &states);
        let mut seen: BTreeSet<&Vec<String>> = self.on.iter().collect();
        let mut best: Option<(Vec<String>, f64)> = None;
        let mut turned: Option<Vec<String>> = None;
        for (state, on) in states.into_iter().zip(&on) {
            if !seen.insert(on) {
                continue;
            }
            let mut db = 0.0_f64;
            let mut is_turned = false;
            for (at, way) in self.ways.iter().enumerate() {
                // Each output once.
                if self.ways[..at].iter().any(|other| other.sink == way.sink) {
                    continue;
                }
                let seen = |fault: &Fault| {
                    let circuit = fault.applied(way, on).unwrap_or_else(|| way.circuit(on));
                    let straight = self.straight_with(way, at, fault)?;
                    let curve = over(&response(&circuit, way.source, way.sink, &self.sweep)?, &straight);
                    Some((curve, inverts(&circuit, way, &self.straight[at], &self.sweep)))
                };
                let (Some(a), Some(b)) = (seen(one), seen(other)) else { continue };
                let shift = shift(way.level(on), &self.sweep.hertz, &a.0, &b.0);
                let shifted: Vec<f64> = a.0.iter().map(|value| value + shift).collect();
                db = db.max(apart(&shifted, &b.0));
                is_turned |= a.1 != b.1;
            }
            if is_turned && turned.is_none() {
                turned = Some(state.clone());
            }
            if best.as_ref().is_none_or(|(_, most)| *most + 1e-6 < db) {
                best = Some((state, db));
            }
        }
        let loud = best.filter(|(_, db)| TOLD_APART_DB <= *db);
        let loud = loud.map(|(engaged, db)| Next { engaged, apart_db: Some(db) });
        // A polarity is seen without a ruler.
        turned.map(|engaged| Next { engaged, apart_db: None }).or(loud)
    }
}

/// What is on in states, loops included.
fn on_in(way: &Question<'_>, states: &[Vec<String>]) -> Vec<Vec<String>> {
    let mut out = signal::on_in_states(way.input, way.config, states.iter().map(Vec::as_slice));
    for (on, state) in out.iter_mut().zip(states) {
        // A device that does the same on and off is no switch of the network, but on.
        on.extend(state.iter().filter(|tag| way.input.rig.device(tag).is_some()).cloned());
        on.sort();
        on.dedup();
    }
    out
}

/// The largest distance of two curves in dB.
fn apart(one: &[f64], other: &[f64]) -> f64 {
    one.iter().zip(other).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

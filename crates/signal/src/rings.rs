//! Devices that feed each other in a ring, and how much stronger the sound comes round each time.

use std::collections::BTreeSet;

use crate::complex::Complex;
use crate::grid::frequencies;
use crate::input::Input;
use crate::level::decibels;
use crate::model::Model;
use crate::outcome::{Ring, is_howl};
use crate::section::Driver;
use crate::state::Answer;

/// Rings of one state that are followed at most, and steps of the search for them.
const MOST: usize = 64;
const MOST_STEPS: usize = 20_000;

/// What one stage hands on to others: their places, and how large it is there at each frequency.
type Onward = Vec<(usize, Vec<f64>)>;

/// The rings of stages that a source reaches in a state, from the answer with devices' largest gains.
pub(crate) fn rings(input: &Input<'_>, model: &Model, state: &str, answer: &Answer) -> Vec<Ring> {
    if !answer.feeds_back {
        return Vec::new();
    }
    let onward = onward(model, answer);
    let hertz = frequencies();
    let mut out: Vec<Ring> = Vec::new();
    for ring in found(&onward) {
        let gains = gains(&onward, &ring);
        let Some((at, gain)) = gains.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1)) else { continue };
        let mut devices: Vec<String> = Vec::new();
        for place in ring {
            if let (Driver::Stage(stage), _) = answer.sections[place] {
                let tag = &model.stage_at(stage.variant, stage.index).device;
                if !devices.contains(tag) {
                    devices.push(tag.clone());
                }
            }
        }
        let lacks = devices.iter().filter_map(|tag| input.rig.device(tag)).filter_map(|device| {
            let gain = input.rig.gain(device);
            (device.turns().is_none() && gain.value.is_unknown()).then_some(gain.field)
        });
        let lacks = lacks.collect::<BTreeSet<_>>().into_iter().collect();
        let gain_db = decibels(*gain);
        out.push(Ring { state: state.to_owned(), devices, gain_db, hertz: hertz[at], lacks });
    }
    out
}

/// Whether any ring of stages comes round as strong as it was sent, in an answer: no level in it means anything then.
pub(crate) fn howls(model: &Model, answer: &Answer) -> bool {
    if !answer.feeds_back {
        return false;
    }
    let onward = onward(model, answer);
    found(&onward).iter().any(|ring| {
        let gain = gains(&onward, ring).into_iter().fold(0.0, f64::max);
        is_howl(decibels(gain))
    })
}

/// The rings among stages, each by its places.
fn found(onward: &[Onward]) -> Vec<Vec<usize>> {
    let mut search = Search { onward, path: Vec::new(), found: Vec::new(), left: MOST_STEPS };
    for first in 0..onward.len() {
        search.path = vec![first];
        search.from(first);
    }
    search.found
}

/// Loop gain of a ring at each frequency.
fn gains(onward: &[Onward], ring: &[usize]) -> Vec<f64> {
    let mut gains: Vec<f64> = Vec::new();
    for (at, next) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        let Some((_, values)) = onward[*at].iter().find(|(to, _)| to == next) else { continue };
        gains.resize(values.len(), 1.0);
        for (gain, by) in gains.iter_mut().zip(values) {
            *gain *= by;
        }
    }
    gains
}

/// The loudest of the rings of the same devices.
pub(crate) fn loudest(rings: Vec<Ring>) -> Vec<Ring> {
    let mut out: Vec<Ring> = Vec::new();
    let among = |ring: &Ring| ring.devices.iter().cloned().collect::<BTreeSet<_>>();
    for ring in rings {
        match out.iter_mut().find(|other| among(other) == among(&ring)) {
            Some(other) if other.gain_db < ring.gain_db => *other = ring,
            Some(_) => {}
            None => out.push(ring),
        }
    }
    out
}

/// What each section's driver hands to the others.
fn onward(model: &Model, answer: &Answer) -> Vec<Onward> {
    let stage = |at: usize| match answer.sections[at].0 {
        Driver::Stage(stage) => Some(model.stage_at(stage.variant, stage.index)),
        Driver::Source(_) => None,
    };
    let handed = |from: usize, to: usize| -> Option<(usize, Vec<f64>)> {
        let (taker, links) = (stage(to)?, &answer.sections[from].1);
        let mut sum: Vec<Complex> = Vec::new();
        for input in &taker.inputs {
            let Some(link) = links.iter().find(|link| link.node == *input) else { continue };
            sum.resize(link.transfer.len(), Complex::ZERO);
            for (sum, value) in sum.iter_mut().zip(&link.transfer) {
                *sum = *sum + *value;
            }
        }
        let size: Vec<f64> = sum.iter().map(|value| value.size() * taker.gain.abs()).collect();
        size.iter().any(|size| 0.0 < *size).then_some((to, size))
    };
    let all = 0..answer.sections.len();
    all.clone()
        .map(|from| match stage(from) {
            Some(_) => all.clone().filter_map(|to| handed(from, to)).collect(),
            None => Vec::new(),
        })
        .collect()
}

/// A search for rings, each begun at its first place.
struct Search<'a> {
    onward: &'a [Onward],
    path: Vec<usize>,
    found: Vec<Vec<usize>>,
    left: usize,
}

impl Search<'_> {
    fn from(&mut self, first: usize) {
        let Some(at) = self.path.last().copied() else { return };
        for (to, _) in &self.onward[at] {
            self.left = self.left.saturating_sub(1);
            if self.left == 0 || MOST <= self.found.len() {
                return;
            }
            if *to == first {
                self.found.push(self.path.clone());
            } else if first < *to && !self.path.contains(to) {
                self.path.push(*to);
                self.from(first);
                self.path.pop();
            }
        }
    }
}

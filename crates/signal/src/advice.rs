//! The smallest set of places for a buffer that keeps the worst state within limits.
//!
//! Every set of one place is tried, then every set of two, and so on; the first size with a set that holds is the
//! smallest, and all sets of that size that hold are told. No place lies ahead of a device that wants the bare
//! pickup, and such devices count as off: they load the coil on purpose.

use std::collections::BTreeSet;

use rig::PortRef;

use crate::build::{self, Built};
use crate::contacts::Contacts;
use crate::budget::{Budget, WHOLE};
use crate::graph::Graph;
use crate::grid::{AT_1K, AT_4K, frequencies};
use crate::input::{BufferPlace, Config, End, Input};
use crate::ladder::Sweep;
use crate::model::Model;
use crate::outcome::{Advice, Alternative, Figures, Verdict};
use crate::resonance;
use crate::solve::{AMP_FROM, Reference, reference_load, sink_load, sparing};

/// Sets tried before the search gives up.
const MOST_TRIES: usize = 4000;

/// Alternatives told.
const MOST_TOLD: usize = 8;

/// A way with what it is held against.
struct Held {
    source: usize,
    sink: usize,
    is_amp: bool,
    reference: Reference,
}

pub(crate) fn advise(input: &Input<'_>, config: &Config) -> Advice {
    let built = build::build(input, config);
    let sweep = Sweep::new(frequencies());
    let held = held(input, config, &built, &sweep);
    let places = places(input, &built);
    let mut tried = 0;
    let mut figures = |set: &[BufferPlace]| {
        tried += 1;
        judge(input, config, &held, set, &sweep)
    };
    let before = figures(&[]);
    let holds = |figures: Figures| {
        figures.change_at_4k_db <= config.change_limit && figures.shift <= config.shift_limit
    };
    if holds(before) {
        return Advice { verdict: Verdict::Enough, before, tried, ..Advice::default() };
    }
    let mut advice = Advice { verdict: Verdict::NoneFound, before, ..Advice::default() };
    let mut count = 1;
    'sizes: for size in 1..=config.most_buffers.min(places.len()) {
        let mut set: Vec<usize> = (0..size).collect();
        let mut found: Vec<(Vec<BufferPlace>, Figures)> = Vec::new();
        loop {
            if MOST_TRIES <= count {
                advice.verdict = Verdict::CutShort;
                break 'sizes;
            }
            count += 1;
            let chosen: Vec<BufferPlace> = set.iter().map(|index| places[*index].clone()).collect();
            let after = figures(&chosen);
            if holds(after) {
                found.push((chosen, after));
            }
            if !next_set(&mut set, places.len()) {
                break;
            }
        }
        advice.size_tried = size;
        if !found.is_empty() {
            found.sort_by(|a, b| {
                a.1.change_at_4k_db.total_cmp(&b.1.change_at_4k_db).then_with(|| a.0.cmp(&b.0))
            });
            found.truncate(MOST_TOLD);
            advice.verdict = Verdict::Proven;
            advice.alternatives = found
                .into_iter()
                .map(|(places, after)| Alternative {
                    bands: bands(input, config, &held, &places, &sweep),
                    places,
                    after,
                })
                .collect();
            break;
        }
    }
    advice.tried = tried;
    advice
}

/// The next set of indices in order; false after the last.
fn next_set(set: &mut [usize], of: usize) -> bool {
    let size = set.len();
    for at in (0..size).rev() {
        if set[at] < of - (size - at) {
            set[at] += 1;
            for later in at + 1..size {
                set[later] = set[later - 1] + 1;
            }
            return true;
        }
    }
    false
}

/// A place in each signal lead: at its far end when it comes from a source, which is outside the board, else at
/// its near end. None ahead of a device that wants the bare pickup.
pub(crate) fn places(input: &Input<'_>, built: &Built) -> Vec<BufferPlace> {
    let bare = |port: &PortRef| {
        input.rig.device(&port.device).is_some_and(|device| device.signal.bare_pickup.value == Some(true))
    };
    Contacts::new(input.rig)
        .flows()
        .into_iter()
        .filter(|(_, _, to)| !downstream(built, to).iter().any(bare))
        .map(|(_, from, to)| {
            let at = if input.rig.source(&from.device).is_some() { End::To } else { End::From };
            BufferPlace { from: from.clone(), to: to.clone(), at }
        })
        .collect()
}

/// Every port that signal may reach from here.
fn downstream(built: &Built, from: &PortRef) -> BTreeSet<PortRef> {
    let mut seen = BTreeSet::from([from.clone()]);
    let mut open = vec![from.clone()];
    while let Some(port) = open.pop() {
        for hop in built.hops.iter().filter(|hop| hop.from == port) {
            if seen.insert(hop.to.clone()) {
                open.push(hop.to.clone());
            }
        }
    }
    seen
}

fn held(input: &Input<'_>, config: &Config, built: &Built, sweep: &Sweep) -> Vec<Held> {
    let probe = Sweep::new(vec![1000.0]);
    let mut out = Vec::new();
    for source in 0..built.model.sources.len() {
        for sink in 0..built.model.sinks.len() {
            if Graph::new(&built.model, source, sink, &probe, None, &Budget::new(WHOLE)).solve().arrives {
                let load = reference_load(&built.model, sink);
                let reference = Reference::new(input, config, &built.model.sources[source].id, load, sweep);
                let is_amp = sink_load(&built.model, sink).is_none_or(|ohms| AMP_FROM <= ohms);
                out.push(Held { source, sink, is_amp, reference });
            }
        }
    }
    out
}

fn with_buffers(input: &Input<'_>, config: &Config, set: &[BufferPlace]) -> Model {
    let mut input = input.clone();
    input.buffers.extend(set.iter().cloned());
    let built = build::build(&input, config);
    sparing(&input, &built).unwrap_or(built.model)
}

fn judge(input: &Input<'_>, config: &Config, held: &[Held], set: &[BufferPlace], sweep: &Sweep) -> Figures {
    let model = with_buffers(input, config, set);
    let points = Sweep::new(vec![1000.0, 4000.0]);
    let mut out = Figures::default();
    for way in held {
        let envelope = Graph::new(&model, way.source, way.sink, &points, Some((0, 1)), &Budget::new(WHOLE)).solve();
        let at = |k: usize| way.reference.db.get(k).copied().unwrap_or(0.0);
        let changes: Vec<f64> = if way.is_amp {
            [&envelope.upper[1], &envelope.lower[1]].map(|extreme| extreme.db - at(AT_4K)).into()
        } else {
            let tone = at(AT_4K) - at(AT_1K);
            envelope.difference.iter().flatten().map(|extreme| extreme.db - tone).collect()
        };
        for change in changes {
            out.change_at_4k_db = out.change_at_4k_db.max(change.abs());
        }
    }
    if config.change_limit < out.change_at_4k_db && !set.is_empty() {
        // It fails already; the shift need not be known.
        return out;
    }
    for way in held {
        let Some(base) = way.reference.peak else { continue };
        let budget = Budget::new(WHOLE);
        let graph = Graph::new(&model, way.source, way.sink, sweep, None, &budget);
        for variant in resonance::variants(&model, &graph, sweep, &budget) {
            let shift = variant.hertz.map_or(f64::INFINITY, |hertz| (hertz / base - 1.0).abs());
            out.shift = out.shift.max(shift);
        }
    }
    out
}

fn bands(
    input: &Input<'_>,
    config: &Config,
    held: &[Held],
    set: &[BufferPlace],
    sweep: &Sweep,
) -> Vec<(Vec<f64>, Vec<f64>)> {
    let model = with_buffers(input, config, set);
    held.iter()
        .map(|way| {
            let envelope = Graph::new(&model, way.source, way.sink, sweep, None, &Budget::new(WHOLE)).solve();
            let db =
                |extremes: &[crate::envelope::Extreme]| extremes.iter().map(|extreme| extreme.db).collect();
            (db(&envelope.upper), db(&envelope.lower))
        })
        .collect()
}

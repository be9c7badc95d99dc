//! Branches of one source: parity of inversions, difference of delay, and what a feed misses.

use std::collections::BTreeSet;

use finding::Field;
use rig::{Bypass, PortRef, Rig, State};

use crate::build::Built;
use crate::outcome::Branches;
use crate::solve::EVERYTHING_OFF;
use crate::timing::first_notch;

/// Ways are counted no further than this for one source and sink; more is beyond what anyone builds.
const MOST_WAYS: usize = 64;

/// The devices that signal passes on one way, in order, that are on in the state.
type Passed = Vec<String>;

/// Steps of the search for ways, over all sources, sinks and states; beyond them fewer ways are compared.
const MOST_STEPS: usize = 200_000;

/// Compares every two branches of each source in every named state but the one with everything off.
pub(crate) fn in_states(rig: &Rig, built: &Built, named: &[(State, Vec<u8>)]) -> Vec<Branches> {
    let mut left = MOST_STEPS;
    named
        .iter()
        .filter(|(state, _)| state.name != EVERYTHING_OFF)
        .flat_map(|(state, _)| compare(rig, built, &state.name, &state.engaged, &mut left))
        .collect()
}

fn compare(rig: &Rig, built: &Built, name: &str, engaged: &[String], left: &mut usize) -> Vec<Branches> {
    let mut out = Vec::new();
    let on = |tag: &str| {
        engaged.iter().any(|other| other == tag)
            || rig.device(tag).is_some_and(|device| device.signal.bypass.value == Some(Bypass::AlwaysOn))
    };
    let loop_in = |name: &str| {
        engaged.iter().any(|other| other == name)
            || built.inside.get(name).is_some_and(|tags| tags.iter().any(|tag| engaged.contains(tag)))
    };
    for source in &built.model.sources {
        let mut ways: Vec<(String, Passed)> = Vec::new();
        for sink in &built.model.sinks {
            let mut found = Vec::new();
            let starts: Vec<PortRef> = built
                .hops
                .iter()
                .map(|hop| &hop.from)
                .filter(|port| port.device == source.id)
                .cloned()
                .collect();
            for start in starts.into_iter().collect::<BTreeSet<_>>() {
                let mut seen = BTreeSet::from([start.clone()]);
                walk(built, &start, &sink.id, &on, &loop_in, &mut seen, &mut Vec::new(), &mut found, left);
            }
            ways.extend(found.into_iter().map(|passed| (sink.id.clone(), passed)));
        }
        for (index, a) in ways.iter().enumerate() {
            for b in &ways[index + 1..] {
                out.push(pair(rig, name, &source.id, a, b));
            }
        }
    }
    out
}

#[expect(clippy::too_many_arguments, reason = "one step of a recursion")]
fn walk(
    built: &Built,
    at: &PortRef,
    sink: &str,
    on: &dyn Fn(&str) -> bool,
    loop_in: &dyn Fn(&str) -> bool,
    seen: &mut BTreeSet<PortRef>,
    passed: &mut Passed,
    found: &mut Vec<Passed>,
    left: &mut usize,
) {
    *left = left.saturating_sub(1);
    if at.device == sink {
        found.push(passed.clone());
        return;
    }
    for hop in built.hops.iter().filter(|hop| hop.from == *at) {
        if MOST_WAYS <= found.len()
            || *left == 0
            || hop.needs.as_ref().is_some_and(|name| !loop_in(name))
            || hop.past.iter().any(|name| loop_in(name))
            || !seen.insert(hop.to.clone())
        {
            continue;
        }
        let length = passed.len();
        if let Some(tag) = hop.device.as_ref().filter(|tag| on(tag) && !passed.contains(tag)) {
            passed.push(tag.clone());
        }
        walk(built, &hop.to, sink, on, loop_in, seen, passed, found, left);
        passed.truncate(length);
        seen.remove(&hop.to);
    }
}

fn pair(rig: &Rig, state: &str, source: &str, a: &(String, Passed), b: &(String, Passed)) -> Branches {
    let own = |passed: &Passed, other: &Passed| -> Vec<String> {
        passed.iter().filter(|tag| !other.contains(tag)).cloned().collect()
    };
    let only = [own(&a.1, &b.1), own(&b.1, &a.1)];
    let mut lacks = BTreeSet::new();
    let inversions = [&only[0], &only[1]].map(|tags| {
        tags.iter().try_fold(0, |sum, tag| {
            let device = rig.device(tag)?;
            if device.signal.passive && device.signal.inverts.is_unknown() {
                return Some(sum);
            }
            if device.signal.inverts.is_unknown() {
                lacks.insert(Field::device(tag, "signal.inverts"));
            }
            Some(sum + u32::from(device.signal.inverts.value?))
        })
    });
    let delays = [&only[0], &only[1]].map(|tags| {
        tags.iter().try_fold(0.0, |sum, tag| {
            let device = rig.device(tag)?;
            if device.signal.passive && device.signal.latency.is_unknown() {
                return Some(sum);
            }
            if device.signal.latency.is_unknown() {
                lacks.insert(Field::device(tag, "signal.latency"));
            }
            Some(sum + device.signal.latency.value?.get())
        })
    });
    let opposite = match inversions {
        [Some(a), Some(b)] => Some((a + b) % 2 == 1),
        _ => None,
    };
    let latency = match delays {
        [Some(a), Some(b)] => Some((a - b).abs()),
        _ => None,
    };
    let sums = a.0 == b.0;
    Branches {
        state: state.to_owned(),
        source: source.to_owned(),
        sinks: [a.0.clone(), b.0.clone()],
        own: only,
        inversions,
        opposite,
        latency,
        notch: latency.filter(|seconds| sums && *seconds > 0.0).map(first_notch),
        lacks: lacks.into_iter().collect(),
    }
}

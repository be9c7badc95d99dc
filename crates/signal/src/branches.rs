//! Branches of one source: parity of inversions, difference of delay, and what a feed misses.

use std::collections::BTreeSet;

use finding::Field;
use rig::{Bypass, Class, PortRef, Rig, State};

use crate::build::Built;
use crate::contacts::port_of;
use crate::level::decibels;
use crate::outcome::Branches;
use crate::timing::notches;
use crate::whole::{EVERYTHING_OFF, is_whole};

/// Ways are counted no further than this for one source and sink; more is beyond what anyone builds.
const MOST_WAYS: usize = 64;

/// Notches told.
const MOST_NOTCHES: usize = 8;

/// The devices that signal passes on one way, in order, that are on in the state.
type Passed = Vec<String>;

/// One way to a sink: the contacts on it, and what is on.
#[derive(Clone)]
struct Found {
    sink: String,
    ports: Vec<PortRef>,
    passed: Passed,
}

/// The voltage at a contact for 1 V of EMF, at 1 kHz.
#[derive(Clone, Copy)]
pub(crate) struct Volts {
    /// With every device at 0 dB.
    pub(crate) unity: f64,
    /// With every device at its largest gain.
    pub(crate) largest: f64,
}

/// Two ways by their contacts, in a state and for a source by their numbers: the voltages that each makes alone.
type Alone<'a> = &'a dyn Fn(usize, usize, [&[PortRef]; 2]) -> Option<[Volts; 2]>;

/// How loud things are in a named state, by its number, for 1 V of a source, by its number.
pub(crate) struct Ears<'a> {
    /// The voltage at a contact where something listens.
    pub(crate) heard: &'a dyn Fn(usize, usize, &PortRef) -> Option<Volts>,
    /// What each of two ways, given by their contacts as far as where they meet, adds there while the other is at nought.
    pub(crate) alone: Alone<'a>,
}

/// Steps of the search for ways, over all sources, sinks and states; beyond them fewer ways are compared.
const MOST_STEPS: usize = 200_000;

/// Compares every two branches of each source in every named state but the one with everything off.
pub(crate) fn in_states(
    rig: &Rig,
    built: &Built,
    named: &[(State, Vec<u8>)],
    ears: &Ears<'_>,
) -> Vec<Branches> {
    let mut left = MOST_STEPS;
    let mut out = Vec::new();
    for (index, (state, _)) in named.iter().enumerate().filter(|(_, (state, _))| state.name != EVERYTHING_OFF)
    {
        for source in 0..built.model.sources.len() {
            let ways = ways(rig, built, state, source, &mut left);
            // Ways that part and meet at several places are made of ways that do so at one; each place is told once.
            let mut told: BTreeSet<[&[PortRef]; 2]> = BTreeSet::new();
            for (at, a) in ways.iter().enumerate() {
                for b in &ways[at + 1..] {
                    let Some(apart) = apart_once(a, b) else { continue };
                    let [one, other] = apart;
                    if told.contains(&[other, one]) || !told.insert(apart) {
                        continue;
                    }
                    let found = pair(rig, built, &state.name, (source, index), [a, b], ears);
                    // Ways that differ only in contacts come to the same.
                    if !out.contains(&found) {
                        out.push(found);
                    }
                }
            }
        }
    }
    out
}

/// Every way from a source to a sink in one state.
fn ways(rig: &Rig, built: &Built, state: &State, source: usize, left: &mut usize) -> Vec<Found> {
    let engaged = &state.engaged;
    let on = |tag: &str| {
        engaged.iter().any(|other| other == tag)
            || rig.device(tag).is_some_and(|device| {
                device.signal.bypass.value == Some(Bypass::AlwaysOn)
                    // A passive device that nothing switches is always in the way; one whose switch changes nothing that is
                    // known of it has none here, and is on with all the others.
                    || (device.signal.passive || is_whole(&state.name))
                        && !built.switches.contains_key(tag)
            })
    };
    let loop_in = |name: &str| {
        engaged.iter().any(|other| other == name)
            || built.inside.get(name).is_some_and(|tags| tags.iter().any(|tag| engaged.contains(tag)))
    };
    let id = &built.model.sources[source].id;
    let starts: BTreeSet<PortRef> =
        built.hops.iter().map(|hop| &hop.from).filter(|port| port.device == *id).cloned().collect();
    let mut out = Vec::new();
    for sink in &built.model.sinks {
        let mut found = Vec::new();
        for start in &starts {
            let mut seen = BTreeSet::from([start.clone()]);
            let mut path = vec![start.clone()];
            let mut passed = Vec::new();
            walk(built, &sink.id, &on, &loop_in, &mut seen, &mut path, &mut passed, &mut found, left);
        }
        out.extend(found);
    }
    out
}

#[expect(clippy::too_many_arguments, reason = "one step of a recursion")]
fn walk(
    built: &Built,
    sink: &str,
    on: &dyn Fn(&str) -> bool,
    loop_in: &dyn Fn(&str) -> bool,
    seen: &mut BTreeSet<PortRef>,
    path: &mut Vec<PortRef>,
    passed: &mut Passed,
    found: &mut Vec<Found>,
    left: &mut usize,
) {
    *left = left.saturating_sub(1);
    let Some(at) = path.last().cloned() else { return };
    if at.device == sink {
        found.push(Found { sink: sink.to_owned(), ports: path.clone(), passed: passed.clone() });
        return;
    }
    for hop in built.hops.iter().filter(|hop| hop.from == at) {
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
        path.push(hop.to.clone());
        walk(built, sink, on, loop_in, seen, path, passed, found, left);
        path.pop();
        passed.truncate(length);
        seen.remove(&hop.to);
    }
}

/// What two ways pass between where they part and where they meet, both places included; `None` where they meet, or pass
/// the same contact, in between.
fn apart_once<'w>(a: &'w Found, b: &'w Found) -> Option<[&'w [PortRef]; 2]> {
    let alike = |a: &mut dyn Iterator<Item = &PortRef>, b: &mut dyn Iterator<Item = &PortRef>| {
        a.zip(b).take_while(|(a, b)| a == b).count()
    };
    let before = alike(&mut a.ports.iter(), &mut b.ports.iter());
    let after = alike(&mut a.ports.iter().rev(), &mut b.ports.iter().rev());
    let own =
        |way: &'w Found| way.ports.get(before..way.ports.len().saturating_sub(after)).unwrap_or_default();
    let (one, other) = (own(a), own(b));
    if one.iter().any(|port| other.contains(port)) {
        return None;
    }
    let from = before.saturating_sub(1);
    let with = |way: &'w Found| {
        way.ports
            .get(from..(way.ports.len() + 1).saturating_sub(after).min(way.ports.len()))
            .unwrap_or_default()
    };
    Some([with(a), with(b)])
}

/// The first contacts of two ways that differ.
fn parting(a: &Found, b: &Found) -> [Option<PortRef>; 2] {
    let alike = a.ports.iter().zip(&b.ports).take_while(|(a, b)| a == b).count();
    [a, b].map(|way| way.ports.get(alike).map(port_of))
}

/// Where two ways to one sink come together for good: what they pass from there on, and the contacts before it.
fn meeting(built: &Built, a: &Found, b: &Found) -> Option<(String, [PortRef; 2])> {
    let alike = a.ports.iter().rev().zip(b.ports.iter().rev()).take_while(|(a, b)| a == b).count();
    let at = a.ports.get(a.ports.len().checked_sub(alike)?)?;
    let before = |way: &Found| way.ports.get(way.ports.len().checked_sub(alike + 1)?).cloned();
    let (one, other) = (before(a)?, before(b)?);
    let hop = built.hops.iter().find(|hop| hop.from == one && hop.to == *at)?;
    Some((hop.device.clone().unwrap_or_else(|| at.to_string()), [one, other]))
}

/// How much one branch is louder than another whatever their gains are set to: its own no higher than 0 dB, the
/// other's at its largest.
fn apart(loud: Volts, quiet: Volts) -> f64 {
    decibels(loud.unity.min(loud.largest) / quiet.largest)
}

fn pair(
    rig: &Rig,
    built: &Built,
    state: &str,
    (source, index): (usize, usize),
    [a, b]: [&Found; 2],
    ears: &Ears<'_>,
) -> Branches {
    let own = |passed: &Passed, other: &Passed| -> Vec<String> {
        passed.iter().filter(|tag| !other.contains(tag)).cloned().collect()
    };
    let only = [own(&a.passed, &b.passed), own(&b.passed, &a.passed)];
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
            let none = device.signal.passive || device.power.class.value == Some(Class::Analogue);
            if none && device.signal.latency.is_unknown() {
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
    let meets = (a.sink == b.sink).then(|| meeting(built, a, b)).flatten();
    let notches = match (&meets, opposite, latency) {
        (Some(_), Some(opposite), Some(seconds)) => notches(seconds, opposite, 20e3, MOST_NOTCHES),
        _ => Vec::new(),
    };
    let volts = meets.as_ref().and_then(|(at, [one, other])| {
        // What a jack or a passive box joins is heard of both at once: each is told with the other at nought.
        if rig.device(at).is_none_or(|device| device.signal.passive) {
            return (ears.alone)(index, source, [&a.ports, &b.ports]);
        }
        let heard = |port: &PortRef| (ears.heard)(index, source, port);
        Some([heard(one)?, heard(other)?])
    });
    let finite = |db: f64| Some(db).filter(|db| db.is_finite());
    let louder_db = volts.and_then(|[one, other]| finite(decibels(one.largest / other.largest)));
    let apart_db = volts.and_then(|[one, other]| finite(apart(one, other).max(apart(other, one)).max(0.0)));
    Branches {
        state: state.to_owned(),
        source: built.model.sources[source].id.clone(),
        sinks: [a.sink.clone(), b.sink.clone()],
        own: only,
        by: parting(a, b),
        inversions,
        opposite,
        latency,
        meets: meets.map(|(at, _)| at),
        notch: notches.iter().copied().find(|hertz| 0.0 < *hertz),
        notches,
        louder_db,
        apart_db,
        lacks: lacks.into_iter().collect(),
    }
}

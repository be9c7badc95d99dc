//! What hangs on a passive pickup.

use std::collections::BTreeMap;

use design::Design;
use finding::{Evidence, Field, Finding};
use quantity::Ohms;
use rig::{Device, PickupKind, PortRef, Source};

use super::CUSTOM;
use crate::asked::{Asked, port_field};
use crate::compare::{too_little, under};
use crate::way::{Way, junctions, ways};
use crate::words::{list, shown};
use crate::{Page, Rule};

const ID: &str = "parallel-load";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "load on a passive pickup",
    severity: finding::Severity::Stop,
    since: "0.1",
    pains: &[28],
    limits: &["parallel_load_look", "parallel_load_stop"],
    page: Page {
        what: "The input impedances that hang on a passive coil at once, in parallel: of each run the lowest that may \
               come first when the devices before it are off, and passive devices on the way. A device that wants \
               the bare pickup loads it on purpose and is passed over.",
        why: "A splitter or tuner output without a buffer dulls the sound of the guitar.",
        source: CUSTOM,
        example: "Two amps of 470 kΩ on one passive splitter leave 235 kΩ.",
        remedy: "put a buffer before the split, or take inputs of higher impedance",
    },
    check,
};

/// A figure of an input: its impedance and where it is written.
type Input = (PortRef, Option<Ohms>, Field);

fn check(design: &Design) -> Vec<Finding> {
    let all = ways(&design.rig);
    design
        .rig
        .sources
        .iter()
        .filter(|source| source.pickup.kind.value.is_none_or(|kind| kind == PickupKind::Coil))
        .filter_map(|source| {
            let own: Vec<&Way<'_>> = all.iter().filter(|way| way.start() == source.id).collect();
            judge(design, source, &own)
        })
        .collect()
}

fn judge(design: &Design, source: &Source, ways: &[&Way<'_>]) -> Option<Finding> {
    let rig = &design.rig;
    let mut asked = Asked::default();
    let mut loads: BTreeMap<PortRef, Ohms> = BTreeMap::new();
    for way in ways {
        // What each reading of this way puts first, and the passive devices every reading has before it.
        let mut lowest: Option<(PortRef, Ohms)> = None;
        let mut giver = 0;
        loop {
            let mut next = None;
            for junction in junctions(rig, way).iter().filter(|junction| junction.giver == giver) {
                let step = way.steps[junction.taker];
                let device = rig.device(step.name);
                if device.is_some_and(|device| device.signal.passive) {
                    next = next.or(Some(junction.taker));
                }
                if device.is_some_and(|device| device.signal.bare_pickup.value == Some(true)) {
                    continue;
                }
                let Some((port, z, field)) = input(design, step.name, step.arrives) else { continue };
                let Some(z) = z else {
                    asked.lack(field);
                    continue;
                };
                let doubts = doubts(device, &junction.between);
                if !doubts.is_empty() {
                    // Only an input that is too low makes the doubt worth a word.
                    if under(z, design.limits.parallel_load_look) {
                        asked.lacks.extend(doubts);
                    }
                } else if next == Some(junction.taker) {
                    loads.insert(port, z);
                } else if lowest.as_ref().is_none_or(|(_, least)| z < *least) {
                    lowest = Some((port, z));
                }
            }
            match next {
                Some(passive) if giver < passive => giver = passive,
                _ => break,
            }
        }
        loads.extend(lowest);
    }
    let mut names: Vec<String> = loads.keys().map(|port| port.device.clone()).collect();
    names.sort();
    names.dedup();
    let about = || names.iter().cloned().chain([source.id.clone()]);
    if source.pickup.kind.is_unknown() {
        asked.lack(Field::of("source", &source.id, "electrics.kind"));
    }
    let admittance: f64 = loads.values().map(|z| 1.0 / z.get().max(f64::MIN_POSITIVE)).sum();
    let whole = Ohms::new(1.0 / admittance).filter(|_| 0.0 < admittance);
    let limits = &design.limits;
    let graded = whole.and_then(|whole| {
        Some((whole, too_little(whole, limits.parallel_load_look, limits.parallel_load_stop)?))
    });
    match graded {
        Some((whole, (severity, passed)))
            if source.pickup.kind.value.is_some()
                && (asked.complete() || severity == finding::Severity::Stop) =>
        {
            let load = if names.len() == 1 { "loads" } else { "load" };
            let mut finding = Finding::new(
                ID,
                severity,
                format!("{} {load} {} with {} in all", list(&names), source.id, shown(whole)),
            )
            .about(about())
            .with(Evidence::at_least(whole, passed))
            .assuming(asked.assumed);
            for (port, z) in &loads {
                let field = if port.port.is_empty() {
                    Field::of("sink", &port.device, "z")
                } else {
                    port_field(port, "z")
                };
                finding = finding.at(field, shown(*z));
            }
            Some(finding)
        }
        // With the kind of pickup unknown there is only something to doubt where the load is too much.
        None if source.pickup.kind.is_unknown() && asked.lacks.len() == 1 => None,
        _ => asked.cannot_judge(ID, &format!("the load on {}", source.id), about()),
    }
}

/// What must be known before the input counts: that the device does not want to load the coil, and that
/// the devices between are mere contacts when they are off.
fn doubts(taker: Option<&Device>, between: &[&Device]) -> Vec<Field> {
    let bare = taker.filter(|device| device.signal.bare_pickup.is_unknown());
    let bare = bare.map(|device| Field::device(&device.tag, "signal.bare_pickup"));
    let off = between.iter().filter(|device| device.signal.bypass.is_unknown());
    bare.into_iter().chain(off.map(|device| Field::device(&device.tag, "signal.bypass"))).collect()
}

/// The input at a step: of a device's port or of a sink.
fn input(design: &Design, name: &str, arrives: Option<&PortRef>) -> Option<Input> {
    let port = arrives?;
    if let Some(sink) = design.rig.sink(name) {
        return Some((port.clone(), sink.z.value, Field::of("sink", name, "z")));
    }
    let jack = design.rig.port(port)?;
    Some((port.clone(), jack.z.value, port_field(port, "z")))
}

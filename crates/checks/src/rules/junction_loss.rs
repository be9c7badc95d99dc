//! Level lost where one device meets the next.

use std::collections::BTreeMap;

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::{Decibels, Ohms};
use rig::{Known, PickupKind, PortRef, Rig};

use crate::asked::{Asked, port_field};
use crate::compare::too_much;
use crate::group::{Pair, hubs, worst_figure};
use crate::way::{Step, is_desk, is_listener, junctions, ways};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "junction-loss";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "level lost where one device meets the next",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[27],
    limits: &["junction_loss_look", "junction_loss_stop"],
    page: Page {
        what: "For every output and every input it may meet, with the devices between on or off: the loss at 1 kHz \
               into that input and whatever else hangs there, leads included. Passive pickups are left out, they are \
               no plain resistance; so are taps that only let a tuner listen. Into a desk, whose gain makes up for it, \
               only a stop is told.",
        why: "One device that drops the volume is blamed for weeks before anyone looks at impedances.",
        source: "nodal analysis at 1 kHz, close to the divider 20·lg((Zin + Zout) / Zin); the thresholds are common practice, no source",
        example: "An output of 10 kΩ into an input of 47 kΩ loses 1.7 dB.",
        remedy: "put a buffer between, or change the order",
    },
    check,
};

/// Output impedance at a step, when it is one that counts.
fn output(rig: &Rig, step: &Step<'_>) -> Option<(Known<Ohms>, Field)> {
    if let Some(source) = rig.source(step.name) {
        let active = source.pickup.kind.value == Some(PickupKind::Active);
        return active
            .then(|| (source.pickup.resistance, Field::of("source", step.name, "electrics.resistance")));
    }
    let port = step.leaves?;
    Some((rig.port(port)?.z, port_field(port, "z")))
}

/// Input impedance at a step.
fn input(rig: &Rig, step: &Step<'_>) -> Option<(Known<Ohms>, Field)> {
    if let Some(sink) = rig.sink(step.name) {
        return Some((sink.z, Field::of("sink", step.name, "z")));
    }
    let port = step.arrives?;
    Some((rig.port(port)?.z, port_field(port, "z")))
}

/// Loss at 1 kHz between two ports, as the engine finds it; where no state leads signal past them, that of a divider
/// of the two impedances. Nought ohms of input lose everything and count as 999 dB.
fn loss(design: &Design, giver: &Step<'_>, taker: &Step<'_>, output: Ohms, input: Ohms) -> Decibels {
    let (from, to) = (place(giver.name, giver.leaves), place(taker.name, taker.arrives));
    let found = design.signal().junctions.iter().find(|junction| junction.from == from && junction.to == to);
    let loss = found.map_or_else(
        || -signal::level::junction_gain(output.get(), input.get()),
        |junction| junction.loss_db,
    );
    Decibels::new(loss).unwrap_or(Decibels::of(999.0))
}

/// How the engine names a place: a port of a device, or a source or sink by its name.
fn place(name: &str, port: Option<&PortRef>) -> String {
    match port {
        Some(port) if !port.port.is_empty() => port.to_string(),
        _ => name.to_owned(),
    }
}

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    let mut pairs: Vec<Pair> = Vec::new();
    let mut unknown: BTreeMap<String, Asked> = BTreeMap::new();
    // What a tuner hears may be weak; what it takes from the others is counted at their junctions.
    for way in ways(rig).into_iter().filter(|way| !is_listener(rig, way.run)) {
        let outputs: Vec<_> = way.steps.iter().map(|step| output(rig, step)).collect();
        let inputs: Vec<_> = way.steps.iter().map(|step| input(rig, step)).collect();
        let mut told = vec![(false, false); way.steps.len()];
        for junction in junctions(rig, &way) {
            let (giver, taker) = (way.steps[junction.giver], way.steps[junction.taker]);
            let (Some((from, from_field)), Some((to, to_field))) =
                (&outputs[junction.giver], &inputs[junction.taker])
            else {
                continue;
            };
            let (look, stop) = (design.limits.junction_loss_look, design.limits.junction_loss_stop);
            let judged = |from: Ohms, to: Ohms| {
                let lost = loss(design, &giver, &taker, from, to);
                too_much(lost, look, stop).map(|(severity, passed)| (lost, severity, passed))
            };
            let (Some(giving), Some(taking)) = (from.value, to.value) else {
                // Most steps lie at many junctions; what they lack is noted once.
                let mut note = |told: &mut bool, name: &str, field: &Field| {
                    if !std::mem::replace(told, true) {
                        unknown.entry(name.to_owned()).or_default().lack(field.clone());
                    }
                };
                if from.value.is_none() {
                    note(&mut told[junction.giver].0, giver.name, from_field);
                }
                if to.value.is_none() {
                    note(&mut told[junction.taker].1, taker.name, to_field);
                }
                continue;
            };
            let Some((lost, severity, passed)) = judged(giving, taking) else { continue };
            // The gain of a desk makes up for what is no stop; it is made to be fed so.
            let to_desk = rig.sink(taker.name).is_some() && is_desk(design, taker.name);
            if to_desk && severity == Severity::Look {
                continue;
            }
            let mut asked = Asked::default();
            asked.value(*from, from_field.clone());
            asked.value(*to, to_field.clone());
            let (from, to) = (giving, taking);
            for device in &junction.between {
                asked.value(device.signal.bypass, Field::device(&device.tag, "signal.bypass"));
            }
            let devices = [giver.name, taker.name];
            if !asked.complete() {
                out.extend(asked.cannot_judge(
                    ID,
                    &format!("whether {} meets {}", giver.name, taker.name),
                    devices,
                ));
                continue;
            }
            let off = if junction.between.is_empty() { "" } else { ", with the devices between bypassed" };
            let case = Finding::new(
                ID,
                severity,
                format!(
                    "{} ({}) into {} ({}) loses {}{off}",
                    giver.name,
                    shown(from),
                    taker.name,
                    shown(to),
                    shown(lost)
                ),
            )
            .about(devices)
            .at(from_field.clone(), shown(from))
            .at(to_field.clone(), shown(to))
            .with(Evidence::at_most(lost, passed))
            .assuming(asked.assumed);
            pairs.push(Pair {
                first: format!("{} ({})", giver.name, shown(from)),
                second: format!("{} ({})", taker.name, shown(to)),
                case,
            });
        }
    }
    for hub in hubs(pairs) {
        let is_giver = hub.is_first;
        out.extend(hub.told(|name, others, cases| {
            let most = worst_figure(cases);
            if is_giver {
                format!("{name} loses up to {most} into {others}")
            } else {
                format!("{name} takes up to {most} from {others}")
            }
        }));
    }
    out.extend(
        unknown.into_iter().filter_map(|(name, asked)| {
            asked.cannot_judge(ID, &format!("the loss at {name}"), [name.clone()])
        }),
    );
    out
}

//! Devices that must see the guitar's coil.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Ohms;
use rig::{Bypass, Device, Known, PickupKind, PortRef, Rig};

use super::CUSTOM;
use crate::asked::{Asked, Together, port_field};
use crate::group::{by_key, devices_but, together};
use crate::way::{Step, Way, source_of, ways};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "bare-pickup";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "devices that must see the guitar's coil",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[25],
    limits: &[],
    page: Page {
        what: "Upstream of a device that needs the bare pickup, every device of the run. One with a buffer, or one that \
               is always on, is a stop, and so are an active source and a switcher that drives the send of the loop it stands in. One with hard or relay bypass hides the coil \
               only while it is engaged: a look when a named state engages both, a note otherwise.",
        why: "Such a fuzz depends on the pickup's impedance; behind a buffer it turns harsh, and its volume knob no longer cleans it.",
        source: CUSTOM,
        example: "The tuner before the fuzz has a buffered bypass.",
        remedy: "put the device first, take the buffer out of its way, or put it into a loop before the buffer",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    let mut unknown = Together::default();
    for way in ways(rig) {
        for (index, device) in way.devices(rig) {
            if way.steps[index].arrives.is_none() {
                continue;
            }
            match device.signal.bare_pickup.value {
                Some(true) => out.extend(upstream(design, &way, index, device)),
                None if is_hidden(rig, &way, index, device) => {
                    unknown.add(&device.tag, Field::device(&device.tag, "signal.bare_pickup"));
                }
                Some(false) | None => {}
            }
        }
    }
    out = by_device(out);
    out.extend(unknown.finding(ID, "what stands before"));
    out
}

/// What hides the coil from one device, told as one: it is the device that is moved.
fn by_device(all: Vec<Finding>) -> Vec<Finding> {
    let (open, judged): (Vec<Finding>, Vec<Finding>) = all.into_iter().partition(Finding::is_unchecked);
    let tag = |case: &Finding| {
        case.marks.first().and_then(|mark| mark.field.parts().get(1).cloned()).unwrap_or_default()
    };
    let mut out = open;
    for ((tag, severity), cases) in by_key(judged.into_iter().map(|c| ((tag(&c), c.severity), c)).collect()) {
        out.extend(together(cases, |cases| {
            let only = if severity == Severity::Note { " while they are engaged" } else { "" };
            format!("{tag} needs the bare pickup, and {} hide the coil{only}", devices_but(cases, &[&tag]))
        }));
    }
    out
}

/// Whether something before the device is certain to hide the coil from it: what [`upstream`] calls a stop.
fn is_hidden(rig: &Rig, way: &Way<'_>, index: usize, device: &Device) -> bool {
    let hides = |at: usize, other: &Device| {
        other.tag != device.tag && (driven_send(rig, &way.steps[at]).is_some() || has_buffer(other))
    };
    // Only a low input makes it likely that it wants the coil.
    let input = way.steps[index].arrives.and_then(|port| rig.port(port)).and_then(|port| port.z.value);
    if input.is_some_and(|z| signal::LOW_INPUT <= z.get()) {
        return false;
    }
    way.devices(rig).any(|(at, other)| at < index && hides(at, other))
        || source_of(rig, way).is_some_and(|source| source.pickup.kind.value == Some(PickupKind::Active))
}

/// Whether a device is known to drive whatever follows it, on or off.
fn has_buffer(device: &Device) -> bool {
    !device.signal.passive && matches!(device.signal.bypass.value, Some(Bypass::Buffered | Bypass::AlwaysOn))
}

/// The send of a loop that a way leaves a switcher by, and its impedance, where that is stated: then it is driven.
fn driven_send<'a>(rig: &Rig, step: &Step<'a>) -> Option<(&'a PortRef, Known<Ohms>)> {
    let (send, device) = (step.leaves?, rig.device(step.name)?);
    let z = rig.port(send)?.z;
    (device.loops.iter().any(|one| one.send == send.port) && !z.is_unknown()).then_some((send, z))
}

/// Whether a way passes a switcher of relays by nothing but their contacts: by no buffer, nor by a send or return that
/// states an impedance and is driven.
fn is_contacts(rig: &Rig, step: &Step<'_>) -> bool {
    let Some(device) = rig.device(step.name).filter(|device| !device.loops.is_empty()) else { return false };
    let is_bare = |port: &PortRef| {
        let on_loop = device.loops.iter().any(|one| one.send == port.port || one.back == port.port);
        !on_loop || rig.port(port).is_some_and(|port| port.z.is_unknown())
    };
    matches!(device.signal.bypass.value, Some(Bypass::Hard | Bypass::Relay))
        && [step.arrives, step.leaves].into_iter().flatten().all(is_bare)
}

/// What stands between the device and the coil, nearest first; nothing beyond the first certain buffer.
fn upstream(design: &Design, way: &Way<'_>, index: usize, device: &Device) -> Vec<Finding> {
    let rig = &design.rig;
    let tag = &device.tag;
    let mut out = Vec::new();
    let before: Vec<(usize, &Device)> = way.devices(rig).filter(|(at, _)| *at < index).collect();
    let say = |severity, other: &str, message: String, found: &str| {
        Finding::new(ID, severity, message)
            .about([tag.as_str(), other])
            .at(Field::device(tag, "signal.bare_pickup"), "")
            .at(Field::run(&way.run.name, "stops"), "")
            .with(Evidence::words(found, "nothing active between coil and device"))
    };
    for (at, other) in before.into_iter().rev().filter(|(_, other)| other.tag != *tag) {
        let name = &other.tag;
        let mut asked = Asked::default();
        if !has_buffer(other)
            && let Some((send, z)) = driven_send(rig, &way.steps[at])
        {
            asked.value(z, port_field(send, "z"));
            let found = z.value.map_or_else(String::new, shown);
            let message = format!(
                "{tag} needs the bare pickup, and {name} before it drives {send} through {found}: a buffer whenever {tag} is in"
            );
            out.push(
                say(Severity::Stop, name, message, "a driven send")
                    .at(port_field(send, "z"), found)
                    .assuming(asked.assumed),
            );
            return out;
        }
        if other.signal.passive || is_contacts(rig, &way.steps[at]) {
            continue;
        }
        match asked.value(other.signal.bypass, Field::device(name, "signal.bypass")) {
            None => {
                out.extend(asked.cannot_judge(
                    ID,
                    &format!("whether {tag} sees the bare pickup"),
                    [tag, name],
                ));
            }
            Some(bypass @ (Bypass::Buffered | Bypass::AlwaysOn)) => {
                let (why, found) = if bypass == Bypass::Buffered {
                    ("has a buffer", "a buffer")
                } else {
                    ("is always on", "always on")
                };
                out.push(
                    say(
                        Severity::Stop,
                        name,
                        format!("{tag} needs the bare pickup, and {name} before it {why}"),
                        found,
                    )
                    .assuming(asked.assumed),
                );
                return out;
            }
            Some(bypass) => {
                let both =
                    rig.states.iter().find(|state| [tag, name].iter().all(|tag| state.engaged.contains(tag)));
                let (severity, when) = match both {
                    Some(state) => (Severity::Look, format!("state {} engages both", state.name)),
                    None => (Severity::Note, "only while it is engaged".to_owned()),
                };
                out.push(say(
                    severity,
                    name,
                    format!("{tag} needs the bare pickup, and {name} before it hides the coil: {when}"),
                    bypass.word(),
                ));
            }
        }
    }
    if let Some(source) = source_of(rig, way) {
        let field = Field::of("source", &source.id, "electrics.kind");
        let mut asked = Asked::default();
        match asked.value(source.pickup.kind, field.clone()) {
            Some(PickupKind::Active) => out.push(
                say(
                    Severity::Stop,
                    &source.id,
                    format!("{tag} needs the bare pickup, and {} is active", source.id),
                    "active",
                )
                .at(field, ""),
            ),
            Some(_) => {}
            None => out.extend(asked.cannot_judge(
                ID,
                &format!("whether {tag} sees a bare pickup"),
                [tag, &source.id],
            )),
        }
    }
    out
}

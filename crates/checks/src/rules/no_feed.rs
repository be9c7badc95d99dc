//! Devices that need power and have no feed.

use design::Design;
use finding::{Field, Finding, Severity};
use rig::{Carries, ConnectorFamily, Device, FeedKind, Nature, PortRole, Rig, Role};

use super::CUSTOM;
use crate::asked::Asked;
use crate::{Page, Rule};

const ID: &str = "no-feed";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "devices that need power and have no feed",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[1],
    limits: &[],
    page: Page {
        what: "Every device on the board that runs on direct or low-voltage alternating current names an outlet or its own adaptor. \
               What runs on mains has a mains lead, which is a run that carries mains, or a place on a strip.",
        why: "The outlet that is missing on the day of assembly is dearer than a larger brick.",
        source: CUSTOM,
        example: "A4 needs 9 V and 250 mA; no outlet is named for it.",
        remedy: "choose a free outlet that suits, or let the program choose (Allocate, `boardwright feed --write`); a mains \
                 inlet takes a mains lead from a socket",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    for device in rig.by_tag().into_iter().filter(|device| !device.outside) {
        let tag = &device.tag;
        if let Some(told) = of_mains(rig, device) {
            out.push(told);
            continue;
        }
        if device.feed.as_ref().is_some_and(|feed| !feed.outlets.is_empty()) {
            continue;
        }
        match device.power.nature.value {
            Some(Nature::None) => {}
            Some(Nature::Dc | Nature::Ac) => {
                let needs = match (device.power.volts.value, device.power.current.value) {
                    (Some(volts), Some(current)) => format!("{volts} and {current}"),
                    (Some(volts), None) => volts.to_string(),
                    _ => "power".to_owned(),
                };
                out.push(
                    Finding::new(ID, Severity::Stop, format!("{tag} needs {needs} and has no feed"))
                        .about([tag])
                        .at(Field::device(tag, "feed"), ""),
                );
            }
            Some(Nature::Mains) if has_mains_lead(rig, device) => {}
            // Without a strip on the board, the maker's own adaptor goes straight into the house's socket.
            Some(Nature::Mains)
                if rig.own_adaptor_of(device).is_some()
                    && !rig.devices.iter().any(|other| other.role == Role::Strip) => {}
            Some(Nature::Mains) => {
                let mut asked = Asked::default();
                asked.lack(Field::device(tag, "feed"));
                out.extend(asked.cannot_judge(ID, &format!("how {tag} gets its mains"), [tag]));
            }
            None => {
                let mut asked = Asked::default();
                asked.lack(Field::device(tag, "power.type"));
                out.extend(asked.cannot_judge(ID, &format!("whether {tag} needs a feed"), [tag]));
            }
        }
    }
    out.extend(plugged_into_themselves(rig));
    out
}

/// Strips whose own plug sits in a socket of theirs, by whatever way.
fn plugged_into_themselves(rig: &Rig) -> Vec<Finding> {
    let mut out = Vec::new();
    for run in rig.runs.iter().filter(|run| run.carries == Carries::Mains) {
        let steps: Vec<_> = run.steps().collect();
        for (index, (from, _)) in steps.iter().enumerate() {
            let strip = rig.device(&from.device).filter(|device| device.role == Role::Strip);
            if let Some(strip) = strip
                && steps[index..].iter().any(|(_, to)| to.device == strip.tag)
            {
                out.push(
                    Finding::new(
                        ID,
                        Severity::Stop,
                        format!(
                            "run {} leads from {from} back into {}: it gets no mains",
                            run.name, strip.tag
                        ),
                    )
                    .about([&strip.tag])
                    .at(Field::run(&run.name, "stops"), "")
                    .remedy("let the run begin at a socket in the wall, or at the panel where it comes in"),
                );
            }
        }
    }
    out
}

/// What runs on mains by a lead of its own and names a mains socket as its feed: nothing brings it there, for a feed makes
/// no mains lead.
fn of_mains(rig: &Rig, device: &Device) -> Option<Finding> {
    let feed = device.feed.as_ref()?;
    let at = feed.outlets.first()?;
    let is_socket = rig.port(at)?.role.value == Some(PortRole::Mains);
    // Of a unit with its maker's own adaptor the document says what goes into that; then it has no mains inlet.
    let inlet = device.ports.iter().find(|port| {
        let family = port.connector.as_ref().map(|connector| connector.family);
        port.role.value == Some(PortRole::Mains) && family == Some(ConnectorFamily::Mains)
    });
    let is_led = feed.kind != FeedKind::Adaptor || inlet.is_some();
    if !is_socket || device.power.nature.value != Some(Nature::Mains) || !is_led {
        return None;
    }
    let tag = &device.tag;
    let to = inlet.map_or_else(|| tag.clone(), |port| format!("{tag}.{}", port.name));
    Some(
        Finding::new(
            ID,
            Severity::Stop,
            format!("no mains lead: {tag} names {at} as its feed; write a mains run with stops {at} and {to} instead"),
        )
        .about([tag.as_str(), at.device.as_str()])
        .at(Field::device(tag, "feed"), ""),
    )
}

fn has_mains_lead(rig: &Rig, device: &Device) -> bool {
    // What goes out of a strip does not feed it.
    if device.role == Role::Strip {
        let steps = rig.runs.iter().filter(|run| run.carries == Carries::Mains).flat_map(rig::Run::steps);
        return steps.into_iter().any(|(_, to)| to.device == device.tag);
    }
    rig.runs
        .iter()
        .filter(|run| run.carries == Carries::Mains)
        .flat_map(|run| &run.stops)
        .flat_map(|stop| [&stop.arrives, &stop.leaves])
        .flatten()
        .any(|port| port.device == device.tag)
}

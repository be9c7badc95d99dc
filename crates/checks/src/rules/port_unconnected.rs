//! Signal jacks that nothing is plugged into.

use std::collections::BTreeSet;

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::{Device, Port, PortRef, Rig};

use super::CUSTOM;
use crate::asked::{Asked, port_field};
use crate::way::is_listener;
use crate::words::list;
use crate::{Page, Rule};

const ID: &str = "port-unconnected";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "signal jacks that nothing is plugged into",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[33],
    limits: &[],
    page: Page {
        what: "Every signal jack of every device against the runs. A device in no run, and one that a run enters and \
               none leaves though it has an output, are stops; a single jack left over is a look. Jacks marked as \
               ones that may stay empty are passed over, and so are inserts, which have a rule of their own.",
        why: "A device that was forgotten in the path makes no sound, and the lead for it is not in the cut list.",
        source: CUSTOM,
        example: "A4 stands on the board, but no run passes it.",
        remedy: "put it into a run, or mark the jack as one that may stay empty",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let used = used(rig);
    let mut out = Vec::new();
    for device in rig.by_tag() {
        out.extend(judge(rig, device, &used));
        let mut asked = Asked::default();
        for port in device.ports.iter().filter(|port| port.role.is_unknown() && !port.may_stay_empty) {
            let at = PortRef::new(&device.tag, &port.name);
            if !used.contains(&at) {
                asked.lack(port_field(&at, "role"));
            }
        }
        out.extend(asked.cannot_judge(ID, &format!("whether {} is connected", device.tag), [&device.tag]));
    }
    out
}

/// Every port that some run arrives at or leaves by.
fn used(rig: &Rig) -> BTreeSet<PortRef> {
    rig.runs
        .iter()
        .flat_map(|run| &run.stops)
        .flat_map(|stop| [&stop.arrives, &stop.leaves])
        .flatten()
        .cloned()
        .collect()
}

fn judge(rig: &Rig, device: &Device, used: &BTreeSet<PortRef>) -> Option<Finding> {
    let tag = &device.tag;
    let signal =
        |port: &&Port| port.role.value.is_some_and(|role| role.takes_signal() || role.gives_signal());
    let is_used = |port: &Port| used.contains(&PortRef::new(tag, &port.name));
    let of_insert = |port: &Port| {
        device.inserts.iter().any(|insert| insert.send == port.name || insert.back == port.name)
    };
    let wanted: Vec<&Port> =
        device.ports.iter().filter(signal).filter(|port| !port.may_stay_empty && !of_insert(port)).collect();
    let empty: Vec<&Port> = wanted.iter().copied().filter(|port| !is_used(port)).collect();
    if empty.is_empty() {
        return None;
    }
    let in_a_run = device.ports.iter().filter(signal).any(is_used);
    let mut finding = if in_a_run {
        let enters = rig
            .runs
            .iter()
            .flat_map(|run| &run.stops)
            .any(|stop| stop.arrives.as_ref().is_some_and(|port| port.device == *tag));
        let takes = |port: &&Port| port.role.value.is_some_and(rig::PortRole::takes_signal);
        let gives = |port: &&Port| port.role.value.is_some_and(rig::PortRole::gives_signal);
        let leaves = device.ports.iter().filter(gives).any(is_used);
        let could_leave = empty.iter().any(|port| gives(port) && !takes(port));
        let names: Vec<String> = empty.iter().map(|port| format!("{tag}.{}", port.name)).collect();
        // A tuner on a tap of its own passes nothing on, and is not meant to.
        let listens = rig.runs.iter().any(|run| {
            let last = run.stops.last().and_then(|stop| stop.arrives.as_ref());
            last.is_some_and(|port| port.device == *tag) && is_listener(rig, run)
        });
        if enters && !leaves && listens {
            return None;
        }
        if enters && !leaves && could_leave {
            Finding::new(
                ID,
                Severity::Stop,
                format!("signal enters {tag} and never leaves it: {} is not connected", list(&names)),
            )
        } else {
            let are = if names.len() == 1 { "is" } else { "are" };
            Finding::new(ID, Severity::Look, format!("{} {are} not connected", list(&names)))
        }
    } else {
        Finding::new(ID, Severity::Stop, format!("{tag} is in no run, though it has signal jacks"))
    };
    for port in &empty {
        finding = finding.at(Field::device(tag, "port").below(&port.name), "nothing plugged");
    }
    let count = format!("{} empty", empty.len());
    Some(finding.about([tag]).with(Evidence::words(count, "none")))
}

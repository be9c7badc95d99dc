//! Screens that join two earthed ends.

use std::collections::BTreeMap;

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::{Carries, ConnectorFamily, Port, PortRef, Rig, Role, Run, Sink};

use crate::asked::{Asked, port_field};
use crate::words::list;
use crate::{Page, Rule};

const ID: &str = "earth-loop";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "screens that join two earthed ends",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[16, 17],
    limits: &[],
    page: Page {
        what: "Screens of all signal leads as a graph, broken where a port is lifted or a device isolates its outputs \
               by a transformer, joined by a panel's wall where its jacks are not insulated. Two ends that are earthed through their mains and stand in one piece of it close a \
               loop through the earth.",
        why: "Current in that loop flows through the screens and is heard as hum.",
        source: "IEC 61000-5-2 describes earth loops; the cure is common practice, no source",
        example: "The amp and the desk are both earthed, and the preamp's XLR carries its screen to the desk.",
        remedy: "lift the screen at one output or put a transformer there; the protective earth stays as it is",
    },
    check,
};

/// A set of nodes in pieces; each node is a device side or an end.
#[derive(Default)]
struct Pieces(BTreeMap<String, String>);

impl Pieces {
    fn root(&self, node: &str) -> String {
        let mut at = node.to_owned();
        while let Some(up) = self.0.get(&at) {
            at.clone_from(up);
        }
        at
    }

    fn join(&mut self, a: &str, b: &str) {
        let (a, b) = (self.root(a), self.root(b));
        if a != b {
            self.0.insert(a, b);
        }
    }
}

/// The node a port's screen belongs to.
///
/// A device whose outputs a transformer isolates has two. A panel has one for each jack: its wall joins those
/// that are not insulated.
fn node(rig: &Rig, port: &PortRef) -> String {
    let Some(device) = rig.device(&port.device) else { return port.device.clone() };
    let role = rig.port(port).and_then(|port| port.role.value);
    if device.role == Role::Panel {
        port.to_string()
    } else if device.signal.transformer.value == Some(true)
        && role.is_some_and(|role| role.gives_signal() && !role.takes_signal())
    {
        format!("{} outputs", port.device)
    } else {
        port.device.clone()
    }
}

/// The screens in pieces. `bonded` says whether a panel jack joins the panel's wall.
fn pieces(rig: &Rig, bonded: impl Fn(&Port) -> bool) -> Pieces {
    let mut pieces = Pieces::default();
    let carries = |run: &&Run| matches!(run.carries, Carries::Signal | Carries::Control | Carries::Usb);
    for (from, to) in rig.runs.iter().filter(carries).flat_map(Run::steps) {
        if !is_lifted(rig, from) && !is_lifted(rig, to) {
            pieces.join(&node(rig, from), &node(rig, to));
        }
    }
    for panel in rig.by_tag().into_iter().filter(|device| device.role == Role::Panel) {
        for port in panel.ports.iter().filter(|port| bonded(port)) {
            pieces.join(&panel.tag, &PortRef::new(&panel.tag, &port.name).to_string());
        }
    }
    pieces
}

/// The earthed ends that stand in one piece with others, by piece.
fn meeting<'a>(rig: &'a Rig, pieces: &Pieces) -> Vec<Vec<&'a Sink>> {
    let mut by_piece: BTreeMap<String, Vec<&Sink>> = BTreeMap::new();
    for sink in rig.sinks.iter().filter(|sink| sink.earthed.value != Some(false)) {
        by_piece.entry(pieces.root(&sink.id)).or_default().push(sink);
    }
    by_piece.into_values().filter(|sinks| 1 < sinks.len()).collect()
}

fn is_lifted(rig: &Rig, port: &PortRef) -> bool {
    rig.port(port).is_some_and(|port| port.lifted.value == Some(true))
}

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let certain = meeting(rig, &pieces(rig, |port| port.insulated.value == Some(false)));
    // Jacks of which nobody knows whether they are insulated may join the rest.
    let perhaps = meeting(rig, &pieces(rig, |port| port.insulated.value != Some(true)));
    let mut out = Vec::new();
    for sinks in &certain {
        let mut asked = Asked::default();
        for sink in sinks {
            asked.value(sink.earthed, Field::of("sink", &sink.id, "earthed"));
        }
        let names = names(sinks);
        let earthed = sinks.iter().filter(|sink| sink.earthed.value == Some(true)).count();
        if earthed < 2 {
            out.extend(asked.cannot_judge(
                ID,
                &format!("whether {} close an earth loop", list(&names)),
                names,
            ));
            continue;
        }
        let mut finding = Finding::new(
            ID,
            Severity::Stop,
            format!("{} are earthed and their screens meet on the board", list(&names)),
        )
        .about(names.clone())
        .with(Evidence::words(format!("{earthed} earthed ends on one screen"), "one"))
        .assuming(asked.assumed);
        for name in names {
            finding = finding.at(Field::of("sink", name, "earthed"), "");
        }
        out.push(finding);
    }
    for sinks in perhaps.iter().filter(|sinks| !certain.iter().any(|known| names(known) == names(sinks))) {
        let mut asked = Asked::default();
        for panel in rig.by_tag().into_iter().filter(|device| device.role == Role::Panel) {
            for port in panel.ports.iter().filter(|port| port.insulated.is_unknown() && carries_signal(port))
            {
                asked.lack(port_field(&PortRef::new(&panel.tag, &port.name), "insulated"));
            }
        }
        let names = names(sinks);
        out.extend(asked.cannot_judge(
            ID,
            &format!("whether the panel joins the earths of {}", list(&names)),
            names,
        ));
    }
    out
}

fn names<'a>(sinks: &[&'a Sink]) -> Vec<&'a str> {
    let mut names: Vec<&str> = sinks.iter().map(|sink| sink.id.as_str()).collect();
    names.sort_unstable();
    names
}

fn carries_signal(port: &Port) -> bool {
    let mains = port.connector.as_ref().is_some_and(|connector| connector.family == ConnectorFamily::Mains);
    !mains && port.role.value.is_none_or(|role| role.takes_signal() || role.gives_signal())
}

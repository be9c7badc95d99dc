//! Jacks with two leads.

use std::collections::{BTreeMap, BTreeSet};

use design::Design;
use finding::{Evidence, Field, Figure, Finding, Severity};
use rig::{PortRef, PortRole, Rig, Role};

use super::CUSTOM;
use crate::words::list;
use crate::{Page, Rule};

const ID: &str = "port-doubly-fed";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "jacks that would need two leads",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[28],
    limits: &[],
    page: Page {
        what: "Every jack that leads of two runs arrive at, or leave by. The same lead in two runs is one lead.",
        why: "A jack takes one plug. Two outputs joined short each other; one output into two inputs wants a splitter.",
        source: CUSTOM,
        example: "The runs main and desk both leave A4.OUT, one to A5.IN and one to P.DI.",
        remedy: "put a splitter or a mixer between, or use another jack of the device",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let (arriving, leaving) = leads(&design.rig);
    let mut out = Vec::new();
    for (port, others) in arriving.iter().filter(|(_, others)| 1 < others.len()) {
        out.push(finding(port, others, "is reached by leads from"));
    }
    // Of one pot on several inputs `expression` speaks.
    let is_pot = |port: &PortRef| {
        design.rig.port(port).is_some_and(|own| own.role.value == Some(PortRole::Expression))
    };
    for (port, others) in leaving.iter().filter(|(port, others)| 1 < others.len() && !is_pot(port)) {
        let ends: Vec<String> = [port].into_iter().chain(others).map(|end| format!("\"{end}\"")).collect();
        let remedy = format!(
            "draw them as one lead with a joint, `ends = [{}]`, where an output may feed both; else put a splitter or a \
             mixer between, or use another jack of the device",
            ends.join(", ")
        );
        out.push(finding(port, others, "is left by leads to").remedy(remedy));
    }
    // What takes the mains does not give it: only a panel lets it pass.
    let is_mains = |port: &&PortRef| {
        design.rig.device(&port.device).is_some_and(|device| device.role != Role::Panel)
            && design.rig.port(port).is_some_and(|own| own.role.value == Some(PortRole::Mains))
    };
    for port in arriving.keys().filter(is_mains) {
        let (Some(from), Some(to)) = (arriving.get(port), leaving.get(port)) else { continue };
        let others: BTreeSet<PortRef> = from.iter().chain(to).cloned().collect();
        out.push(finding(port, &others, "takes mains and is said to give it, between"));
    }
    out.extend(inside(design));
    out
}

/// Jacks of a panel between two devices of the board: both leads come from behind, and nothing goes out of it.
fn inside(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    // Where things come from to a jack by a lead behind it, and where they go on by one.
    let mut behind: BTreeMap<&PortRef, [BTreeSet<PortRef>; 2]> = BTreeMap::new();
    for lead in design.leads.iter().filter(|lead| lead.run.is_some() && lead.class != rig::LeadClass::Mains) {
        for end in lead.ends.iter().filter(|end| end.inner) {
            let ways = behind.entry(&end.port).or_default();
            for (from, to) in &lead.flows {
                if *to == end.port {
                    ways[0].insert(from.clone());
                }
                if *from == end.port {
                    ways[1].insert(to.clone());
                }
            }
        }
    }
    let is_insert = |port: &PortRef| {
        rig.device(&port.device).is_some_and(|device| device.insert_on_jack(&port.port).is_some())
    };
    behind
        .into_iter()
        .filter(|(port, ways)| {
            // An input may hand on what arrives from behind as long as nothing is plugged in: its normal does that.
            let is_out = rig.port(port).is_some_and(|port| port.role.value == Some(PortRole::Out));
            ways.iter().all(|others| !others.is_empty()) && is_out && !is_insert(port)
        })
        .map(|(port, [from, to])| {
            let others: BTreeSet<PortRef> = from.into_iter().chain(to).collect();
            finding(port, &others, "is soldered from behind to")
        })
        .collect()
}

type Ends = BTreeMap<PortRef, BTreeSet<PortRef>>;

/// What arrives at each port and leaves it. A lead with a joint leaves a port once, wherever it goes: it is a splitter;
/// two outputs that it joins stay two.
fn leads(rig: &Rig) -> (Ends, Ends) {
    let (mut arriving, mut leaving) = (Ends::new(), Ends::new());
    for lead in rig::leads(rig).into_iter().filter(|lead| lead.run.is_some()) {
        let mut left: BTreeSet<PortRef> = BTreeSet::new();
        for (from, to) in lead.flows {
            if !to.port.is_empty() {
                arriving.entry(to.clone()).or_default().insert(from.clone());
            }
            if !from.port.is_empty() && left.insert(from.clone()) {
                leaving.entry(from).or_default().insert(to);
            }
        }
    }
    (arriving, leaving)
}

fn finding(port: &PortRef, others: &BTreeSet<PortRef>, says: &str) -> Finding {
    let names: Vec<String> = others.iter().map(ToString::to_string).collect();
    let count = |n: f64| Figure::new(n, "");
    #[expect(clippy::cast_precision_loss, reason = "a count of leads")]
    let found = others.len() as f64;
    Finding::new(ID, Severity::Stop, format!("jack {port} {says} {}", list(&names)))
        .about([&port.device])
        .about(others.iter().map(|other| &other.device))
        .at(Field::device(&port.device, "port").below(&port.port), "one jack, one plug")
        .with(Evidence::at_most(count(found), count(1.0)))
}

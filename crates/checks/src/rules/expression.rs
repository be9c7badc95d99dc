//! Expression pedals that do not suit their input.

use std::collections::{BTreeMap, BTreeSet};

use design::Design;
use finding::{Evidence, Finding, Severity};
use rig::{Carries, PortRef, PortRole};

use super::CUSTOM;
use crate::asked::{Asked, port_field};
use crate::way::is_crossed;
use crate::words::{list, shown};
use crate::{Page, Rule};

const ID: &str = "expression";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "expression pedals that do not suit their input",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[51],
    limits: &[],
    page: Page {
        what: "Each expression lead: one pot for one input, as each input puts its own reference on the pot; the contact with the wiper must be the same at both ends, the pot no larger than \
               twice what the input wants, and the connectors must have three contacts.",
        why: "With the wiper on the wrong contact the pedal jumps; a pot too large is full at half travel.",
        source: CUSTOM,
        example: "The pedal's wiper is on the ring, the delay wants it on the tip.",
        remedy: "make the lead with tip and ring crossed and tag both ends, or change the pedal's switch",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    let mut inputs: BTreeMap<&PortRef, BTreeSet<&PortRef>> = BTreeMap::new();
    for (from, to) in
        rig.runs.iter().filter(|run| run.carries == Carries::Expression).flat_map(rig::Run::steps)
    {
        inputs.entry(from).or_default().insert(to);
    }
    out.extend(inputs.iter().filter_map(|(from, to)| shared(from, to)));
    for (from, to) in
        rig.runs.iter().filter(|run| run.carries == Carries::Expression).flat_map(rig::Run::steps)
    {
        // A pot that two inputs share suits neither; that is said once.
        if inputs.get(from).is_some_and(|to| 1 < to.len()) {
            continue;
        }
        let (Some(pedal), Some(input)) = (rig.port(from), rig.port(to)) else { continue };
        // Where it passes the panel, the panel's jack says nothing of wipers.
        if [pedal, input].iter().any(|port| port.role.value == Some(PortRole::Through)) {
            continue;
        }
        let devices = [&from.device, &to.device];
        let mut asked = Asked::default();
        let wipers = (
            asked.value(pedal.wiper, port_field(from, "wiper")),
            asked.value(input.wiper, port_field(to, "wiper")),
        );
        let two = [(from, pedal), (to, input)]
            .into_iter()
            .find(|(_, port)| port.connector.as_ref().is_some_and(|connector| connector.contacts < 3));
        if let Some((at, _)) = two {
            out.push(
                Finding::new(ID, Severity::Stop, format!("{at} has too few contacts for expression"))
                    .about(devices)
                    .at(port_field(at, "connector"), "")
                    .with(Evidence::words("two contacts", "three contacts")),
            );
            continue;
        }
        if let (Some(has), Some(wants)) = wipers
            && (has != wants) != is_crossed(rig, from, to)
        {
            out.push(
                Finding::new(
                    ID,
                    Severity::Stop,
                    format!(
                        "{from} has its wiper on the {}, {to} needs it on the {}",
                        has.word(),
                        wants.word()
                    ),
                )
                .about(devices)
                .at(port_field(from, "wiper"), "")
                .at(port_field(to, "wiper"), "")
                .with(Evidence::words(has.word(), wants.word()))
                .assuming(asked.assumed),
            );
            continue;
        }
        if let (Some(has), Some(wants)) = (pedal.track.value, input.track.value)
            && wants.get() * 2.0 < has.get()
        {
            out.push(
                Finding::new(
                    ID,
                    Severity::Look,
                    format!("{from} is a pot of {}, {to} needs {}", shown(has), shown(wants)),
                )
                .about(devices)
                .at(port_field(from, "track"), "")
                .with(Evidence::at_most(has, wants * 2.0))
                .assuming(asked.assumed),
            );
            continue;
        }
        out.extend(asked.cannot_judge(ID, &format!("whether {from} suits {to}"), devices));
    }
    out
}

/// One pot on several inputs: their references meet in it, and each loads it for the others.
fn shared(from: &PortRef, to: &BTreeSet<&PortRef>) -> Option<Finding> {
    if to.len() < 2 {
        return None;
    }
    let names: Vec<String> = to.iter().map(ToString::to_string).collect();
    let message = format!("{from} goes to {}: one pot cannot serve {} inputs", list(&names), names.len());
    Some(
        Finding::new(ID, Severity::Stop, message)
            .about(std::iter::once(&from.device).chain(to.iter().map(|port| &port.device)))
            .at(port_field(from, "wiper"), "")
            .with(Evidence::words(format!("{} inputs", names.len()), "one input"))
            .remedy("give each input a pedal of its own, or set a unit between that makes several outputs of one pedal"),
    )
}

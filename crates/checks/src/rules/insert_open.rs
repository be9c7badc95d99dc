//! Inserts and loops with half a connection.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::Normal;

use super::CUSTOM;
use crate::asked::Together;
use crate::{Page, Rule};

const ID: &str = "insert-open";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "inserts and loops that leave the path open",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[28],
    limits: &[],
    page: Page {
        what: "Every insert and loop with its four cases: nothing plugged, send only, return only, both. Nothing \
               plugged is fine where a normal closes the path; a return alone breaks it. An insert on one jack is empty or \
               has a lead with both legs connected. Behind a panel both of its contacts are wired, or neither.",
        why: "An insert that stays open kills the path, and nobody looks for it there.",
        source: CUSTOM,
        example: "The return of insert A is plugged, its send is not: what comes before it is lost.",
        remedy: "plug both jacks, or neither and choose an insert with a normal; behind a panel let the run name both",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    let mut unknown = Together::default();
    // The network asks the same contacts.
    let contacts = signal::Contacts::new(rig);
    for device in rig.by_tag() {
        let tag = &device.tag;
        let plugged = |port: &str| contacts.is_plugged(device, port);
        let mut say = |severity, list: &str, name: &str, message: String, found: &str| {
            out.push(
                Finding::new(ID, severity, message)
                    .about([tag])
                    .at(Field::device(tag, list).below(name), "")
                    .with(Evidence::words(found, "both, or none with a normal")),
            );
        };
        for insert in &device.inserts {
            let name = &insert.name;
            let signal::Plugged { sent, returned, .. } = contacts.insert(device, insert);
            match (sent, returned, insert.normal.value) {
                (false | true, false, None) => {
                    unknown.add(tag, Field::device(tag, "insert").below(name).below("normal"));
                }
                (false, false, Some(Normal::Open)) => say(
                    Severity::Stop,
                    "insert",
                    name,
                    format!("insert {name} of {tag} has nothing plugged and no normal closes it"),
                    "none",
                ),
                (false, true, _) => say(
                    Severity::Look,
                    "insert",
                    name,
                    format!(
                        "insert {name} of {tag} has only its return plugged: what comes before it is cut off"
                    ),
                    "return only",
                ),
                (true, false, Some(Normal::Full | Normal::Open)) => say(
                    Severity::Stop,
                    "insert",
                    name,
                    format!("insert {name} of {tag} has only its send plugged: the path ends there"),
                    "send only",
                ),
                _ => {}
            }
            let half = match contacts.behind(device, insert) {
                Some((true, false)) => Some(("send", "return", "what arrives at the send goes nowhere")),
                Some((false, true)) => Some(("return", "send", "nothing arrives for it to give on")),
                _ => None,
            };
            if let Some((wired, open, so)) = half {
                say(
                    Severity::Stop,
                    "insert",
                    name,
                    format!(
                        "insert {name} of {tag} has a lead behind its {wired} and none behind its {open}: {so}"
                    ),
                    &format!("{wired} only"),
                );
            }
        }
        for circuit in &device.loops {
            let name = &circuit.name;
            let found = match (plugged(&circuit.send), plugged(&circuit.back)) {
                (true, false) => "send",
                (false, true) => "return",
                _ => continue,
            };
            say(
                Severity::Stop,
                "loop",
                name,
                format!("loop {name} of {tag} has only its {found} plugged: the path is open when it is on"),
                &format!("{found} only"),
            );
        }
    }
    out.extend(unknown.finding(ID, "whether the path is closed at the inserts"));
    out
}

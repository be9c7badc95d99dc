//! Inserts and loops with half a connection.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::geometry::lead_ends;
use rig::{Normal, PortRef, Rig};

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
               has a lead with both legs connected.",
        why: "An insert that stays open kills the path, and nobody looks for it there.",
        source: CUSTOM,
        example: "The return of insert A is plugged, its send is not: what comes before it is lost.",
        remedy: "plug both jacks, or neither and choose an insert with a normal",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    let mut unknown = Together::default();
    for device in &rig.devices {
        let tag = &device.tag;
        let plugged = |port: &str| is_plugged(rig, &PortRef::new(tag, port));
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
            let (sent, returned) = if insert.is_on_one_jack() {
                // One plug opens it: what counts is whether both legs of its lead lead somewhere.
                legs(rig, &PortRef::new(tag, &insert.send))
            } else {
                (plugged(&insert.send), plugged(&insert.back))
            };
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

/// Whether some run leaves by this jack, and whether some run arrives at it.
fn legs(rig: &Rig, jack: &PortRef) -> (bool, bool) {
    let steps = || rig.runs.iter().flat_map(rig::Run::steps);
    (steps().any(|(from, _)| from == jack), steps().any(|(_, to)| to == jack))
}

fn is_plugged(rig: &Rig, port: &PortRef) -> bool {
    // What is wired behind a panel's jack belongs to the path; only what is plugged from outside opens it.
    lead_ends(rig).iter().any(|end| end.port == *port && !end.inner)
}

//! Leads that the document knows and nothing asks for any more.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};

use super::CUSTOM;
use crate::{Page, Rule};

const ID: &str = "lead-gone";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "leads that are gone",
    severity: Severity::Look,
    since: "0.2",
    pains: &[],
    limits: &[],
    page: Page {
        what: "Entries of leads that no run and no feed goes along: because a device was put between, a stop moved, or a \
               feed given to another outlet.",
        why: "A lead that is made and lies in the drawer is taken for another one with the same ends; its number must not \
              come back.",
        source: CUSTOM,
        example: "L03 from A1.OUT to A2.IN is cut to 350 mm, but nothing runs between the two since A5 stands there.",
        remedy: "use it as a spare and keep its entry, or remove the entry and write its number into `leads.retired`",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let known = |name: &str| design.leads.iter().any(|lead| lead.name == name);
    // Pairs and splitters are also known by an entry of two of their ends.
    let part = |spec: &rig::LeadSpec| {
        design.leads.iter().any(|lead| lead.is_joined() && spec.ends().all(|end| lead.ends_at(end)))
    };
    let gone = design.rig.leads.iter().filter(|spec| !known(&spec.name()) && !part(spec));
    gone.map(|spec| {
        let name = spec.name();
        let devices: Vec<&String> = spec.ends().map(|end| &end.device).collect();
        let what = match (&spec.tag, spec.is_made()) {
            (Some(tag), true) => format!("lead {tag}, {name}, is made, but nothing runs there"),
            (Some(tag), false) => format!("lead {tag}, {name}, has its number, but nothing runs there"),
            (None, true) => format!("lead {name} is made, but nothing runs there"),
            (None, false) => format!("lead {name} is written, but nothing runs there"),
        };
        let severity = if spec.is_made() { Severity::Look } else { Severity::Note };
        Finding::new(ID, severity, what)
            .about(devices)
            .with(Evidence::words("no run and no feed", "one that goes along it"))
            .at(Field::new(["lead", &name]), "")
    })
    .collect()
}

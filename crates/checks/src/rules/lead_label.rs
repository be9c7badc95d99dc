//! Two leads with one number.

use std::collections::BTreeMap;

use design::{Design, Lead};
use finding::{Evidence, Field, Finding, Severity};

use super::CUSTOM;
use crate::{Page, Rule};

const ID: &str = "lead-label";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "two leads with one number",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[60],
    limits: &[],
    page: Page {
        what: "The numbers of all leads, written or counted.",
        why: "A stranger who mends it tonight finds the wrong lead.",
        source: CUSTOM,
        example: "Two leads are called L07.",
        remedy: "give one of them another number, or take its number away so that it is counted",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let mut by_tag: BTreeMap<&str, Vec<&Lead>> = BTreeMap::new();
    for lead in &design.leads {
        by_tag.entry(&lead.tag).or_default().push(lead);
    }
    let mut out = Vec::new();
    for (tag, leads) in by_tag.into_iter().filter(|(_, leads)| 1 < leads.len()) {
        let devices = leads.iter().flat_map(|lead| lead.ends.iter().map(|end| &end.port.device));
        let mut finding = Finding::new(ID, Severity::Stop, format!("{} leads are called {tag}", leads.len()))
            .about(devices)
            .with(Evidence::words(format!("{} leads", leads.len()), "one"));
        for lead in leads {
            finding = finding.at(Field::of("lead", &lead.name, "tag"), "");
        }
        out.push(finding);
    }
    out
}

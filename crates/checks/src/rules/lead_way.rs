//! Leads for which there is no route.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};

use super::CUSTOM;
use crate::{Page, Rule};

const ID: &str = "lead-way";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "leads with no route",
    severity: Severity::Look,
    since: "0.1",
    pains: &[41, 48],
    limits: &[],
    page: Page {
        what: "Every lead of the board, laid in three dimensions around bodies, plugs, rails and decks. It fires when no \
               route is found between its two ends.",
        why: "A plug may fit where its cable cannot leave; the lead is then crushed, or made and thrown away.",
        source: CUSTOM,
        example: "The cable of the plug in A4.IN cannot leave: the body of A5 is in the way.",
        remedy: "turn the exit of the plug, make room in front of it, or give the deck a passage",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let routes = design.routes();
    let mut out = Vec::new();
    for failed in &routes.outcome.failed {
        let Some(lead) = design.lead_of(&failed.id) else { continue };
        let ends: Vec<&String> = lead.ends.iter().map(|end| &end.port.device).collect();
        let mut finding = Finding::new(ID, Severity::Look, format!("lead {}: {}", lead.tag, failed.why))
            .about(ends.iter().copied())
            .on_leads([&lead.tag])
            .with(Evidence::words("no route", "a route"));
        for end in ends {
            finding = finding.at(Field::device(end, "place"), "");
        }
        out.push(finding);
    }
    out
}

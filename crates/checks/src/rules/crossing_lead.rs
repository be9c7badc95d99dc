//! Leads that swap plus and minus.

use design::Design;
use finding::{Field, Finding, Severity};

use super::CUSTOM;
use crate::group::{devices_but, together};
use crate::supply::fed;
use crate::{Page, Rule};

const ID: &str = "crossing-lead";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "supply leads that swap plus and minus",
    severity: Severity::Note,
    since: "0.1",
    pains: &[4],
    limits: &[],
    page: Page {
        what: "Every supply lead that crosses.",
        why: "It looks like every other lead; on a neighbour's inlet it kills the neighbour.",
        source: CUSTOM,
        example: "The lead from SUP.3 to A4 crosses.",
        remedy: "tag the lead at both ends and mark it in a colour of its own",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let cases: Vec<Finding> = fed(&design.rig)
        .iter()
        .filter(|fed| fed.feed.crossing)
        .map(|fed| {
            let tag = &fed.device.tag;
            Finding::new(
                ID,
                Severity::Note,
                format!("the lead from {} to {tag} swaps plus and minus", fed.outlets_words()),
            )
            .about([tag])
            .at(Field::device(tag, "feed.crossing"), "")
        })
        .collect();
    let told =
        together(cases, |cases| format!("the leads to {} swap plus and minus", devices_but(cases, &[])));
    told.into_iter().collect()
}

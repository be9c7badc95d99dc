//! The captive lead of an adaptor that is cut shorter.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};

use super::CUSTOM;
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "adaptor-lead";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "adaptors whose lead does not reach or is cut without consent",
    severity: Severity::Stop,
    since: "0.2",
    pains: &[],
    limits: &[],
    page: Page {
        what: "The captive lead of every adaptor: whether it reaches its device, and where it is shortened whether what is \
               left does, and whether the document says who agreed to it.",
        why: "A lead that is cut cannot be given back, and the maker’s warranty goes with it.",
        source: CUSTOM,
        example: "The lead of R1’s adaptor is shortened to 600 mm, and nobody agreed to it.",
        remedy: "ask the client and write down who agreed and when, or leave the lead whole and coil what is left over",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let mut out = Vec::new();
    for device in design.rig.by_tag() {
        let Some(adaptor) = device.feed.as_ref().and_then(|feed| feed.adaptor.as_ref()) else { continue };
        let tag = &device.tag;
        let at = Field::device(tag, "feed.adaptor");
        let least = design.leads.iter().find(|lead| lead.feeds(tag)).and_then(|lead| lead.least.value);
        let Some(left) = adaptor.shortened else {
            // A lead that is left whole is as long as its maker made it.
            if let (Some(whole), Some(least)) = (adaptor.lead.value, least)
                && whole < least
            {
                let says = format!(
                    "the lead of {tag}’s adaptor does not reach: it is {whole} long, at least {} is needed",
                    shown(least)
                );
                let finding = Finding::new(ID, Severity::Stop, says).about([tag]);
                let finding = finding.remedy(
                    "put the adaptor into a socket nearer by, or the device nearer to the strip; a longer lead is for its \
                     maker to give",
                );
                out.push(finding.at(at.below("lead"), "").with(Evidence::at_least(whole, least)));
            }
            continue;
        };
        if adaptor.consent.as_deref().is_none_or(|consent| consent.trim().is_empty()) {
            let says = format!("the lead of {tag}’s adaptor is shortened to {left}, and nobody agreed to it");
            let finding = Finding::new(ID, Severity::Stop, says).about([tag]);
            out.push(
                finding
                    .at(at.below("shortened"), "")
                    .with(Evidence::words("no consent", "who agreed, and when")),
            );
        }
        if let Some(least) = least.filter(|least| left < *least) {
            let says = format!("the lead of {tag}’s adaptor does not reach: {left} are left of it");
            let finding = Finding::new(ID, Severity::Stop, says).about([tag]);
            out.push(finding.at(at.below("shortened"), "").with(Evidence::at_least(left, least)));
        }
    }
    out
}

//! Made leads that are a nest.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::{Length, Ratio};

use super::CUSTOM;
use crate::compare::{Basis, longer, over};
use crate::group::{leads_of, together};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "lead-long";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "made leads with too much to spare",
    severity: Severity::Look,
    since: "0.1",
    pains: &[38],
    limits: &["spare_long", "spare_long_share"],
    page: Page {
        what: "A lead that is made: its length over what its ways need, by its route. \
               Both the length and the share of it must be passed.",
        why: "What is too long lies in a nest, hums, and hides the lead that is broken.",
        source: CUSTOM,
        example: "A lead of 600 mm between two neighbours has 350 mm to spare.",
        remedy: "make it again to the length on the cut list",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let mut out = Vec::new();
    for spec in &design.rig.leads {
        let Some(cut) = spec.cut else { continue };
        let lead =
            design.leads.iter().find(|lead| lead.from().port == spec.from && lead.to().port == spec.to);
        let Some(lead) = lead.filter(|lead| !lead.outside) else { continue };
        // Whether an unplaced lead reaches is asked by `lead-short`; it cannot be too long for nowhere.
        let Some(needed) = lead.needed.value else { continue };
        let spare = cut - needed;
        let basis = if lead.needed.is_assumed() { Basis::Assumed } else { Basis::Measured };
        let share = spare.as_mm() / cut.as_mm().max(1.0);
        let limits = &design.limits;
        if longer(spare, limits.spare_long, basis)
            && over(Ratio::of(share), limits.spare_long_share)
            && Length::ZERO < cut
        {
            let says = format!("lead {} has {} to spare", lead.tag, shown(spare));
            out.push(
                Finding::new(ID, Severity::Look, says)
                    .about([&spec.from.device, &spec.to.device])
                    .on_leads([&lead.tag])
                    .at(Field::of("lead", &format!("{} > {}", spec.from, spec.to), "cut"), "")
                    .with(Evidence::at_most(spare, limits.spare_long)),
            );
        }
    }
    let told = together(out, |cases| format!("leads {} have too much to spare", leads_of(cases)));
    told.into_iter().collect()
}

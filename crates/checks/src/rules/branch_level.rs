//! Branches that meet so far apart in level that the one is not heard beside the other.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use signal::Branches;

use super::CUSTOM;
use super::polarity::meetings;
use crate::branches::{Apart, levels_apart, quiet_in_words};
use crate::{Page, Rule};

const ID: &str = "branch-level";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "branches that meet far apart in level",
    severity: Severity::Look,
    since: "0.1",
    pains: &[27],
    limits: &[],
    page: Page {
        what: "Two branches of one source that meet in a mixer, for every named state, or with everything on where no \
               state is named: how far the one stays below the other at 1 kHz even with its devices at their largest \
               gain and the other's at 0 dB. From 20 dB on the quieter one adds less than 1 dB.",
        why: "A branch that cannot be brought up to the other is leads, jacks and a mixer input for nothing.",
        source: CUSTOM,
        example: "A delay that takes 30 dB off meets the direct signal in a mixer without level controls.",
        remedy: "give the quieter branch gain, or a mixer that has a level for each input",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let apart = |branches: &Branches| branches.apart_db.unwrap_or(0.0);
    let worst = meetings(design, |a, b| apart(b) < apart(a));
    worst.into_iter().filter_map(|branches| finding_of(design, branches)).collect()
}

fn finding_of(design: &Design, branches: &Branches) -> Option<Finding> {
    let Apart { at, found, limit, gains, asked } = levels_apart(design, branches)?;
    let about = || branches.own.iter().flatten().cloned().chain([at.to_owned()]);
    if !asked.complete() {
        return asked.cannot_judge(ID, &format!("the levels of what meets at {at}"), about());
    }
    let finding = Finding::new(ID, Severity::Look, quiet_in_words(branches, at, found))
        .about(about())
        .with(Evidence::at_most(found, limit))
        .assuming(asked.assumed);
    let mut finding_at = gains;
    if finding_at.is_empty() {
        let run = design.rig.runs.first();
        finding_at.extend(run.map(|run| (Field::run(&run.name, "stops"), String::new())));
    }
    Some(finding_at.into_iter().fold(finding, |finding, (field, says)| finding.at(field, says)))
}

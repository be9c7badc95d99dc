//! Branches that meet so far apart in level that the one is not heard beside the other.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Decibels;
use signal::Branches;

use super::CUSTOM;
use super::polarity::{branches_in_words, meetings};
use crate::asked::Asked;
use crate::compare::over;
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "branch-level";

/// A branch so far below another adds less than 1 dB to it (20·lg(1 + 10^(−20/20)) = 0.83 dB); common practice, no source.
const APART: f64 = 20.0;

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
    worst.into_iter().filter_map(|branches| quiet_at(design, branches)).collect()
}

/// What is to be said of two branches that meet.
pub(crate) fn quiet_at(design: &Design, branches: &Branches) -> Option<Finding> {
    let (at, found) = (branches.meets.as_ref()?, branches.apart_db.and_then(Decibels::new)?);
    let limit = Decibels::of(APART);
    if !over(found, limit) {
        return None;
    }
    let about = || branches.own.iter().flatten().cloned().chain([at.clone()]);
    let mut asked = Asked::default();
    let mut finding_at = Vec::new();
    for tag in branches.own.iter().flatten() {
        let Some(device) = design.rig.device(tag).filter(|device| !device.signal.passive) else {
            continue;
        };
        let own = design.rig.gain(device);
        if let Some(gain) = asked.value(own.value, own.field.clone()) {
            finding_at.push((own.field, shown(gain)));
        }
    }
    if !asked.complete() {
        return asked.cannot_judge(ID, &format!("the levels of what meets at {at}"), about());
    }
    let quiet = branches.louder_db.map(|db| branches.names()[usize::from(0.0 < db)].clone());
    let message = format!(
        "{} meet at {at} {} apart {}: {} is hardly heard",
        branches_in_words(branches),
        shown(found),
        signal::in_state_words(&branches.state),
        quiet.unwrap_or_else(|| "the quieter".to_owned())
    );
    let finding = Finding::new(ID, Severity::Look, message)
        .about(about())
        .with(Evidence::at_most(found, limit))
        .assuming(asked.assumed);
    if finding_at.is_empty() {
        let run = design.rig.runs.first();
        finding_at.extend(run.map(|run| (Field::run(&run.name, "stops"), String::new())));
    }
    Some(finding_at.into_iter().fold(finding, |finding, (field, says)| finding.at(field, says)))
}

//! Level lost from source to amp in the worst switching state.

use design::Design;
use finding::{Evidence, Finding, Severity};
use quantity::Decibels;

use super::treble_loss::{at_least, at_runs, decibels, with};
use crate::asked::{Asked, are_lengths, by_usual_lengths};
use crate::compare::over;
use crate::group::{by_key, together};
use crate::{Page, Rule};

const ID: &str = "chain-loss";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "level lost along a whole run",
    severity: Severity::Look,
    since: "0.1",
    pains: &[27],
    limits: &["chain_loss_look"],
    page: Page {
        what: "From each source to each amp or desk, over every switching state that can be stepped into: the loss at \
               1 kHz against the same guitar straight into the amp by its usual lead, gains of devices left out; devices that \
               need the bare pickup count as bypassed, dry feeds and what only listens are left out. \
               Where values are unknown the figures of treble-loss stand in, and it names them.",
        why: "Many small losses make a quieter rig, and nobody finds a single culprit.",
        source: "nodal analysis of coil, pots, leads and inputs; what is published of the threshold stands with it",
        example: "Six junctions of 0.3 dB lose 1.8 dB.",
        remedy: "put a buffer early in the run",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let outcome = design.signal();
    let limit = design.limits.chain_loss_look;
    let mut out = Vec::new();
    let mut cases: Vec<(&str, Finding)> = Vec::new();
    // What a volume pedal that is turned down takes off is meant: it is judged at the toe.
    let judged = |way: &&signal::Way| !way.aside;
    for way in outcome.ways.iter().filter(judged) {
        // A bound is not what any state does: treble-loss says that not all of them were looked at.
        let Some((loss, Some(state))) = way.loss() else { continue };
        let Some(loss) = Decibels::new(loss) else { continue };
        if !over(loss, limit) {
            continue;
        }
        let asked = Asked { assumed: outcome.assumed.clone(), lacks: way.lacks.clone() };
        let about = [&way.source, &way.sink];
        let by_length = are_lengths(&way.lacks);
        if !asked.complete() && !by_length {
            out.extend(asked.cannot_judge(
                ID,
                &format!("the loss from {} to {}", way.source, way.sink),
                about,
            ));
            continue;
        }
        let (state, least) = (with(state), at_least(way));
        let finding = Finding::new(
            ID,
            Severity::Look,
            format!("{} to {} loses {least}{} at 1 kHz, {state}", way.source, way.sink, decibels(loss)),
        )
        .about(about)
        .with(Evidence::at_most(loss, limit))
        .assuming(asked.assumed);
        let finding = if by_length { by_usual_lengths(finding, &way.lacks) } else { finding };
        cases.push((way.source.as_str(), at_runs(&design.rig, way, finding)));
    }
    for (source, cases) in by_key(cases) {
        out.extend(together(cases, |cases| format!("{source} loses too much level on {} ways", cases.len())));
    }
    out
}

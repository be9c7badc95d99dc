//! What a requirement of the brief wants and the design does not give.

use design::Design;
use finding::{Field, Finding, Judged, Severity, Verdict};

use super::CUSTOM;
use crate::asked::Asked;
use crate::wishes::wishes;
use crate::{Page, Rule};

const ID: &str = "brief-wish";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "wishes of the brief",
    severity: Severity::Look,
    since: "0.1",
    pains: &[33, 43, 49],
    limits: &["beside_gap", "together_gap", "foot_room"],
    page: Page {
        what: "Each wish that stands beside a requirement of the brief (`wants`): order of devices, place, what stands \
               beside, together or apart, a free place, the mass, what plays on without a device, what may be heard alone, \
               and how often a device is stepped on.",
        why: "The client signs for what was agreed, and a plan that forgot one sentence of it is built twice.",
        source: CUSTOM,
        example: "R5 wants the reverb after the echo, and the run passes the reverb first.",
        remedy: "change the plan so that it meets the requirement, or agree with the client on another wish and write that \
                 down",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    wishes(design).into_iter().filter_map(finding_of).collect()
}

fn finding_of(judged: Judged) -> Option<Finding> {
    let Judged { requirement, wish, verdict, about, assumed } = judged;
    let at = Field::new(["brief", "requirements", requirement.as_str()]);
    match verdict {
        Verdict::Met => None,
        Verdict::NotMet { why, evidence } => Some(
            Finding::new(ID, Severity::Look, format!("{requirement} wants {wish}: {why}"))
                .about(about)
                .at(at, "")
                .with(evidence)
                .assuming(assumed),
        ),
        Verdict::NotKnown { lacks, .. } => {
            let asked = Asked { assumed, lacks };
            asked.cannot_judge(ID, &format!("whether {requirement} gets {wish}"), about)
        }
    }
}

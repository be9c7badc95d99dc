//! Level lost along a whole run.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Decibels;

use super::CUSTOM;
use super::junction_loss::{input, loss, output};
use crate::asked::Asked;
use crate::compare::above;
use crate::way::{is_wall, ways};
use crate::words::shown;
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
        what: "The losses of all junctions of a run together, every device on. Impedances that are unknown are told by \
               junction-loss; what is known may be too much already.",
        why: "Many small losses make a quieter rig, and nobody finds a single culprit.",
        source: CUSTOM,
        example: "Six junctions of 0.3 dB lose 1.8 dB.",
        remedy: "put a buffer early in the run",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let limit = design.limits.chain_loss_look;
    let mut out = Vec::new();
    for way in ways(rig) {
        let solid: Vec<_> = way
            .steps
            .iter()
            .filter(|step| rig.device(step.name).is_none_or(|device| !is_wall(device)))
            .collect();
        let mut asked = Asked::default();
        let mut sum = Decibels::ZERO;
        for pair in solid.windows(2) {
            let (Some((from, from_field)), Some((to, to_field))) =
                (output(rig, pair[0]), input(rig, pair[1]))
            else {
                continue;
            };
            let (from, to) = (asked.value(from, from_field), asked.value(to, to_field));
            if let (Some(from), Some(to)) = (from, to) {
                sum += loss(from, to);
            }
        }
        let name = &way.run.name;
        if above(sum.get(), limit.get()) {
            let least = if asked.complete() { "" } else { "at least " };
            out.push(
                Finding::new(
                    ID,
                    Severity::Look,
                    format!("run {name} loses {least}{} at its junctions", shown(sum)),
                )
                .about([name])
                .at(Field::run(name, "stops"), "")
                .with(Evidence::at_most(sum, limit))
                .assuming(asked.assumed),
            );
        } else {
            out.extend(asked.cannot_judge(ID, &format!("the loss of run {name}"), [name]));
        }
    }
    out
}

//! What is missing when the house takes only one of two outputs.

use super::CUSTOM;
use crate::branches::{Missing, missing_at};
use crate::group::together;
use crate::way::{is_desk, is_dry_feed, ways};
use crate::words::list;
use crate::{Page, Rule};
use design::Design;
use finding::{Evidence, Field, Finding, Severity};

const ID: &str = "mono-feed";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "what one output alone does not carry",
    severity: Severity::Look,
    since: "0.1",
    pains: &[33],
    limits: &[],
    page: Page {
        what: "For each output to a desk and each named state: devices that are engaged and that only another output of the \
               same source carries. A dry feed, tapped off before the effects, is left out: it is meant to be dry.",
        why: "The house takes one feed, and half the sound is gone; nobody notices before the first song.",
        source: CUSTOM,
        example: "In state solo the delay is engaged, and only the right-hand feed carries it.",
        remedy: "mark the output that carries everything on the panel, or lead both through what must always be heard",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut cases = Vec::new();
    let mut sinks: Vec<&str> = Vec::new();
    let all = ways(rig);
    // One finding per output that misses something: all that it misses, and the states in which it does.
    for sink in rig.sinks.iter().filter(|sink| is_desk(design, &sink.id)) {
        // A dry feed carries no effects on purpose.
        if all.iter().any(|way| way.end() == sink.id && is_dry_feed(rig, way)) {
            continue;
        }
        let Some(Missing { devices: missing, elsewhere, states }) = missing_at(design, &sink.id) else {
            continue;
        };
        let has = if elsewhere.len() == 1 { "has" } else { "have" };
        let plural = if states.len() == 1 { "state" } else { "states" };
        let mut finding = Finding::new(
            ID,
            Severity::Look,
            format!(
                "{} alone carries nothing of {}, which only {} {has}, in {plural} {}",
                sink.id,
                list(&missing),
                list(&elsewhere),
                list(&states)
            ),
        )
        .about(missing.iter().copied().chain([sink.id.as_str()]))
        .with(Evidence::words(format!("{} missing", missing.len()), "none"));
        for way in all.iter().filter(|way| way.end() == sink.id) {
            finding = finding.at(Field::run(&way.run.name, "stops"), "");
        }
        sinks.push(&sink.id);
        cases.push(finding);
    }
    let told = together(cases, |_| match sinks.as_slice() {
        [a, b] => format!("neither {a} nor {b} alone carries everything"),
        _ => format!("none of {} alone carries everything", list(&sinks)),
    });
    told.into_iter().collect()
}

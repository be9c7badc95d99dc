//! What is missing when the house takes only one of two outputs.

use std::collections::BTreeSet;

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use signal::Branches;

use super::CUSTOM;
use crate::group::together;
use crate::way::{is_desk, is_dry_feed, ways};
use crate::words::list;
use crate::{Page, Rule};

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

/// What one output alone does not carry.
pub(crate) struct Missing<'a> {
    /// The devices.
    pub(crate) devices: Vec<&'a str>,
    /// The outputs that carry them.
    pub(crate) elsewhere: Vec<&'a str>,
    /// The states in which it does not.
    pub(crate) states: Vec<&'a str>,
}

/// What is missing at an output and is there at another of the same source, over all states; `None` where nothing is.
pub(crate) fn missing_at<'a>(design: &'a Design, sink: &str) -> Option<Missing<'a>> {
    let (mut devices, mut elsewhere) = (BTreeSet::new(), BTreeSet::new());
    let mut states: Vec<&str> = Vec::new();
    for branches in &design.signal().branches {
        let Some((side, other)) = sides(branches, sink) else { continue };
        let own = &branches.own[other];
        if own.is_empty() || carries_more(branches, side) {
            continue;
        }
        devices.extend(own.iter().map(String::as_str));
        elsewhere.insert(branches.sinks[other].as_str());
        if !states.contains(&branches.state.as_str()) {
            states.push(&branches.state);
        }
    }
    if devices.is_empty() {
        return None;
    }
    Some(Missing {
        devices: devices.into_iter().collect(),
        elsewhere: elsewhere.into_iter().collect(),
        states,
    })
}

/// The side of two different outputs that is this one, and the other side.
fn sides(branches: &Branches, sink: &str) -> Option<(usize, usize)> {
    let [a, b] = &branches.sinks;
    if a == b {
        return None;
    }
    if a == sink { Some((0, 1)) } else { (b == sink).then_some((1, 0)) }
}

/// Whether this side has the more of its own: then it is the other that misses something.
fn carries_more(branches: &Branches, side: usize) -> bool {
    branches.own[1 - side].len() < branches.own[side].len()
}

//! Running all rules and making one list of what they say.

use std::collections::BTreeMap;

use design::Design;
use finding::{Finding, Identity, Severity};

use crate::{RULES, Rule, acceptance, feed_cure, group, rule};

/// The rules that ask an engine; all others read what the document states.
const BY_ENGINE: &[&str] = &[
    "junction-loss",
    "chain-loss",
    "treble-loss",
    "polarity",
    "latency",
    "branch-level",
    "feedback-ring",
    "gain-sum",
    "input-level",
    "parallel-load",
    "mono-feed",
    "feed-conflict",
    "lead-way",
    "lead-over-edge",
    "lead-bend",
    "lead-apart",
    "loom-level",
    "passage-fill",
    "brief-wish",
];

/// Cures are looked for in the first stops of a list only: who has so many will not press them one by one.
const MOST_CURES: usize = 8;

/// Runs every rule. The list is sorted by severity, rule and devices; no two findings share an identity.
pub fn check(design: &Design) -> Vec<Finding> {
    let mut all = said(design, |_| true);
    let mut left = MOST_CURES;
    for finding in &mut all {
        if 0 < left && feed_cure::add(design, finding) {
            left -= 1;
        }
    }
    let about_acceptances = acceptance::apply(design, &mut all);
    sorted(all, about_acceptances)
}

/// What some of the rules say, with the acceptances of the rig applied and without cures: for who asks the same again with one
/// value changed, and knows which rules read it.
pub fn check_by(design: &Design, which: &dyn Fn(&Rule) -> bool) -> Vec<Finding> {
    let mut all = said(design, which);
    // What an acceptance of the others matches is not asked here.
    let _ = acceptance::apply(design, &mut all);
    sorted(all, Vec::new())
}

/// The findings that rest on what the document states alone: all but those of the rules that ask an engine, and
/// without cures that an engine finds. For an answer within a blink; [`check`] follows.
pub fn check_stated(design: &Design) -> Vec<Finding> {
    let mut all = said(design, |rule| !BY_ENGINE.contains(&rule.id));
    let mut about_acceptances = acceptance::apply(design, &mut all);
    // What an acceptance of the others matches is not known yet.
    about_acceptances.retain(|finding| {
        let index = finding.marks.iter().find_map(|mark| mark.field.parts().get(1)?.parse::<usize>().ok());
        let rule = design.rig.acceptances.iter().find(|acceptance| Some(acceptance.index) == index);
        rule.is_none_or(|acceptance| !BY_ENGINE.contains(&acceptance.rule.as_str()))
    });
    sorted(all, about_acceptances)
}

/// What some of the rules say, merged.
fn said(design: &Design, which: impl Fn(&Rule) -> bool) -> Vec<Finding> {
    let mut all = Vec::new();
    for rule in RULES.iter().filter(|rule| which(rule)) {
        for mut finding in (rule.check)(design) {
            if finding.source.is_empty() {
                rule.page.source.clone_into(&mut finding.source);
            }
            if finding.remedy.is_empty() {
                rule.page.remedy.clone_into(&mut finding.remedy);
            }
            all.push(finding);
        }
    }
    merge(group::unchecked(all, |id| rule(id).map_or("", |rule| rule.title)))
}

fn sorted(mut all: Vec<Finding>, about_acceptances: Vec<Finding>) -> Vec<Finding> {
    all.extend(merge(about_acceptances));
    all.sort_by(|a, b| (a.severity, a.rule, &a.devices).cmp(&(b.severity, b.rule, &b.devices)));
    all
}

/// How much a finding weighs against another of its identity: a stop beats all, and what could not be
/// judged beats a look, since it may yet be a stop.
fn weight(finding: &Finding) -> (Severity, bool) {
    (finding.severity, !finding.is_unchecked())
}

/// Keeps one finding per identity, the worst; what the others say is added to what it touches.
pub(crate) fn merge(findings: Vec<Finding>) -> Vec<Finding> {
    let mut order: Vec<Identity> = Vec::new();
    let mut kept: BTreeMap<Identity, Finding> = BTreeMap::new();
    for finding in findings {
        let identity = finding.identity();
        match kept.remove(&identity) {
            None => {
                order.push(identity.clone());
                kept.insert(identity, finding);
            }
            Some(first) => {
                let (mut worst, other) =
                    if weight(&finding) < weight(&first) { (finding, first) } else { (first, finding) };
                group::absorb(&mut worst, other);
                kept.insert(identity, worst);
            }
        }
    }
    order.into_iter().filter_map(|identity| kept.remove(&identity)).collect()
}

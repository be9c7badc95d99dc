//! Running all rules and making one list of what they say.

use std::collections::BTreeMap;

use design::Design;
use finding::{Finding, Identity, Mark, Severity};

use crate::{RULES, acceptance};

/// Runs every rule. The list is sorted by severity, rule and devices; no two findings share an identity.
pub fn check(design: &Design) -> Vec<Finding> {
    let mut all = Vec::new();
    for rule in RULES {
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
    let mut all = merge(all);
    let about_acceptances = acceptance::apply(&design.rig, &mut all);
    all.extend(merge(about_acceptances));
    all.sort_by(|a, b| (a.severity, a.rule, &a.devices).cmp(&(b.severity, b.rule, &b.devices)));
    all
}

/// How much a finding weighs against another of its identity: a stop beats all, and what could not be
/// judged beats a look, since it may yet be a stop.
fn weight(finding: &Finding) -> (Severity, bool) {
    (finding.severity, !finding.cannot_judge())
}

/// Keeps one finding per identity, the worst; what the others say is added to its marks.
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
                absorb(&mut worst, other);
                kept.insert(identity, worst);
            }
        }
    }
    order.into_iter().filter_map(|identity| kept.remove(&identity)).collect()
}

fn absorb(worst: &mut Finding, other: Finding) {
    let said = format!("also: {}", other.message);
    let mut marks = other.marks.into_iter();
    let first = marks.next().map(|mark| Mark { field: mark.field, label: said });
    for mark in first.into_iter().chain(marks) {
        if !worst.marks.contains(&mark) {
            worst.marks.push(mark);
        }
    }
    worst.assumed.extend(other.assumed);
    worst.assumed.sort();
    worst.assumed.dedup();
    if worst.cannot_judge() {
        worst.lacks.extend(other.lacks);
        worst.lacks.sort();
        worst.lacks.dedup();
    }
    // One edit cannot cure two complaints.
    worst.edit = None;
}

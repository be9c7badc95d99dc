//! Findings that are new, gone, or of another weight.

use finding::{Finding, Severity};

use crate::LeadChange;

/// One case of a finding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Case {
    /// The rule.
    pub rule: &'static str,
    /// The devices it is about.
    pub devices: Vec<String>,
    /// The leads it is about.
    pub leads: Vec<String>,
    /// How bad.
    pub severity: Severity,
    /// What it says.
    pub message: String,
}

/// A case before and after.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FindingChange {
    /// Before; `None` where it is new.
    pub before: Option<Case>,
    /// After; `None` where it is gone.
    pub after: Option<Case>,
}

fn cases(findings: &[Finding]) -> Vec<Case> {
    let mut out = Vec::new();
    for finding in findings {
        if finding.touched.is_empty() {
            out.push(Case {
                rule: finding.rule,
                devices: finding.devices.clone(),
                leads: finding.leads.clone(),
                severity: finding.severity,
                message: finding.message.clone(),
            });
        }
        out.extend(finding.touched.iter().map(|case| Case {
            rule: finding.rule,
            devices: case.devices.clone(),
            leads: case.leads.clone(),
            severity: case.severity,
            message: case.message.clone(),
        }));
    }
    out
}

/// Cases by rule and what they are about; figures in their words may differ.
///
/// A lead that got another number is the same lead: its case before is looked up under the later number.
pub(crate) fn findings(before: &[Finding], after: &[Finding], leads: &[LeadChange]) -> Vec<FindingChange> {
    let mut old = cases(before);
    for tag in old.iter_mut().flat_map(|case| case.leads.iter_mut()) {
        let known = leads.iter().find(|lead| lead.before.as_ref().is_some_and(|made| made.tag == *tag));
        if let Some(now) = known.and_then(|lead| lead.after.as_ref()) {
            tag.clone_from(&now.tag);
        }
    }
    let mut out = Vec::new();
    for case in cases(after) {
        let same = |other: &Case| {
            other.rule == case.rule && other.devices == case.devices && other.leads == case.leads
        };
        let exact = old.iter().position(|other| same(other) && other.message == case.message);
        match exact.or_else(|| old.iter().position(same)) {
            Some(at) => {
                let then = old.remove(at);
                if then.severity != case.severity {
                    out.push(FindingChange { before: Some(then), after: Some(case) });
                }
            }
            None => out.push(FindingChange { before: None, after: Some(case) }),
        }
    }
    out.extend(old.into_iter().map(|case| FindingChange { before: Some(case), after: None }));
    out
}

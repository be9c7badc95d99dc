//! Findings with the lines of the document they rest on.

use std::fmt::Write;

use finding::{Evidence, Finding, Severity};

use super::snippet::{Message, render};
use crate::loaded::Loaded;

/// All findings, then a line of sums.
pub(crate) fn findings(loaded: &Loaded, colour: bool) -> String {
    let messages: Vec<Message<'_>> = loaded.findings.iter().map(|finding| message(loaded, finding)).collect();
    let mut out = render(&messages, &loaded.job.files, colour);
    let _ = writeln!(out, "{}", sums(&loaded.findings));
    out
}

fn message<'a>(loaded: &Loaded, finding: &'a Finding) -> Message<'a> {
    let places = finding
        .marks
        .iter()
        .map(|mark| (loaded.job.locate(&mark.field), mark.label.clone()))
        .collect::<Vec<_>>();
    let mut notes = Vec::new();
    if let Some(evidence) = &finding.evidence {
        notes.push(figures(evidence));
    }
    if finding.cannot_judge() {
        notes.push(format!("cannot judge without {}", list(&finding.lacks)));
    }
    if !finding.assumed.is_empty() {
        notes.push(format!("rests on assumed values: {}", list(&finding.assumed)));
    }
    if !finding.source.is_empty() {
        notes.push(format!("source: {}", finding.source));
    }
    if let Some(accepted) = &finding.accepted {
        let by = accepted.by.as_deref().map_or_else(String::new, |by| format!(" by {by}"));
        notes.push(format!("accepted{by}: {}", accepted.reason));
    }
    Message {
        severity: Some(finding.severity),
        id: Some(finding.rule),
        title: finding.message.clone(),
        places,
        notes,
        help: (!finding.remedy.is_empty()).then(|| finding.remedy.clone()),
    }
}

fn list(fields: &[finding::Field]) -> String {
    const SHOWN: usize = 6;
    let mut names: Vec<String> = fields.iter().take(SHOWN).map(ToString::to_string).collect();
    if SHOWN < fields.len() {
        names.push(format!("and {} more", fields.len() - SHOWN));
    }
    names.join(", ")
}

/// `found 95 %, allowed ≤ 80 %, margin −15 %`.
pub(crate) fn figures(evidence: &Evidence) -> String {
    match evidence {
        Evidence::Number { found, allowed } => match evidence.margin() {
            Some(margin) => format!("found {found}, allowed {allowed}, margin {margin}"),
            None => format!("found {found}, allowed {allowed}"),
        },
        Evidence::Words { found, allowed } => format!("found {found}, allowed {allowed}"),
    }
}

/// `2 stop, 1 look, 0 note; 1 of them accepted`.
pub(crate) fn sums(findings: &[Finding]) -> String {
    let count = |severity| findings.iter().filter(|f| f.severity == severity && f.accepted.is_none()).count();
    let accepted = findings.iter().filter(|finding| finding.accepted.is_some()).count();
    let mut out = format!(
        "{} stop, {} look, {} note",
        count(Severity::Stop),
        count(Severity::Look),
        count(Severity::Note)
    );
    if 0 < accepted {
        let _ = write!(out, "; {accepted} accepted");
    }
    out
}

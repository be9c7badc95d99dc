//! Findings with the lines of the document they rest on.

use std::fmt::Write;

use document::At;
use finding::{Bound, Evidence, Finding, Severity};

use super::snippet::{Message, render};
use crate::loaded::Loaded;

/// So many findings that wait for values stand among the others; more of them are one line.
const FEW: usize = 3;

/// All findings, then a line of sums. What waits for values is one line that says how to see what to measure first, unless
/// `all` are asked for or they are few.
pub(crate) fn findings(loaded: &Loaded, colour: bool, all: bool) -> String {
    let waits = |finding: &&Finding| {
        finding.is_unchecked() && finding.severity != Severity::Stop && finding.accepted.is_none()
    };
    let waiting = loaded.findings.iter().filter(waits).count();
    let is_one_line = !all && FEW < waiting;
    let shown = loaded.findings.iter().filter(|finding| !is_one_line || !waits(finding));
    let messages: Vec<Message<'_>> = shown.map(|finding| message(loaded, finding)).collect();
    let mut out = render(&messages, &loaded.job.files, colour);
    if is_one_line {
        let values: std::collections::BTreeSet<_> =
            loaded.findings.iter().filter(waits).flat_map(|finding| &finding.lacks).collect();
        let _ = writeln!(
            out,
            "{waiting} checks wait for {} values that nobody knows: `boardwright measure` says which of them decide \
             something, `check --all` shows each",
            values.len()
        );
    }
    out.push_str(&answers(loaded));
    let _ = writeln!(out, "{}", sums(&loaded.findings));
    out
}

/// Each answer of the job with what it covers, so that a wide one hides nothing unseen.
fn answers(loaded: &Loaded) -> String {
    let mut out = String::new();
    for answer in loaded.job.rig.acceptances.iter().filter(|answer| !answer.reason.trim().is_empty()) {
        let covered: Vec<&str> = loaded
            .findings
            .iter()
            .filter(|finding| finding.rule == answer.rule)
            .filter(|finding| {
                finding.accepted.as_ref().is_some_and(|own| own.reason.contains(&answer.reason))
            })
            .map(|finding| finding.message.as_str())
            .collect();
        if !covered.is_empty() {
            let _ = writeln!(
                out,
                "the answer to {} for {} covers: {}",
                answer.rule,
                answer.covers(),
                covered.join("; ")
            );
        }
    }
    out
}

fn message<'a>(loaded: &Loaded, finding: &'a Finding) -> Message<'a> {
    let mut notes = Vec::new();
    for case in &finding.touched {
        notes.push(touched(case));
    }
    if finding.touched.is_empty()
        && let Some(evidence) = &finding.evidence
    {
        notes.push(figures(evidence));
    }
    // A short list stands in the headline already.
    if finding.lacks.iter().any(|field| !finding.message.contains(&field.words())) {
        let verb = if finding.lacks.iter().any(finding::Field::is_measured) { "measure" } else { "find out" };
        notes.push(format!("{verb}: {}", whole_list(&finding.lacks)));
    }
    if !finding.assumed.is_empty() {
        notes.push(format!("rests on assumed values: {}", list(&finding.assumed)));
    }
    if !finding.source.is_empty() {
        notes.push(format!("source: {}", finding.source));
    }
    if let Some(accepted) = &finding.accepted {
        let by = accepted.by.as_deref().map_or_else(String::new, |by| format!(" by {by}"));
        notes.push(format!("answered for{by}, on {}: {}", accepted.covers, accepted.reason));
    }
    Message {
        severity: Some(finding.severity),
        id: Some(finding.rule),
        title: finding.message.clone(),
        places: places(loaded, finding),
        notes,
        help: (!finding.remedy.is_empty()).then(|| finding.remedy.clone()),
    }
}

/// Where the finding points, each place once: several values may stand on one line.
fn places(loaded: &Loaded, finding: &Finding) -> Vec<(At, String)> {
    /// Values that were not checked are listed below; the first of them show where to write.
    const UNCHECKED: usize = 3;
    let shown = if finding.is_unchecked() { UNCHECKED } else { usize::MAX };
    let mut places: Vec<(At, String)> = Vec::new();
    for mark in finding.marks.iter().take(shown) {
        let at = loaded.job.locate(&mark.field);
        match places.iter_mut().find(|(known, _)| *known == at) {
            None => places.push((at, mark.label.clone())),
            Some((_, label)) if label.is_empty() => label.clone_from(&mark.label),
            Some((_, label)) if mark.label.is_empty() || label.contains(&mark.label) => {}
            Some((_, label)) => *label = format!("{label}; {}", mark.label),
        }
    }
    places
}

/// One of the cases that a cause touches: `B3 (62 kΩ) into B6 (470 kΩ) loses 1.1 dB (allowed ≤ 0.5 dB)`.
fn touched(case: &finding::Touched) -> String {
    let answered = if case.answered { "; answered for" } else { "" };
    match &case.evidence {
        Some(Evidence::Number { allowed, .. }) if !tells(&case.message, allowed) => {
            format!("{}: {} (allowed {allowed}{answered})", case.severity, case.message)
        }
        _ => format!("{}: {}{answered}", case.severity, case.message),
    }
}

/// Whether a message tells its limit itself.
fn tells(message: &str, allowed: &Bound) -> bool {
    match allowed {
        Bound::AtMost(limit) | Bound::AtLeast(limit) => message.contains(&format!(" {limit}")),
        Bound::Words(words) => message.contains(words.as_str()),
    }
}

/// All values in words.
fn whole_list(fields: &[finding::Field]) -> String {
    let mut names: Vec<String> = fields.iter().map(finding::Field::words).collect();
    names.dedup();
    names.join(", ")
}

fn list(fields: &[finding::Field]) -> String {
    const SHOWN: usize = 6;
    let mut names: Vec<String> = fields.iter().take(SHOWN).map(finding::Field::words).collect();
    if SHOWN < fields.len() {
        names.push(format!("and {} more", fields.len() - SHOWN));
    }
    names.join(", ")
}

/// `found 95 %, allowed ≤ 80 %, margin −15 %`.
pub(crate) fn figures(evidence: &Evidence) -> String {
    match evidence {
        Evidence::Number { found, allowed } => match evidence.shown_margin() {
            Some(margin) => format!("found {found}, allowed {allowed}, margin {margin}"),
            None => format!("found {found}, allowed {allowed}"),
        },
        Evidence::Words { found, allowed } => format!("found {found}, allowed {allowed}"),
    }
}

/// `2 stops, 1 look, 0 notes; 1 answered for`.
pub(crate) fn sums(findings: &[Finding]) -> String {
    let count = |severity| findings.iter().filter(|f| f.severity == severity && f.accepted.is_none()).count();
    let accepted = findings.iter().filter(|finding| finding.accepted.is_some()).count();
    let counted = |severity: Severity| {
        let count = count(severity);
        format!("{count} {}{}", severity.word(), if count == 1 { "" } else { "s" })
    };
    let mut out = [Severity::Stop, Severity::Look, Severity::Note].map(counted).join(", ");
    if 0 < accepted {
        let _ = write!(out, "; {accepted} answered for");
    }
    out
}

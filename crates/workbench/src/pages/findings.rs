//! The findings beside a place: worst first, each with its figures, its remedy and who answers for it.

use document::Job;
use finding::{Bound, Evidence, Finding, Severity};
use maud::{Markup, html};

use super::frame::{Head, Place};
use super::marks::severity;

/// How many findings are shown in full before the rest becomes lines.
const IN_FULL: usize = 6;

/// The list for a place, and what stands elsewhere.
pub(crate) fn beside(head: &Head, job: &Job, findings: &[Finding], picked: Option<&str>) -> Markup {
    let (here, elsewhere): (Vec<&Finding>, Vec<&Finding>) =
        findings.iter().partition(|finding| head.place.concerns(finding));
    let (answered, open): (Vec<&Finding>, Vec<&Finding>) =
        here.iter().copied().partition(|finding| finding.accepted.is_some());
    let mut others: Vec<(Place, usize)> = Vec::new();
    for finding in elsewhere.iter().filter(|finding| finding.accepted.is_none()) {
        let place = Place::ALL.into_iter().find(|place| place.concerns(finding)).unwrap_or(Place::Path);
        match others.iter_mut().find(|(known, _)| *known == place) {
            Some((_, count)) => *count += 1,
            None => others.push((place, 1)),
        }
    }
    let count = others.iter().map(|(_, count)| count).sum::<usize>();
    html! {
        section.findings aria-labelledby="findings-here" {
            h2 #findings-here { "Findings here" span { (open.len()) " of " (open.len() + count) ", worst first" } }
            @if open.is_empty() {
                p.none { "Nothing open here." }
            }
            ul {
                @for (index, finding) in open.iter().enumerate() {
                    @let touches = picked.is_some_and(|tag| finding.devices.iter().any(|device| device == tag));
                    (one(head, job, finding, index < IN_FULL || touches, index == 0))
                }
            }
            @if !answered.is_empty() {
                details.answered {
                    summary { (answered.len()) " answered for" }
                    ul { @for finding in &answered { (accepted(finding)) } }
                }
            }
            @if !others.is_empty() {
                p.else {
                    (count) " elsewhere: "
                    @for (index, (place, count)) in others.iter().enumerate() {
                        @if index > 0 { ", " }
                        a href=(head.to(*place)) { (place.title()) " " (count) }
                    }
                }
            }
        }
    }
}

/// Fields in words, each once.
fn words(fields: &[finding::Field]) -> String {
    let mut names: Vec<String> = fields.iter().map(finding::Field::words).collect();
    names.dedup();
    names.join(", ")
}

fn key(finding: &Finding) -> String {
    format!("{}.{}", finding.rule, finding.devices.join("."))
}

/// Message with its first letter large, as a sentence in a list begins.
pub(crate) fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        // A tag or a unit at the beginning keeps its case.
        Some(first) if first.is_lowercase() => first.to_uppercase().collect::<String>() + chars.as_str(),
        _ => text.to_owned(),
    }
}

/// Message of a finding as a sentence; a name at its beginning stands as the document spells it.
fn message(finding: &Finding, text: &str) -> String {
    let first = text.split([' ', ',', ':', '.']).next().unwrap_or_default();
    let is_name = first.contains('_')
        || first.contains(|c: char| c.is_ascii_digit())
        || finding.devices.iter().any(|device| device.split([' ', '.']).next() == Some(first));
    if is_name { text.to_owned() } else { sentence(text) }
}

fn figures(evidence: &Evidence) -> Markup {
    use super::value::minus;
    // Words stand as they are: a hyphen in them is no minus sign.
    let (found, allowed) = match evidence {
        Evidence::Number { found, allowed: Bound::Words(words) } => (minus(found.to_string()), words.clone()),
        Evidence::Number { found, allowed } => (minus(found.to_string()), minus(allowed.to_string())),
        Evidence::Words { found, allowed } => (found.clone(), allowed.clone()),
    };
    html! {
        dl.ev {
            div { dt { "found" } dd { (found) } }
            div { dt { "allowed" } dd { (allowed) } }
            @if let Some(margin) = evidence.shown_margin() {
                div { dt { "margin" } dd.m { (minus(margin.to_string())) } }
            }
        }
    }
}

fn one(head: &Head, job: &Job, finding: &Finding, full: bool, first: bool) -> Markup {
    let word = sentence(finding.severity.word());
    let class = finding.severity.word();
    let jump = jump(head, finding);
    if !full {
        return html! {
            li.{ "o " (class) } data-key=(key(finding)) tabindex="-1" {
                (severity(finding.severity, 14))
                b.w { (word) }
                a href=(jump) { (message(finding, &finding.message)) }
                @if let Some(margin) = finding.evidence.as_ref().and_then(Evidence::shown_margin) {
                    em { (margin.to_string()) }
                }
            }
        };
    }
    html! {
        li.{ "f " (class) } data-key=(key(finding)) data-devices=(finding.devices.join(" ")) tabindex="-1" {
            (severity(finding.severity, 16))
            div {
                h3 { b.w { (word) } " " a href=(jump) { (message(finding, &finding.message)) } }
                @if finding.touched.is_empty() {
                    @if let Some(evidence) = &finding.evidence { (figures(evidence)) }
                } @else {
                    ul.touched { @for case in &finding.touched { li { (message(finding, &case.message)) } } }
                }
                @if finding.lacks.iter().any(|field| !finding.message.contains(&field.words())) {
                    p { (if finding.lacks.iter().any(finding::Field::is_measured) { "Measure: " } else { "Find out: " }) (words(&finding.lacks)) }
                }
                p {
                    (sentence(&finding.remedy))
                    @if !finding.assumed.is_empty() {
                        ". Rests on " (finding.assumed.len()) " assumed "
                        @if finding.assumed.len() == 1 { "value" } @else { "values" }
                    }
                    "."
                }
                div.act {
                    @if let Some(edit) = &finding.edit {
                        form method="post" action=(head.edit_to()) data-live="" {
                            (head.edit_fields("cure"))
                            input type="hidden" name="rule" value=(finding.rule);
                            @for device in &finding.devices { input type="hidden" name="device" value=(device); }
                            button.rem .p[first] type="submit" { (sentence(&edit.name)) }
                        }
                    }
                    details.ans {
                        summary { "I answer for this" }
                        form method="post" action=(head.edit_to()) data-live="" {
                            (head.edit_fields("accept"))
                            input type="hidden" name="rule" value=(finding.rule);
                            @for device in &finding.devices { input type="hidden" name="device" value=(device); }
                            label { "Reason" textarea name="reason" required rows="2" maxlength="500" {} }
                            label { "Who answers" input name="by" maxlength="80" autocomplete="name" value=(job.rig.job.drawn_by.as_deref().unwrap_or("")); }
                            button.rem type="submit" { "I answer for this" }
                        }
                    }
                    a.why href={ "/job/" (head.job) "/where?rule=" (finding.rule) } data-where="" { "Why" span.sr { " this rule" } }
                }
            }
        }
    }
}

/// Where the finding leads: the device on its place, or the value.
fn jump(head: &Head, finding: &Finding) -> String {
    let device = finding.devices.iter().find(|name| name.as_str() != "board");
    let place = Place::ALL.into_iter().find(|place| place.concerns(finding)).unwrap_or(head.place);
    match device {
        Some(device) => format!("{}?pick={}", head.to(place), super::value::query(device)),
        None => head.to(place),
    }
}

fn accepted(finding: &Finding) -> Markup {
    let (reason, by, covers) = finding
        .accepted
        .as_ref()
        .map(|accepted| (accepted.reason.as_str(), accepted.by.as_deref(), accepted.covers.to_string()))
        .unwrap_or_default();
    html! {
        li.f.struck {
            (severity(finding.severity, 16))
            div {
                h3 { s { (message(finding, &finding.message)) } }
                p { "“" (reason) "”" @if let Some(by) = by { " " (by) } ", for " (covers) }
            }
        }
    }
}

/// How many findings stand open, by severity.
pub(crate) fn open(findings: &[Finding]) -> [usize; 3] {
    [Severity::Stop, Severity::Look, Severity::Note]
        .map(|severity| findings.iter().filter(|f| f.severity == severity && f.accepted.is_none()).count())
}

/// For each place the worst severity open there, and how many.
pub(crate) fn by_place(findings: &[Finding]) -> Vec<(Place, Option<Severity>, usize)> {
    Place::ALL
        .into_iter()
        .map(|place| {
            let open: Vec<&Finding> =
                findings.iter().filter(|f| f.accepted.is_none() && place.concerns(f)).collect();
            (place, open.iter().map(|f| f.severity).min(), open.len())
        })
        .collect()
}

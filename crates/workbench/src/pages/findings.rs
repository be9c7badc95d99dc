//! The findings beside a place: worst first, each with its figures, its remedy and who answers for it.

use document::Job;
use finding::{Bound, Evidence, Finding, Severity};
use maud::{Markup, html};

use super::frame::{Head, Place};
use super::marks::severity;
use verdict::joint;

/// How many findings are shown in full before the rest becomes lines.
const IN_FULL: usize = 6;

/// So many findings that wait for values stand among the others, and so many cases of one finding in full.
const FEW: usize = 4;

/// The list for a place, and what stands elsewhere.
pub(crate) fn beside(head: &Head, job: &Job, findings: &[Finding], picked: Option<&str>) -> Markup {
    let (here, elsewhere): (Vec<&Finding>, Vec<&Finding>) =
        findings.iter().partition(|finding| head.place.concerns(finding));
    let (answered, open): (Vec<&Finding>, Vec<&Finding>) =
        here.iter().copied().partition(|finding| finding.accepted.is_some());
    let touches =
        |finding: &Finding| picked.is_some_and(|tag| finding.devices.iter().any(|device| device == tag));
    // What waits for values is looked into when they are measured; a few lines do not hide what was found.
    let is_waiting =
        |finding: &&Finding| finding.message.starts_with("not checked") && finding.severity != Severity::Stop;
    let (waiting, judged): (Vec<&Finding>, Vec<&Finding>) = open.iter().copied().partition(is_waiting);
    let (waiting, judged) = if waiting.len() <= FEW { (Vec::new(), open.clone()) } else { (waiting, judged) };
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
                @for (index, finding) in judged.iter().enumerate() {
                    (one(head, job, finding, index < IN_FULL || touches(finding), index == 0))
                }
            }
            @if !waiting.is_empty() {
                details.answered.waiting-for data-key="not-checked" {
                    summary { (waiting.len()) " not checked yet: values are missing" }
                    p { a href={ (head.to(Place::Gear)) "?add=first" } { "Which of them decide something" } }
                    ul { @for finding in &waiting { (one(head, job, finding, touches(finding), false)) } }
                }
            }
            @if !answered.is_empty() {
                details.answered {
                    summary { (answered.len()) " answered for" }
                    ul { @for finding in &answered { (accepted(head, finding)) } }
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
fn message(head: &Head, finding: &Finding, text: &str) -> String {
    let text = &plain(head, text);
    let first = text.split([' ', ',', ':', '.']).next().unwrap_or_default();
    let is_name = first.contains('_')
        || first.contains(|c: char| c.is_ascii_digit())
        || finding.devices.iter().any(|device| device.split([' ', '.']).next() == Some(first));
    if is_name { text.to_owned() } else { sentence(text) }
}

/// What an engine says, for who reads it on a page: in the unit of the page, and without what is typed in a terminal.
fn plain(head: &Head, text: &str) -> String {
    const COMMANDS: &[(&str, &str)] = &[
        ("(Allocate, `boardwright feed --write`)", "(Allocate, in Power)"),
        ("`boardwright feed` tells", "Power tells"),
        ("`boardwright signal` and the Path", "the Path"),
    ];
    let text = COMMANDS.iter().fold(text.to_owned(), |text, (command, place)| text.replace(command, place));
    crate::error::quoted(&crate::units::in_unit(&text, head.unit, crate::units::Fine::Calliper))
}

fn figures(head: &Head, evidence: &Evidence) -> Markup {
    use super::value::minus;
    // Words stand as they are: a hyphen in them is no minus sign.
    let (found, allowed) = match evidence {
        Evidence::Number { found, allowed: Bound::Words(words) } => (minus(found.to_string()), words.clone()),
        Evidence::Number { found, allowed } => (minus(found.to_string()), minus(allowed.to_string())),
        Evidence::Words { found, allowed } => (found.clone(), allowed.clone()),
    };
    let shown = |text: &str| crate::units::in_unit(text, head.unit, crate::units::Fine::Calliper);
    html! {
        dl.ev {
            div { dt { "found" } dd { (shown(&found)) } }
            div { dt { "allowed" } dd { (shown(&allowed)) } }
            @if let Some(margin) = evidence.shown_margin() {
                div { dt { "margin" } dd.m { (shown(&minus(margin.to_string()))) } }
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
                a href=(jump) { (message(head, finding, &finding.message)) }
                @if let Some(margin) = finding.evidence.as_ref().and_then(Evidence::shown_margin) {
                    em { (plain(head, &margin.to_string())) }
                }
            }
        };
    }
    html! {
        li.{ "f " (class) } data-key=(key(finding)) data-devices=(finding.devices.join(" ")) tabindex="-1" {
            (severity(finding.severity, 16))
            div {
                h3 { b.w { (word) } " " a href=(jump) { (message(head, finding, &finding.message)) } }
                @if finding.touched.is_empty() {
                    @if let Some(evidence) = &finding.evidence { (figures(head, evidence)) }
                } @else {
                    @let (first, more) = finding.touched.split_at(finding.touched.len().min(FEW));
                    ul.touched { @for case in first { li { (message(head, finding, &case.message)) } } }
                    @if !more.is_empty() {
                        details data-key={ "cases-" (key(finding)) } {
                            summary { "and " (more.len()) " more" }
                            ul.touched { @for case in more { li { (message(head, finding, &case.message)) } } }
                        }
                    }
                }
                @if finding.lacks.iter().any(|field| !finding.message.contains(&field.words())) {
                    p { (if finding.lacks.iter().any(finding::Field::is_measured) { "Measure: " } else { "Find out: " }) (words(&finding.lacks)) }
                }
                p {
                    (sentence(&remedy(head, job, finding)))
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
                    (joined(head, job, finding, first))
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

/// The remedy of a finding; where a button beside it does the first half of it, the other half.
fn remedy(head: &Head, job: &Job, finding: &Finding) -> String {
    let rest = joint_of(job, finding).and_then(|_| finding.remedy.split_once("; else "));
    match rest {
        Some((_, rest)) => format!(
            "where the output may feed both, make it one lead with a joint; else {}",
            plain(head, rest)
        ),
        None => plain(head, &finding.remedy),
    }
}

/// The jack that a finding is about, where one lead with a joint mends it.
fn joint_of(job: &Job, finding: &Finding) -> Option<rig::PortRef> {
    let parts: Vec<&str> = finding.marks.first()?.field.parts().iter().map(String::as_str).collect();
    let ["device", device, "port", port] = parts[..] else { return None };
    let port = rig::PortRef::new(device, port);
    let is_offered = finding.rule == "port-doubly-fed" && finding.edit.is_none();
    joint(&job.rig, &port).filter(|_| is_offered).map(|_| port)
}

/// A button that makes one lead with a joint, where two leave the jack that the finding is about.
fn joined(head: &Head, job: &Job, finding: &Finding, first: bool) -> Markup {
    html! {
        @if let Some(port) = joint_of(job, finding) {
            form method="post" action=(head.edit_to()) data-live="" {
                (head.edit_fields("joint"))
                input type="hidden" name="device" value=(port.device);
                input type="hidden" name="port" value=(port.port);
                button.rem .p[first] type="submit" { "Make it one Y lead" }
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

fn accepted(head: &Head, finding: &Finding) -> Markup {
    let (reason, by, covers) = finding
        .accepted
        .as_ref()
        .map(|accepted| (accepted.reason.as_str(), accepted.by.as_deref(), accepted.covers.to_string()))
        .unwrap_or_default();
    html! {
        li.f.struck {
            (severity(finding.severity, 16))
            div {
                h3 { s { (message(head, finding, &finding.message)) } }
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

//! The lists of the layout paper: findings, leads.

use design::{Design, Lead, LeadEndAt};
use finding::{Evidence, Finding};
use quantity::Length;
use rig::{Known, LeadClass};
use serde_json::{Value, json};

use crate::layout::is_assumed;
use crate::sheet::soft;
use crate::text;

/// The longest running text of a row, in characters.
const MOST: usize = 380;
/// The longest name in a column.
const NAME: usize = 100;
/// Fields named in one line.
const FIELDS: usize = 6;

/// Every finding: the open ones worst first, then those that somebody answers for.
pub(crate) fn findings(findings: &[Finding]) -> Value {
    let mut order: Vec<&Finding> = findings.iter().collect();
    order.sort_by_key(|finding| (finding.accepted.is_some(), finding.severity));
    let rows: Vec<Value> = order.into_iter().map(finding_row).collect();
    json!({
        "head": text::FINDINGS,
        "columns": [text::SEVERITY, text::FINDING, text::FOUND, text::ALLOWED, text::MARGIN],
        "none": text::NO_FINDINGS,
        "rows": rows,
    })
}

fn finding_row(finding: &Finding) -> Value {
    let (found, allowed) = match &finding.evidence {
        Some(Evidence::Number { found, allowed }) => (found.to_string(), allowed.to_string()),
        Some(Evidence::Words { found, allowed }) => (found.clone(), allowed.clone()),
        None => (String::new(), String::new()),
    };
    let margin = finding.evidence.as_ref().and_then(Evidence::margin);
    let mut notes = Vec::new();
    if finding.cannot_judge() {
        notes.push(format!("{} {}", text::CANNOT_JUDGE, fields(&finding.lacks)));
    }
    if !finding.remedy.is_empty() {
        notes.push(format!("{} {}", text::REMEDY, finding.remedy));
    }
    if let Some(accepted) = &finding.accepted {
        notes.push(text::answered(&accepted.reason, accepted.by.as_deref()));
    }
    if !finding.assumed.is_empty() {
        notes.push(format!("{} {}", text::RESTS_ON, fields(&finding.assumed)));
    }
    let notes: Vec<String> = notes.iter().map(|note| soft(note, MOST)).collect();
    json!({
        "severity": finding.severity.word(),
        "word": text::severity(finding.severity),
        "answered": finding.accepted.is_some(),
        "message": soft(&finding.message, MOST),
        "notes": notes,
        "rule": soft(finding.rule, NAME),
        "found": soft(&found, NAME),
        "allowed": soft(&allowed, NAME),
        "margin": margin.as_ref().map(ToString::to_string).unwrap_or_default(),
        "over": margin.is_some_and(|margin| margin.value < 0.0),
        "assumed": !finding.assumed.is_empty(),
    })
}

fn fields(fields: &[finding::Field]) -> String {
    let mut words: Vec<String> = fields.iter().take(FIELDS).map(ToString::to_string).collect();
    if fields.len() > FIELDS {
        words.push(text::and_more(fields.len() - FIELDS));
    }
    words.join(", ")
}

/// Every lead: signal and control in the order of the runs, then power.
pub(crate) fn leads(design: &Design) -> Value {
    let rows: Vec<Value> = design.leads.iter().map(|lead| lead_row(design, lead)).collect();
    // On few rows there is room for type that reads from the bench.
    let size = if rows.len() <= 10 { 11.0 } else { 9.5 };
    json!({
        "size": size,
        "head": text::LEADS,
        "columns": [
            text::LEAD, text::CLASS, text::FROM, text::PLUG_EXIT, text::TO, text::PLUG_EXIT, text::CABLE,
            text::STRAIGHT, text::CUT,
        ],
        "none": text::NO_LEADS,
        "note": text::LEADS_NOTE,
        "rows": rows,
    })
}

fn lead_row(design: &Design, lead: &Lead) -> Value {
    let cable = match &lead.cable {
        Some(cable) => soft(&cable.title, NAME),
        None => text::OPEN.to_owned(),
    };
    // Mains leads are bought ready-made and approved; the papers never ask for one to be cut.
    let bought = lead.class == LeadClass::Mains && lead.run.is_some();
    let cut = if bought { text::DASH.to_owned() } else { length(lead.cut) };
    let cut_word = if bought {
        text::READY_MADE
    } else if lead.outside {
        text::OWN_LEAD
    } else if lead.cut.is_assumed() {
        text::ESTIMATED
    } else if lead.cut.value.is_some() {
        text::MADE
    } else {
        ""
    };
    json!({
        "tag": soft(&lead.tag, 24),
        "class": lead.class.word(),
        "from": end_name(design, &lead.from),
        "from_plug": plug(lead, &lead.from),
        "to": end_name(design, &lead.to),
        "to_plug": plug(lead, &lead.to),
        "cable": cable,
        "cable_open": lead.cable.is_none(),
        "straight": length(lead.straight),
        "straight_assumed": is_assumed(lead.straight.from) && lead.straight.value.is_some(),
        "cut": cut,
        "cut_assumed": lead.cut.is_assumed() && !bought,
        "cut_word": cut_word,
    })
}

/// Whole millimetres; lengths of leads are not known finer.
fn length(length: Known<Length>) -> String {
    length.value.map_or_else(|| text::UNKNOWN.to_owned(), |length| length.figure_mm(0))
}

/// A port as it is written, or the title of what stands outside.
fn end_name(design: &Design, end: &LeadEndAt) -> String {
    let rig = &design.rig;
    let outside = rig
        .source(&end.port.device)
        .map(|source| source.title.as_str())
        .or_else(|| rig.sink(&end.port.device).map(|sink| sink.title.as_str()))
        .filter(|title| end.port.port.is_empty() && !title.is_empty());
    match outside {
        Some(title) => soft(title, NAME),
        None => soft(&end.port.to_string(), NAME),
    }
}

/// Plug and exit of an end, as far as they are decided.
fn plug(lead: &Lead, end: &LeadEndAt) -> Value {
    if end.soldered {
        return json!({ "plug": text::SOLDERED, "exit": "", "open": false });
    }
    // What the player's own lead brings at its far end is not ours to say.
    if end.port.port.is_empty() && lead.outside {
        return json!({ "plug": text::DASH, "exit": "", "open": false });
    }
    let exit = end.plug.exit.map(|exit| text::exit(exit.word())).unwrap_or_default();
    match &end.plug.plug {
        Some(plug) => json!({ "plug": soft(&plug.title, NAME), "exit": exit, "open": false }),
        None => json!({ "plug": text::OPEN, "exit": exit, "open": true }),
    }
}

//! A change for other programs.

use quantity::Length;
use serde_json::{Value, json as make};

use crate::{Became, Case, Change, Hole, LabelOf, LeadChange, Made, Words};

/// The version of this JSON. It changes when a key changes its meaning.
pub const CHANGE_SCHEMA: &str = "boardwright.change.1";

fn mm(length: Option<Length>) -> Value {
    length.map_or(Value::Null, |length| make!(length.as_mm()))
}

fn words(all: &[Words]) -> Vec<Value> {
    all.iter().map(|words| make!({ "of": words.of, "before": words.before, "after": words.after })).collect()
}

fn made(made: &Made) -> Value {
    make!({
        "tag": made.tag,
        "class": made.class.word(),
        "making": format!("{:?}", made.making).to_lowercase(),
        "cable": made.cable,
        "ends": made.ends.iter().map(|end| make!({ "port": end.port, "plug": end.plug, "fitting": end.fitting })).collect::<Vec<_>>(),
        "cuts_mm": made.cuts.iter().map(|cut| mm(*cut)).collect::<Vec<_>>(),
        "turned_deg": made.turned,
        "wires": made.wires,
    })
}

fn lead(lead: &LeadChange) -> Value {
    let (why, spare, offcut) = match &lead.became {
        Became::Remade { why } | Became::Altered { how: why } => (Some(why), None, None),
        Became::Reaches { spare } => (None, Some(*spare), None),
        Became::Gone { offcut } => (None, None, *offcut),
        Became::New | Became::Stays => (None, None, None),
    };
    make!({
        "tag": lead.tag(),
        "name": lead.name,
        "was": lead.was,
        "became": lead.became.word(),
        "why": why,
        "spare_mm": mm(spare),
        "offcut_mm": mm(offcut),
        "renumbered": lead.renumbered,
        "before": lead.before.as_ref().map(made),
        "after": lead.after.as_ref().map(made),
    })
}

fn holes(all: &[Hole]) -> Vec<Value> {
    all.iter()
        .map(|hole| {
            make!({
                "plate": hole.plate, "of": hole.of, "x_mm": mm(hole.x), "y_mm": mm(hole.y),
                "width_mm": mm(hole.width), "height_mm": mm(hole.height),
            })
        })
        .collect()
}

fn labels(all: &[LabelOf]) -> Vec<Value> {
    all.iter().map(|label| make!({ "kind": label.kind, "of": label.of, "lines": label.lines })).collect()
}

fn case(case: &Case) -> Value {
    make!({
        "rule": case.rule, "severity": case.severity.word(), "message": case.message,
        "devices": case.devices, "leads": case.leads,
    })
}

/// The change as JSON; lengths in millimetres.
pub fn json(change: &Change) -> Value {
    make!({
        "schema": CHANGE_SCHEMA,
        "empty": change.is_empty(),
        "devices": change.devices.iter().map(|device| make!({
            "tag": device.tag,
            "title": device.title,
            "became": device.moved.word(),
            "kind": device.kind.as_ref().map(|kind| words(std::slice::from_ref(kind))),
            "place": device.place.as_ref().map(|place| words(std::slice::from_ref(place))),
            "values": device.values.iter().map(|value| make!({ "key": value.key, "before": value.before, "after": value.after })).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "board": words(&change.board),
        "runs": words(&change.runs),
        "feeds": words(&change.feeds),
        "leads": change.leads.iter().map(lead).collect::<Vec<_>>(),
        "outlets": change.outlets.iter().map(|outlet| make!({ "outlet": outlet.outlet, "before": outlet.before, "after": outlet.after })).collect::<Vec<_>>(),
        "holes_blanked": holes(&change.blanked),
        "holes_drilled": holes(&change.drilled),
        "labels_off": labels(&change.labels_off),
        "labels_on": labels(&change.labels_on),
        "papers_void": change.void,
        "papers_good": change.good,
        "tests_again": change.tests,
        "tests_stand": change.tests_stand,
        "findings": change.findings.iter().map(|finding| make!({
            "before": finding.before.as_ref().map(case),
            "after": finding.after.as_ref().map(case),
        })).collect::<Vec<_>>(),
    })
}

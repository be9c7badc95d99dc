//! Findings for other programs, and the schema of that.

use document::At;
use finding::{Bound, Change, Evidence, Figure, Finding, Mark, Touched};
use serde_json::{Value, json};

use crate::loaded::{Loaded, VERSION};

const SCHEMA: &str = "boardwright.findings.2";

/// The findings as JSON.
pub(crate) fn findings(loaded: &Loaded) -> String {
    let value = json!({
        "schema": SCHEMA,
        "program": VERSION,
        "inputs_sha256": loaded.inputs,
        "findings": loaded.findings.iter().map(|finding| one(loaded, finding)).collect::<Vec<_>>(),
    });
    serde_json::to_string_pretty(&value).unwrap_or_default() + "\n"
}

fn one(loaded: &Loaded, finding: &Finding) -> Value {
    let fields = |fields: &[finding::Field]| fields.iter().map(ToString::to_string).collect::<Vec<_>>();
    let (found, allowed) = figures(finding.evidence.as_ref());
    json!({
        "rule": finding.rule,
        "severity": finding.severity.word(),
        "not_checked": finding.is_unchecked(),
        "message": finding.message,
        "devices": finding.devices,
        "leads": finding.leads,
        "touched": finding.touched.iter().map(touched).collect::<Vec<_>>(),
        "spans": spans(loaded, finding).into_iter().map(|(mark, at)| {
            let (line, column) = loaded.job.files.line_column(&at);
            json!({
                "field": mark.field.to_string(),
                "file": loaded.job.files.0.get(at.file).map(|file| &file.name),
                "start": at.start,
                "end": at.end,
                "line": line,
                "column": column,
                "label": mark.label,
            })
        }).collect::<Vec<_>>(),
        "found": found,
        "allowed": allowed,
        "margin": finding.evidence.as_ref().and_then(Evidence::margin).as_ref().map(figure),
        "source": finding.source,
        "assumed": fields(&finding.assumed),
        "lacks": fields(&finding.lacks),
        "remedy": finding.remedy,
        "edit": finding.edit.as_ref().map(|edit| json!({
            "name": edit.name,
            "changes": edit.changes.iter().map(change).collect::<Vec<_>>(),
        })),
        "measure": if finding.is_unchecked() {
            finding.lacks.iter().map(finding::Field::words).collect::<Vec<_>>()
        } else {
            Vec::new()
        },
        "accepted": finding.accepted.as_ref().map(|accepted| json!({
            "reason": accepted.reason,
            "by": accepted.by,
            "covers": accepted.covers.to_string(),
        })),
    })
}

fn change(change: &Change) -> Value {
    let (does, to) = match change {
        Change::Set { to, .. } => ("set", said(to)),
        Change::Remove { .. } => ("remove", Value::Null),
        Change::Add { .. } => ("add", Value::Null),
        Change::Rename { to, .. } => ("rename", json!(to)),
    };
    let field = change.field();
    json!({ "does": does, "field": field.to_string(), "path": field.parts(), "to": to })
}

/// What is set: a text as the document writes it between its quotes, a list, a table.
fn said(value: &finding::Value) -> Value {
    use finding::{Cells, Value as Set};
    let table = |cells: &Cells| {
        cells.iter().map(|(key, value)| (key.clone(), said(value))).collect::<serde_json::Map<_, _>>()
    };
    match value {
        Set::Text(text) => json!(text),
        Set::Flag(flag) => json!(flag),
        Set::Whole(number) => json!(number),
        Set::Given { is, from } => json!({ "is": said(is), "from": from }),
        Set::List(items) => json!(items),
        Set::Table(cells) => Value::Object(table(cells)),
        Set::Rows(rows) => json!(rows.iter().map(table).collect::<Vec<_>>()),
    }
}

fn figures(evidence: Option<&Evidence>) -> (Value, Value) {
    match evidence {
        Some(Evidence::Number { found, allowed }) => (figure(found), bound(allowed)),
        Some(Evidence::Words { found, allowed }) => {
            (json!({ "value": found, "unit": null }), json!({ "words": allowed }))
        }
        None => (Value::Null, Value::Null),
    }
}

fn touched(case: &Touched) -> Value {
    let (found, allowed) = figures(case.evidence.as_ref());
    json!({
        "message": case.message,
        "severity": case.severity.word(),
        "devices": case.devices,
        "leads": case.leads,
        "found": found,
        "allowed": allowed,
        "answered": case.answered,
    })
}

/// Where the finding points, each place once.
fn spans<'a>(loaded: &Loaded, finding: &'a Finding) -> Vec<(&'a Mark, At)> {
    let mut out: Vec<(&Mark, At)> = Vec::new();
    for mark in &finding.marks {
        let at = loaded.job.locate(&mark.field);
        if !out
            .iter()
            .any(|(known, there)| *there == at && (known.label == mark.label || mark.label.is_empty()))
        {
            out.push((mark, at));
        }
    }
    out
}

fn figure(figure: &Figure) -> Value {
    json!({ "value": figure.value, "unit": figure.unit })
}

fn bound(bound: &Bound) -> Value {
    match bound {
        Bound::AtMost(limit) => json!({ "at_most": limit.value, "unit": limit.unit }),
        Bound::AtLeast(limit) => json!({ "at_least": limit.value, "unit": limit.unit }),
        Bound::Words(words) => json!({ "words": words }),
    }
}

/// The JSON Schema of `check --format json`.
pub(crate) fn schema() -> String {
    let value = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "urn:boardwright:findings:2",
        "title": "Findings of `boardwright check --format json`",
        "type": "object",
        "required": ["schema", "program", "inputs_sha256", "findings"],
        "additionalProperties": false,
        "properties": {
            "schema": { "const": SCHEMA },
            "program": { "type": "string", "description": "Version of the program." },
            "inputs_sha256": { "type": "string", "description": "Hash of every file the job was read from." },
            "findings": { "type": "array", "items": finding_schema() },
        },
    });
    serde_json::to_string_pretty(&value).unwrap_or_default() + "\n"
}

fn finding_schema() -> Value {
    let properties = json!({
        "rule": { "type": "string", "description": "The rule; `boardwright explain RULE` tells its page." },
        "severity": { "enum": ["stop", "look", "note"] },
        "not_checked": { "type": "boolean", "description": "Whether the rule lacked a value." },
        "message": { "type": "string" },
        "devices": { "type": "array", "items": { "type": "string" }, "description": "Tags, sorted. With the rule they identify the finding." },
        "leads": { "type": "array", "items": { "type": "string" }, "description": "Numbers of the leads it is about." },
        "touched": { "type": "array", "items": touched_schema(), "description": "What one cause touches, the worst first; empty where there is one case." },
        "spans": { "type": "array", "items": span_schema() },
        "found": or_null(&figure_schema()),
        "allowed": or_null(&bound_schema()),
        "margin": or_null(&figure_schema()),
        "source": { "type": "string", "description": "Where the limit comes from." },
        "assumed": { "type": "array", "items": { "type": "string" }, "description": "Values it rests on that are only assumed." },
        "lacks": { "type": "array", "items": { "type": "string" }, "description": "Values it could not judge without." },
        "remedy": { "type": "string" },
        "edit": or_null(&edit_schema()),
        "measure": { "type": "array", "items": { "type": "string" }, "description": "The values it could not check without, in words." },
        "accepted": or_null(&closed(&json!({
            "reason": { "type": "string" },
            "by": { "type": ["string", "null"] },
            "covers": { "type": "string", "description": "What the answer covers, in words." },
        }))),
    });
    closed(&properties)
}

fn touched_schema() -> Value {
    closed(&json!({
        "message": { "type": "string" },
        "severity": { "enum": ["stop", "look", "note"] },
        "devices": { "type": "array", "items": { "type": "string" } },
        "leads": { "type": "array", "items": { "type": "string" } },
        "found": or_null(&figure_schema()),
        "allowed": or_null(&bound_schema()),
        "answered": { "type": "boolean" },
    }))
}

fn span_schema() -> Value {
    closed(&json!({
        "field": { "type": "string", "description": "Address of the value in the rig document." },
        "file": { "type": ["string", "null"] },
        "start": { "type": "integer", "description": "First byte." },
        "end": { "type": "integer", "description": "After the last byte." },
        "line": { "type": "integer" },
        "column": { "type": "integer" },
        "label": { "type": "string" },
    }))
}

fn figure_schema() -> Value {
    closed(&json!({ "value": { "type": ["number", "string"] }, "unit": { "type": ["string", "null"] } }))
}

fn bound_schema() -> Value {
    json!({
        "type": "object",
        "properties": {
            "at_most": { "type": "number" },
            "at_least": { "type": "number" },
            "words": { "type": "string" },
            "unit": { "type": "string" },
        },
        "additionalProperties": false,
    })
}

fn edit_schema() -> Value {
    let change = closed(&json!({
        "field": { "type": "string" },
        "path": { "type": "array", "items": { "type": "string" } },
        "does": {
            "enum": ["set", "remove", "add", "rename"],
            "description": "What is done there: a value is said, something goes, a row or named thing is made, a row gets another id.",
        },
        "to": {
            "type": ["string", "boolean", "integer", "array", "object", "null"],
            "description": "What is said: a text as the document writes it, a list, a table by its keys. Null where something goes or is made.",
        },
    }));
    closed(&json!({ "name": { "type": "string" }, "changes": { "type": "array", "items": change } }))
}

/// An object with all of these properties and no others.
fn closed(properties: &Value) -> Value {
    let required: Vec<String> =
        properties.as_object().map(|map| map.keys().cloned().collect()).unwrap_or_default();
    json!({ "type": "object", "required": required, "additionalProperties": false, "properties": properties })
}

fn or_null(schema: &Value) -> Value {
    json!({ "anyOf": [schema, { "type": "null" }] })
}

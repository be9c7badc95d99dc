//! Findings for other programs.

use document::At;
use finding::{Bound, Change, Evidence, Figure, Finding, Mark, Severity};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Value, json};

use crate::loaded::{Loaded, VERSION};

const SCHEMA: &str = "boardwright.findings.2";

/// What `boardwright check --format json` prints.
#[derive(Serialize, JsonSchema)]
pub(crate) struct Answer<'a> {
    /// Name and version of this form.
    #[schemars(extend("const" = SCHEMA))]
    schema: &'static str,
    /// Version of the program.
    program: &'static str,
    /// Hash of every file that the job was read from.
    inputs_sha256: &'a str,
    /// The findings, the worst first.
    findings: Vec<One<'a>>,
}

/// A finding.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Finding")]
struct One<'a> {
    /// The rule; `boardwright explain RULE` tells its page.
    rule: &'a str,
    /// How bad it is.
    severity: Word,
    /// Whether the rule lacked a value.
    not_checked: bool,
    /// What is found, in one line.
    message: &'a str,
    /// Tags, in their order. With the rule they identify the finding.
    devices: &'a [String],
    /// Numbers of the leads it is about.
    leads: &'a [String],
    /// What one cause touches, the worst first; empty where there is one case.
    touched: Vec<Touched<'a>>,
    /// Where it points.
    spans: Vec<Span<'a>>,
    /// What was found.
    found: Option<Amount<'a>>,
    /// What is allowed.
    allowed: Option<Allowed<'a>>,
    /// How much is left to the limit; below nothing where it is passed.
    margin: Option<Amount<'a>>,
    /// Where the limit comes from.
    source: &'a str,
    /// Addresses of values that it rests on and that are only assumed.
    assumed: Vec<String>,
    /// Addresses of values that it could not judge without.
    lacks: Vec<String>,
    /// What helps, in words.
    remedy: &'a str,
    /// A change of the document that puts it right.
    edit: Option<Edit<'a>>,
    /// The values it could not check without, in words.
    measure: Vec<String>,
    /// What the builder answers for it.
    accepted: Option<Accepted<'a>>,
}

/// How bad a finding is.
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
enum Word {
    /// Do not build it like this.
    Stop,
    /// A careful colleague would look at it.
    Look,
    /// Worth knowing.
    Note,
}

/// One case that a cause touches.
#[derive(Serialize, JsonSchema)]
struct Touched<'a> {
    /// What is found, in one line.
    message: &'a str,
    /// How bad it is.
    severity: Word,
    /// Tags, in their order.
    devices: &'a [String],
    /// Numbers of the leads it is about.
    leads: &'a [String],
    /// What was found.
    found: Option<Amount<'a>>,
    /// What is allowed.
    allowed: Option<Allowed<'a>>,
    /// Whether the builder answers for it.
    answered: bool,
}

/// A place that a finding points to.
#[derive(Serialize, JsonSchema)]
struct Span<'a> {
    /// Address of the value in the rig document.
    field: String,
    /// The file; null where it stands in none that was read.
    file: Option<&'a str>,
    /// First byte.
    start: usize,
    /// After the last byte.
    end: usize,
    /// Line, from 1.
    line: usize,
    /// Column, from 1.
    column: usize,
    /// What is said of the place; empty where the finding says it all.
    label: &'a str,
}

/// A figure with its unit, or a word without one.
#[derive(Serialize, JsonSchema)]
struct Amount<'a> {
    /// The figure, in the unit; or a word.
    value: FigureOrWord<'a>,
    /// Symbol of the unit, empty for a count; null for a word.
    unit: Option<&'a str>,
}

/// A figure or a word.
#[derive(Serialize, JsonSchema)]
#[serde(untagged)]
enum FigureOrWord<'a> {
    /// A figure.
    Figure(f64),
    /// A word.
    Word(&'a str),
}

/// What is allowed: at most or at least a figure, or words.
#[derive(Serialize, JsonSchema)]
#[serde(untagged)]
enum Allowed<'a> {
    /// At most a figure.
    AtMost {
        /// The figure.
        at_most: f64,
        /// Symbol of its unit, empty for a count.
        unit: &'a str,
    },
    /// At least a figure.
    AtLeast {
        /// The figure.
        at_least: f64,
        /// Symbol of its unit, empty for a count.
        unit: &'a str,
    },
    /// Words.
    Words {
        /// What is allowed, in words.
        words: &'a str,
    },
}

/// A change of the document.
#[derive(Serialize, JsonSchema)]
struct Edit<'a> {
    /// What it does, in words.
    name: &'a str,
    /// Its steps, in order.
    changes: Vec<Step<'a>>,
}

/// One step of a change.
#[derive(Serialize, JsonSchema)]
struct Step<'a> {
    /// What is done there.
    does: Does,
    /// Address of the value, row or table.
    field: String,
    /// The parts of the address.
    path: &'a [String],
    /// What is said: a text as the document writes it, a list, a table by its keys. Null where something goes or is made.
    to: Value,
}

/// What a step does.
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
enum Does {
    /// A value is said.
    Set,
    /// Something goes.
    Remove,
    /// A row or named thing is made.
    Add,
    /// A row gets another id.
    Rename,
}

/// What the builder answers for a finding.
#[derive(Serialize, JsonSchema)]
struct Accepted<'a> {
    /// Why.
    reason: &'a str,
    /// Who.
    by: Option<&'a str>,
    /// What the answer covers, in words.
    covers: String,
}

/// The findings as JSON.
pub(crate) fn findings(loaded: &Loaded) -> String {
    let value = Answer {
        schema: SCHEMA,
        program: VERSION,
        inputs_sha256: &loaded.inputs,
        findings: loaded.findings.iter().map(|finding| one(loaded, finding)).collect(),
    };
    serde_json::to_string_pretty(&value).unwrap_or_default() + "\n"
}

fn one<'a>(loaded: &'a Loaded, finding: &'a Finding) -> One<'a> {
    let fields = |fields: &[finding::Field]| fields.iter().map(ToString::to_string).collect::<Vec<_>>();
    let (found, allowed) = figures(finding.evidence.as_ref());
    let measured: &[finding::Field] = if finding.is_unchecked() { &finding.lacks } else { &[] };
    One {
        rule: finding.rule,
        severity: word(finding.severity),
        not_checked: finding.is_unchecked(),
        message: &finding.message,
        devices: &finding.devices,
        leads: &finding.leads,
        touched: finding.touched.iter().map(touched).collect(),
        spans: spans(loaded, finding).into_iter().map(|(mark, at)| span(loaded, mark, &at)).collect(),
        found,
        allowed,
        margin: finding.evidence.as_ref().and_then(Evidence::margin).as_ref().map(amount),
        source: &finding.source,
        assumed: fields(&finding.assumed),
        lacks: fields(&finding.lacks),
        remedy: &finding.remedy,
        edit: finding
            .edit
            .as_ref()
            .map(|edit| Edit { name: &edit.name, changes: edit.changes.iter().map(step).collect() }),
        measure: measured.iter().map(finding::Field::words).collect(),
        accepted: finding.accepted.as_ref().map(|accepted| Accepted {
            reason: &accepted.reason,
            by: accepted.by.as_deref(),
            covers: accepted.covers.to_string(),
        }),
    }
}

fn word(severity: Severity) -> Word {
    match severity {
        Severity::Stop => Word::Stop,
        Severity::Look => Word::Look,
        Severity::Note => Word::Note,
    }
}

fn span<'a>(loaded: &'a Loaded, mark: &'a Mark, at: &At) -> Span<'a> {
    let (line, column) = loaded.job.files.line_column(at);
    Span {
        field: mark.field.to_string(),
        file: loaded.job.files.0.get(at.file).map(|file| file.name.as_str()),
        start: at.start,
        end: at.end,
        line,
        column,
        label: &mark.label,
    }
}

fn step(change: &Change) -> Step<'_> {
    let (does, to) = match change {
        Change::Set { to, .. } => (Does::Set, said(to)),
        Change::Remove { .. } => (Does::Remove, Value::Null),
        Change::Add { .. } => (Does::Add, Value::Null),
        Change::Rename { to, .. } => (Does::Rename, json!(to)),
    };
    let field = change.field();
    Step { does, field: field.to_string(), path: field.parts(), to }
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
        Set::Given { is, from, .. } => json!({ "is": said(is), "from": from }),
        Set::List(items) => json!(items),
        Set::Table(cells) => Value::Object(table(cells)),
        Set::Rows(rows) => json!(rows.iter().map(table).collect::<Vec<_>>()),
    }
}

fn figures(evidence: Option<&Evidence>) -> (Option<Amount<'_>>, Option<Allowed<'_>>) {
    match evidence {
        Some(Evidence::Number { found, allowed }) => (Some(amount(found)), Some(bound(allowed))),
        Some(Evidence::Words { found, allowed }) => (
            Some(Amount { value: FigureOrWord::Word(found), unit: None }),
            Some(Allowed::Words { words: allowed }),
        ),
        None => (None, None),
    }
}

fn touched(case: &finding::Touched) -> Touched<'_> {
    let (found, allowed) = figures(case.evidence.as_ref());
    Touched {
        message: &case.message,
        severity: word(case.severity),
        devices: &case.devices,
        leads: &case.leads,
        found,
        allowed,
        answered: case.answered,
    }
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

fn amount<'a>(figure: &Figure) -> Amount<'a> {
    Amount { value: FigureOrWord::Figure(figure.value), unit: Some(figure.unit) }
}

fn bound(bound: &Bound) -> Allowed<'_> {
    match bound {
        Bound::AtMost(limit) => Allowed::AtMost { at_most: limit.value, unit: limit.unit },
        Bound::AtLeast(limit) => Allowed::AtLeast { at_least: limit.value, unit: limit.unit },
        Bound::Words(words) => Allowed::Words { words },
    }
}

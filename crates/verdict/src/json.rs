//! A placement with its verdict as JSON, for `boardwright arrange --format json`.

use finding::Finding;
use serde_json::{Value, json};

use crate::{Arranged, FIT, Verdict};

/// The outcome of the search with what the checks would say of it.
///
/// `verdict` is the list of findings, what stands in the way first; `null` where there is no placement to judge.
/// `feasible` is whether the placement is offered. `remade` are the made leads that it has made again, each with its reason,
/// `stay` the numbers of those that stay as they are.
pub fn json(arranged: &Arranged) -> Value {
    let mut value = layout::json(&arranged.outcome);
    value["verdict"] = arranged.verdict.as_ref().map_or(Value::Null, findings);
    value["astray"] = json!(arranged.verdict.as_ref().map_or(&[][..], |verdict| &verdict.astray));
    value["remade"] = arranged.verdict.as_ref().map_or(Value::Null, remade);
    value["stay"] = json!(arranged.verdict.as_ref().map_or(&[][..], |verdict| &verdict.stay));
    value["refused"] = json!(arranged.refused);
    value["judged"] = json!(arranged.judged);
    if let Some(others) = value["alternatives"].as_array_mut() {
        for (other, verdict) in others.iter_mut().zip(&arranged.alternatives) {
            other["verdict"] = findings(verdict);
            other["remade"] = remade(verdict);
            other["stay"] = json!(verdict.stay);
        }
    }
    value
}

fn remade(verdict: &Verdict) -> Value {
    verdict.remade.iter().map(|made| json!({ "lead": made.lead, "why": made.why })).collect()
}

fn findings(verdict: &Verdict) -> Value {
    Value::Array(verdict.findings().map(finding).collect())
}

fn finding(finding: &Finding) -> Value {
    json!({
        "rule": finding.rule,
        "severity": finding.severity.word(),
        "devices": finding.devices,
        "words": finding.message,
        "bars": finding.severity == finding::Severity::Stop && FIT.contains(&finding.rule),
    })
}

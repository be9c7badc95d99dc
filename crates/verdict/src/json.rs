//! A placement with its verdict as JSON, for `boardwright arrange --format json`.

use schemars::JsonSchema;
use serde::Serialize;

use crate::{Arranged, FIT, Verdict};

/// Name and version of the form of a placement.
const SCHEMA: &str = "boardwright.arrange.1";

/// A placement and what the checks would say of it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Arranged")]
struct Offered<'a, P> {
    /// Name and version of this form.
    #[schemars(extend("const" = SCHEMA))]
    schema: &'static str,
    #[serde(flatten)]
    placement: P,
    /// The findings, what stands in the way first; null where there is no placement to judge.
    verdict: Option<Vec<Finding<'a>>>,
    /// Leads whose routes break the rules of the router.
    astray: &'a [String],
    /// The made leads that it has made again; null where there is no placement to judge.
    remade: Option<Vec<Remade<'a>>>,
    /// Numbers of the made leads that stay as they are.
    stay: &'a [String],
    /// Why the best cannot be written, where that is so.
    refused: Option<&'a str>,
    /// How many placements were judged.
    judged: usize,
}

/// Another placement that fits, and what the checks would say of it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Alternative")]
struct Other<'a, P> {
    #[serde(flatten)]
    placement: P,
    /// The findings, what stands in the way first.
    verdict: Vec<Finding<'a>>,
    /// The made leads that it has made again.
    remade: Vec<Remade<'a>>,
    /// Numbers of the made leads that stay as they are.
    stay: &'a [String],
}

/// What the checks would say.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
struct Finding<'a> {
    /// The rule.
    rule: &'a str,
    /// How much it matters.
    #[schemars(extend("enum" = ["stop", "look", "note"]))]
    severity: &'static str,
    /// Tags of the devices that it is about.
    devices: &'a [String],
    /// The fact.
    words: &'a str,
    /// Whether it stands in the way.
    bars: bool,
}

/// A made lead that is made again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
struct Remade<'a> {
    /// Its number.
    lead: &'a str,
    /// Why, in words.
    why: &'a str,
}

/// The outcome of the search with what the checks would say of it.
pub fn json(arranged: &Arranged) -> impl Serialize + JsonSchema + '_ {
    let verdict = arranged.verdict.as_ref();
    Offered {
        schema: SCHEMA,
        // Each alternative has its verdict, in the same order.
        placement: layout::json(&arranged.outcome).with_alternatives(|all| {
            let each = all.into_iter().zip(&arranged.alternatives);
            each.map(|(placement, verdict)| other(placement, verdict)).collect()
        }),
        verdict: verdict.map(findings),
        astray: verdict.map_or(&[][..], |verdict| &verdict.astray),
        remade: verdict.map(remade),
        stay: verdict.map_or(&[][..], |verdict| &verdict.stay),
        refused: arranged.refused.as_deref(),
        judged: arranged.judged,
    }
}

fn other<P>(placement: P, verdict: &Verdict) -> Other<'_, P> {
    Other { placement, verdict: findings(verdict), remade: remade(verdict), stay: &verdict.stay }
}

fn remade(verdict: &Verdict) -> Vec<Remade<'_>> {
    verdict.remade.iter().map(|made| Remade { lead: &made.lead, why: &made.why }).collect()
}

fn findings(verdict: &Verdict) -> Vec<Finding<'_>> {
    verdict.findings().map(finding).collect()
}

fn finding(finding: &finding::Finding) -> Finding<'_> {
    Finding {
        rule: finding.rule,
        severity: finding.severity.word(),
        devices: &finding.devices,
        words: &finding.message,
        bars: finding.severity == finding::Severity::Stop && FIT.contains(&finding.rule),
    }
}

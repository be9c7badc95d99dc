//! A placement with its verdict as JSON, for `boardwright arrange --format json`.

use schemars::JsonSchema;
use serde::Serialize;

use crate::{Aim, Arranged, Boards, Choices, FIT, Fitting, Verdict};

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

/// Placements that differ on purpose.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Choices")]
struct ToChooseFrom<A> {
    /// Name and version of this form.
    #[schemars(extend("const" = CHOICES))]
    schema: &'static str,
    /// As it stands, only straightened.
    straightened: A,
    /// The placements that pass, no two of them the same to the eye.
    choices: Vec<ToChoose<A>>,
    /// The aims for which nothing passes.
    without: Vec<&'static str>,
}

/// One of them.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Choice")]
struct ToChoose<A> {
    /// What it is after.
    aims: Vec<&'static str>,
    /// Tags of the devices that stand elsewhere than today.
    moved: Vec<String>,
    /// The placement.
    arranged: A,
}

/// Name and version of the form of placements to choose from.
const CHOICES: &str = "boardwright.choices.1";
/// Name and version of the form of boards on which the gear fits.
const BOARDS: &str = "boardwright.boards.1";

/// Placements to choose from, with what the checks would say of each.
pub fn choices_json(choices: &Choices) -> impl Serialize + JsonSchema + '_ {
    let titles = |aims: &[Aim]| aims.iter().map(|aim| aim.title()).collect();
    ToChooseFrom {
        schema: CHOICES,
        straightened: json(&choices.straightened),
        choices: choices
            .choices
            .iter()
            .map(|choice| ToChoose {
                aims: titles(&choice.aims),
                moved: choice.moved.clone(),
                arranged: json(&choice.arranged),
            })
            .collect(),
        without: titles(&choices.without),
    }
}

/// The boards of the catalogue on which the gear fits.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Boards")]
struct WhichBoard<'a> {
    /// Name and version of this form.
    #[schemars(extend("const" = BOARDS))]
    schema: &'static str,
    /// Those that pass, the smallest first.
    fitting: Vec<FittingBoard<'a>>,
    /// Kind of the one with the best placement; null where none passes.
    best: Option<&'a str>,
    /// Kinds on which no placement was found.
    too_small: &'a [String],
    /// Kinds on which a placement was found that the checks stop.
    stopped: Vec<StoppedBoard<'a>>,
    /// Kinds larger than those that pass, not judged.
    larger: &'a [String],
}

/// A board on which the checks stop what was placed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
struct StoppedBoard<'a> {
    /// Its kind in the catalogue.
    kind: &'a str,
    /// What stands in the way.
    words: &'a str,
}

/// A board on which the gear fits.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
struct FittingBoard<'a> {
    /// Its kind in the catalogue.
    kind: &'a str,
    /// What it is.
    title: &'a str,
    /// Its extent from left to right, mm.
    width_mm: f64,
    /// Its extent from front to back, mm.
    depth_mm: f64,
    /// The area of its decks, cm².
    area_cm2: f64,
    /// The sum of the weighted terms, mm of lead; less is better.
    total_mm: f64,
    /// Whether it is the board that the document names.
    todays: bool,
    /// The findings on board and placement.
    verdict: Vec<Finding<'a>>,
}

/// The boards on which the gear fits.
pub fn boards_json(boards: &Boards) -> impl Serialize + JsonSchema + '_ {
    WhichBoard {
        schema: BOARDS,
        fitting: boards.fitting.iter().map(fitting).collect(),
        best: boards.best.and_then(|place| boards.fitting.get(place)).map(|best| best.kind.as_str()),
        too_small: &boards.too_small,
        stopped: boards.stopped.iter().map(|(kind, words)| StoppedBoard { kind, words }).collect(),
        larger: &boards.larger,
    }
}

fn fitting(fitting: &Fitting) -> FittingBoard<'_> {
    FittingBoard {
        kind: &fitting.kind,
        title: &fitting.title,
        width_mm: fitting.width.as_mm(),
        depth_mm: fitting.depth.as_mm(),
        area_cm2: fitting.area_cm2,
        total_mm: fitting.outcome.total,
        todays: fitting.is_todays,
        verdict: findings(&fitting.verdict),
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

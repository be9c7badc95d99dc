//! The rules and the engines say the same: what an allocation writes stands up to every rule of power, and what the
//! verifier finds broken the rules stop.

use design::{Design, derive};
use document::edit;
use finding::Severity;
use power::{Status, stated, verify};

use crate::jobs::{names, text};

/// Every rule that judges a stated feed.
const POWER: &[&str] = &[
    "no-feed",
    "feed-conflict",
    "outlet-load",
    "outlet-setting",
    "brick-load",
    "supply-nature",
    "supply-voltage",
    "supply-sign",
    "supply-barrel",
    "shared-outlet",
    "unisolated-outlet",
    "positive-ground",
    "pair",
];

fn design(text: &str) -> Result<Design, document::ReadError> {
    let job = document::read_text("rig.toml", text, None)?;
    Ok(derive(job.rig, job.limits).laid_on(design::Routes::none()))
}

fn stops(design: &Design) -> Vec<String> {
    checks::check(design)
        .into_iter()
        .filter(|finding| finding.severity == Severity::Stop && POWER.contains(&finding.rule))
        .map(|finding| format!("{}: {}", finding.rule, finding.message))
        .collect()
}

#[test]
fn what_the_allocation_writes_passes_every_rule_of_power() -> anyhow::Result<()> {
    let mut written = 0;
    for name in names() {
        let before = design(&text(&name))?;
        let outcome = before.feeds();
        let after = design(&edit::apply(&text(&name), &power::edits(outcome))?)?;
        let said = stops(&after);
        if outcome.status == Status::Impossible {
            // Whoever is left without a feed is told, and nothing else.
            let told = |line: &String| line.starts_with("no-feed") || line.starts_with("feed-conflict");
            assert!(!said.is_empty() && said.iter().all(told), "{name}: {said:#?}");
        } else {
            assert!(said.is_empty(), "{name}: {said:#?}");
            written += 1;
        }
    }
    assert!(6 <= written, "only {written} examples were served");
    Ok(())
}

#[test]
fn what_the_verifier_breaks_the_rules_stop() -> anyhow::Result<()> {
    let mut broken = 0;
    for name in names() {
        let design = design(&text(&name))?;
        let input = design.power_input();
        let verdict = verify::verify(input, &stated(input));
        let is_well = verdict.breaches.is_empty() && verdict.unfed.is_empty();
        let said = stops(&design);
        assert_eq!(is_well, said.is_empty(), "{name}: {verdict:?} against {said:#?}");
        broken += usize::from(!is_well);
    }
    assert!(0 < broken, "nothing was broken");
    Ok(())
}

/// A cure that a finding carries, done on the document, takes the finding away.
#[test]
fn every_cure_of_a_feed_cures() -> anyhow::Result<()> {
    let mut cured = 0;
    for name in names() {
        for finding in checks::check(&design(&text(&name))?) {
            let Some(cure) = finding.edit.as_ref().filter(|_| POWER.contains(&finding.rule)) else {
                continue;
            };
            let left = checks::check(&design(&edit::apply(&text(&name), cure)?)?);
            let same = |other: &&finding::Finding| {
                other.identity() == finding.identity() && other.severity == finding.severity
            };
            let left = left.iter().find(same).map(|other| &other.message);
            assert!(left.is_none(), "{name}: {} leaves {left:?}", cure.name);
            cured += 1;
        }
    }
    assert!(0 < cured, "no cure was offered");
    Ok(())
}

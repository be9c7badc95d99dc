//! `boardwright feed`.

use std::fmt::Write;

use finding::{Edit, Finding};
use power::Status;
use schemars::JsonSchema;
use serde::Serialize;

use super::priced::priced;
use crate::args::{Feed, OutcomeFormat};
use crate::loaded::{Loaded, load_stated};
use crate::shell::{self, Outcome};
use crate::written;

pub(crate) fn run(options: &Feed) -> anyhow::Result<Outcome> {
    let loaded = load_stated(&options.rig)?;
    let input = loaded.design.power_input();
    // Bricks of the catalogue are looked through only where the present ones are not enough.
    let with_bricks;
    let mut outcome = loaded.design.allocation();
    let mut currency = None;
    if outcome.status == Status::Impossible {
        let prices = priced(&options.rig, loaded.job.text())?;
        let known = prices.known.then_some(&prices.prices);
        with_bricks =
            loaded.design.feeds_with(&loaded.job.catalogue.devices(), &loaded.job.catalogue.cables(), known);
        outcome = &with_bricks;
        currency = known.map(|prices| prices.currency.clone());
    }
    // The rules judge what is shown, by code that the solver does not use.
    let breaches = power::verify::verify(input, &outcome.allocation).breaches;
    let words = breaches.iter().map(|breach| format!("{}: {}", breach.devices.join(", "), breach.words()));
    shell::agreed(&words.collect::<Vec<_>>(), "written")?;
    let edit = match options.cure {
        Some(number) => way_out(outcome, number)?,
        None => power::edits(outcome),
    };
    let is_changed = !edit.changes.is_empty();
    // Leads are laid for what is written, not for what is looked at.
    let besides = if is_changed && options.write {
        besides(&loaded, &edit)?
    } else {
        verdict::judge_stated(&loaded.job, &loaded.findings, &edit)?
    };
    let text = match options.format {
        OutcomeFormat::Json => {
            let answer = Answer {
                schema: SCHEMA,
                feeds: power::json(outcome),
                verdict: besides.iter().map(told).collect(),
                leads_laid: is_changed && options.write,
            };
            serde_json::to_string_pretty(&answer)? + "\n"
        }
        OutcomeFormat::Text => {
            let shown = currency.map(|currency| {
                move |minor: i64| format!("{} {}", currency.shown(estimate::Money(minor)), currency.code)
            });
            let mut text = power::text(outcome, shown.as_ref().map(|shown| shown as &dyn Fn(i64) -> String));
            if !besides.is_empty() {
                let when = if is_changed { "will say then" } else { "says" };
                let _ = writeln!(text, "of what boardwright check {when}, stops of feeds and what is new:");
            }
            for finding in &besides {
                let _ = writeln!(text, "  {} {}: {}", finding.severity.word(), finding.rule, finding.message);
            }
            if is_changed && !options.write {
                text.push_str("leads are not laid for this answer: with --write what they say is told too\n");
            }
            text
        }
    };
    shell::data(&text)?;
    if options.write {
        if edit.changes.is_empty() {
            shell::say("nothing changed");
        } else {
            written::write(&options.rig, &loaded, &edit)?;
            shell::say(&format!("written: {}", edit.name));
        }
    }
    let is_whole = match options.cure {
        Some(number) => outcome.cures[number - 1].leaves.is_empty(),
        None => outcome.status != Status::Impossible && outcome.unserved.is_empty(),
    };
    Ok(if is_whole { Outcome::Clean } else { Outcome::Stop })
}

/// The edit of a way out, by its number in the list.
fn way_out(outcome: &power::Outcome, number: usize) -> anyhow::Result<Edit> {
    let count = outcome.cures.len();
    let cure = number.checked_sub(1).and_then(|place| outcome.cures.get(place));
    let Some(cure) = cure else {
        anyhow::bail!(
            "there is no way out {number}: {}",
            match count {
                0 => "none is told".to_owned(),
                _ => format!("they are numbered 1 to {count}"),
            }
        )
    };
    let open =
        || format!("`{}` cannot be written: somebody must be asked, or a socket is missing", cure.name);
    cure.edit.clone().ok_or_else(|| anyhow::anyhow!(open()))
}

/// What the check says of the board with these feeds, stops of feeds and what it does not say today: leads that are laid anew
/// among it.
fn besides(loaded: &Loaded, edit: &Edit) -> anyhow::Result<Vec<Finding>> {
    let today = checks::check(&loaded.design.clone().laid());
    let verdict = verdict::judge(&loaded.job, &today, edit)?;
    Ok(verdict.findings().filter(|finding| verdict::concerns(&today, finding)).cloned().collect())
}

/// Name and version of the form of the feeds.
const SCHEMA: &str = "boardwright.feed.1";

/// What `boardwright feed --format json` prints: which outlet feeds which device, why, and what `check` says of it.
#[derive(Serialize, JsonSchema)]
pub(crate) struct Answer<'a> {
    /// Name and version of this form.
    #[schemars(extend("const" = SCHEMA))]
    schema: &'static str,
    #[serde(flatten)]
    feeds: power::wire::Feeds<'a>,
    /// What `check` says of the board with these feeds: stops of feeds, and what it does not say today.
    verdict: Vec<Said<'a>>,
    /// Whether leads were laid for it: only for what is written. Without, it is what the rules say that need no engine.
    leads_laid: bool,
}

/// A finding as `arrange` tells it.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Finding")]
struct Said<'a> {
    /// The rule.
    rule: &'a str,
    /// How much it matters.
    #[schemars(extend("enum" = ["stop", "look", "note"]))]
    severity: &'static str,
    /// Tags of the devices that it is about.
    devices: &'a [String],
    /// The fact.
    words: &'a str,
}

fn told(finding: &Finding) -> Said<'_> {
    Said {
        rule: finding.rule,
        severity: finding.severity.word(),
        devices: &finding.devices,
        words: &finding.message,
    }
}

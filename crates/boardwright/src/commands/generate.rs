//! `boardwright generate`: documents of this repository, and of its packages, that are printed from tables.

use std::collections::BTreeMap;
use std::fmt::Write;

use anyhow::bail;
use rig::{LIMITS, Limits};

use crate::args::Generate;
use crate::shell::{self, Outcome};

pub(crate) fn run(options: &Generate) -> anyhow::Result<Outcome> {
    let text = match options.name.as_str() {
        "rules" => checks::rules_markdown(),
        "rig-file" => document::format_page(),
        "rig-schema" => document::format_schema(),
        "limits" => limits(),
        "pains" => pains()?,
        "drawing" => drawing()?,
        "arranged" => arranged()?,
        name if name.starts_with("hand-") => plan_by_hand(name.trim_start_matches("hand-"))?,
        name if name.starts_with("arranged-") => plan_arranged(name.trim_start_matches("arranged-"))?,
        other => match crate::render::schema::named(other) {
            Some(text) => text,
            None => match super::handed_out::text(other)? {
                Some(text) => text,
                None => bail!("there is no generated document `{other}`"),
            },
        },
    };
    shell::data(&text)?;
    Ok(Outcome::Clean)
}

fn limits() -> String {
    let defaults = Limits::default();
    let mut out = String::from(
        "# Limits\n\n<!-- Generated from crates/rig/src/limits.rs by `cargo xtask generate`; edit there. -->\n\n\
         Thresholds of the checks. A workshop changes them in `shop.toml`:\n\n\
         ```toml\n[limits]\noutlet_load_look = \"75 %\"\n```\n\n\
         A source gives the published figure, how ours stands to it, and its key in `docs/sources.md`.\n\n\
         | key | default | what it limits | source |\n|---|---|---|---|\n",
    );
    for limit in LIMITS {
        let value = defaults.get(limit.key).map(|value| value.to_string()).unwrap_or_default();
        let _ = writeln!(out, "| `{}` | {value} | {} | {} |", limit.key, limit.what, limit.source);
    }
    out
}

/// The table of pains: which rules answer each, and which example shows it.
fn pains() -> anyhow::Result<String> {
    let mut shown: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    let mut folders: Vec<_> = crate::commands::new::EXAMPLES.dirs().collect();
    folders.sort_by_key(|folder| folder.path());
    for folder in folders {
        let name = folder.path().display().to_string();
        let Some(text) =
            folder.get_file(folder.path().join("rig.toml")).and_then(|file| file.contents_utf8())
        else {
            continue;
        };
        let job = document::read_text(&name, text, None)?;
        let findings = checks::check(&design::derive(job.rig, job.limits).laid());
        for rule in checks::RULES {
            if findings.iter().any(|finding| finding.rule == rule.id) {
                shown.entry(rule.id).or_default().push(name.clone());
            }
        }
    }
    let mut out = String::from(
        "# Sixty pains, and the rules that answer them\n\n<!-- Generated from crates/checks by `cargo xtask generate`; edit there. -->\n\n\
         What goes wrong at the bench and on stage, the rules that look for it, and the examples in which they speak, or the rule's own \
         example where none of them has the trouble. \
         A pain without a rule needs an engine or records that are not there yet.\n\n\
         | pain | what is said | rules | shown by |\n|---|---|---|---|\n",
    );
    for pain in checks::PAINS {
        let rules: Vec<&str> = checks::RULES
            .iter()
            .filter(|rule| rule.pains.contains(&pain.number))
            .map(|rule| rule.id)
            .collect();
        let mut examples: Vec<&String> = rules.iter().filter_map(|rule| shown.get(rule)).flatten().collect();
        examples.sort();
        examples.dedup();
        let links =
            rules.iter().map(|rule| format!("[{rule}](rules.md#{rule})")).collect::<Vec<_>>().join(", ");
        let names = if examples.is_empty() {
            // No shipped job has this trouble; the rule's own example tells it.
            let told = checks::RULES.iter().filter(|rule| rule.pains.contains(&pain.number));
            told.map(|rule| format!("*{}*", rule.page.example)).collect::<Vec<_>>().join(" ")
        } else {
            examples.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ")
        };
        let _ = writeln!(out, "| {} | {} | {links} | {names} |", pain.number, pain.text);
    }
    Ok(out)
}

/// The picture in the README: the plan of the corrected church bass board.
fn drawing() -> anyhow::Result<String> {
    let job = corrected("church-bass")?;
    Ok(plan_of(job.rig, job.limits, drawing::Scale::one_to(3)))
}

/// The examples that the page of arranged boards shows, each in the form in which it fits.
const ARRANGED: [&str; 7] = [
    "baritone-ambient",
    "cabin-board",
    "church-bass",
    "session-two-deck",
    "theatre-pit",
    "two-voice-acoustic",
    "wet-dry-touring",
];
/// Moves of the proposals on that page.
const MOVES: u64 = 320_000;

/// The corrected form of an example.
fn corrected(name: &str) -> anyhow::Result<document::Job> {
    let text = crate::commands::new::example(&format!("{name}-corrected"))?;
    Ok(document::read_text("rig.toml", &text, None)?)
}

/// Its places by hand and the proposal from unplaced, measured by the same terms.
fn proposal(job: &document::Job) -> (layout::Outcome, layout::Outcome) {
    let input = layout::Input::from_rig(&job.rig, &job.limits)
        .with_stock(job.catalogue.plugs())
        .with_boards(job.catalogue.boards());
    let config = layout::Config {
        moves: MOVES,
        alternatives: 0,
        relax: false,
        ..layout::Config::of_shop(&job.limits)
    };
    let hand = layout::measure(&input, &config);
    let silent = (&layout::NoProgress, &layout::NeverCancelled);
    let today = checks::check(&design::derive(job.rig.clone(), job.limits.clone()).laid());
    let arranged = verdict::arrange(job, &today, &input.unplaced(), &config, silent.0, silent.1);
    (hand, arranged.outcome)
}

/// Scale of the plans on that page.
const BESIDE_EACH_OTHER: drawing::Scale = drawing::Scale::one_to(5);

fn plan_of(rig: rig::Rig, limits: Limits, scale: drawing::Scale) -> String {
    let design = design::derive(rig, limits).laid();
    drawing::svg(&drawing::plan(&design, None, scale), drawing::Theme::Paper)
}

fn plan_by_hand(name: &str) -> anyhow::Result<String> {
    let job = corrected(name)?;
    Ok(plan_of(job.rig, job.limits, BESIDE_EACH_OTHER))
}

fn plan_arranged(name: &str) -> anyhow::Result<String> {
    let job = corrected(name)?;
    let (_, found) = proposal(&job);
    // As it would be read again once it is written.
    let text = document::edit::apply(job.text(), &found.edit)?;
    let again = document::read_text("rig.toml", &text, None)?;
    Ok(plan_of(again.rig, again.limits, BESIDE_EACH_OTHER))
}

/// The page of boards before and after.
fn arranged() -> anyhow::Result<String> {
    let mut out = format!(
        "# Boards by hand and arranged\n\n\
         <!-- Generated by `cargo xtask generate` from the examples; edit crates/boardwright/src/commands/generate.rs. -->\n\n\
         Each example in its corrected form: the places that its builder chose, and what `boardwright arrange` proposes \
         when all devices but the locked ones are taken off the board first ({MOVES} moves, seed 1). Both are measured by \
         the same terms, weighted by the usual weights, in millimetres of lead; less is better, free room is taken off. \
         Leads are drawn on their ways, narrow where they run below a deck.\n\n"
    );
    for name in ARRANGED {
        let job = corrected(name)?;
        let (hand, found) = proposal(&job);
        let _ = writeln!(out, "## {}\n", job.rig.job.title);
        let _ = writeln!(out, "| by hand | arranged |\n|---|---|");
        let _ = writeln!(
            out,
            "| ![{name} by hand](pictures/hand-{name}.svg) | ![{name} arranged](pictures/arranged-{name}.svg) |\n"
        );
        let _ = writeln!(out, "| term | weight | by hand | arranged |\n|---|---|---:|---:|");
        let rows = layout::Terms::NAMES
            .iter()
            .zip(found.weights.told())
            .zip(hand.terms.weighted(&hand.weights))
            .zip(found.terms.weighted(&found.weights));
        for (((term, weight), was), is) in rows {
            let _ = writeln!(out, "| {} | {weight} | {was:.0} | {is:.0} |", term.replace('_', " "));
        }
        let _ = writeln!(out, "| **total** | | **{:.0}** | **{:.0}** |\n", hand.total, found.total);
    }
    Ok(out.trim_end().to_owned() + "\n")
}

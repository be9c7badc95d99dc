//! `boardwright generate`: documents of this repository that are printed from tables.

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
        "findings-schema" => crate::render::json::schema(),
        "limits" => limits(),
        "pains" => pains()?,
        "drawing" => drawing()?,
        other => bail!("there is no generated document `{other}`"),
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
    let text = include_str!("../../../../examples/church-bass-corrected/rig.toml");
    let job = document::read_text("rig.toml", text, None)?;
    let design = design::derive(job.rig, job.limits).laid();
    Ok(drawing::svg(&drawing::plan(&design, None, drawing::Scale::one_to(3)), drawing::Theme::Paper))
}

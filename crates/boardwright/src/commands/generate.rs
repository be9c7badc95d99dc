//! `boardwright generate`: documents of this repository that are printed from tables.

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

/// The picture in the README: the plan of the corrected church bass board.
fn drawing() -> anyhow::Result<String> {
    let text = include_str!("../../../../examples/church-bass-corrected/rig.toml");
    let job = document::read_text("rig.toml", text, None)?;
    let design = design::derive(job.rig, job.limits);
    Ok(drawing::svg(&drawing::plan(&design, None, drawing::Scale::one_to(3)), drawing::Theme::Paper))
}

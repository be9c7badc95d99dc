//! `boardwright arrange --boards`: which boards of the catalogue the gear fits on.

use std::fmt::Write;

use layout::{Config, Input};
use verdict::Boards;

use super::stopped::Stopped;
use crate::args::{Arrange, OutcomeFormat};
use crate::loaded::Loaded;
use crate::shell::{self, Outcome};

pub(crate) fn run(
    options: &Arrange,
    loaded: &Loaded,
    input: &Input,
    config: &Config,
) -> anyhow::Result<Outcome> {
    let boards = verdict::boards(&loaded.job, &loaded.findings, input, config, &Stopped::by_ctrl_c());
    let text = match options.format {
        OutcomeFormat::Json => serde_json::to_string_pretty(&verdict::boards_json(&boards))? + "\n",
        OutcomeFormat::Text => summary(&boards),
    };
    shell::data(&text)?;
    Ok(if boards.fitting.is_empty() { Outcome::Stop } else { Outcome::Clean })
}

fn summary(boards: &Boards) -> String {
    let mut out = String::new();
    if boards.fitting.is_empty() {
        out += "the gear fits on no board of the catalogue\n";
    }
    for (place, fitting) in boards.fitting.iter().enumerate() {
        let mut remarks = Vec::new();
        if place == 0 {
            remarks.push("the smallest");
        }
        if boards.best == Some(place) {
            remarks.push("the best placement");
        }
        if fitting.is_todays {
            remarks.push("today's board");
        }
        let remarks = if remarks.is_empty() { String::new() } else { format!("   {}", remarks.join(", ")) };
        let _ = writeln!(
            out,
            "{:<20} {:>5.0} × {:<4.0} mm {:>6.0} cm²   total {:>7.0}{remarks}",
            fitting.kind,
            fitting.width.as_mm(),
            fitting.depth.as_mm(),
            fitting.area_cm2,
            fitting.outcome.total,
        );
    }
    for (kind, why) in &boards.stopped {
        let _ = writeln!(out, "{kind}: stopped by the checks: {why}");
    }
    for (heading, kinds) in [
        ("too small, or without the free room that the brief wants", &boards.too_small),
        ("larger, not judged", &boards.larger),
    ] {
        if !kinds.is_empty() {
            let _ = writeln!(out, "{heading}: {}", kinds.join(", "));
        }
    }
    out
}

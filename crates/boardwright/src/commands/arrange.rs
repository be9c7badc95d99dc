//! `boardwright arrange`.

use std::fmt::Write;

use layout::{Config, Input, Outcome as Measured, Terms};
use verdict::{Arranged, Verdict};

use super::bar::Bar;
use super::stopped::Stopped;
use crate::args::{Arrange, OutcomeFormat};
use crate::loaded::load;
use crate::shell::{self, Outcome};
use crate::written;

/// Breaches told when nothing fits.
const MOST_BREACHES: usize = 8;

pub(crate) fn run(options: &Arrange) -> anyhow::Result<Outcome> {
    let loaded = load(&options.rig)?;
    let catalogue = &loaded.job.catalogue;
    let input = Input::from_rig(&loaded.design.rig, &loaded.design.limits)
        .with_stock(catalogue.plugs())
        .with_boards(catalogue.boards());
    let config = Config {
        moves: options.moves,
        seed: options.seed,
        alternatives: options.alternatives,
        ..Config::of_shop(&loaded.design.limits)
    };
    let now = layout::measure(&input, &config);
    let (job, today) = (&loaded.job, &loaded.findings);
    if options.choices {
        return super::choices::run(options, &loaded, &input, &config);
    }
    if options.boards {
        return super::which_board::run(options, &loaded, &input, &config);
    }
    let arranged = if options.straighten {
        verdict::straighten(job, today, &input, &config)
    } else {
        verdict::arrange(job, today, &input, &config, &Bar, &Stopped::by_ctrl_c())
    };
    shell::progress("");
    let text = match options.format {
        OutcomeFormat::Json => serde_json::to_string_pretty(&verdict::json(&arranged))? + "\n",
        OutcomeFormat::Text => told(&now, &arranged, options.straighten),
    };
    shell::data(&text)?;
    if options.write {
        let edit = &arranged.outcome.edit;
        match &arranged.verdict {
            Some(_) if edit.changes.is_empty() && arranged.fits() => {
                shell::say("nothing changed");
            }
            // The same edit on the same text: what is written is the text that was judged.
            Some(_) if arranged.fits() => {
                written::write(&options.rig, &loaded, edit)?;
                shell::say(&format!("written: {}", edit.name));
            }
            _ => shell::say("nothing is written: the placement does not fit"),
        }
    }
    Ok(if arranged.fits() { Outcome::Clean } else { Outcome::Stop })
}

/// Which made leads a placement has made again, and which stay.
fn made(out: &mut String, whose: &str, verdict: &Verdict) {
    for made in &verdict.remade {
        let _ = writeln!(out, "{whose}to be made again: {}: {}", made.lead, made.why);
    }
    if !verdict.stay.is_empty() {
        let _ = writeln!(out, "{whose}made leads that stay: {}", verdict.stay.join(", "));
    }
}

fn told(now: &Measured, arranged: &Arranged, straightened: bool) -> String {
    let outcome = &arranged.outcome;
    let mut out = String::new();
    if outcome.placements.is_empty() && !outcome.left_out.is_empty() {
        out += "nothing is arranged: no device has a size that is known\n";
        left_out(&mut out, outcome);
        return out;
    }
    if !arranged.fits() {
        // Where the nearest placement has things is of no use to anybody.
        does_not_fit(&mut out, arranged);
        left_out(&mut out, outcome);
        return out;
    }
    for placement in &outcome.placements {
        let (deck, at) = (&placement.deck, change::corner(placement.x, placement.y));
        let turn = u32::from(placement.quarters) * 90;
        let turn = if turn == 0 { String::new() } else { format!(", turned {turn}°") };
        let under = if placement.under { ", under the deck" } else { "" };
        let locked = if placement.locked { ", stays" } else { "" };
        let _ = writeln!(out, "{:<8} {deck:<10} {at}{turn}{under}{locked}", placement.device);
    }
    let _ = writeln!(out, "\n{:<12} {:<18} {:>10} {:>10}", "mm of lead", "weight", "now", "proposed");
    let rows = Terms::NAMES
        .iter()
        .zip(outcome.weights.told())
        .zip(now.terms.weighted(&now.weights))
        .zip(outcome.terms.weighted(&outcome.weights));
    let shown = |value: f64| if now.was_placed { format!("{value:.0}") } else { "-".to_owned() };
    for (((name, weight), was), is) in rows {
        let _ = writeln!(out, "{:<12} {weight:<18} {:>10} {is:>10.0}", name.replace('_', " "), shown(was));
    }
    let _ = writeln!(out, "{:<12} {:<18} {:>10} {:>10.0}", "total", "", shown(now.total), outcome.total);
    for (number, other) in outcome.alternatives.iter().enumerate() {
        let _ = writeln!(
            out,
            "alternative {}: total {:.0}, {} devices elsewhere",
            number + 1,
            other.total,
            other.differs
        );
    }
    for unmet in &outcome.unmet {
        let _ = writeln!(out, "{}", unmet.words());
    }
    for (number, other) in outcome.alternatives.iter().enumerate() {
        for unmet in &other.unmet {
            let _ = writeln!(out, "alternative {}: {}", number + 1, unmet.words());
        }
    }
    left_out(&mut out, outcome);
    if let Some(verdict) = &arranged.verdict {
        made(&mut out, "", verdict);
    }
    for (number, verdict) in arranged.alternatives.iter().enumerate() {
        made(&mut out, &format!("alternative {}: ", number + 1), verdict);
    }
    let beside = arranged.verdict.iter().flat_map(|verdict| &verdict.beside);
    let besides: Vec<String> = beside
        .map(|finding| format!("{} {}: {}", finding.severity.word(), finding.rule, finding.message))
        .collect();
    let _ = match outcome.moves {
        0 if straightened => writeln!(out, "fits, only straightened"),
        0 => writeln!(out, "fits as it stands; no other place that was found passes the checks"),
        moves if outcome.cancelled => writeln!(out, "fits; ended after {moves} moves, the best so far"),
        moves => writeln!(out, "fits, found in {moves} moves"),
    };
    if !besides.is_empty() {
        let _ = writeln!(out, "boardwright check will also say:");
    }
    for line in besides {
        let _ = writeln!(out, "  {line}");
    }
    out
}

/// Devices that are not arranged, and what to find out for them.
fn left_out(out: &mut String, outcome: &Measured) {
    for left in &outcome.left_out {
        let _ = writeln!(out, "{}", left.words());
    }
}

/// Why nothing fits, and what would help.
fn does_not_fit(out: &mut String, arranged: &Arranged) {
    let outcome = &arranged.outcome;
    let _ = writeln!(out, "does not fit");
    if let Some(refused) = &arranged.refused {
        let _ = writeln!(out, "it cannot be written: {refused}");
    }
    for lead in arranged.verdict.iter().flat_map(|verdict| &verdict.astray) {
        let _ = writeln!(out, "in the way: {lead}");
    }
    for finding in arranged.bars() {
        let _ = writeln!(out, "in the way: {}: {}", finding.rule, finding.message);
    }
    match &outcome.proof {
        // What is proven says all; where things meet in the nearest placement is then by chance.
        Some(proof) => {
            let _ = writeln!(out, "proven: {proof}");
        }
        None => {
            // Plug and sleeve of one lead say the same.
            let mut lines: Vec<String> = Vec::new();
            for breach in &outcome.breaches {
                let line = format!("{}: {}", breach.what, breach.words());
                if !lines.contains(&line) {
                    lines.push(line);
                }
            }
            for line in lines.iter().take(MOST_BREACHES) {
                let _ = writeln!(out, "{line}");
            }
        }
    }
    for (heading, judged) in [("would help:", true), ("may help, not judged:", false)] {
        let mut names =
            outcome.relaxations.iter().filter(|relaxation| relaxation.judged == judged).peekable();
        if names.peek().is_some() {
            let _ = writeln!(out, "{heading}");
        }
        for relaxation in names {
            let _ = writeln!(out, "  {}", relaxation.name);
        }
    }
}

//! `boardwright feed`.

use std::fmt::Write;

use power::Status;

use crate::args::{Feed, OutcomeFormat};
use crate::loaded::load;
use crate::shell::{self, Outcome};
use crate::written;

pub(crate) fn run(options: &Feed) -> anyhow::Result<Outcome> {
    let loaded = load(&options.rig)?;
    let input = loaded.design.power_input();
    // Bricks of the catalogue are looked through only where the present ones are not enough.
    let with_bricks;
    let mut outcome = loaded.design.feeds();
    if outcome.status == Status::Impossible {
        with_bricks = loaded.design.feeds_with(&loaded.job.catalogue.devices());
        outcome = &with_bricks;
    }
    // The rules judge what is shown, by code that the solver does not use.
    let breaches = power::verify::verify(&input, &outcome.allocation).breaches;
    anyhow::ensure!(
        breaches.is_empty(),
        "the allocation breaks its own rules: {breaches:?}; please report this"
    );
    let text = match options.format {
        OutcomeFormat::Json => serde_json::to_string_pretty(&power::json(outcome))? + "\n",
        OutcomeFormat::Text => told(outcome),
    };
    shell::data(&text)?;
    if options.write {
        let edit = power::edits(outcome);
        if edit.changes.is_empty() {
            shell::say("the document says so already");
        } else {
            written::write(&options.rig, &loaded, &edit)?;
            shell::say(&format!("written: {}", edit.name));
        }
    }
    let is_whole = outcome.status != Status::Impossible && outcome.unserved.is_empty();
    Ok(if is_whole { Outcome::Clean } else { Outcome::Stop })
}

fn told(outcome: &power::Outcome) -> String {
    let mut out = String::new();
    for feed in &outcome.feeds {
        let outlets: Vec<String> = feed
            .outlets
            .iter()
            .map(|by| format!("{}.{} at {}", by.brick, by.outlet, volts(by.setting_mv)))
            .collect();
        let special = feed.special();
        let special = if special.is_empty() { String::new() } else { format!("  {}", special.join(", ")) };
        let _ =
            writeln!(out, "{:<8} {:<14} {}{special}", feed.device, feed.kind.word(), outlets.join(" and "));
    }
    for tag in &outcome.unmade {
        let _ = writeln!(out, "{tag:<8} is rewired: its supply lead is made, and this takes it out");
    }
    for unserved in &outcome.unserved {
        let _ = writeln!(out, "{:<8} no feed: {}", unserved.device, unserved.why);
    }
    for assumed in &outcome.assumed {
        let _ = writeln!(out, "assumed: {}", assumed.words);
    }
    for look in &outcome.looks {
        let _ = writeln!(out, "look: {}", look.words);
    }
    for conflict in &outcome.conflicts {
        let _ =
            writeln!(out, "cannot be served together: {}: {}", conflict.devices.join(", "), conflict.words);
    }
    for cure in outcome.cures.iter().take(5) {
        let _ = writeln!(out, "cure: {}", cure.name);
    }
    let objective = &outcome.objective;
    let way = objective.length_mm.map_or_else(String::new, |mm| format!(", {mm} mm of lead"));
    let _ = writeln!(
        out,
        "{}: {} to look at, {} special leads, worst margin {} ‰{way}",
        outcome.status.word(),
        objective.looks,
        objective.special,
        objective.margin_permille
    );
    out
}

fn volts(millivolts: i64) -> String {
    let (whole, rest) = (millivolts / 1000, millivolts % 1000);
    if rest == 0 { format!("{whole} V") } else { format!("{whole}.{rest:03} V").replace("00 V", " V") }
}

//! `boardwright leads`.

use std::fmt::Write;

use design::{Design, KERF_MM, Making, Routes, booked, cut_plans};
use leads::CableCuts;

use super::stock;
use crate::args::{Leads, OutcomeFormat};
use crate::loaded::load;
use crate::shell::{self, Outcome};

/// What a tape tells in millimetres: a bend is told from here on, as the check does. *Common practice, no source.*
const TAPE_MM: f64 = 0.5;

pub(crate) fn run(options: &Leads) -> anyhow::Result<Outcome> {
    let mut loaded = load(&options.rig)?;
    if options.book {
        loaded = super::number::issued(&options.rig, loaded)?;
    }
    let Routes { input, outcome: routes } = loaded.design.routes();
    // The rules judge what is shown, by code that the router does not use.
    let breaches = leads::verify::verify(input, routes).breaches;
    let words = breaches.iter().map(|breach| format!("lead {}: {}", breach.lead, breach.what));
    // Numbers may have been issued by now; what is booked comes after.
    shell::agreed(&words.collect::<Vec<_>>(), if options.book { "booked" } else { "written" })?;
    let shelf = stock::shelf_for(&options.rig)?;
    let cuts = cut_plans(&loaded.design, &shelf);
    let text = match options.format {
        OutcomeFormat::Json => {
            serde_json::to_string_pretty(&leads::json(input, routes, &cuts, KERF_MM))? + "\n"
        }
        OutcomeFormat::Text => {
            told(&loaded.design, &cuts, &booked(&loaded.design, &shelf))
                + &forgotten(&loaded.design.rig, &shelf)
        }
    };
    shell::data(&text)?;
    if options.book {
        shell::say(&stock::book(&options.rig, &loaded, &cuts)?);
    }
    Ok(Outcome::Clean)
}

/// Pieces that the shop has cut for the job and its document says nothing of, or otherwise.
fn forgotten(rig: &rig::Rig, shelf: &design::Shelf) -> String {
    let pieces = design::forgotten(rig, shelf);
    if pieces.is_empty() {
        return String::new();
    }
    let each: Vec<String> = pieces.iter().map(|cut| format!("{} {} mm", cut.lead, cut.mm)).collect();
    format!("cut in the shop, and not in the document: {}\n", each.join(", "))
}

fn told(design: &Design, cuts: &[CableCuts], cut: &[&design::Lead]) -> String {
    let Routes { input, outcome: routes } = design.routes();
    let mut out = String::new();
    for laid in &routes.leads {
        let wanted = &input.leads[laid.lead];
        let bend = if laid.tightest_mm <= wanted.radius_mm - TAPE_MM {
            format!("  bend radius {:.0} mm, minimum {:.0} mm", laid.tightest_mm, wanted.radius_mm)
        } else {
            String::new()
        };
        // What is bought ready-made or captive is not cut here, mains least of all.
        let lead = design.lead_of(&laid.id);
        let is_cut = lead.is_some_and(|lead| lead.making == Making::Made);
        // What is made is as long as it was made; what it would be cut to today stands beside it.
        let (what, long, anew) = match wanted.made_mm {
            Some(made) if is_cut && (made - laid.cut_mm).abs() < 0.5 => ("made  ", made, String::new()),
            Some(made) if is_cut => ("made  ", made, format!(" (anew {:.0} mm)", laid.cut_mm)),
            _ => (if is_cut { "cut   " } else { "needs " }, laid.cut_mm, String::new()),
        };
        let _ = writeln!(
            out,
            "{:<5} {:<14} {:<14} route {:>5.0} mm  {what} {long:>5.0} mm{anew}{bend}",
            laid.id, wanted.from.port, wanted.to.port, laid.route_mm,
        );
    }
    for lead in &design.leads {
        if let Some(words) = design.joint_words(lead) {
            let _ = writeln!(out, "{:<5} {words}", lead.tag);
        }
    }
    for failed in &routes.failed {
        let _ = writeln!(out, "{:<5} not laid: {}", failed.id, failed.why);
    }
    for unlaid in &input.unlaid {
        let _ = writeln!(out, "{:<5} not laid: {}", unlaid.id, unlaid.why);
    }
    // What lies too near is what the check says lies too near.
    let said = checks::check(design);
    for finding in said.iter().filter(|finding| finding.rule == "lead-apart" && finding.accepted.is_none()) {
        let _ = writeln!(out, "{}: {}", finding.severity.word(), finding.message);
    }
    for cut in cuts {
        let cable = cut.cable.as_deref().unwrap_or("cable not decided");
        let pieces = cut.pieces.len();
        let plural = if pieces == 1 { "piece" } else { "pieces" };
        let _ = writeln!(out, "{cable}: {pieces} {plural}, {} mm off the reel", cut.plan.fresh_mm);
    }
    if !cut.is_empty() {
        let tags: Vec<&str> = cut.iter().map(|lead| lead.tag.as_str()).collect();
        let _ = writeln!(out, "cut and booked: {}", tags.join(", "));
    }
    out
}

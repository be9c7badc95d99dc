//! `boardwright leads`.

use std::collections::BTreeMap;
use std::fmt::Write;

use design::{Clocking, Design, Making, clocking, making};
use leads::cut::{CutEffort, Piece, Source, plan};
use leads::{CableCuts, Given, Input, Outcome as Routes};
use rig::Provenance;

use crate::args::{Leads, OutcomeFormat};
use crate::loaded::load;
use crate::shell::{self, Outcome};

/// What a cutter takes: a wire cutter takes nothing.
const KERF_MM: i64 = 0;
/// A remainder from here on goes back into the drawer: the shortest lead there is use for. *Common practice, no source.*
const KEEP_MM: i64 = 200;

/// What the engine takes: the rig and its leads as the design numbers them.
pub(crate) fn input(design: &Design) -> Input {
    let given: Vec<Given> = design
        .leads
        .iter()
        .map(|lead| Given {
            id: lead.tag.clone(),
            class: lead.class,
            from: (lead.from.port.clone(), lead.from.plug.clone()),
            to: (lead.to.port.clone(), lead.to.plug.clone()),
            soldered: [lead.from.soldered, lead.to.soldered],
            cable: lead.cable.clone(),
            clocking: match clocking(&design.rig, lead) {
                Clocking::Turned(degrees) => Some(format!("{degrees}°")),
                Clocking::Free => Some("free".to_owned()),
                Clocking::Open => None,
            },
            made: lead.cut.value.filter(|_| lead.cut.from == Provenance::Measured),
            outside: lead.outside,
        })
        .collect();
    Input::from_rig(&design.rig, &design.limits, &given)
}

/// A cut plan per cable for the leads that are made at the bench, from a reel of each.
fn cuts(design: &Design, input: &Input, routes: &Routes) -> Vec<CableCuts> {
    let mut pieces: BTreeMap<Option<String>, Vec<Piece>> = BTreeMap::new();
    for laid in &routes.leads {
        let lead = design.leads.iter().find(|lead| lead.tag == laid.id);
        if lead.is_some_and(|lead| making(&design.rig, lead) == Making::Made) && laid.spare_mm.is_none() {
            #[expect(
                clippy::cast_possible_truncation,
                reason = "cut lengths of leads, rounded up to whole millimetres"
            )]
            let mm = laid.cut_mm.ceil() as i64;
            pieces
                .entry(input.leads[laid.lead].cable.clone())
                .or_default()
                .push(Piece { id: laid.id.clone(), mm });
        }
    }
    pieces
        .into_iter()
        .map(|(cable, pieces)| {
            let sources = vec![Source { id: "reel".to_owned(), mm: None, reel: true }];
            let plan = plan(&pieces, &sources, KERF_MM, KEEP_MM, &CutEffort::standard());
            CableCuts { cable, pieces, sources, plan }
        })
        .collect()
}

pub(crate) fn run(options: &Leads) -> anyhow::Result<Outcome> {
    let loaded = load(&options.rig)?;
    let input = input(&loaded.design);
    let routes = leads::solve(&input);
    // The rules judge what is shown, by code that the router does not use.
    let breaches = leads::verify::verify(&input, &routes).breaches;
    anyhow::ensure!(
        breaches.is_empty(),
        "the routes break their own rules: {breaches:?}; please report this"
    );
    let cuts = cuts(&loaded.design, &input, &routes);
    let text = match options.format {
        OutcomeFormat::Json => {
            serde_json::to_string_pretty(&leads::json(&input, &routes, &cuts, KERF_MM))? + "\n"
        }
        OutcomeFormat::Text => told(&input, &routes, &cuts),
    };
    shell::data(&text)?;
    Ok(Outcome::Clean)
}

fn told(input: &Input, routes: &Routes, cuts: &[CableCuts]) -> String {
    let mut out = String::new();
    for laid in &routes.leads {
        let wanted = &input.leads[laid.lead];
        let bend = if laid.tightest_mm < wanted.radius_mm - 0.05 {
            format!("  bent to {:.0} mm, {:.0} mm allowed", laid.tightest_mm, wanted.radius_mm)
        } else {
            String::new()
        };
        let _ = writeln!(
            out,
            "{:<5} {:<14} {:<14} way {:>5.0} mm  cut {:>5.0} mm{bend}",
            laid.id, wanted.from.port, wanted.to.port, laid.route_mm, laid.cut_mm
        );
    }
    for failed in &routes.failed {
        let _ = writeln!(out, "{:<5} not laid: {}", failed.id, failed.why);
    }
    for unlaid in &input.unlaid {
        let _ = writeln!(out, "{:<5} not laid: {}", unlaid.id, unlaid.why);
    }
    for near in &routes.near {
        let _ = writeln!(
            out,
            "look: {} and {} side by side for {:.0} mm, {:.0} mm apart, {:.0} mm wanted",
            near.one, near.other, near.parallel_mm, near.distance_mm, near.wanted_mm
        );
    }
    for cut in cuts {
        let cable = cut.cable.as_deref().unwrap_or("cable not decided");
        let _ = writeln!(out, "{cable}: {} pieces, {} mm off the reel", cut.pieces.len(), cut.plan.fresh_mm);
    }
    out
}

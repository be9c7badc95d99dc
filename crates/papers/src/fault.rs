//! The fault card: read by torch, no sentences.

use design::{Design, Making};
use rig::Carries;

use crate::block::blank;
use crate::block::{Block, Table, cell, figures, pair, share};
use crate::part::Part;
use crate::sheet::Lie;
use crate::words::{end_name, never};
use crate::{PapersInput, text};

/// The paper.
pub(crate) fn fault(input: &PapersInput<'_>) -> Part {
    let design = input.design;
    let mut blocks = vec![Block::Title(text::FAULT)];
    let has_di = design.rig.devices.iter().flat_map(|device| &device.ports).any(|port| {
        let family = port.connector.as_ref().map(|connector| connector.family);
        family == Some(rig::ConnectorFamily::Xlr) && port.role.value == Some(rig::PortRole::Out)
    });
    for (symptom, acts) in text::FAULT_LINES {
        let acts: Vec<&str> = acts
            .iter()
            .map(|act| if *act == text::LIFT && !has_di { text::NEVER_LIFT } else { act })
            .collect();
        blocks.push(Block::Boxed((*symptom).to_owned(), vec![acts.join("  ·  ")], 11.0));
    }
    blocks.push(Block::Boxed(text::EMERGENCY.to_owned(), emergency(design), 12.0));
    blocks.push(Block::Pairs(
        vec![
            pair(text::SPARES, cell(spare(design))),
            pair(text::SPARES_PLACE, blank()),
            pair(text::PHONE, blank()),
        ],
        1,
        34.0,
        11.0,
    ));
    blocks.push(Block::Break);
    blocks.push(Block::Head(text::BACKWARDS.to_owned(), String::new()));
    blocks.push(Block::Table(backwards(design)));
    let warnings: Vec<String> =
        design.rig.devices.iter().filter_map(|device| never(design, device)).collect();
    if !warnings.is_empty() {
        blocks.push(Block::Boxed(text::NEVER.to_owned(), warnings, 11.0));
    }
    Part::blocks(input, "fault", text::FAULT, "-FLT", Lie::Card, blocks)
}

/// The way around the whole board for each signal run.
fn emergency(design: &Design) -> Vec<String> {
    let mut out = Vec::new();
    for run in design.rig.runs.iter().filter(|run| run.carries == Carries::Signal) {
        let first = run.stops.first().and_then(|stop| stop.leaves.as_ref());
        let last = run.stops.last().and_then(|stop| stop.arrives.as_ref());
        let (Some(first), Some(last)) = (first, last) else { continue };
        // What branches off a device begins where the player's own lead comes in.
        let (first, run_in) = if design.rig.source(&first.device).is_some() {
            (first, run)
        } else {
            match before(design, &first.device) {
                Some((source, run)) => (source, run),
                None => continue,
            }
        };
        if design.rig.source(&first.device).is_some() && design.rig.sink(&last.device).is_some() {
            let lead = |from: bool| {
                let run = if from { run_in } else { run };
                design
                    .leads
                    .iter()
                    .filter(|lead| lead.run.as_deref() == Some(run.name.as_str()))
                    .find(|lead| if from { lead.from().port == *first } else { lead.to().port == *last })
            };
            let into = lead(true).map(|lead| lead.to().port.to_string()).unwrap_or_default();
            let out_of = lead(false).map(|lead| lead.from().port.to_string()).unwrap_or_default();
            out.push(text::bypass(&end_name(design, first), &into, &end_name(design, last), &out_of));
        }
    }
    if out.is_empty() {
        out.push(text::BYPASS_ANY.to_owned());
    }
    out
}

/// The source that a device hears, with the run that it comes in by: through the device at which that run begins, where it
/// begins at one.
fn before<'a>(design: &'a Design, device: &str) -> Option<(&'a rig::PortRef, &'a rig::Run)> {
    let mut wanted = device.to_owned();
    // Each step goes one run back; there are no more steps than runs.
    for _ in &design.rig.runs {
        let passes = |run: &&rig::Run| {
            run.carries == Carries::Signal
                && run.stops.iter().skip(1).any(|stop| {
                    [&stop.arrives, &stop.leaves].into_iter().flatten().any(|port| port.device == wanted)
                })
        };
        let run = design.rig.runs.iter().find(passes)?;
        let first = run.stops.first().and_then(|stop| stop.leaves.as_ref())?;
        if design.rig.source(&first.device).is_some() {
            return Some((first, run));
        }
        wanted.clone_from(&first.device);
    }
    None
}

/// Where to try the guitar, from the amp backwards.
fn backwards(design: &Design) -> Table {
    let mut table = Table::new(
        "",
        11.0,
        vec![figures("", "", 8.0), share(text::PULL_OUT, 1.0), share(text::TRY_AT, 1.2)],
    )
    .tight();
    let mut number = 0;
    for run in design.rig.runs.iter().filter(|run| run.carries == Carries::Signal) {
        let is_tried = |lead: &&design::Lead| {
            lead.run.as_deref() == Some(run.name.as_str())
                && lead.to().has_plug()
                && !lead.to().port.port.is_empty()
        };
        let mut tried = design.leads.iter().rev().filter(is_tried).peekable();
        if tried.peek().is_some() {
            table.group(run.name.clone(), "");
        }
        for lead in tried {
            number += 1;
            table.row([
                cell(number.to_string()).faint(),
                cell(lead.tag.clone()).bold(),
                cell(lead.to().port.to_string()),
            ]);
        }
    }
    table
}

/// How far a lead reaches from end to end: with a joint, the longest way along two of its legs.
fn longest_way(lead: &design::Lead) -> Option<quantity::Length> {
    lead.flows.iter().filter_map(|(from, to)| lead.between(from, to).value).max().or(lead.cut.value)
}

/// The spare lead a bag should hold: as long as the longest that is made here.
fn spare(design: &Design) -> String {
    let mut out = Vec::new();
    for class in [rig::LeadClass::Signal, rig::LeadClass::Dc] {
        let longest = design
            .leads
            .iter()
            .filter(|lead| lead.class == class && lead.making == Making::Made)
            .filter_map(|lead| Some((longest_way(lead)?, lead)))
            .max_by_key(|(cut, _)| *cut);
        if let Some((cut, lead)) = longest {
            out.push(text::spare(class.word(), &cut.figure_mm(0), &lead.tag));
        }
    }
    if out.is_empty() { text::DASH.to_owned() } else { out.join("; ") }
}

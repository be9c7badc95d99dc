//! The work of a job by operation: the work order's acts, and what is done away from the bench.

use std::collections::BTreeMap;

use estimate::{Act, Stage};
use rig::{LeadClass, Role};

use crate::order::{is_strung, rates};
use crate::{Design, Lead, Making, is_brought, work_order};

/// Laying out: one review with the client, and so much for each device. *Common practice, no source.*
const LAYOUT: u32 = 60;
const LAYOUT_PER_DEVICE: u32 = 10;
/// Printing, checking and binding the papers. *Common practice, no source.*
const PAPERS: u32 = 45;
/// What a joint adds to a lead for each of its legs. *Common practice, no source.*
const LEG: u32 = 4;

/// Every operation of a job, in the order of the work.
///
/// What the work order plans is counted from its acts, so that the two never differ; operations that are not at the bench
/// are added here, and those that the work order leaves out because they are done: the price of a job is the same before and
/// after.
pub fn acts(design: &Design) -> Vec<Act> {
    let brought = |device: &&rig::Device| {
        !device.outside && device.role != Role::Panel && is_brought(&design.rig, device)
    };
    let theirs = count(design.rig.devices.iter().filter(brought));
    let placed = count(design.rig.devices.iter().filter(|device| !device.outside));
    let mut out = vec![
        act("intake", "take in and measure a device", Stage::Plan, theirs, rates::INTAKE * theirs),
        act("layout", "lay out, one review", Stage::Plan, 1, LAYOUT + LAYOUT_PER_DEVICE * placed),
    ];
    let made: Vec<&Lead> = design.leads.iter().filter(|lead| lead.making == Making::Made).collect();
    let mut bench: Vec<(&'static str, Act)> = Vec::new();
    for step in work_order(design).iter().flat_map(|stage| stage.steps.iter()) {
        let verb = step.id.split(':').next().unwrap_or_default();
        // Measuring is part of taking in: a price does not rest on how much is known already.
        // Leads are counted by what they are, below: cutting, sleeves, soldering and metering are one operation.
        if matches!(verb, "measure" | "cut" | "sleeve" | "solder" | "meter" | "finish" | "joint") {
            continue;
        }
        let (operation, title, stage) = operation(&step.id);
        match bench.iter_mut().find(|(known, _)| *known == operation) {
            Some((_, act)) => {
                // Deburring is part of drilling a plate.
                act.units += u32::from(verb != "deburr");
                act.minutes += step.minutes;
            }
            None => bench.push((operation, act(operation, title, stage, 1, step.minutes))),
        }
    }
    let mut bench: Vec<Act> = bench.into_iter().map(|(_, act)| act).collect();
    // The work order drops it when all leads are cut; what it cost stays part of the job.
    if bench.iter().all(|act| act.operation != "string") && made.iter().any(|lead| is_strung(design, lead)) {
        let (name, title, stage) = operation("string");
        bench.push(act(name, title, stage, 1, rates::STRING));
    }
    bench.extend(self::made(&made));
    bench.push(act("papers", "print and bind the papers", Stage::Handover, 1, PAPERS));
    bench.sort_by_key(|act| act.stage);
    out.extend(bench);
    out.retain(|act| 0 < act.units && 0 < act.minutes);
    out
}

/// The making of leads: an operation for each class and kind of ends, and one for the legs of joints.
pub(crate) fn made(leads: &[&Lead]) -> Vec<Act> {
    let mut kinds: BTreeMap<(LeadClass, bool), u32> = BTreeMap::new();
    let mut legs = 0;
    for lead in leads {
        let wired = lead.ends.iter().any(crate::LeadEndAt::is_wired);
        *kinds.entry((lead.class, wired)).or_default() += 1;
        if lead.is_joined() {
            legs += count(lead.ends.iter());
        }
    }
    let mut out: Vec<Act> = kinds
        .into_iter()
        .map(|((class, wired), count)| {
            let ends = if wired { "-wired" } else { "" };
            let words = if wired { ", wired at one end" } else { "" };
            let operation = format!("lead-{}{ends}", class.key());
            act(
                &operation,
                &format!("make a {} lead{words}", class.word()),
                Stage::Leads,
                count,
                rates::LEAD * count,
            )
        })
        .collect();
    if 0 < legs {
        out.push(act("joint-leg", "join a leg of a lead", Stage::Leads, legs, LEG * legs));
    }
    out
}

fn act(operation: &str, title: &str, stage: Stage, units: u32, minutes: u32) -> Act {
    Act { operation: operation.to_owned(), title: title.to_owned(), stage, units, minutes }
}

fn count<T>(all: impl Iterator<Item = T>) -> u32 {
    u32::try_from(all.count()).unwrap_or(u32::MAX)
}

/// The operation of a step of the work order, by its id.
fn operation(id: &str) -> (&'static str, &'static str, Stage) {
    match id.split(':').next().unwrap_or_default() {
        "photograph" | "photo" => ("photograph", "photograph", Stage::Plan),
        "batteries" => ("batteries", "take out batteries", Stage::Plan),
        "string" => ("string", "check lengths by string", Stage::Plan),
        "bar" | "glue" | "punch" => ("mark-out", "mark out a plate", Stage::Panel),
        "drill" | "deburr" => ("drill", "drill a plate", Stage::Panel),
        "jacks" => ("jacks", "fit the jacks of a plate", Stage::Panel),
        "wire" => ("wire", "wire an end behind a panel", Stage::Panel),
        "fix" | "raise" => ("fix", "fix a device", Stage::Build),
        "plug" | "lay" => ("plug", "plug or lay a lead", Stage::Build),
        "set" => ("set", "set an outlet", Stage::Build),
        "cap" => ("cap", "cap spare outlets", Stage::Build),
        "labels" => ("labels", "stick the labels", Stage::Build),
        "tie-dc" | "tie-signal" | "hinge" => ("dress", "dress leads", Stage::Build),
        "on" | "off" => ("hold", "stop, listen or meter", Stage::Test),
        "hold" => match id {
            "hold:test" => ("test", "fill in the test sheet", Stage::Test),
            "hold:lesson" => ("lesson", "lesson with the player", Stage::Handover),
            _ => ("hold", "stop, listen or meter", Stage::Test),
        },
        "shake" => ("shake", "shake and play again", Stage::Test),
        "case" | "book" => ("handover", "close the case, hand over the book", Stage::Handover),
        _ => ("other", "other acts", Stage::Build),
    }
}

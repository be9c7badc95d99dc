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
    let warnings = never(design);
    if !warnings.is_empty() {
        blocks.push(Block::Boxed(text::NEVER.to_owned(), warnings, 11.0));
    }
    Part::blocks(input, "fault", text::FAULT, "-FLT", Lie::Card, blocks)
}

/// The card in short lines, for the pocket: where to try the guitar, and the ways around.
pub(crate) fn pocket(design: &Design) -> Vec<String> {
    let mut out: Vec<String> = text::FAULT_FIRST.iter().map(|line| (*line).to_owned()).collect();
    for run in design.rig.runs.iter().filter(|run| run.carries == Carries::Signal) {
        let tried: Vec<&design::Lead> = design.leads.iter().filter(|lead| is_tried(run, lead)).collect();
        let Some(step) = trial_order(tried.len()).into_iter().next() else { continue };
        let port = &tried[step.at].to().port;
        out.push(text::halve_first(&run.name, &tried[step.at].tag, &port.to_string()));
    }
    out.extend(emergency(design));
    out.push(text::pocket_spare(&spare(design)));
    out
}

/// Whether the guitar can be plugged in place of a lead of a run.
fn is_tried(run: &rig::Run, lead: &design::Lead) -> bool {
    lead.run.as_deref() == Some(run.name.as_str()) && lead.to().has_plug() && !lead.to().port.port.is_empty()
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

/// A run of more leads than this is halved: its middle is tried first.
const HALVED: usize = 4;

/// Where to try the guitar: in a long run its middle first, then the middle of the half with the fault; in a short one from
/// the amp backwards. Where the way leads through loops of a switcher, they must be on, and that is said.
fn backwards(design: &Design) -> Table {
    let mut table = Table::new(
        "",
        11.0,
        vec![
            figures("", "", 8.0),
            share(text::PULL_OUT, 0.6),
            share(text::TRY_AT, 1.0),
            share(text::SOUND_NO_SOUND, 1.3),
        ],
    )
    .tight();
    for run in design.rig.runs.iter().filter(|run| run.carries == Carries::Signal) {
        let tried: Vec<&design::Lead> = design.leads.iter().filter(|lead| is_tried(run, lead)).collect();
        if tried.is_empty() {
            continue;
        }
        let loops = loops_on(design, &tried);
        table.group(run.name.clone(), loops.map(|loops| text::loops_on(&loops)).unwrap_or_default());
        let order = trial_order(tried.len());
        for (number, step) in order.iter().enumerate() {
            let lead = tried[step.at];
            let next = |at: Option<usize>| {
                let number = at.and_then(|at| order.iter().position(|step| step.at == at))?;
                Some(number + 1)
            };
            table.row([
                cell((number + 1).to_string()).faint(),
                cell(lead.tag.clone()).bold(),
                cell(lead.to().port.to_string()),
                cell(text::halves(next(step.sound), next(step.silence), &lead.tag)),
            ]);
        }
    }
    table
}

/// One place to try, and where to go on: with sound there, and with none. Places count from the source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Trial {
    at: usize,
    /// Sound here: the fault lies before it.
    sound: Option<usize>,
    /// None: it lies here or after it.
    silence: Option<usize>,
}

/// In which order so many places along a run are tried.
fn trial_order(count: usize) -> Vec<Trial> {
    if count <= HALVED {
        // Backwards from the amp: sound here, so go on towards the guitar.
        return (0..count).rev().map(|at| Trial { at, sound: at.checked_sub(1), silence: None }).collect();
    }
    let mut out = Vec::new();
    let mut spans = std::collections::VecDeque::from([(0, count)]);
    // Breadth first: who follows the card reads on downwards.
    while let Some((low, high)) = spans.pop_front() {
        let at = low + (high - low) / 2;
        let middle = |low: usize, high: usize| (low < high).then(|| low + (high - low) / 2);
        out.push(Trial { at, sound: middle(low, at), silence: middle(at + 1, high) });
        spans.extend([(low, at), (at + 1, high)].into_iter().filter(|(low, high)| low < high));
    }
    out
}

/// The loops that the way leads through: nothing that is plugged into a return is heard while its loop is off.
fn loops_on(design: &Design, tried: &[&design::Lead]) -> Option<String> {
    let mut out: Vec<String> = Vec::new();
    for lead in tried {
        let port = &lead.to().port;
        let Some(device) = design.rig.device(&port.device) else { continue };
        for one in device.loops.iter().filter(|one| one.back == port.port) {
            out.push(format!("{} {}", device.tag, one.name));
        }
    }
    (!out.is_empty()).then(|| out.join(", "))
}

/// The spare leads a bag should hold: as long as the longest that is made here and has a plug at both ends, so that it fits
/// in place of any of these.
fn spare(design: &Design) -> String {
    let mut out = Vec::new();
    for class in [rig::LeadClass::Signal, rig::LeadClass::Dc] {
        let fits = |lead: &&design::Lead| {
            lead.class == class
                && lead.making == Making::Made
                && !lead.is_joined()
                && lead.ends.len() == 2
                && lead.ends.iter().all(design::LeadEndAt::has_plug)
                && design::tag_words(design, lead).is_none()
        };
        let longest = design
            .leads
            .iter()
            .filter(fits)
            .filter_map(|lead| Some((lead.cut.value?, lead)))
            .max_by_key(|(cut, _)| *cut);
        if let Some((cut, lead)) = longest {
            let ends = [&lead.ends[0], &lead.ends[1]].map(design::end_words);
            let ends = if ends[0] == ends[1] { ends[0].to_owned() } else { ends.join(", ") };
            out.push(text::spare(class.word(), &cut.figure_mm(0), &lead.tag, &ends));
        }
    }
    if out.is_empty() { text::DASH.to_owned() } else { out.join("; ") }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whoever follows the card finds every fault, in as few tries as halving takes.
    #[test]
    fn every_fault_is_found_by_following_the_card() {
        for count in 1..=40_usize {
            let order = trial_order(count);
            let mut tried: Vec<usize> = order.iter().map(|step| step.at).collect();
            tried.sort_unstable();
            assert_eq!(tried, (0..count).collect::<Vec<_>>(), "{count}: each place once");
            // With the fault at this place, what is plugged in after it sounds.
            for fault in 0..count {
                let mut step = order[0];
                let mut last_silent = None;
                let mut tries = 0;
                loop {
                    tries += 1;
                    let sounds = fault < step.at;
                    if !sounds {
                        last_silent = Some(step.at);
                    }
                    let next = if sounds { step.sound } else { step.silence };
                    let Some(next) = next else { break };
                    step = *order.iter().find(|step| step.at == next).expect("it is on the card");
                }
                assert_eq!(last_silent, Some(fault), "{count} places, fault at {fault}");
                if HALVED < count {
                    assert!(
                        tries <= usize::BITS as usize - count.leading_zeros() as usize,
                        "{count}: {tries} tries"
                    );
                }
            }
        }
    }
}

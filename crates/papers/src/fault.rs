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
    let cards = cards(input);
    blocks.push(Block::Head(text::BACKWARDS.to_owned(), String::new()));
    let ends = Ends::of(&cards);
    blocks.push(Block::Table(tries(design, &cards, &ends)));
    blocks.push(Block::Head(text::LEFT_AT_END.to_owned(), String::new()));
    blocks.push(Block::Table(ends.table()));
    let warnings = never(design);
    if !warnings.is_empty() {
        blocks.push(Block::Boxed(text::NEVER.to_owned(), warnings, 11.0));
    }
    Part::blocks(input, "fault", text::FAULT, "-FLT", Lie::Card, blocks)
}

/// The card in short lines, for the pocket: where to try the guitar, and the ways around.
pub(crate) fn pocket(input: &PapersInput<'_>) -> Vec<String> {
    let design = input.design;
    let mut out: Vec<String> = text::FAULT_FIRST.iter().map(|line| (*line).to_owned()).collect();
    for (sink, _, card) in cards(input) {
        if let Some(step) = card.steps.first() {
            out.push(text::halve_first(
                &sink,
                step.pulls.as_deref().unwrap_or(text::PULL_NOTHING),
                &step.jack,
            ));
        }
    }
    out.extend(emergency(design));
    out.push(text::pocket_spare(&spare(design)));
    out
}

/// So many trials deep is a card. Common practice, no source: eight ends fit a page, and three minutes a break between songs.
const DEEP: usize = 3;

/// A card for each end that hears anything, with its title.
fn cards(input: &PapersInput<'_>) -> Vec<(String, faults::Input, faults::Card)> {
    let (design, mended) = (input.design, input.mended);
    let first = design.fault_input(None, None);
    let heard = design::heard_sinks(&first, &design.rig);
    let card = |sink: usize| {
        let id = first.sinks.get(sink)?.id.clone();
        let mut input = design.fault_input(None, Some(&id));
        input.history = mended.to_vec();
        let source = faults::source_of(&input, sink)?;
        let complaint = faults::Complaint { source, ..faults::Complaint::new(faults::Symptom::Dead, sink) };
        let card = faults::card(&input, &complaint, DEEP);
        let title = design.rig.sink(&id).map_or(id, |sink| sink.title.clone());
        (!card.steps.is_empty()).then_some((title, input, card))
    };
    heard.into_iter().filter_map(card).collect()
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

/// Where to try the guitar, first line first, and where to go on.
fn tries(design: &Design, cards: &[(String, faults::Input, faults::Card)], ends: &Ends) -> Table {
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
    for ((title, input, card), letters) in cards.iter().zip(&ends.of_card) {
        let loops = loops_on(design, card);
        let switched = loops.map(|loops| text::loops_on(&loops)).unwrap_or_default();
        table.group(text::heard_at(title, &input.state), switched);
        for (number, step) in card.steps.iter().enumerate() {
            let to = |then: faults::Then| match then {
                faults::Then::Step(at) => (at + 1).to_string(),
                faults::Then::Region(at) => region_letter(letters[at]),
            };
            table.row([
                cell((number + 1).to_string()).faint(),
                cell(step.pulls.clone().unwrap_or_else(|| text::PULL_NOTHING.to_owned())).bold(),
                cell(step.jack.clone()),
                cell(text::halves(&to(step.yes), &to(step.no))),
            ]);
        }
    }
    table
}

/// Where the tries end. What two amps leave alike stands once, under one letter.
struct Ends {
    /// What is left, what to change first, how to play tonight.
    rows: Vec<[String; 3]>,
    /// For each card the row of each of its ends.
    of_card: Vec<Vec<usize>>,
}

impl Ends {
    fn of(cards: &[(String, faults::Input, faults::Card)]) -> Self {
        let mut out = Self { rows: Vec::new(), of_card: Vec::new() };
        for (_, input, card) in cards {
            let rows = card.regions.iter().map(|region| {
                let row = row_of(input, region);
                out.rows.iter().position(|known| *known == row).unwrap_or_else(|| {
                    out.rows.push(row);
                    out.rows.len() - 1
                })
            });
            out.of_card.push(rows.collect());
        }
        out
    }

    /// What each end of the tries leaves, what to change first there, and how to play tonight.
    fn table(&self) -> Table {
        let columns = vec![
            figures("", "", 8.0),
            share(text::FAULT_IS_IN, 1.3),
            share(text::CHANGE_FIRST, 0.6),
            share(text::TONIGHT, 1.3),
        ];
        let mut table = Table::new("", 11.0, columns);
        for (number, [left, first, tonight]) in self.rows.iter().enumerate() {
            table.row([
                cell(region_letter(number)).bold(),
                cell(left.clone()),
                cell(first.clone()),
                cell(tonight.clone()),
            ]);
        }
        table
    }
}

fn row_of(input: &faults::Input, region: &faults::Region) -> [String; 3] {
    let named: Vec<&str> = region.parts.iter().map(|at| input.parts[*at].id.as_str()).collect();
    let shown = named.iter().take(MOST_PARTS).copied().collect::<Vec<_>>().join(", ");
    let more = named.len().saturating_sub(MOST_PARTS);
    let tonight = region.tonight.as_ref().map(|way| text::tonight(&way.act, &way.without));
    [
        if 0 < more { format!("{shown} {}", text::and_more(more)) } else { shown },
        named.first().copied().unwrap_or_default().to_owned(),
        tonight.unwrap_or_else(|| text::DASH.to_owned()),
    ]
}

/// So many parts of an end are named; what is likeliest stands first.
const MOST_PARTS: usize = 7;

/// `A` for the first; `A2` for the one after `Z`.
fn region_letter(place: usize) -> String {
    let letter = u8::try_from(place % 26).map_or('?', |at| char::from(b'A' + at));
    match place / 26 {
        0 => letter.to_string(),
        round => format!("{letter}{}", round + 1),
    }
}

/// The loops that the way leads through: nothing that is plugged into a return is heard while its loop is off.
fn loops_on(design: &Design, card: &faults::Card) -> Option<String> {
    let mut out: Vec<String> = Vec::new();
    for step in &card.steps {
        let Some((tag, port)) = step.jack.split_once('.') else { continue };
        let Some(device) = design.rig.device(tag) else { continue };
        for one in device.loops.iter().filter(|one| one.back == port) {
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

//! Lead schedule and cut list: by batch for who makes them, by order of plugging for who lays them.

use std::collections::BTreeMap;

use design::{Design, Lead, Making, batches, clocking, end_words, making, sleeves, work_order};

use crate::block::{Block, Table, blank, cell, figures, share, tick, ticks, wide};
use crate::part::Part;
use crate::sheet::Lie;
use crate::words::{self, end_name, millimetres};
use crate::{PapersInput, cautions, text};

/// The paper.
pub(crate) fn leads(input: &PapersInput<'_>) -> Part {
    let design = input.design;
    let mut blocks = vec![Block::Title(text::CUT_LIST), Block::Faint(text::CUT_NOTE.to_owned())];
    blocks.extend(cautions::solder(design));
    blocks.push(Block::Table(cut_list(design)));
    blocks.push(Block::Break);
    blocks.push(Block::Title(text::INSTALL_LIST));
    blocks.push(Block::Faint(text::INSTALL_NOTE.to_owned()));
    blocks.push(Block::Table(install_list(design)));
    Part::blocks(input, "leads", text::LEADS, "-LEA", Lie::Landscape, blocks)
}

fn cut_list(design: &Design) -> Table {
    let mut table = Table::new(
        "cut-list",
        11.0,
        vec![
            wide(text::LEAD, 14.0),
            share(text::FROM, 1.0),
            wide(text::EXIT, 14.5),
            share(text::TO, 1.0),
            wide(text::EXIT, 14.5),
            wide(text::SECOND_TURNED, 31.0),
            figures(text::CUT, text::MM, 17.0),
            wide(text::SLEEVES, 20.0),
            ticks(text::TICK_CUT),
            ticks(text::TICK_MADE),
            figures(text::OHMS, "Ω", 17.0),
            figures(text::OHMS, "pF", 17.0),
            ticks(text::TICK_TESTED),
        ],
    )
    .grid();
    for batch in batches(design) {
        let cable = batch.cable.clone().unwrap_or_else(|| text::OPEN_CABLE.to_owned());
        let ends = if batch.ends[0] == batch.ends[1] {
            text::both_ends(&batch.ends[0])
        } else {
            format!("{} – {}", batch.ends[0], batch.ends[1])
        };
        let allowance = batch.allowances.iter().find(|allowance| allowance.value.is_some());
        let inside = allowance.map_or_else(String::new, |allowance| {
            let mark = if allowance.is_assumed() { text::ASSUMED_LETTER } else { "" };
            text::in_plug(&allowance.value.unwrap_or_default().figure_mm(0), mark)
        });
        let note = text::batch_note(
            batch.leads.len(),
            &format!("{:.2}", batch.length.as_mm() / 1000.0),
            batch.unknown,
            &inside,
        );
        table.group(text::batch(batch.number, &cable, &ends), note);
        for lead in batch.leads.iter().filter_map(|index| design.leads.get(*index)) {
            let exit = |end: &design::LeadEndAt| match (end.soldered, end.plug.exit) {
                (true, _) => cell(text::DASH),
                (false, Some(exit)) => cell(exit.word()),
                (false, None) => cell(text::EXIT_FREE).faint(),
            };
            let letters: Vec<&str> = sleeves(&lead.tag).into_iter().map(design::Colour::letters).collect();
            table.row([
                cell(lead.tag.clone()).bold(),
                cell(end_name(design, &lead.from.port)),
                exit(&lead.from),
                cell(end_name(design, &lead.to.port)),
                exit(&lead.to),
                words::clocking(clocking(&design.rig, lead)),
                millimetres(lead.cut).bold(),
                cell(letters.join(" ")),
                tick(),
                tick(),
                blank(),
                blank(),
                tick(),
            ]);
        }
    }
    table.none = text::NO_LEADS_TO_MAKE;
    table
}

/// Leads in the order in which the work order plugs them; what it does not name comes last.
pub(crate) fn install_order(design: &Design) -> Vec<&Lead> {
    let mut place: BTreeMap<String, usize> = BTreeMap::new();
    let steps: Vec<design::Step> = work_order(design).into_iter().flat_map(|stage| stage.steps).collect();
    let laid =
        steps.iter().filter(|step| ["plug:", "wire:", "lay:"].iter().any(|verb| step.id.starts_with(verb)));
    for (index, step) in laid.enumerate() {
        for tag in &step.leads {
            place.entry(tag.clone()).or_insert(index);
        }
    }
    let mut out: Vec<&Lead> = design.leads.iter().collect();
    out.sort_by_key(|lead| place.get(&lead.tag).copied().unwrap_or(usize::MAX));
    out
}

fn install_list(design: &Design) -> Table {
    let mut table = Table::new(
        "lead-schedule",
        11.0,
        vec![
            figures(text::ORDER_NUMBER, "", 9.0),
            ticks(text::TICK_PLUGGED),
            wide(text::LEAD, 14.0),
            wide(text::CLASS, 18.0),
            share(text::FROM, 1.0),
            share(text::PLUG, 1.1),
            share(text::TO, 1.0),
            share(text::PLUG, 1.1),
            share(text::CABLE, 1.2),
            figures(text::CUT, text::MM, 19.0),
            wide(text::COMES_FROM, 26.0),
        ],
    );
    for (index, lead) in install_order(design).into_iter().enumerate() {
        let how = making(&design.rig, lead);
        let cut = if how == Making::Bought || how == Making::Captive {
            cell(text::DASH)
        } else {
            millimetres(lead.cut).bold()
        };
        let plug = |end: &design::LeadEndAt| match how {
            Making::Theirs if end.port.port.is_empty() => cell(text::DASH),
            _ => cell(end_words(end)),
        };
        table.row([
            cell((index + 1).to_string()),
            tick(),
            cell(lead.tag.clone()).bold(),
            cell(lead.class.word()),
            cell(end_name(design, &lead.from.port)),
            plug(&lead.from),
            cell(end_name(design, &lead.to.port)),
            plug(&lead.to),
            cell(lead.cable.as_ref().map_or(text::OPEN, |cable| cable.title.as_str())),
            cut,
            cell(words::making(how)),
        ]);
    }
    table.none = text::NO_LEADS;
    table
}

//! The signal-path sheet: every run as a strip, the states, what inserts do.

use design::{CASES, Design, breaks, case_words, heard_words, insert_tables};
use rig::{Bypass, Carries, Device, Normal, Role};

use crate::block::{Block, Column, Table, cell, share, wide};
use crate::part::Part;
use crate::sheet::Lie;
use crate::{PapersInput, cautions, text};

/// The paper.
pub(crate) fn path(input: &PapersInput<'_>) -> Part {
    let design = input.design;
    let mut part = Part::blocks(input, "path", text::PATH, "-SIG", Lie::Landscape, Vec::new());
    let wide = part.sheet.room().0 - 1.5;
    let mut blocks = vec![Block::Title(text::PATH), Block::Faint(text::PATH_NOTE.to_owned())];
    blocks.extend(cautions::phantom(design));
    for run in design.rig.runs.iter().filter(|run| run.carries != Carries::Mains) {
        let head = text::run(&run.name, run.carries.word());
        for (row, strip) in drawing::path_rows(design, run, wide).into_iter().enumerate() {
            blocks.push(Block::Figure(strip, if row == 0 { head.clone() } else { String::new() }));
        }
    }
    if design.rig.runs.is_empty() {
        blocks.push(Block::Words(text::NO_RUNS.to_owned()));
    }
    blocks.push(Block::Head(text::STATES.to_owned(), text::STATES_NOTE.to_owned()));
    blocks.push(Block::Table(states(design)));
    if let Some(table) = inserts(design) {
        blocks.push(Block::Head(text::INSERTS.to_owned(), text::INSERTS_NOTE.to_owned()));
        blocks.push(Block::Table(table));
    }
    if let Some(table) = broken(design) {
        blocks.push(Block::Head(text::BREAKS.to_owned(), String::new()));
        blocks.push(Block::Table(table));
    }
    blocks.push(Block::Head(text::ENDS.to_owned(), String::new()));
    blocks.push(Block::Table(ends(design)));
    part.body = crate::part::Body::Blocks(blocks);
    part
}

/// Devices in the order in which signal meets them first.
pub(crate) fn along(design: &Design) -> Vec<&Device> {
    let rig = &design.rig;
    let mut out: Vec<&Device> = Vec::new();
    let stops = rig.runs.iter().filter(|run| run.carries == Carries::Signal).flat_map(|run| &run.stops);
    for port in stops.flat_map(|stop| [&stop.arrives, &stop.leaves]).flatten() {
        if let Some(device) = rig.device(&port.device).filter(|device| device.role == Role::Pedal)
            && out.iter().all(|known| known.tag != device.tag)
        {
            out.push(device);
        }
    }
    out
}

/// The named states, a device a row: engaged, off, always on.
fn states(design: &Design) -> Table {
    const MOST: usize = 7;
    let states: Vec<&rig::State> = design.rig.states.iter().collect();
    let devices = along(design);
    // Few states stand side by side; more of them one below the other.
    if states.len() > MOST || states.is_empty() {
        let mut table = Table::new("states", 11.0, vec![share(text::STATE, 1.0), share(text::ENGAGED, 3.0)]);
        for state in states {
            table.row([cell(state.name.clone()).bold(), cell(state.engaged.join(", "))]);
        }
        table.none = text::NO_STATES;
        return table;
    }
    let mut columns: Vec<Column> = vec![wide(text::DEVICE, 18.0), share(text::WHAT, 1.2)];
    columns.extend(states.iter().map(|state| share(state.name.clone(), 0.7)));
    let mut table = Table::new("states", 10.5, columns).keep();
    for device in devices {
        let mut row = vec![cell(device.tag.clone()).bold(), cell(device.title.clone()).faint()];
        for state in &states {
            let on = state.engaged.contains(&device.tag);
            row.push(match (on, device.signal.bypass.value) {
                (true, _) => cell(text::ON).bold(),
                (false, Some(Bypass::AlwaysOn)) => cell(text::ALWAYS_ON),
                (false, _) => cell(text::OFF).faint(),
            });
        }
        table.row(row);
    }
    table
}

fn inserts(design: &Design) -> Option<Table> {
    let tables = insert_tables(design);
    if tables.is_empty() {
        return None;
    }
    let mut table = Table::new(
        "inserts",
        10.5,
        vec![
            share(text::INSERT, 1.1),
            wide(text::NORMAL, 24.0),
            share(case_words(CASES[0]), 1.0),
            share(case_words(CASES[1]), 1.0),
            share(case_words(CASES[2]), 1.0),
            share(case_words(CASES[3]), 1.0),
            wide(text::HERE, 33.0),
        ],
    )
    .keep();
    for found in tables {
        let normal = match found.normal {
            Some(Normal::Full) => text::NORMAL_FULL,
            Some(Normal::Half) => text::NORMAL_HALF,
            Some(Normal::Open) => text::NORMAL_OPEN,
            None => text::UNKNOWN,
        };
        let mut row = vec![
            cell(format!("{} {}", found.device, found.name))
                .bold()
                .line(format!("{} → {}", found.send, found.back)),
            cell(normal).assumed(found.from == rig::Provenance::Assumed),
        ];
        row.extend(found.heard.into_iter().map(|heard| cell(heard_words(heard))));
        row.push(cell(case_words(found.plugged)));
        table.row(row);
    }
    Some(table)
}

fn broken(design: &Design) -> Option<Table> {
    let found = breaks(design);
    if found.is_empty() {
        return None;
    }
    let mut table = Table::new(
        "breaks",
        10.5,
        vec![share(text::JACK, 1.0), share(text::NOTHING_PLUGGED, 1.0), share(text::LEAD_PLUGGED, 1.4)],
    );
    for one in found {
        let cut = text::cut_off(&one.empty.to_string());
        table.row([cell(one.jack.to_string()).bold(), cell(text::plays(&one.empty.to_string())), cell(cut)]);
    }
    Some(table)
}

/// What stands at both ends of the chain.
fn ends(design: &Design) -> Table {
    let mut table = Table::new(
        "ends",
        10.5,
        vec![
            share(text::END, 1.0),
            share(text::WHAT, 1.6),
            wide(text::LEAD_LENGTH, 34.0),
            share(text::PHANTOM, 1.0),
        ],
    );
    let metres = |length: quantity::Length| format!("{:.1} m", length.as_mm() / 1000.0);
    for source in &design.rig.sources {
        table.row([
            cell(source.id.clone()).bold(),
            cell(source.title.clone()),
            crate::block::known(source.lead, metres),
            cell(text::DASH),
        ]);
    }
    for sink in &design.rig.sinks {
        let phantom =
            crate::block::known(sink.phantom, |is| (if is { text::PHANTOM_ON } else { text::NO }).to_owned());
        table.row([
            cell(sink.id.clone()).bold(),
            cell(sink.title.clone()),
            crate::block::known(sink.lead, metres),
            phantom,
        ]);
    }
    table
}

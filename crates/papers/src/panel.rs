//! Panel schedule and drilling template.

use design::{Hole, Plate, plates};
use drawing::{PlateSide, check_bar, panel as drawn};

use crate::block::{Block, Table, blank, cell, figures, known, share, tick, ticks, wide};
use crate::part::{Body, Part};
use crate::sheet::{Lie, Sheet};
use crate::words::tenths;
use crate::{PapersInput, text};

/// The paper: on a larger sheet where a plate is wider than the usual one.
pub(crate) fn panel(input: &PapersInput<'_>) -> Part {
    let design = input.design;
    let plates = plates(design);
    let drawings: Vec<_> = plates
        .iter()
        .map(|plate| (plate, drawn(design, plate, PlateSide::Front), drawn(design, plate, PlateSide::Rear)))
        .collect();
    let widest =
        drawings.iter().map(|(_, front, rear)| front.width_mm.max(rear.width_mm)).fold(0.0, f64::max);
    let mut sheet = Sheet::of(input.paper, Lie::Landscape);
    if sheet.room().0 < widest {
        sheet = Sheet::of(input.paper, Lie::Double);
    }
    if sheet.room().0 < widest {
        sheet = Sheet::sized(widest + 60.0, sheet.height);
    }
    let mut blocks = Vec::new();
    if plates.is_empty() {
        blocks.push(Block::Title(text::PANEL));
        blocks.push(Block::Words(text::NO_PANEL.to_owned()));
    }
    for (index, (plate, front, rear)) in drawings.into_iter().enumerate() {
        if index > 0 {
            blocks.push(Block::Break);
        }
        blocks.push(Block::Title(text::PANEL));
        blocks.push(Block::Faint(text::PANEL_NOTE.to_owned()));
        let head = text::plate(&plate.panel, plate.face.word());
        blocks.push(Block::Figure(front, head.clone()));
        blocks.push(Block::Figure(check_bar(), String::new()));
        // The rear has a page of its own: who glues one must not find the other beside it.
        blocks.push(Block::Break);
        blocks.push(Block::Figure(rear, head));
        blocks.push(Block::Figure(check_bar(), String::new()));
        blocks.push(Block::Head(text::PANEL_SCHEDULE.to_owned(), text::plate_size(plate)));
        blocks.push(Block::Table(schedule(plate).keep()));
    }
    let mut part = Part::blocks(input, "panel", text::PANEL, "-PAN", Lie::Landscape, Vec::new());
    part.sheet = sheet;
    "1 : 1".clone_into(&mut part.scale);
    part.body = Body::Blocks(blocks);
    part
}

fn schedule(plate: &Plate) -> Table {
    let mut table = Table::new(
        "panel-schedule",
        11.0,
        vec![
            figures(text::HOLE, "", 11.0),
            wide(text::JACK, 44.0),
            share(text::CONNECTOR, 1.0),
            figures("x", text::MM, 15.0),
            figures("y", text::MM, 13.0),
            figures(text::CUT_OUT, text::MM, 24.0),
            figures(text::PILOT, text::MM, 12.0),
            figures(text::EDGE, text::MM, 17.0),
            figures(text::WEB, text::MM, 13.0),
            figures(text::BEHIND_PLATE, text::MM, 18.0),
            wide(text::SLEEVE, 23.0),
            figures(text::MEASURED, "x", 22.0),
            ticks(text::TICK_DRILLED),
        ],
    )
    .grid();
    for hole in &plate.holes {
        table.row(row(plate, hole));
    }
    table
}

/// The jack by its name, with its legend below where that is not the name.
fn jack_cell(plate: &Plate, hole: &Hole) -> crate::block::Cell {
    let name = cell(format!("{}.{}", plate.panel, hole.port)).bold();
    if hole.legend == hole.port.replace('_', " ") { name } else { name.line(hole.legend.clone()) }
}

fn row(plate: &Plate, hole: &Hole) -> Vec<crate::block::Cell> {
    let length = |length: Option<quantity::Length>| {
        length.map_or_else(|| cell(text::UNKNOWN), |length| cell(length.figure_mm(1)))
    };
    let web = match hole.web {
        Some((web, _)) => cell(web.figure_mm(1)),
        None => cell(text::DASH),
    };
    let sleeve = if hole.has_sleeve {
        known(hole.insulated, |insulated| (if insulated { text::INSULATED } else { text::BONDED }).to_owned())
    } else {
        cell(text::DASH)
    };
    let has_hole = hole.diameter.value.is_some();
    let cut = match hole.as_cut_out() {
        Some(cut_out) => {
            let assumed = [hole.diameter.from, hole.height.from].contains(&rig::Provenance::Assumed);
            cell(format!("{} × {}", cut_out.width.figure_mm(1), cut_out.height.figure_mm(1))).assumed(assumed)
        }
        None => tenths(hole.diameter),
    };
    vec![
        cell(hole.number.to_string()).bold(),
        jack_cell(plate, hole),
        cell(hole.connector.clone()),
        tenths(hole.x),
        tenths(hole.y),
        cut,
        if has_hole { cell(design::PILOT.figure_mm(0)) } else { cell(text::DASH) },
        length(hole.edge),
        web,
        tenths(hole.behind),
        sleeve,
        blank(),
        tick(),
    ]
}

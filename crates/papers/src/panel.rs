//! Panel schedule and drilling template.

use design::{Hole, Plate, plates};
use drawing::{Drawing, PlateSide, Tiling, panel as drawn, tile};

use crate::block::{Block, Table, blank, cell, figures, known, share, tick, ticks, wide};
use crate::part::{Body, Part};
use crate::sheet::{Lie, Sheet};
use crate::words::tenths;
use crate::{PapersInput, text};

/// How far pieces of a wide plate reach over their cut, and the room beside a drawing for its upright bar.
const OVERLAP: f64 = 6.0;
const BESIDE: f64 = 18.0;
/// Room for the head of a drawing and the bar under it.
const AROUND: f64 = 22.0;

/// The paper: every drawing at its true size, in pieces with joining marks where a plate is wider than a sheet.
pub(crate) fn panel(input: &PapersInput<'_>) -> Part {
    let design = input.design;
    let plates = plates(design);
    let sheet = Sheet::of(input.paper, Lie::Landscape);
    let mut blocks = Vec::new();
    if plates.is_empty() {
        blocks.push(Block::Title(text::PANEL));
        blocks.push(Block::Words(text::NO_PANEL.to_owned()));
    }
    for (index, plate) in plates.iter().enumerate() {
        if index > 0 {
            blocks.push(Block::Break);
        }
        blocks.push(Block::Title(text::PANEL));
        blocks.push(Block::Faint(text::PANEL_NOTE.to_owned()));
        let head = text::plate(&plate.panel, plate.face.word());
        life_size(&sheet, drawn(design, plate, PlateSide::Front), &head, &mut blocks);
        // The rear has a page of its own: who glues one must not find the other beside it.
        blocks.push(Block::Break);
        life_size(&sheet, drawn(design, plate, PlateSide::Rear), &head, &mut blocks);
        blocks.push(Block::Head(text::PANEL_SCHEDULE.to_owned(), text::plate_size(plate)));
        blocks.push(Block::Table(schedule(plate).keep()));
    }
    let mut part = Part::blocks(input, "panel", text::PANEL, "-PAN", Lie::Landscape, Vec::new());
    part.sheet = sheet;
    "1 : 1".clone_into(&mut part.scale);
    part.body = Body::Blocks(blocks);
    part
}

/// A drawing at its true size: whole, or in pieces from the left.
fn life_size(sheet: &Sheet, drawing: Drawing, head: &str, blocks: &mut Vec<Block>) {
    let (wide, high) = sheet.room();
    let room = (wide - BESIDE, high - AROUND);
    if drawing.width_mm <= room.0 {
        blocks.push(Block::LifeSize(drawing, head.to_owned()));
        return;
    }
    let tiling = Tiling::of(&drawing, (room.0 - 2.0 * OVERLAP).floor(), drawing.height_mm.max(1.0), OVERLAP);
    for column in 0..tiling.across {
        let piece = tile(&drawing, &tiling, 0, column);
        let name = text::piece_of(head, column + 1, tiling.across);
        blocks.push(Block::LifeSize(piece, name));
    }
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
        match hole.fixings.first() {
            Some(first) => cut.line(text::screws(hole.fixings.len(), &first.diameter.figure_mm(1))),
            None => cut,
        },
        if has_hole { cell(design::PILOT.figure_mm(0)) } else { cell(text::DASH) },
        length(hole.edge),
        web,
        tenths(hole.behind),
        sleeve,
        blank(),
        tick(),
    ]
}

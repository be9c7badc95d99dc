//! The cover of the client's binding: what it is, whose, and where in it to look.

use design::Design;
use drawing::Scale;
use quantity::Length;
use rig::{Case, Known};

use crate::block::{Block, Cell, cell, pair};
use crate::words::travel_mass;
use crate::{cautions, text};

/// The most height for the drawing.
const DRAWING: f64 = 104.0;

/// The blocks of the cover on a page so wide in millimetres, with the contents: the part at page 1, and name, title and reader of each paper.
pub(crate) fn cover(
    design: &Design,
    wide: f64,
    first: &'static str,
    rows: Vec<[&'static str; 3]>,
) -> Vec<Block> {
    let job = &design.rig.job;
    let drawing = (1..=100)
        .map(|whole| drawing::portrait(design, Scale::one_to(whole), &[]))
        .find(|drawing| drawing.width_mm <= wide && drawing.height_mm <= DRAWING);
    let player = job.player.as_deref().map(str::trim).filter(|player| !player.is_empty());
    let mut blocks = vec![Block::Banner {
        over: text::HANDOVER,
        title: job.title.clone(),
        under: player.map(text::for_player).unwrap_or_default(),
    }];
    blocks.extend(drawing.map(Block::Picture));
    blocks.push(Block::Head(text::IN_THIS_BOOK.to_owned(), String::new()));
    blocks.push(Block::Contents(first, rows));
    blocks.push(Block::Pairs(
        vec![
            pair(text::SIZE_TRAVEL, size(design)),
            pair(text::MASS_TRAVEL, travel_mass(design)),
            pair(text::MAINS_AT_HOME, mains(design)),
            pair(text::ISSUED, job.date.as_deref().map_or_else(|| cell(text::DRAFT), cell)),
        ],
        2,
        36.0,
        11.0,
    ));
    blocks.extend(cautions::for_players(design));
    blocks
}

/// The size as it travels: of the case, else of the board.
fn size(design: &Design) -> Cell {
    let board = &design.rig.board;
    let outside =
        |case: &Case| -> [Known<Length>; 3] { [case.outside_width, case.outside_depth, case.outside_height] };
    if let Some(case) =
        board.case.as_ref().map(outside).filter(|sides| sides.iter().all(|side| !side.is_unknown()))
    {
        let assumed = case.iter().any(Known::is_assumed);
        let sides: Vec<String> = case.iter().filter_map(|side| side.value).map(whole).collect();
        return cell(text::size(&sides)).assumed(assumed);
    }
    let extent = board.extent();
    cell(text::size(&[whole(extent.width), whole(extent.depth)])).line(if board.case.is_some() {
        text::CASE_NOT_MEASURED
    } else {
        text::WITHOUT_CASE
    })
}

/// Whole millimetres.
fn whole(length: Length) -> String {
    length.figure_mm(0)
}

fn mains(design: &Design) -> Cell {
    let mains = design.rig.job.mains;
    mains.map_or_else(|| cell(text::UNKNOWN), |mains| cell(format!("{}, {}", mains.volts, mains.hertz)))
}

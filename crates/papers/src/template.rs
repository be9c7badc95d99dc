//! The life-size template: in tiles with joining marks, and as one sheet.

use drawing::{Drawing, Tiling, check_bar, check_bar_upright, printed, template as drawn, tile, tile_map};

use crate::part::{Body, Part, Placed};
use crate::sheet::{Lie, Sheet, fit};
use crate::{PapersInput, text};

/// How far tiles reach over their cut.
const OVERLAP: f64 = 6.0;
/// Room beside a tile for the upright bar and the box for what was measured.
const BESIDE: f64 = 17.0;
/// Room under a tile for its bar and its name.
const FOOT: f64 = 9.0;
/// The same on an upright sheet, whose bar leaves no room beside it.
const UPRIGHT_FOOT: f64 = 14.0;

/// Every deck, lowest first.
fn decks(input: &PapersInput<'_>) -> Vec<(String, Drawing)> {
    let mut decks: Vec<&rig::Deck> = input.design.rig.board.decks.iter().collect();
    decks.sort_by_key(|deck| deck.z);
    decks.into_iter().map(|deck| (deck.name.clone(), drawn(input.design, deck))).collect()
}

/// The tiles of every deck, on the sheet that needs fewer of them.
pub(crate) fn template(input: &PapersInput<'_>) -> Part {
    let decks = decks(input);
    let lies = [Lie::Landscape, Lie::Portrait].map(|lie| {
        let sheet = Sheet::of(input.paper, lie);
        let count: usize = decks
            .iter()
            .map(|(_, drawing)| {
                let shown = printed(drawing, &tiling(drawing, &sheet));
                shown.iter().flatten().filter(|is| **is).count()
            })
            .sum();
        (count, sheet)
    });
    let [(flat, landscape), (upright, portrait)] = lies;
    let sheet = if upright < flat { portrait } else { landscape };
    let mut pages = Vec::new();
    for (name, drawing) in &decks {
        let tiling = tiling(drawing, &sheet);
        pages.push(map(&sheet, name, drawing, &tiling));
        for (row, line) in printed(drawing, &tiling).iter().enumerate() {
            for column in (0..line.len()).filter(|column| line[*column]) {
                pages.push(page(&sheet, name, drawing, &tiling, row, column));
            }
        }
    }
    if pages.is_empty() {
        let words = (sheet.left + 4.0, sheet.top + 9.0, text::NO_DECK.to_owned(), 11.0, false, false);
        pages.push(Placed { words: vec![words], ..Placed::default() });
    }
    let mut part = Part::blocks(input, "template", text::TEMPLATE, "-TPL", Lie::Landscape, Vec::new());
    part.sheet = sheet;
    "1 : 1".clone_into(&mut part.scale);
    part.body = Body::Placed(pages);
    part
}

fn foot(sheet: &Sheet) -> f64 {
    if sheet.width < sheet.height { UPRIGHT_FOOT } else { FOOT }
}

fn tiling(drawing: &Drawing, sheet: &Sheet) -> Tiling {
    let wide = sheet.right - sheet.left - BESIDE - 2.0 * OVERLAP;
    let high = sheet.strip_top() - sheet.top - foot(sheet) - 2.0 * OVERLAP;
    Tiling::of(drawing, wide.floor(), high.floor(), OVERLAP)
}

/// How the tiles of a deck lie: before them, since they are laid by it.
fn map(sheet: &Sheet, deck: &str, drawing: &Drawing, tiling: &Tiling) -> Placed {
    let (left, top) = (sheet.left + 4.0, sheet.top + 4.0);
    let (wide, high) = (sheet.right - sheet.left - 8.0, sheet.strip_top() - top - 28.0);
    let map = tile_map(drawing, tiling, wide, high);
    let regular = drawing::Weight::Regular;
    let head = fit(&text::tiles_of(deck), 15.0, drawing::Weight::Bold, wide);
    Placed {
        drawings: vec![
            (map, left, top + 15.0, None),
            (check_bar(), sheet.right - 150.0, sheet.strip_top() - 7.0, None),
        ],
        words: vec![
            (left, top + 5.0, head, 15.0, true, false),
            (left, top + 11.0, fit(text::TILES_NOTE, 11.0, regular, wide), 11.0, false, true),
        ],
    }
}

fn page(sheet: &Sheet, deck: &str, drawing: &Drawing, tiling: &Tiling, row: usize, column: usize) -> Placed {
    let part = tile(drawing, tiling, row, column);
    let size = (part.width_mm, part.height_mm);
    let below = sheet.top + size.1 + 1.0;
    let name = tiling.name(row, column);
    let words = text::tile(deck, row == 0 && column == 0);
    let (left, regular) = (sheet.left + 4.0, drawing::Weight::Regular);
    let upright = sheet.width < sheet.height;
    let beside = if upright { (0.0, 11.0) } else { (24.0, 6.0) };
    let room = sheet.right - sheet.left - 8.0;
    let words = fit(&words, 11.0, regular, if upright { room } else { room - 24.0 - 150.0 });
    Placed {
        drawings: vec![
            (part, sheet.left, sheet.top, Some(size)),
            (check_bar(), sheet.right - 150.0, below + 3.0, None),
            upright_bar(sheet),
        ],
        words: vec![
            (left, below + 6.0, text::tile_name(&name), 14.0, true, false),
            (left + beside.0, below + beside.1, words, 11.0, false, true),
        ],
    }
}

/// The bar in the other direction, at the right edge of a sheet.
fn upright_bar(sheet: &Sheet) -> (Drawing, f64, f64, Option<(f64, f64)>) {
    let bar = check_bar_upright();
    let left = sheet.right - bar.width_mm - 1.5;
    (bar, left, sheet.top + 4.0, None)
}

/// Every deck whole, each on a page as large as it needs; the largest gives the size.
pub(crate) fn one_sheet(input: &PapersInput<'_>) -> Part {
    let decks = decks(input);
    let wide = decks.iter().map(|(_, drawing)| drawing.width_mm).fold(200.0, f64::max);
    let high = decks.iter().map(|(_, drawing)| drawing.height_mm).fold(100.0, f64::max);
    let sheet = Sheet::sized((wide + 42.0 + BESIDE).ceil(), (high + 58.0).ceil().max(210.0));
    let pages: Vec<Placed> = decks
        .into_iter()
        .map(|(name, drawing)| {
            let below = sheet.strip_top() - 6.0;
            Placed {
                drawings: vec![
                    (drawing, sheet.left + 4.0, sheet.top + 4.0, None),
                    (check_bar(), sheet.right - 150.0, below, None),
                    upright_bar(&sheet),
                ],
                words: vec![(sheet.left + 4.0, below + 3.0, text::deck(&name), 14.0, true, false)],
            }
        })
        .collect();
    let mut part =
        Part::blocks(input, "template-sheet", text::TEMPLATE_SHEET, "-TPL", Lie::Landscape, Vec::new());
    part.sheet = sheet;
    "1 : 1".clone_into(&mut part.scale);
    part.body = Body::Placed(if pages.is_empty() { vec![Placed::default()] } else { pages });
    part
}

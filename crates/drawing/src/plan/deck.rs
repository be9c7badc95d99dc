//! Decks, rails, risers, passages, the datum, and the board's dimensions.

use quantity::Length;
use rig::{Deck, Rect};

use super::View;
use crate::marks::{datum, dimension_x, dimension_y};
use crate::model::{Item, Point, SheetRect};
use crate::sketch::{EDGE, Sketch, group};
use crate::style::Style;
use crate::text::clean;

/// How far dimensions stand off the board.
const OFF: f64 = 7.0;
/// Things further off than this, such as devices on the floor, do not push dimensions away.
const MOST_OFF: f64 = 45.0;

pub(super) fn decks(view: &View<'_>, sketch: &mut Sketch) {
    let mut decks: Vec<&Deck> =
        view.design.rig.board.decks.iter().filter(|deck| view.shows_deck(&deck.name)).collect();
    decks.sort_by_key(|deck| deck.z);
    for deck in decks {
        for rect in deck.shape_on_board() {
            sketch.soften_edges(&view.area(&rect));
        }
        let mut items = Vec::new();
        let on_board = |rect: &Rect| Rect { x: rect.x + deck.x, y: rect.y + deck.y, ..*rect };
        for rect in &deck.shape {
            items.push(Item::Rect { area: view.area(&on_board(rect)), corner: 0.0, style: Style::BoardEdge });
        }
        seams(view, deck, &mut items);
        for rail in &deck.rails {
            items.push(Item::Rect { area: view.area(&on_board(&rail.at)), corner: 0.0, style: Style::Tab });
        }
        for riser in &deck.risers {
            items.push(Item::Rect { area: view.area(&on_board(&riser.at)), corner: 0.0, style: Style::Wash });
        }
        for passage in &deck.passages {
            let area = view.area(&on_board(&passage.at));
            let corner = area.width().min(area.height()) / 2.0;
            items.push(Item::Rect { area, corner, style: Style::Wash });
        }
        sketch.push(Item::Group(group("plan", "deck", &deck.name, clean(&deck.name), items)));
        // What the next deck covers in part stands below its edge.
        super::device::partly_covered(view, &deck.name, sketch);
    }
    let board = view.board();
    // Labels leave the ways of extension lines free.
    for y in [board.top, board.bottom] {
        let line = SheetRect { left: board.right, right: board.right + MOST_OFF, top: y, bottom: y };
        sketch.soften(line.grown(0.25), EDGE);
    }
    for x in [board.left, board.right] {
        let line = SheetRect { left: x, right: x, top: board.bottom, bottom: board.bottom + MOST_OFF };
        sketch.soften(line.grown(0.25), EDGE);
    }
}

/// The mark at the front left corner, from which places are measured.
pub(super) fn origin(view: &View<'_>, sketch: &mut Sketch) {
    let board = view.board();
    sketch.items.extend(datum(Point::new(board.left, board.bottom), 1.5));
}

/// Diameter of a board's foot (common practice, no source).
pub(crate) const FOOT: f64 = 20.0;

/// The board's feet, hidden beneath it, where they are written down.
pub(super) fn feet(view: &View<'_>, sketch: &mut Sketch) {
    let items: Vec<Item> = view
        .design
        .rig
        .board
        .feet
        .iter()
        .map(|(x, y)| Item::Circle {
            centre: view.point(*x, *y),
            radius: FOOT / 2.0 * view.k,
            style: Style::Hidden,
        })
        .collect();
    if !items.is_empty() {
        sketch.push(Item::Group(group("plan", "feet", "board", crate::words::FEET.to_owned(), items)));
    }
}

/// Takes the heavy edge away where two rectangles of one deck meet, so that a deck of several rectangles
/// reads as one.
fn seams(view: &View<'_>, deck: &Deck, items: &mut Vec<Item>) {
    for (index, a) in deck.shape.iter().enumerate() {
        for b in deck.shape.iter().skip(index + 1) {
            let shift = |rect: &Rect| view.area(&Rect { x: rect.x + deck.x, y: rect.y + deck.y, ..*rect });
            let (a, b) = (shift(a), shift(b));
            let left = a.left.max(b.left);
            let right = a.right.min(b.right);
            let top = a.top.max(b.top);
            let bottom = a.bottom.min(b.bottom);
            let inner = SheetRect { left, top, right, bottom };
            let inset = 0.36;
            if right - left > 2.0 * inset && (bottom - top).abs() < 1e-6 {
                let area = SheetRect {
                    left: left + inset,
                    right: right - inset,
                    top: top - inset,
                    bottom: bottom + inset,
                };
                items.push(Item::Rect { area, corner: 0.0, style: Style::PlateGround });
            } else if bottom - top > 2.0 * inset && (right - left).abs() < 1e-6 {
                let area = SheetRect {
                    left: left - inset,
                    right: right + inset,
                    top: top + inset,
                    bottom: bottom - inset,
                };
                items.push(Item::Rect { area, corner: 0.0, style: Style::PlateGround });
            } else if inner.width() > 2.0 * inset && inner.height() > 2.0 * inset {
                items.push(Item::Rect { area: inner.grown(-inset), corner: 0.0, style: Style::PlateGround });
            }
        }
    }
}

/// Width below, depth at the right: of every deck where they lie one behind the other, else of all.
pub(super) fn dimensions(view: &View<'_>, sketch: &mut Sketch) {
    let decks: Vec<&Deck> =
        view.design.rig.board.decks.iter().filter(|deck| view.shows_deck(&deck.name)).collect();
    if decks.is_empty() {
        return;
    }
    let board = view.board();
    // Beyond whatever stands out of the board, such as labels of its panel.
    let drawn = crate::sketch::bounds(&sketch.items).unwrap_or(board);
    let near = |limit: f64, edge: f64| if (limit - edge).abs() < MOST_OFF { limit } else { edge };
    let below = near(drawn.bottom, board.bottom).max(board.bottom);
    let beside = near(drawn.right, board.right).max(board.right);
    let width = extent(&decks, |rect| (rect.x, rect.right()));
    let y = (below + 4.0).max(board.bottom + OFF);
    dimension_x(
        sketch,
        Point::new(board.left, board.bottom),
        Point::new(board.right, board.bottom),
        y,
        &figure(width.1 - width.0),
    );
    let mut spans: Vec<(Length, Length)> =
        decks.iter().map(|deck| extent(&[*deck], |rect| (rect.y, rect.back()))).collect();
    spans.sort();
    spans.dedup();
    let apart = spans.windows(2).all(|pair| pair[0].1 <= pair[1].0);
    let whole = extent(&decks, |rect| (rect.y, rect.back()));
    if !apart {
        spans = vec![whole];
    }
    let x = (beside + 4.0).max(board.right + OFF);
    let end = |y: Length| Point::new(board.right, view.point(Length::ZERO, y).y);
    for (front, back) in &spans {
        dimension_y(sketch, end(*back), end(*front), x, &figure(*back - *front));
    }
    if spans.len() > 1 {
        dimension_y(sketch, end(whole.1), end(whole.0), x + OFF, &figure(whole.1 - whole.0));
    }
}

/// A length as a drawing shows it: tenths only where there are any.
pub(crate) fn figure(length: Length) -> String {
    let text = length.figure_mm(1);
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

fn extent(decks: &[&Deck], ends: impl Fn(&Rect) -> (Length, Length)) -> (Length, Length) {
    let all: Vec<(Length, Length)> =
        decks.iter().flat_map(|deck| deck.shape_on_board()).map(|rect| ends(&rect)).collect();
    (
        all.iter().map(|(low, _)| *low).min().unwrap_or_default(),
        all.iter().map(|(_, high)| *high).max().unwrap_or_default(),
    )
}

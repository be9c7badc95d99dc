//! Numbered gaps, conflicts, and what stands beside the board: devices without a place or a size, and those
//! outside.

use finding::Severity;
use rig::geometry::standing;

use super::View;
use super::device::unplaced;
use crate::gap::{Gap, GapKind, gaps};
use crate::marks::{BALLOON, arrow, balloon, nearest, severity_items};
use crate::model::{Anchor, Item, Point, SheetRect, Weight};
use crate::sketch::{Sketch, bounds, centred, group, pieces, text};
use crate::style::Style;
use crate::text::{SMALL, TAG, clean, fit, width};
use crate::words;

/// Size of a severity's shape.
const SHAPE: f64 = 3.0;
/// What a device of unknown size is drawn as, true millimetres.
const UNKNOWN: (f64, f64) = (73.0, 60.0);
/// Distance of things beside the board.
const ROW_GAP: f64 = 4.0;
/// What the words under a device without a place take.
const CAPTION: f64 = 4.2;

/// The gaps of this plan with their places on the sheet; those to the lid belong to the side view.
fn gap_places(view: &View<'_>) -> Vec<(Gap, Point)> {
    gaps(view.design)
        .into_iter()
        .filter(|gap| match &gap.kind {
            GapKind::Boxes { of, from } => {
                let on =
                    |owner: &rig::geometry::Owner| owner.device().is_none_or(|tag| view.shown(tag).is_some());
                on(&of.0) && on(&from.0)
            }
            GapKind::Lid { .. } => false,
        })
        .map(|gap| {
            let at = view.point(gap.at[0], gap.at[1]);
            (gap, at)
        })
        .collect()
}

/// Draws clashes, then the numbers of gaps.
pub(super) fn numbers(view: &View<'_>, sketch: &mut Sketch) {
    let gaps = gap_places(view);
    for conflict in &view.design.conflicts {
        let boxes = &view.design.solids.boxes;
        let (Some(a), Some(b)) = (boxes.get(conflict.of), boxes.get(conflict.from)) else { continue };
        let on = |owner: &rig::geometry::Owner| owner.device().is_none_or(|tag| view.shown(tag).is_some());
        if !on(&a.owner) || !on(&b.owner) {
            continue;
        }
        let (a, b) = (view.solid_area(a), view.solid_area(b));
        let inner = SheetRect {
            left: a.left.max(b.left).min(a.right.min(b.right)),
            right: a.right.min(b.right).max(a.left.max(b.left)),
            top: a.top.max(b.top).min(a.bottom.min(b.bottom)),
            bottom: a.bottom.min(b.bottom).max(a.top.max(b.top)),
        };
        sketch.push(Item::Rect { area: inner, corner: 0.0, style: Style::Clash });
        for line in crate::marks::hatch(&inner, 1.4, Style::Clash) {
            sketch.push(line);
        }
    }
    for (gap, at) in &gaps {
        let tight = gap.is_too_tight();
        let word = if tight { width(words::STOP, SMALL, Weight::Bold) + SHAPE + 1.2 } else { 0.0 };
        let size = (2.0 * BALLOON + word, 2.0 * BALLOON);
        let mut spots = vec![*at];
        for far in [3.0, 4.5, 6.5, 9.0, 12.0, 15.0, 19.0, 24.0] {
            for (dx, dy) in [
                (0.0, -1.0),
                (0.0, 1.0),
                (1.0, 0.0),
                (-1.0, 0.0),
                (0.7, -0.7),
                (-0.7, -0.7),
                (0.7, 0.7),
                (-0.7, 0.7),
                (0.4, -0.9),
                (-0.4, -0.9),
                (0.4, 0.9),
                (-0.4, 0.9),
                (0.9, -0.4),
                (-0.9, -0.4),
                (0.9, 0.4),
                (-0.9, 0.4),
            ] {
                spots.push(at.moved(dx * (far + size.0 / 2.0 - BALLOON), dy * far));
            }
        }
        // The mark must not hide the very place it points at.
        let spots = spots.into_iter().skip(usize::from(tight));
        let areas = spots.map(|at| SheetRect::around(at, size.0, size.1));
        let leader = |area: &SheetRect| sketch.line_cost(*at, nearest(area, *at));
        let Some((area, _)) = sketch.best_with(areas, None, leader) else { continue };
        sketch.take(area);
        let mut items = Vec::new();
        let centre = Point::new(area.left + BALLOON, area.centre().y);
        let away = (centre.x - at.x).abs().max((centre.y - at.y).abs());
        if away > BALLOON + 0.3 {
            items.push(Item::Line { from: *at, to: nearest(&area, *at), style: Style::Narrow });
            items.push(Item::Circle { centre: *at, radius: 0.4, style: Style::Mark });
        }
        if tight {
            items.push(Item::Rect { area, corner: BALLOON, style: Style::PlateGround });
        }
        items.extend(balloon(centre, gap.number));
        if tight {
            let shape = Point::new(centre.x + BALLOON + 0.5 + SHAPE / 2.0, centre.y);
            items.extend(severity_items(Severity::Stop, shape, SHAPE));
            let at = Point::new(shape.x + SHAPE / 2.0 + 0.5, centre.y + SMALL * 0.36);
            let style = Style::SeverityWord(Severity::Stop);
            items.push(Item::Text(text(at, words::STOP, SMALL, Anchor::Start, Weight::Bold, style)));
        }
        let (a, b) = gap.ends();
        let title = clean(&format!("gap {}, {a} {b}", gap.number));
        sketch.push(Item::Group(group("plan", "gap", &gap.number.to_string(), title, items)));
    }
    unnumbered(view, sketch, &gaps);
}

/// Conflicts that found no place among the numbered gaps still show their shape.
fn unnumbered(view: &View<'_>, sketch: &mut Sketch, gaps: &[(Gap, Point)]) {
    let boxes = &view.design.solids.boxes;
    let mut done: Vec<Point> = gaps.iter().filter(|(gap, _)| gap.is_too_tight()).map(|(_, at)| *at).collect();
    for conflict in &view.design.conflicts {
        let (Some(a), Some(b)) = (boxes.get(conflict.of), boxes.get(conflict.from)) else { continue };
        let numbered = gaps.iter().any(|(gap, _)| {
            let (x, y) = gap.ends();
            let name = |owner: &rig::geometry::Owner| {
                owner.device().map_or_else(|| owner.to_string(), str::to_owned)
            };
            let (p, q) = (name(&a.owner), name(&b.owner));
            (x == p && y == q) || (x == q && y == p)
        });
        let shown = |owner: &rig::geometry::Owner| owner.device().is_none_or(|tag| view.shown(tag).is_some());
        if numbered || !shown(&a.owner) || !shown(&b.owner) {
            continue;
        }
        let at = view.solid_area(a).centre().half_way(view.solid_area(b).centre());
        let near = |other: &Point| (other.x - at.x).abs() < SHAPE && (other.y - at.y).abs() < SHAPE;
        if done.iter().any(near) || !sketch.is_free(&SheetRect::around(at, SHAPE, SHAPE)) {
            continue;
        }
        done.push(at);
        sketch.take(SheetRect::around(at, SHAPE, SHAPE));
        sketch.items.extend(severity_items(Severity::Stop, at, SHAPE));
    }
}

/// The arrow of view A, at the right of the board, pointing the way the view looks.
pub(super) fn view_arrow(view: &View<'_>, sketch: &mut Sketch) {
    let board = view.board();
    if view.deck.is_some() || board == SheetRect::default() {
        return;
    }
    let (wide, high) = (8.0, 5.6);
    let room = roomiest(sketch, &board, wide, high, |area| {
        board.right + 1.0 < area.left && board.top < area.top && area.bottom < board.bottom
    });
    let tip = Point::new(room.left, room.bottom - 0.6);
    let letter = Point::new(room.left + 4.6, room.bottom - 1.9);
    let items = vec![
        Item::Line { from: tip.moved(1.0, 0.0), to: tip.moved(wide, 0.0), style: Style::Wide },
        arrow(tip, -1.0, 0.0),
        Item::Text(text(letter, words::VIEW, TAG, Anchor::Middle, Weight::Bold, Style::Ink)),
    ];
    sketch.push(Item::Group(group("plan", "view", words::VIEW, words::VIEW_FROM_RIGHT.to_owned(), items)));
}

/// Devices without place or size, where the sheet has room beside the board, and a line that names those
/// outside it.
pub(super) fn beside(view: &View<'_>, sketch: &mut Sketch) {
    if view.deck.is_some() {
        return;
    }
    let rig = &view.design.rig;
    let board = view.board();
    for device in rig.devices.iter().filter(|device| !device.outside && standing(rig, device).is_none()) {
        let (w, d) = device.size.value.map_or(UNKNOWN, |size| (size.width.as_mm(), size.depth.as_mm()));
        let (w, d) = ((w * view.k).clamp(12.0, 200.0), (d * view.k).clamp(8.0, 200.0));
        let why = if device.size.is_unknown() { words::SIZE_UNKNOWN } else { words::NOT_PLACED };
        let wide = w.max(width(why, SMALL, Weight::Regular));
        let room = roomiest(sketch, &board, wide, d + CAPTION, |_| true);
        let left = room.centre().x - w / 2.0;
        let area = SheetRect { left, top: room.top, right: left + w, bottom: room.top + d };
        sketch.push(unplaced(device, &area, why));
    }
    let names: Vec<String> =
        rig.devices.iter().filter(|device| device.outside).map(|device| clean(&device.tag)).collect();
    if names.is_empty() {
        return;
    }
    let most = board.width().max(80.0);
    let content = fit(&format!("{} {}", words::OUTSIDE, names.join(", ")), SMALL, Weight::Regular, most);
    let (w, h) = (width(&content, SMALL, Weight::Regular), SMALL);
    let room = roomiest(sketch, &board, w, h, |_| true);
    sketch.push(Item::Text(centred(room.centre(), content, SMALL, Weight::Regular, Style::Faint)));
}

/// The place of this size, off the board and free of everything, that makes the sheet grow least; of equal
/// ones the first from the left below.
fn roomiest(
    sketch: &Sketch,
    board: &SheetRect,
    wide: f64,
    high: f64,
    may: impl Fn(&SheetRect) -> bool,
) -> SheetRect {
    let drawn = bounds(&sketch.items).unwrap_or(*board);
    let mut taken = vec![board.grown(1.0)];
    pieces(&sketch.items, &mut taken);
    let steps = |from: f64, to: f64, count: u32| {
        (0..=count).map(move |step| from + (to - from) * f64::from(step) / f64::from(count))
    };
    let gap = ROW_GAP;
    let (left, right) = (drawn.left - wide - gap, drawn.right + gap);
    let (top, bottom) = (drawn.top - high - gap, drawn.bottom + gap);
    let mut best: Option<(f64, SheetRect)> = None;
    // The board's own left edge is worth trying: things line up with it.
    for x in [board.left].into_iter().chain([drawn.left, drawn.right - wide]).chain(steps(left, right, 40)) {
        for y in [bottom].into_iter().chain([drawn.top, drawn.bottom - high]).chain(steps(bottom, top, 40)) {
            let area = SheetRect { left: x, top: y, right: x + wide, bottom: y + high };
            let grown = drawn.with(&area);
            let cost = (grown.width() - drawn.width()) * 1.0 + (grown.height() - drawn.height()) * 1.3;
            if best.as_ref().is_some_and(|(least, _)| *least <= cost + 1e-9) || !may(&area) {
                continue;
            }
            let clear = area.grown(gap / 2.0);
            if taken.iter().all(|other| !touches(other, &clear)) {
                best = Some((cost, area));
            }
        }
    }
    best.map_or(
        SheetRect { left: board.left, top: bottom, right: board.left + wide, bottom: bottom + high },
        |b| b.1,
    )
}

/// Whether two areas meet, lines without width included.
fn touches(a: &SheetRect, b: &SheetRect) -> bool {
    a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom
}

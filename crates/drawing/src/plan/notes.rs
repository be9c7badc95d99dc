//! Numbered gaps, conflicts, and what stands below the plan: devices without a place or a size, and those
//! outside the board.

use finding::Severity;
use rig::geometry::standing;

use super::View;
use super::device::unplaced;
use crate::gap::{Gap, GapKind, gaps};
use crate::marks::{BALLOON, balloon, severity_items};
use crate::model::{Anchor, Area, Item, Point, Weight};
use crate::sketch::{Sketch, bounds, centred, group, text};
use crate::style::Style;
use crate::text::{SMALL, clean, fit, width};
use crate::words;

/// Size of a severity's shape.
const SHAPE: f64 = 3.0;
/// What a device of unknown size is drawn as, true millimetres.
const UNKNOWN: (f64, f64) = (73.0, 60.0);
/// Distance of things in the row below.
const ROW_GAP: f64 = 4.0;

/// The gaps of this plan with their places on the sheet; those to the lid belong to the side view.
fn gap_places(view: &View<'_>) -> Vec<(Gap, Point)> {
    gaps(view.design)
        .into_iter()
        .filter(|gap| match &gap.kind {
            GapKind::Boxes { of, from } => {
                let on = |owner: &rig::geometry::Owner| {
                    owner.device().is_none_or(|tag| view.shown(tag).is_some())
                };
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
        let inner = Area {
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
                (0.0, -1.0), (0.0, 1.0), (1.0, 0.0), (-1.0, 0.0), (0.7, -0.7), (-0.7, -0.7), (0.7, 0.7), (-0.7, 0.7),
                (0.4, -0.9), (-0.4, -0.9), (0.4, 0.9), (-0.4, 0.9), (0.9, -0.4), (-0.9, -0.4), (0.9, 0.4), (-0.9, 0.4),
            ] {
                spots.push(at.moved(dx * (far + size.0 / 2.0 - BALLOON), dy * far));
            }
        }
        // The mark must not hide the very place it points at.
        let spots = spots.into_iter().skip(usize::from(tight));
        let areas = spots.map(|at| Area::around(at, size.0, size.1));
        let leader = |area: &Area| sketch.line_cost(*at, nearest(area, *at));
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
        if done.iter().any(near) || !sketch.is_free(&Area::around(at, SHAPE, SHAPE)) {
            continue;
        }
        done.push(at);
        sketch.take(Area::around(at, SHAPE, SHAPE));
        sketch.items.extend(severity_items(Severity::Stop, at, SHAPE));
    }
}

/// The point of an area's edge that is nearest to a point outside it.
fn nearest(area: &Area, at: Point) -> Point {
    Point::new(at.x.clamp(area.left, area.right), at.y.clamp(area.top, area.bottom))
}

/// The row below everything: devices without place or size, then a line with those outside the board.
pub(super) fn below(view: &View<'_>, sketch: &mut Sketch) {
    if view.deck.is_some() {
        return;
    }
    let rig = &view.design.rig;
    let board = view.board();
    let wide = board.width().max(80.0);
    let drawn = bounds(&sketch.items).unwrap_or(board);
    let (left, mut top) = (board.left, drawn.bottom + ROW_GAP);
    let (mut x, mut deepest) = (left, top);
    for device in rig.devices.iter().filter(|device| !device.outside && standing(rig, device).is_none()) {
        let (w, d) = device.size.value.map_or(UNKNOWN, |size| (size.width.as_mm(), size.depth.as_mm()));
        let (w, d) = ((w * view.k).clamp(12.0, 200.0), (d * view.k).clamp(8.0, 200.0));
        let why = if device.size.is_unknown() { words::SIZE_UNKNOWN } else { words::NOT_PLACED };
        let taken = w.max(width(why, SMALL, Weight::Regular));
        if x > left && x + taken > left + wide {
            (x, top) = (left, deepest + ROW_GAP);
        }
        let area = Area { left: x, top, right: x + w, bottom: top + d };
        sketch.push(unplaced(device, &area, why));
        x += taken + ROW_GAP;
        deepest = deepest.max(top + d + 4.0);
    }
    let names: Vec<String> =
        rig.devices.iter().filter(|device| device.outside).map(|device| clean(&device.tag)).collect();
    if names.is_empty() {
        return;
    }
    let content = fit(&format!("{} {}", words::OUTSIDE, names.join(", ")), SMALL, Weight::Regular, wide);
    let (w, h) = (width(&content, SMALL, Weight::Regular), SMALL);
    let at = Point::new(left + w / 2.0, deepest + h / 2.0 + 0.5);
    sketch.push(Item::Text(centred(at, content, SMALL, Weight::Regular, Style::Faint)));
}

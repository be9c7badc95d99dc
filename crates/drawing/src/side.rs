//! View A: the board from the right, with decks, bodies, what stands above them, the floor and the lid.

use design::Design;
use quantity::Length;
use rig::geometry::{BoxClass, Standing, standing};
use rig::{Device, FLOOR};

use crate::gap::{Gap, GapKind, gaps};
use crate::marks::{BALLOON, arrow, balloon, dimension_y, hatch, severity_items};
use crate::model::{Anchor, Drawing, Item, Point, Scale, SheetRect, Text, Weight};
use crate::plan::{FOOT, figure};
use crate::sketch::{LINE, SURFACE, Sketch, bounds, centred, group, text};
use crate::style::Style;
use crate::text::{BODY, SMALL, clean, fit, width};
use crate::words;

const MARGIN: f64 = 1.0;
/// Thickness of the strip that shows the lid's foam.
const FOAM: f64 = 1.6;
/// How far floor and lid reach beyond the board.
const BEYOND: f64 = 3.5;

struct Shown<'a> {
    device: &'a Device,
    at: Standing,
}

struct View<'a> {
    design: &'a Design,
    k: f64,
}

impl View<'_> {
    fn point(&self, y: Length, z: Length) -> Point {
        Point::new(y.as_mm() * self.k, -z.as_mm() * self.k)
    }

    fn area(&self, (front, low): (Length, Length), (back, high): (Length, Length)) -> SheetRect {
        SheetRect::between(self.point(front, low), self.point(back, high))
    }
}

/// The board seen from its right side, front at the left, with the inside height of the lid and the least
/// gap under it. Things nearer to the viewer hide those behind them; bricks under a deck are dashed.
pub fn side(design: &Design, scale: Scale) -> Drawing {
    let view = View { design, k: scale.factor() };
    let mut sketch = Sketch::new();
    let rig = &design.rig;
    let mut shown: Vec<Shown<'_>> = rig
        .devices
        .iter()
        .filter(|device| !device.outside)
        .filter(|device| device.place.as_ref().is_some_and(|place| place.deck != FLOOR))
        .filter_map(|device| Some(Shown { device, at: standing(rig, device)? }))
        .collect();
    // The furthest first, so that nearer ones cover it.
    shown.sort_by_key(|shown| shown.at.at.right());
    let (under, above): (Vec<&Shown<'_>>, Vec<&Shown<'_>>) =
        shown.iter().partition(|shown| shown.device.place.as_ref().is_some_and(|place| place.under));
    for device in &above {
        body(&view, device, &above, &mut sketch);
    }
    for device in &under {
        hidden(&view, device, &mut sketch);
    }
    decks(&view, &mut sketch);
    tags(&view, &above, &under, &mut sketch);
    ground(&view, &mut sketch);
    lid(&view, &mut sketch);
    sketch.finish("side", words::VIEW_FROM_RIGHT.to_owned(), scale, MARGIN)
}

fn body_area(view: &View<'_>, shown: &Shown<'_>) -> SheetRect {
    let at = &shown.at;
    view.area((at.at.y, at.base), (at.at.back(), at.base + at.size.height))
}

/// Whether a nearer body hides most of it.
fn is_covered(view: &View<'_>, shown: &Shown<'_>, all: &[&Shown<'_>]) -> bool {
    let area = body_area(view, shown);
    all.iter().any(|other| {
        let nearer = shown.at.at.right() < other.at.at.right() && other.device.tag != shown.device.tag;
        nearer && body_area(view, other).shared(&area) > 0.25 * area.width() * area.height()
    })
}

fn body(view: &View<'_>, shown: &Shown<'_>, all: &[&Shown<'_>], sketch: &mut Sketch) {
    let area = body_area(view, shown);
    let covered = is_covered(view, shown, all);
    let mut items = Vec::new();
    for solid in &view.design.solids.boxes {
        if solid.owner.device() != Some(&shown.device.tag) || solid.class != BoxClass::Knobs {
            continue;
        }
        let top = view.area((solid.low[1], solid.low[2]), (solid.high[1], solid.high[2]));
        let style = if covered { Style::Bend } else { Style::Plug };
        if shown.device.treadle.is_some() {
            // Open: the toe end, away from the player, stands up.
            let turned = shown.at.quarters % 4 == 2;
            let (low, high) = if turned { (top.right, top.left) } else { (top.left, top.right) };
            let points =
                vec![Point::new(low, top.bottom), Point::new(high, top.top), Point::new(high, top.bottom)];
            items.push(Item::Path { points, closed: false, round: 0.0, style, width: None });
        } else {
            items.push(Item::Rect { area: top, corner: 0.0, style });
        }
    }
    let style = if covered { Style::Far } else { Style::Outline };
    let corner = (1.5 * view.k).min(area.height() / 3.0);
    items.push(Item::Rect { area, corner, style });
    sketch.soften(area, SURFACE);
    sketch.soften_edges(&area);
    let mut group = group("side", "device", &shown.device.tag, clean(&shown.device.tag), items);
    group.device = Some(shown.device.tag.clone());
    sketch.push(Item::Group(group));
}

fn hidden(view: &View<'_>, shown: &Shown<'_>, sketch: &mut Sketch) {
    let area = body_area(view, shown);
    let items = vec![Item::Rect { area, corner: 0.0, style: Style::Hidden }];
    let mut group = group("side", "device", &shown.device.tag, clean(&shown.device.tag), items);
    group.device = Some(shown.device.tag.clone());
    sketch.push(Item::Group(group));
}

fn decks(view: &View<'_>, sketch: &mut Sketch) {
    for solid in &view.design.solids.boxes {
        let style = match solid.class {
            BoxClass::Sheet => Style::DeckCut,
            BoxClass::Rail => Style::Far,
            BoxClass::Riser => Style::Wash,
            _ => continue,
        };
        let area = view.area((solid.low[1], solid.low[2]), (solid.high[1], solid.high[2]));
        sketch.soften(area, LINE);
        sketch.push(Item::Rect { area, corner: 0.0, style });
    }
}

/// Tags in the bodies that are in view, and in bricks under decks.
fn tags(view: &View<'_>, above: &[&Shown<'_>], under: &[&Shown<'_>], sketch: &mut Sketch) {
    let visible = above.iter().filter(|shown| !is_covered(view, shown, above));
    let all = visible.map(|shown| (shown, true)).chain(under.iter().map(|shown| (shown, false)));
    for (shown, bold) in all {
        let area = body_area(view, shown);
        let weight = if bold { Weight::Bold } else { Weight::Regular };
        let content = fit(&shown.device.tag, SMALL, weight, area.width() - 1.4);
        if content.is_empty() || area.height() < SMALL * 0.9 {
            continue;
        }
        let (wide, high) = (width(&content, SMALL, weight) + 0.4, SMALL);
        let mut spots = Vec::new();
        let room = (area.width() - wide - 1.0).max(0.0) / 2.0;
        for dx in [0.0, 0.5, -0.5, 1.0, -1.0] {
            spots.push(SheetRect::around(area.centre().moved(dx * room, 0.0), wide, high));
        }
        let Some(place) = spots.into_iter().find(|spot| sketch.is_free(&spot.grown(0.3))) else { continue };
        sketch.take(place);
        let style = if bold { Style::Ink } else { Style::Faint };
        let mut label = centred(place.centre(), content, SMALL, weight, style);
        label.halo = (!bold).then_some(Style::SheetGround);
        sketch.push(Item::Text(label));
    }
}

/// Width of the post that stands for what carries a deck (common practice, no source).
const POST: f64 = 8.0;

/// The board's feet, each row once.
fn feet(view: &View<'_>, level: Length, sketch: &mut Sketch) {
    let board = &view.design.rig.board;
    let Some(underside) = board.decks.iter().map(|deck| deck.z - deck.thickness).min() else { return };
    let mut rows: Vec<Length> = board.feet.iter().map(|(_, y)| *y).collect();
    rows.sort();
    rows.dedup();
    let half = FOOT / 2.0 * view.k;
    for y in rows {
        let (top, bottom) = (view.point(y, underside), view.point(y, level));
        let area =
            SheetRect { left: top.x - half, right: top.x + half, top: top.y, bottom: bottom.y.max(top.y) };
        sketch.push(Item::Rect { area, corner: 0.0, style: Style::Wash });
    }
}

/// The floor line with its hatching, and the levels of the decks.
fn ground(view: &View<'_>, sketch: &mut Sketch) {
    let board = &view.design.rig.board;
    let extent = board.extent();
    let level = board.floor_level();
    let (front, back) = (view.point(extent.y, level), view.point(extent.back(), level));
    let (from, to) = (front.moved(-BEYOND, 0.0), back.moved(BEYOND, 0.0));
    // What carries each deck is not modelled; a narrow post at each of its two ends shows that it does not hang
    // in the air.
    for deck in &board.decks {
        let Some(clear) = deck.clear_below.value else { continue };
        let underside = deck.z - deck.thickness;
        for rect in deck.shape_on_board() {
            // Feet that are written down stand where they stand; everything else stands at its ends.
            if underside - clear == level && !board.feet.is_empty() {
                continue;
            }
            let post = POST * view.k;
            let (front, back) = (view.point(rect.y, underside), view.point(rect.back(), underside - clear));
            for (left, right) in [(front.x, front.x + post), (back.x - post, back.x)] {
                let area = SheetRect { left, right, top: front.y.min(back.y), bottom: front.y.max(back.y) };
                sketch.push(Item::Rect { area, corner: 0.0, style: Style::Far });
            }
        }
    }
    feet(view, level, sketch);
    sketch.push(Item::Line { from, to, style: Style::Wide });
    let strip = SheetRect { left: from.x, top: from.y, right: to.x, bottom: from.y + FOAM };
    sketch.items.extend(hatch(&strip, 1.6, Style::Hair));
    let mut levels: Vec<(String, Length)> =
        board.decks.iter().map(|deck| (clean(&deck.name), deck.z)).collect();
    levels.sort_by_key(|(_, z)| *z);
    let mut last: Option<f64> = None;
    for (name, z) in levels {
        let at = view.point(extent.back(), z);
        // Levels closer than a line of type would be written over each other.
        if last.is_some_and(|last| (last - at.y).abs() < SMALL + 0.4) {
            continue;
        }
        last = Some(at.y);
        let end = at.moved(3.5, 0.0);
        sketch.push(Item::Line { from: at.moved(1.0, 0.0), to: end, style: Style::Dimension });
        let sign = if z > Length::ZERO { "+" } else { "" };
        let name = fit(&name, SMALL, Weight::Regular, 12.0);
        let content = format!("{sign}{} {name}", figure(z));
        let label =
            text(end.moved(0.8, SMALL * 0.36), content, SMALL, Anchor::Start, Weight::Regular, Style::Faint);
        sketch.take(crate::svg::text_area(&label));
        sketch.push(Item::Text(label));
    }
    let at = Point::new(to.x, strip.bottom + SMALL + 0.2);
    sketch.push(Item::Text(text(at, words::FLOOR, SMALL, Anchor::End, Weight::Regular, Style::Faint)));
}

/// The lid with its foam, its inside height, and the least gap beneath it.
fn lid(view: &View<'_>, sketch: &mut Sketch) {
    let board = &view.design.rig.board;
    let Some(lid) = &board.lid else { return };
    let extent = board.extent();
    let (left, right) = (view.point(extent.y, Length::ZERO).x, view.point(extent.back(), Length::ZERO).x);
    let Some(inside) = lid.inside_height.value else {
        let top = bounds(&sketch.items).map_or(0.0, |area| area.top);
        let at = Point::new(left, top - 2.0);
        sketch.push(Item::Text(text(
            at,
            words::LID_UNKNOWN,
            SMALL,
            Anchor::Start,
            Weight::Regular,
            Style::Faint,
        )));
        return;
    };
    let y = view.point(Length::ZERO, inside).y;
    let (from, to) = (Point::new(left - BEYOND, y), Point::new(right + BEYOND, y));
    sketch.push(Item::Line { from, to, style: Style::Lid });
    let foam = SheetRect { left: from.x, top: y - FOAM, right: to.x, bottom: y };
    sketch.items.extend(hatch(&foam, 1.6, Style::Hair));
    let name = text(
        Point::new(from.x, y - FOAM - 0.8),
        words::LID,
        SMALL,
        Anchor::Start,
        Weight::Regular,
        Style::Faint,
    );
    sketch.push(Item::Text(name));
    let x = from.x - 2.5;
    // The inside height counts from the main deck's surface.
    dimension_y(sketch, Point::new(left, y), Point::new(left, 0.0), x, &figure(inside));
    let all = gaps(view.design);
    let mut to_lid = all.iter().filter(|gap| matches!(gap.kind, GapKind::Lid { .. }));
    if let Some(gap) = to_lid.next() {
        least_gap(view, sketch, gap, y, to.x);
    }
    for gap in to_lid {
        let at = view.point(gap.at[1], gap.at[2]);
        number(sketch, gap, Point::new(at.x, f64::midpoint(at.y, y)));
    }
}

/// The gap under the lid as a dimension at the right, with its number.
fn least_gap(view: &View<'_>, sketch: &mut Sketch, gap: &Gap, lid: f64, right: f64) {
    let at = view.point(gap.at[1], gap.at[2]);
    let x = right + 3.0;
    sketch.push(Item::Line { from: at, to: Point::new(x + 1.2, at.y), style: Style::Hair });
    let (upper, lower) = (lid.min(at.y), lid.max(at.y));
    for (tip, from, down) in [(upper, -6.0, 1.0), (lower, 6.0, -1.0)] {
        let tip = Point::new(x, tip);
        sketch.push(Item::Line { from: tip, to: tip.moved(0.0, from), style: Style::Dimension });
        sketch.push(arrow(tip, 0.0, down));
    }
    let words = figure(gap.found);
    let place = Point::new(x + 1.4, upper - 2.0);
    let label = Text {
        halo: Some(Style::SheetGround),
        ..text(place, words.clone(), BODY, Anchor::Start, Weight::Regular, Style::Ink)
    };
    sketch.take(crate::svg::text_area(&label));
    sketch.push(Item::Text(label));
    let centre = place.moved(width(&words, BODY, Weight::Regular) + 1.0 + BALLOON, -BODY * 0.36);
    number(sketch, gap, centre);
}

fn number(sketch: &mut Sketch, gap: &Gap, at: Point) {
    let mut items = Vec::new();
    let mut spots = vec![at];
    for off in [4.5, 9.0, 13.5] {
        spots.push(at.moved(off, 0.0));
        spots.push(at.moved(-off, 0.0));
    }
    let size = 2.0 * BALLOON;
    let Some((area, _)) = sketch.best(spots.into_iter().map(|at| SheetRect::around(at, size, size))) else {
        return;
    };
    sketch.take(area);
    items.extend(balloon(area.centre(), gap.number));
    if gap.is_too_tight() {
        let severity = severity(gap);
        let shape = area.centre().moved(BALLOON + 2.2, 0.0);
        items.extend(severity_items(severity, shape, 3.0));
        let word = if severity == finding::Severity::Stop { words::STOP } else { words::LOOK };
        let at = shape.moved(2.0, SMALL * 0.36);
        let style = Style::SeverityWord(severity);
        items.push(Item::Text(text(at, word, SMALL, Anchor::Start, Weight::Bold, style)));
    }
    let (device, _) = gap.ends();
    let title = clean(&format!("gap {}, {device}, {}", gap.number, words::LID));
    sketch.push(Item::Group(group("side", "gap", &gap.number.to_string(), title, items)));
}

/// How bad a lid that is too low is: foam pressed flat stops, foam pressed hard is worth a look.
fn severity(gap: &Gap) -> finding::Severity {
    if gap.found < Length::ZERO { finding::Severity::Stop } else { finding::Severity::Look }
}

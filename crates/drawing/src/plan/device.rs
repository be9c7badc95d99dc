//! Devices: bodies with their real corners, switches, treadles, ports, plugs, tags.

use rig::geometry::{BoxClass, Owner, port_direction, port_point, switch_point};
use rig::{ConnectorFamily, Device, Face, Port, PortRole};

use super::{Shown, View, step};
use crate::marks::{nearest, padlock, pointer, switch, triangle};
use crate::model::{Anchor, Item, Point, SheetRect, Text, Weight};
use crate::sketch::{LINE as LINE_COST, PLUG, SURFACE, Sketch, centred, group, text};
use crate::style::Style;
use crate::text::{CAPITAL, SMALL, TAG, clean, fit, width, wrap};
use crate::words;

/// Sizes a tag may have, largest first.
const TAG_SIZES: [f64; 3] = [TAG, 3.53, SMALL];
/// Distance of two lines of small type.
const LINE: f64 = SMALL * 1.22;
/// Diameter of a foot switch (common practice, no source).
const SWITCH: f64 = 14.0;
/// Height of the padlock of a device that layout may not move, on the sheet.
const PADLOCK: f64 = 2.3;
/// How far a treadle's plate stands in from its frame.
const TREADLE_INSET: f64 = 8.0;

/// The name and the group's title of a device.
pub(super) fn device_title(device: &Device) -> String {
    clean(&format!("{} {}", device.tag, device.title))
}

/// The label of a device, still to be written.
pub(super) struct Label<'a> {
    device: &'a Device,
    body: SheetRect,
    zone: SheetRect,
    marks: Vec<SheetRect>,
}

/// Draws every device in view, undermost first. Gives the labels to write on them.
pub(super) fn devices<'a>(view: &View<'a>, sketch: &mut Sketch) -> Vec<Label<'a>> {
    let mut labels = Vec::new();
    for shown in view.shown.iter().filter(|shown| !shown.hidden || shown.seen.is_some()) {
        let mut items = if shown.hidden { Vec::new() } else { whole(view, shown, sketch) };
        let body = view.area(&shown.seen.unwrap_or(shown.at.at));
        sketch.soften(body, SURFACE);
        sketch.soften_edges(&body);
        for index in 0..shown.device.switches.len() {
            if let Some((x, y)) = switch_point(&view.design.rig, shown.device, index) {
                let size = SWITCH * view.k;
                sketch.soften(SheetRect::around(view.point(x, y), size, size), LINE_COST);
            }
        }
        let (zone, marks) = label_zone(view, shown);
        labels.push(Label { device: shown.device, body, zone, marks });
        if shown.floor {
            let at = Point::new(body.centre().x, body.bottom + 3.4);
            let caption = text(at, words::ON_THE_FLOOR, SMALL, Anchor::Middle, Weight::Regular, Style::Faint);
            sketch.take(crate::svg::text_area(&caption));
            items.push(Item::Text(caption));
        }
        if !items.is_empty() {
            sketch.push(device_group(shown.device, items));
        }
    }
    labels
}

/// The devices of a deck that the one above covers in part: drawn before that deck is, which then covers them.
pub(super) fn partly_covered(view: &View<'_>, deck: &str, sketch: &mut Sketch) {
    let on = |shown: &&Shown<'_>| shown.device.place.as_ref().is_some_and(|place| place.deck == deck);
    for shown in view.shown.iter().filter(on).filter(|shown| shown.seen.is_some()) {
        let items = whole(view, shown, sketch);
        sketch.push(device_group(shown.device, items));
    }
}

/// Plugs, ports and body of a device.
fn whole(view: &View<'_>, shown: &Shown<'_>, sketch: &mut Sketch) -> Vec<Item> {
    let mut items = plugs(view, shown.device, sketch);
    ports(view, shown, &mut items, false);
    body(view, shown, &mut items);
    ports(view, shown, &mut items, true);
    items
}

/// Takes the places of the labels that fit their bodies: their items, and the labels that do not fit.
pub(super) fn labels<'a>(labels: Vec<Label<'a>>, sketch: &mut Sketch) -> (Vec<Item>, Vec<Label<'a>>) {
    let (mut written, mut outer) = (Vec::new(), Vec::new());
    for label in labels {
        let Some(texts) = within(&label) else {
            outer.push(label);
            continue;
        };
        let mut items = Vec::new();
        for line in texts {
            sketch.take(crate::svg::text_area(&line));
            items.push(Item::Text(Text { halo: Some(Style::SheetGround), ..line }));
        }
        written.push(label_group(label.device, items));
    }
    (written, outer)
}

/// Writes labels beside bodies too small to hold them.
pub(super) fn outer_labels(labels: Vec<Label<'_>>, sketch: &mut Sketch) {
    for label in labels {
        let mut items = Vec::new();
        beside(&clean(&label.device.tag), &label.body, &mut items, sketch);
        sketch.push(label_group(label.device, items));
    }
}

fn label_group(device: &Device, items: Vec<Item>) -> Item {
    let mut group = group("plan", "label", &device.tag, device_title(device), items);
    group.device = Some(device.tag.clone());
    Item::Group(group)
}

fn device_group(device: &Device, items: Vec<Item>) -> Item {
    let mut group = group("plan", "device", &device.tag, device_title(device), items);
    group.device = Some(device.tag.clone());
    Item::Group(group)
}

/// Devices under a deck: their hidden edges, dashed, over what lies above.
pub(super) fn hidden_outlines(view: &View<'_>, sketch: &mut Sketch) {
    for shown in view.shown.iter().filter(|shown| shown.hidden) {
        let area = view.area(&shown.at.at);
        let corner = view.mm(shown.device.corner).min(area.width().min(area.height()) / 2.0);
        let outline = Item::Rect { area, corner, style: Style::Hidden };
        // What is seen in part is a thing of its own already, and has its name.
        let of = if shown.seen.is_some() { "hidden" } else { "device" };
        let mut group = group("plan", of, &shown.device.tag, device_title(shown.device), vec![outline]);
        group.device = Some(shown.device.tag.clone());
        sketch.push(Item::Group(group));
    }
}

/// The tags of devices under a deck, where room is left.
pub(super) fn hidden_labels(view: &View<'_>, sketch: &mut Sketch) {
    for shown in view.shown.iter().filter(|shown| shown.hidden && shown.seen.is_none()) {
        let area = view.area(&shown.at.at);
        let tag = fit(&shown.device.tag, SMALL, Weight::Regular, 30.0);
        let content = format!("{tag} {}", words::UNDER);
        let (wide, high) = (width(&content, SMALL, Weight::Regular) + 0.8, SMALL + 0.6);
        let Some((place, _)) = sketch.best(spots_within(&area, wide, high)) else { continue };
        sketch.take(place);
        // The tag and the word apart, so that a tag is found as it is written.
        let at = Point::new(place.left + 0.4, place.centre().y + SMALL * CAPITAL / 2.0);
        let put = |at: Point, content: &str, weight: Weight| {
            let label = text(at, content, SMALL, Anchor::Start, weight, Style::Faint);
            Item::Text(Text { halo: Some(Style::PlateGround), ..label })
        };
        let word = put(
            at.moved(width(&tag, SMALL, Weight::Regular) + SMALL * 0.26, 0.0),
            words::UNDER,
            Weight::Regular,
        );
        let tag = put(at, &tag, Weight::Regular);
        sketch.push(label_group(shown.device, vec![word, tag]));
    }
}

/// Centres for a label within an area and close around it, the middle first.
fn spots_within(area: &SheetRect, wide: f64, high: f64) -> Vec<SheetRect> {
    let mut out = Vec::new();
    for (across, down) in [
        (0.5, 0.5),
        (0.5, 0.0),
        (0.5, 1.0),
        (0.0, 0.0),
        (1.0, 0.0),
        (0.0, 1.0),
        (1.0, 1.0),
        (0.25, 0.0),
        (0.75, 0.0),
        (0.25, 1.0),
        (0.75, 1.0),
        (0.0, 0.5),
        (1.0, 0.5),
        (0.25, 0.5),
        (0.75, 0.5),
        (0.5, 0.25),
        (0.5, 0.75),
        (0.25, 0.25),
        (0.75, 0.25),
        (0.25, 0.75),
        (0.75, 0.75),
    ] {
        let (room_x, room_y) = ((area.width() - wide - 1.0).max(0.0), (area.height() - high - 1.0).max(0.0));
        let x = area.centre().x + (across - 0.5) * room_x;
        let y = area.centre().y + (down - 0.5) * room_y;
        out.push(SheetRect::around(Point::new(x, y), wide, high));
    }
    for off in [1.0, 2.5, 4.5] {
        for dy in [area.top - off * high, area.bottom + off * high] {
            for across in [0.5, 0.2, 0.8, -0.1, 1.1] {
                let x = area.left + across * area.width();
                out.push(SheetRect::around(Point::new(x, dy), wide, high));
            }
        }
    }
    out
}

fn body(view: &View<'_>, shown: &Shown<'_>, items: &mut Vec<Item>) {
    let device = shown.device;
    let area = view.area(&shown.at.at);
    let corner = view.mm(device.corner).clamp(0.0, area.width().min(area.height()) / 2.0);
    items.push(Item::Rect { area, corner, style: Style::Outline });
    let locked = device.place.as_ref().is_some_and(|place| place.locked);
    if locked && PADLOCK * 2.0 < area.width().min(area.height()) {
        items.extend(padlock(
            Point::new(area.left + 0.8 + corner * 0.3, area.top + 0.7 + corner * 0.3),
            PADLOCK,
        ));
    }
    if device.treadle.is_some() {
        let inset = (TREADLE_INSET * view.k).min(area.width().min(area.height()) / 4.0);
        let plate = area.grown(-inset);
        items.push(Item::Rect { area: plate, corner: (corner - inset / 2.0).max(0.0), style: Style::Narrow });
        let over = 0.8;
        let centre = area.centre();
        let (from, to) = if shown.at.quarters.is_multiple_of(2) {
            (Point::new(area.left - over, centre.y), Point::new(area.right + over, centre.y))
        } else {
            (Point::new(centre.x, area.top - over), Point::new(centre.x, area.bottom + over))
        };
        items.push(Item::Line { from, to, style: Style::Chain });
    }
    for index in 0..device.switches.len() {
        if let Some((x, y)) = switch_point(&view.design.rig, device, index) {
            items.extend(switch(view.point(x, y), SWITCH / 2.0 * view.k));
        }
    }
}

/// Plug boxes and cable bends at the ports of a device.
fn plugs(view: &View<'_>, device: &Device, sketch: &mut Sketch) -> Vec<Item> {
    let mut items = Vec::new();
    for class in view.boxes {
        for solid in &view.design.solids.boxes {
            let here = matches!(&solid.owner, Owner::Port { port, .. } if port.device == device.tag);
            if !here || solid.class != *class {
                continue;
            }
            let area = view.solid_area(solid);
            let style = if *class == BoxClass::Plug { Style::Plug } else { Style::Bend };
            sketch.soften(area, if *class == BoxClass::Plug { PLUG } else { SURFACE });
            items.push(Item::Rect { area, corner: 0.0, style });
        }
    }
    items
}

/// How wide a port's tab is on its face, by family, in true millimetres (common practice, no source).
fn tab_width(port: &Port) -> f64 {
    match port.connector.as_ref().map(|connector| connector.family) {
        Some(ConnectorFamily::Xlr) => 19.0,
        Some(ConnectorFamily::Din) => 15.0,
        Some(ConnectorFamily::Usb) => 11.0,
        Some(ConnectorFamily::Mains) => 26.0,
        Some(
            ConnectorFamily::Jack
            | ConnectorFamily::Barrel
            | ConnectorFamily::Snap
            | ConnectorFamily::Bare
            | ConnectorFamily::Fixed,
        )
        | None => 9.0,
    }
}

/// Tabs on the faces (before the body), or triangles within (after it).
fn ports(view: &View<'_>, shown: &Shown<'_>, items: &mut Vec<Item>, within: bool) {
    let device = shown.device;
    for port in &device.ports {
        let (Some([x, y, _]), Some(face)) =
            (port_point(&view.design.rig, device, &port.name), port_direction(device, &port.name))
        else {
            continue;
        };
        let at = view.point(x, y);
        if within {
            let long = triangle_length(view.k);
            let (dx, dy) = step(face);
            let room = if dx == 0.0 { view.mm(shown.at.at.depth) } else { view.mm(shown.at.at.width) };
            if room > 3.0 * long {
                items.extend(in_out(port, at, (dx, dy), long));
            }
        } else {
            tab(port, at, face, view.k, items);
        }
    }
}

pub(super) fn triangle_length(k: f64) -> f64 {
    (5.2 * k).max(0.9)
}

/// The triangle of a port: pointing inwards where signal goes in, outwards where it comes out.
fn in_out(port: &Port, at: Point, (dx, dy): (f64, f64), long: f64) -> Option<Item> {
    let gap = 0.45;
    match port.role.value? {
        PortRole::In | PortRole::Return | PortRole::MidiIn => {
            Some(triangle(at.moved(-dx * (gap + long), -dy * (gap + long)), -dx, -dy, long))
        }
        PortRole::Out | PortRole::Send | PortRole::MidiOut | PortRole::MidiThru => {
            Some(triangle(at.moved(-dx * gap, -dy * gap), dx, dy, long))
        }
        _ => None,
    }
}

fn tab(port: &Port, at: Point, face: Face, k: f64, items: &mut Vec<Item>) {
    let (dx, dy) = step(face);
    let (deep, wide) = (6.0 * k, tab_width(port) * k);
    let across = |along: f64, side: f64| at.moved(dx * along - dy * side, dy * along + dx * side);
    let area = SheetRect::between(across(0.0, -wide / 2.0), across(deep, wide / 2.0));
    items.push(Item::Rect { area, corner: 0.0, style: Style::Tab });
    let stroke = |from: Point, to: Point| Item::Line { from, to, style: Style::Contact };
    let dot = |centre: Point| Item::Circle { centre, radius: (1.5 * k).max(0.25), style: Style::Mark };
    let Some(connector) = &port.connector else { return };
    match connector.family {
        ConnectorFamily::Jack => {
            // One stroke for a tip, two for tip and ring.
            let sides: &[f64] = if connector.contacts > 2 { &[-1.8, 1.8] } else { &[0.0] };
            for side in sides {
                items.push(stroke(across(0.3 * deep, side * k), across(0.85 * deep, side * k)));
            }
        }
        ConnectorFamily::Barrel => items.push(dot(area.centre())),
        ConnectorFamily::Snap | ConnectorFamily::Bare => {
            for side in [-2.0, 2.0] {
                items.push(dot(across(deep / 2.0, side * k)));
            }
        }
        ConnectorFamily::Xlr => {
            for side in [-4.5, 0.0, 4.5] {
                items.push(dot(across(deep / 2.0, side * k)));
            }
        }
        ConnectorFamily::Din => {
            for side in [-3.0, 3.0] {
                items.push(dot(across(deep / 2.0, side * k)));
            }
        }
        ConnectorFamily::Usb => {
            let (from, to) = (across(deep / 2.0, -wide * 0.3), across(deep / 2.0, wide * 0.3));
            items.push(stroke(from, to));
        }
        ConnectorFamily::Mains => {
            for side in [-7.0, 0.0, 7.0] {
                items.push(stroke(across(0.3 * deep, side * k), across(0.7 * deep, side * k)));
            }
        }
        ConnectorFamily::Fixed => {}
    }
}

/// Where tag and title of a device may be written: within its edges, clear of switches and axis; and the
/// triangles of its ports, which a line of text must not meet.
fn label_zone(view: &View<'_>, shown: &Shown<'_>) -> (SheetRect, Vec<SheetRect>) {
    let device = shown.device;
    let body = view.area(&shown.at.at);
    let zone = view.area(&shown.seen.unwrap_or(shown.at.at)).grown(-0.9);
    let long = triangle_length(view.k);
    let mut marks = Vec::new();
    for port in &device.ports {
        let (Some([x, y, _]), Some(face)) =
            (port_point(&view.design.rig, device, &port.name), port_direction(device, &port.name))
        else {
            continue;
        };
        if in_out(port, Point::default(), (1.0, 0.0), long).is_none() {
            continue;
        }
        let (dx, dy) = step(face);
        let tip = view.point(x, y);
        let inner = tip.moved(-dx * (long + 0.9), -dy * (long + 0.9));
        marks.push(SheetRect::between(tip, inner).grown(long * 0.62));
    }
    let radius = SWITCH / 2.0 * view.k + 0.5;
    let centres: Vec<Point> = (0..device.switches.len())
        .filter_map(|index| switch_point(&view.design.rig, device, index))
        .map(|(x, y)| view.point(x, y))
        .collect();
    let axis = (device.treadle.is_some() && shown.at.quarters.is_multiple_of(2)).then(|| body.centre().y);
    // The widest free band across the body.
    let mut bands: Vec<(f64, f64)> =
        centres.iter().map(|centre| (centre.y - radius, centre.y + radius)).collect();
    bands.extend(axis.map(|y| (y - 0.6, y + 0.6)));
    bands.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut best, mut from) = ((zone.top, zone.top), zone.top);
    for (low, high) in bands.into_iter().chain([(zone.bottom, zone.bottom)]) {
        if low - from > best.1 - best.0 {
            best = (from, low);
        }
        from = from.max(high);
    }
    (SheetRect { top: best.0, bottom: best.1, ..zone }, marks)
}

/// A line of a device's label.
struct Line {
    content: String,
    size: f64,
    weight: Weight,
    style: Style,
}

/// Tag large, title small, in the zone; nothing where the zone holds no type.
fn within(label: &Label<'_>) -> Option<Vec<Text>> {
    let Label { device, body, zone, marks } = label;
    let narrow = {
        let mut narrow = *zone;
        for mark in marks {
            if mark.centre().x < body.centre().x && mark.right > narrow.left && mark.left < narrow.left + 2.0
            {
                narrow.left = mark.right;
            } else if mark.centre().x > body.centre().x
                && mark.left < narrow.right
                && mark.right > narrow.right - 2.0
            {
                narrow.right = mark.left;
            }
        }
        // Centred on the body all the same.
        let half = (body.centre().x - narrow.left).min(narrow.right - body.centre().x).max(0.0);
        SheetRect { left: body.centre().x - half, right: body.centre().x + half, ..narrow }
    };
    let placed = [zone, &narrow].into_iter().find_map(|zone| {
        let lines = lines(device, zone)?;
        let room = (zone.height() - height(&lines)).max(0.0) / 2.0;
        // In the middle where nothing is met, else as near to it as can be.
        (0..=24)
            .map(|step| f64::from((step + 1) / 2) * 0.5 * if step % 2 == 0 { 1.0 } else { -1.0 })
            .filter(|shift| shift.abs() <= room + 1e-9)
            .map(|shift| set(&lines, zone.centre().moved(0.0, shift)))
            .find(|texts| {
                !texts.iter().any(|line| marks.iter().any(|mark| mark.overlaps(&crate::svg::text_area(line))))
            })
    });
    placed.or_else(|| lines(device, &narrow).map(|lines| set(&lines, narrow.centre())))
}

/// Tag and title, as large as the zone lets them be; nothing when not even a shortened tag fits.
fn lines(device: &Device, zone: &SheetRect) -> Option<Vec<Line>> {
    let tag = clean(&device.tag);
    let (wide, high) = (zone.width().max(0.0), zone.height().max(0.0));
    let fits = |size: f64| width(&tag, size, Weight::Bold) <= wide && size * 0.95 <= high;
    let chosen =
        TAG_SIZES.into_iter().find(|size| fits(*size)).map(|size| (size, tag.clone())).or_else(|| {
            let short = fit(&tag, SMALL, Weight::Bold, wide);
            (short.chars().count() > 2 && SMALL * 0.95 <= high).then_some((SMALL, short))
        });
    let (size, tag) = chosen?;
    let mut lines = vec![Line { content: tag, size, weight: Weight::Bold, style: Style::Ink }];
    let over = high - size * 0.95;
    let most =
        [3_usize, 2, 1].into_iter().find(|lines| f64::from(u8::try_from(*lines).unwrap_or(0)) * LINE <= over);
    let title = wrap(&device.title, SMALL, Weight::Regular, wide, most.unwrap_or(0));
    // A stump of a word says nothing.
    let stump = title.first().is_some_and(|line| line.ends_with('…') && !line.contains(' '));
    for content in title.into_iter().filter(|_| !stump) {
        lines.push(Line { content, size: SMALL, weight: Weight::Regular, style: Style::Faint });
    }
    Some(lines)
}

/// Height of a label from the top of its tag to the foot of its last line.
fn height(lines: &[Line]) -> f64 {
    let below: f64 = lines.iter().skip(1).map(|_| LINE).sum();
    lines.first().map_or(0.0, |tag| tag.size * CAPITAL) + below + SMALL * 0.22
}

fn set(lines: &[Line], centre: Point) -> Vec<Text> {
    let mut y = centre.y - height(lines) / 2.0;
    lines
        .iter()
        .enumerate()
        .map(|(index, line)| {
            y += if index == 0 { line.size * CAPITAL } else { LINE };
            let at = Point::new(centre.x, y);
            text(at, line.content.clone(), line.size, Anchor::Middle, line.weight, line.style)
        })
        .collect()
}

/// A tag next to a body too small to hold it.
fn beside(tag: &str, body: &SheetRect, items: &mut Vec<Item>, sketch: &mut Sketch) {
    let content = fit(tag, SMALL, Weight::Bold, 40.0);
    if content.is_empty() {
        return;
    }
    let (wide, high) = (width(&content, SMALL, Weight::Bold) + 0.6, SMALL + 0.4);
    let centre = body.centre();
    let mut spots = Vec::new();
    for off in [0.8, 2.5, 5.0, 8.0, 12.0, 17.0] {
        spots.push(Point::new(centre.x, body.top - high / 2.0 - off));
        spots.push(Point::new(centre.x, body.bottom + high / 2.0 + off));
        spots.push(Point::new(body.left - wide / 2.0 - off, centre.y));
        spots.push(Point::new(body.right + wide / 2.0 + off, centre.y));
        for part in [-0.35, 0.35] {
            spots.push(Point::new(centre.x + part * body.width(), body.top - high / 2.0 - off));
            spots.push(Point::new(centre.x + part * body.width(), body.bottom + high / 2.0 + off));
        }
    }
    let Some((area, _)) = sketch.best(spots.into_iter().map(|at| SheetRect::around(at, wide, high))) else {
        return;
    };
    items.extend(pointer(&area, nearest(body, area.centre())));
    let mut label = centred(area.centre(), content, SMALL, Weight::Bold, Style::Ink);
    label.halo = Some(Style::PlateGround);
    sketch.take(area);
    items.push(Item::Text(label));
}

/// A dashed outline for a device without a place or a size, with its words within or beneath.
pub(super) fn unplaced(device: &Device, area: &SheetRect, why: &str) -> Item {
    let mut items = vec![Item::Rect { area: *area, corner: 0.6, style: Style::NotPlaced }];
    let room = area.width() - 1.2;
    let tag = clean(&device.tag);
    let size = TAG_SIZES.into_iter().find(|size| width(&tag, *size, Weight::Bold) <= room).unwrap_or(SMALL);
    let tag = fit(&tag, size, Weight::Bold, room);
    let centre = area.centre();
    items.push(Item::Text(text(
        centre.moved(0.0, -0.2),
        tag,
        size,
        Anchor::Middle,
        Weight::Bold,
        Style::Ink,
    )));
    let title = fit(&device.title, SMALL, Weight::Regular, room);
    if area.height() > 2.0 * (LINE + 1.0) {
        items.push(Item::Text(text(
            centre.moved(0.0, LINE),
            title,
            SMALL,
            Anchor::Middle,
            Weight::Regular,
            Style::Faint,
        )));
    }
    let at = Point::new(centre.x, area.bottom + 3.2);
    items.push(Item::Text(text(at, why, SMALL, Anchor::Middle, Weight::Regular, Style::Faint)));
    device_group(device, items)
}

//! The life-size template of a deck, to be taped down and pricked through, whole or in tiles.

use design::Design;
use quantity::Length;
use rig::geometry::{port_point, standing, switch_point};
use rig::{Deck, Device, Face, Rect};

use crate::marks::{datum, switch};
use crate::model::{Anchor, Drawing, Item, Point, Scale, SheetRect, Text, Weight};
use crate::sketch::{Sketch, bounds, centred, group, pieces, text};
use crate::style::Style;
use crate::text::{BENCH, BODY, SMALL, clean, fit, width, wrap};
use crate::words;

/// Size of tags, in millimetres: read at arm's length (14 pt).
const TAG: f64 = 4.94;
/// Half the length of a cross that is pricked through.
const PRICK: f64 = 5.0;

/// One deck at 1 : 1: its outline, bodies with crosses at their corners, switches, jacks, passages; nothing that is not
/// marked out on it.
///
/// The drawing's datum is the deck's front left corner.
pub fn template(design: &Design, deck: &Deck) -> Drawing {
    let view = View { origin: (deck.x, deck.y), k: 1.0 };
    let mut sketch = Sketch::new();
    let on_board = |rect: &Rect| Rect { x: rect.x + deck.x, y: rect.y + deck.y, ..*rect };
    for rect in deck.shape_on_board() {
        sketch.push(Item::Rect { area: view.area(&rect), corner: 0.0, style: Style::BoardEdge });
    }
    for rail in &deck.rails {
        sketch.push(Item::Rect { area: view.area(&on_board(&rail.at)), corner: 0.0, style: Style::Tab });
    }
    for riser in &deck.risers {
        sketch.push(Item::Rect { area: view.area(&on_board(&riser.at)), corner: 0.0, style: Style::Tab });
    }
    for passage in &deck.passages {
        let area = view.area(&on_board(&passage.at));
        let corner = area.width().min(area.height()) / 2.0;
        sketch.push(Item::Rect { area, corner, style: Style::Wash });
        let name = fit(&passage.name, BENCH, Weight::Regular, area.width().max(14.0));
        sketch.push(Item::Text(centred(area.centre(), name, BENCH, Weight::Regular, Style::Faint)));
    }
    let here = |device: &&Device| device.place.as_ref().is_some_and(|place| place.deck == deck.name);
    let under = |device: &Device| device.place.as_ref().is_some_and(|place| place.under);
    let devices: Vec<&Device> = design.rig.devices.iter().filter(|d| !d.outside).filter(here).collect();
    for device in devices.iter().filter(|device| !under(device)) {
        body(design, &view, device, &mut sketch);
    }
    for device in devices.iter().filter(|device| under(device)) {
        hidden(design, &view, device, &mut sketch);
    }
    sketch.items.extend(datum(Point::default(), 3.0));
    let title = format!("{}, {}", words::TEMPLATE, clean(&deck.name));
    let mut drawing = sketch.finish("template", title, Scale::one_to(1), 2.0);
    drawing.name = "template";
    drawing
}

/// What stands where, and nothing else: decks, bodies with their tags, switches; for whoever must find a box.
pub fn overview(design: &Design, scale: Scale) -> Drawing {
    let extent = design.rig.board.extent();
    let view = View { origin: (extent.x, extent.y), k: scale.factor() };
    let mut sketch = Sketch::new();
    let mut decks: Vec<&Deck> = design.rig.board.decks.iter().collect();
    decks.sort_by_key(|deck| deck.z);
    for deck in decks {
        for rect in deck.shape_on_board() {
            sketch.push(Item::Rect { area: view.area(&rect), corner: 0.0, style: Style::BoardEdge });
        }
    }
    let mut placed: Vec<(&Device, rig::geometry::Standing)> = design
        .rig
        .devices
        .iter()
        .filter(|device| !device.outside)
        .filter_map(|device| Some((device, standing(&design.rig, device)?)))
        .collect();
    placed.sort_by_key(|(_, at)| at.base);
    let on_floor = |device: &Device| device.place.as_ref().is_some_and(|place| place.deck == rig::FLOOR);
    let hidden = |device: &Device, at: &rig::geometry::Standing| {
        let place = device.place.as_ref();
        place.is_some_and(|place| place.under)
            || design.rig.board.decks.iter().any(|deck| {
                place.is_some_and(|place| place.deck != deck.name)
                    && at.base < deck.z
                    && deck.shape_on_board().iter().any(|rect| rect.overlaps(&at.at))
            })
    };
    let beside: Vec<&str> =
        placed.iter().filter(|(device, _)| on_floor(device)).map(|(device, _)| device.tag.as_str()).collect();
    for (device, at) in placed.iter().filter(|(device, at)| !on_floor(device) && !hidden(device, at)) {
        let area = view.area(&at.at);
        let corner = (device.corner.as_mm() * view.k).min(area.width().min(area.height()) / 2.0);
        let mut items = vec![Item::Rect { area, corner, style: Style::Outline }];
        for index in 0..device.switches.len() {
            if let Some((x, y)) = switch_point(&design.rig, device, index) {
                items.extend(switch(view.point(x, y), 7.0 * view.k));
            }
        }
        let thin = area.height() < 4.0;
        let at = if thin { Point::new(area.centre().x, area.top - 2.6) } else { area.centre() };
        let room = if thin { 40.0 } else { area.width() - 1.2 };
        let size = [TAG, BODY, SMALL]
            .into_iter()
            .find(|size| crate::text::width(&clean(&device.tag), *size, Weight::Bold) <= room)
            .unwrap_or(SMALL);
        let tag = fit(&device.tag, size, Weight::Bold, room);
        items.push(Item::Text(centred(at, tag, size, Weight::Bold, Style::Ink)));
        sketch.push(Item::Group(group("overview", "device", &device.tag, clean(&device.tag), items)));
    }
    let mut below: Vec<&str> = Vec::new();
    for (device, at) in placed.iter().filter(|(device, at)| !on_floor(device) && hidden(device, at)) {
        sketch.push(Item::Rect { area: view.area(&at.at), corner: 0.0, style: Style::Hidden });
        below.push(&device.tag);
    }
    let mut notes = Vec::new();
    if !below.is_empty() {
        notes.push(format!("{}: {}", words::UNDER_DECK, below.join(", ")));
    }
    if !beside.is_empty() {
        notes.push(format!("{}: {}", words::ON_THE_FLOOR, beside.join(", ")));
    }
    let bottom = bounds(&sketch.items).map_or(0.0, |area| area.bottom) + 1.6;
    let lines = wrap(&notes.join("; "), BENCH, Weight::Regular, 165.0, 2);
    for (line, down) in lines.into_iter().zip([1.0, 2.2]) {
        let at = Point::new(0.0, bottom + BENCH * down);
        sketch.push(Item::Text(text(at, line, BENCH, Anchor::Start, Weight::Regular, Style::Ink)));
    }
    sketch.finish("overview", words::OVERVIEW.to_owned(), scale, 1.0)
}

struct View {
    origin: (Length, Length),
    /// Sheet millimetres for a true one.
    k: f64,
}

impl View {
    fn point(&self, x: Length, y: Length) -> Point {
        Point::new((x - self.origin.0).as_mm() * self.k, -(y - self.origin.1).as_mm() * self.k)
    }

    fn area(&self, rect: &Rect) -> SheetRect {
        SheetRect::between(self.point(rect.x, rect.y), self.point(rect.right(), rect.back()))
    }
}

fn cross(at: Point) -> [Item; 2] {
    let style = Style::Narrow;
    [
        Item::Line { from: at.moved(-PRICK, 0.0), to: at.moved(PRICK, 0.0), style },
        Item::Line { from: at.moved(0.0, -PRICK), to: at.moved(0.0, PRICK), style },
    ]
}

fn corners(area: &SheetRect) -> [Point; 4] {
    [
        Point::new(area.left, area.top),
        Point::new(area.right, area.top),
        Point::new(area.right, area.bottom),
        Point::new(area.left, area.bottom),
    ]
}

fn body(design: &Design, view: &View, device: &Device, sketch: &mut Sketch) {
    let Some(at) = standing(&design.rig, device) else { return };
    let area = view.area(&at.at);
    let mut items = Vec::new();
    let corner = device.corner.as_mm().min(area.width().min(area.height()) / 2.0);
    items.push(Item::Rect { area, corner, style: Style::Outline });
    items.extend(corners(&area).into_iter().flat_map(cross));
    for index in 0..device.switches.len() {
        if let Some((x, y)) = switch_point(&design.rig, device, index) {
            items.extend(switch(view.point(x, y), 7.0));
        }
    }
    for port in &device.ports {
        jack(design, view, device, port, &area, &mut items);
    }
    items.extend(label(device, &area));
    let mut group =
        group("template", "device", &device.tag, clean(&format!("{} {}", device.tag, device.title)), items);
    group.device = Some(device.tag.clone());
    sketch.push(Item::Group(group));
}

/// A jack's centre as a stroke through the wall, its name within.
fn jack(
    design: &Design,
    view: &View,
    device: &Device,
    port: &rig::Port,
    body: &SheetRect,
    items: &mut Vec<Item>,
) {
    let Some(at) = port_point(&design.rig, device, &port.name) else { return };
    let Some(looks) = rig::geometry::port_direction(device, &port.name) else { return };
    let centre = view.point(at[0], at[1]);
    let (dx, dy) = match looks {
        Face::Right => (1.0, 0.0),
        Face::Left => (-1.0, 0.0),
        Face::Back => (0.0, -1.0),
        Face::Front => (0.0, 1.0),
    };
    items.push(Item::Line {
        from: centre.moved(-2.5 * dx, -2.5 * dy),
        to: centre.moved(4.0 * dx, 4.0 * dy),
        style: Style::Contact,
    });
    // A plate is too thin to write in.
    if body.height().min(body.width()) < 12.0 {
        return;
    }
    let room = if dx == 0.0 { body.height() / 3.0 } else { body.width() / 3.0 };
    let mut name = port.name.clone();
    if port.service {
        name = format!("{name} {}", words::SERVICE);
    }
    let name = fit(&name, BENCH, Weight::Regular, room);
    let inward = centre.moved(-3.4 * dx, -3.4 * dy);
    let label = if dx == 0.0 {
        let anchor = if dy < 0.0 { Anchor::End } else { Anchor::Start };
        Text {
            upright: true,
            ..text(inward.moved(BENCH * 0.36, 0.0), name, BENCH, anchor, Weight::Regular, Style::Faint)
        }
    } else {
        let anchor = if dx > 0.0 { Anchor::End } else { Anchor::Start };
        text(inward.moved(0.0, BENCH * 0.36), name, BENCH, anchor, Weight::Regular, Style::Faint)
    };
    items.push(Item::Text(label));
}

fn label(device: &Device, area: &SheetRect) -> Vec<Item> {
    let mut items = Vec::new();
    let centre = area.centre();
    if area.height() < 10.0 {
        let tag = fit(&device.tag, BENCH, Weight::Bold, area.width().max(14.0));
        let at = Point::new(centre.x, area.bottom + BENCH + 1.0);
        items.push(Item::Text(text(at, tag, BENCH, Anchor::Middle, Weight::Bold, Style::Ink)));
        return items;
    }
    // A plate is named beside it.
    if area.width() < 10.0 {
        let tag = fit(&device.tag, BENCH, Weight::Bold, area.height().max(14.0));
        let at = Point::new(area.left - 1.5, centre.y);
        items.push(Item::Text(text(at, tag, BENCH, Anchor::End, Weight::Bold, Style::Ink)));
        return items;
    }
    let tag = fit(&device.tag, TAG, Weight::Bold, area.width() - 4.0);
    items.push(Item::Text(text(centre, tag, TAG, Anchor::Middle, Weight::Bold, Style::Ink)));
    for (index, line) in
        wrap(&device.title, BENCH, Weight::Regular, area.width() - 4.0, 2).into_iter().enumerate()
    {
        let down = 5.0 + BENCH * 1.25 * f64::from(u32::try_from(index).unwrap_or(0));
        items.push(Item::Text(text(
            centre.moved(0.0, down),
            line,
            BENCH,
            Anchor::Middle,
            Weight::Regular,
            Style::Faint,
        )));
    }
    items
}

fn hidden(design: &Design, view: &View, device: &Device, sketch: &mut Sketch) {
    let Some(at) = standing(&design.rig, device) else { return };
    let area = view.area(&at.at);
    let mut items = vec![Item::Rect { area, corner: 0.0, style: Style::Hidden }];
    items.extend(corners(&area).into_iter().flat_map(cross));
    let content =
        fit(&format!("{} {}", device.tag, words::UNDER), BENCH, Weight::Regular, area.width() - 3.0);
    let label = Text {
        halo: Some(Style::SheetGround),
        ..text(
            Point::new(area.left + 2.0, area.top + 5.6),
            content,
            BENCH,
            Anchor::Start,
            Weight::Regular,
            Style::Faint,
        )
    };
    items.push(Item::Text(label));
    let mut group = group("template", "device", &device.tag, clean(&device.tag), items);
    group.device = Some(device.tag.clone());
    sketch.push(Item::Group(group));
}

/// How a drawing is cut into tiles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tiling {
    /// Width of a tile without overlap.
    pub wide: f64,
    /// Height of a tile without overlap.
    pub high: f64,
    /// How far neighbours reach over the cut.
    pub overlap: f64,
    /// Tiles beside each other.
    pub across: usize,
    /// Tiles above each other.
    pub down: usize,
}

impl Tiling {
    /// As many tiles of this size as the drawing needs.
    pub fn of(drawing: &Drawing, wide: f64, high: f64, overlap: f64) -> Self {
        let count = |whole: f64, one: f64| {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a small count of tiles"
            )]
            let count = (whole / one).ceil().clamp(1.0, 1000.0) as usize;
            count
        };
        Self {
            wide,
            high,
            overlap,
            across: count(drawing.width_mm, wide),
            down: count(drawing.height_mm, high),
        }
    }

    /// What a tile shows without its overlap, on the whole drawing. Row 0 is the front.
    fn cut(&self, drawing: &Drawing, row: usize, column: usize) -> SheetRect {
        let at = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX));
        let left = at(column) * self.wide;
        let bottom = drawing.height_mm - at(row) * self.high;
        SheetRect { left, top: bottom - self.high, right: left + self.wide, bottom }
    }

    /// The name of a tile: row letter, column number, both from the front left as the player sees it.
    pub fn name(&self, row: usize, column: usize) -> String {
        const LETTERS: &[u8; 26] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZ";
        format!("{}{}", char::from(LETTERS[row % 26]), column + 1)
    }
}

/// Which tiles of a template are worth printing: those with anything to prick through or lay down, the one with
/// the datum, and those between, so that every tile lies against another. Row by row from the front, as `[row][column]`.
///
/// A tile that shows no more than a deck's edge is left out.
pub fn printed(drawing: &Drawing, tiling: &Tiling) -> Vec<Vec<bool>> {
    let mut things = Vec::new();
    pricked(&drawing.items, &mut things);
    let wanted: Vec<Vec<bool>> = (0..tiling.down)
        .map(|row| {
            (0..tiling.across)
                .map(|column| {
                    let cut = tiling.cut(drawing, row, column).grown(-0.5);
                    things.iter().any(|area| area.grown(0.01).overlaps(&cut))
                })
                .collect()
        })
        .collect();
    let mut out = vec![vec![false; tiling.across]; tiling.down];
    if let Some(first) = out.first_mut().and_then(|row| row.first_mut()) {
        *first = true;
    }
    // Nearer ones first; one that touches none that is printed brings the way to the datum with it.
    let mut order: Vec<(usize, usize)> = (0..tiling.down)
        .flat_map(|row| (0..tiling.across).map(move |column| (row, column)))
        .filter(|(row, column)| wanted[*row][*column])
        .collect();
    order.sort_by_key(|(row, column)| (row + column, *row));
    for (row, column) in order {
        let touches = (row > 0 && out[row - 1][column]) || (column > 0 && out[row][column - 1]);
        out[row][column] = true;
        if !touches {
            (0..row).for_each(|below| out[below][column] = true);
            (0..column).for_each(|beside| out[0][beside] = true);
        }
    }
    out
}

/// What a template is for: everything but the deck's edge, the room of plugs, and words.
fn pricked(items: &[Item], out: &mut Vec<SheetRect>) {
    for item in items {
        match item {
            Item::Group(group) => pricked(&group.items, out),
            Item::Text(_) | Item::Rect { style: Style::BoardEdge | Style::Plug, .. } => {}
            other => pieces(std::slice::from_ref(other), out),
        }
    }
}

/// The rooms of the texts of a thing.
fn texts(item: &Item) -> Vec<SheetRect> {
    match item {
        Item::Text(text) => vec![crate::svg::text_area(text)],
        Item::Group(group) => group.items.iter().flat_map(texts).collect(),
        _ => Vec::new(),
    }
}

/// The map of the tiles: the deck with what stands on it, the cuts, and the name of every tile that is printed.
/// It fits into `width_mm` by `height_mm`.
pub fn tile_map(drawing: &Drawing, tiling: &Tiling, width_mm: f64, height_mm: f64) -> Drawing {
    let at = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX));
    let (wide, high) = (at(tiling.across) * tiling.wide, at(tiling.down) * tiling.high);
    let k = (width_mm / wide).min(height_mm / high);
    let place = |area: &SheetRect| {
        // The sheet's y counts from the top of the drawing; the tiles from its foot.
        let lift = high - drawing.height_mm;
        SheetRect {
            left: area.left * k,
            top: (area.top + lift) * k,
            right: area.right * k,
            bottom: (area.bottom + lift) * k,
        }
    };
    let mut sketch = Sketch::new();
    for item in &drawing.items {
        match item {
            Item::Rect { area, style: Style::BoardEdge, .. } => {
                sketch.push(Item::Rect { area: place(area), corner: 0.0, style: Style::BoardEdge });
            }
            Item::Group(group) if group.device.is_some() => sketch.items.extend(thing(group, place)),
            _ => {}
        }
    }
    let written: Vec<SheetRect> = sketch.items.iter().flat_map(texts).collect();
    for (row, line) in printed(drawing, tiling).iter().enumerate() {
        for (column, is) in line.iter().enumerate() {
            let area = place(&tiling.cut(drawing, row, column));
            sketch.push(Item::Rect { area, corner: 0.0, style: Style::Cut });
            if *is {
                let words = format!("{} {}", words::TILE, tiling.name(row, column));
                let name =
                    |at: Point| text(at, words.clone(), BENCH, Anchor::Start, Weight::Bold, Style::Ink);
                // In a corner where no tag of a device stands, else in the first.
                let (left, right) = (area.left + 2.0, area.right - 2.0 - width(&words, BENCH, Weight::Bold));
                let (foot, head) = (area.bottom - 2.0, area.top + 2.0 + BENCH);
                let places = [(left, foot), (right, foot), (left, head), (right, head)];
                let mut labels = places.map(|(x, y)| name(Point::new(x, y))).into_iter();
                let first = labels.next();
                let free = first.iter().cloned().chain(labels).find(|label| {
                    let own = crate::svg::text_area(label);
                    written.iter().all(|other| !other.overlaps(&own))
                });
                if let Some(label) = free.or(first) {
                    sketch.push(Item::Text(Text { halo: Some(Style::SheetGround), ..label }));
                }
            } else {
                let lines = wrap(words::NOT_PRINTED, BENCH, Weight::Regular, area.width() - 2.0, 2);
                for (line, down) in lines.into_iter().zip([0.0, BENCH * 1.2]) {
                    let at = area.centre().moved(0.0, down);
                    sketch.push(Item::Text(centred(at, line, BENCH, Weight::Regular, Style::Faint)));
                }
            }
        }
    }
    sketch.finish("tile-map", words::TILE_MAP.to_owned(), Scale::one_to(1), 0.5)
}

/// A device on the map: the first rectangle that is its body, with its tag.
fn thing(group: &crate::model::Group, place: impl Fn(&SheetRect) -> SheetRect) -> Vec<Item> {
    let body = group.items.iter().find_map(|item| match item {
        Item::Rect { area, style: style @ (Style::Outline | Style::Hidden), .. } => {
            Some((place(area), *style))
        }
        _ => None,
    });
    let (Some((area, style)), Some(tag)) = (body, &group.device) else { return Vec::new() };
    let mut items = vec![Item::Rect { area, corner: 0.0, style }];
    let tag = fit(tag, BENCH, Weight::Regular, area.width().max(8.0));
    let tag = centred(area.centre(), tag, BENCH, Weight::Regular, Style::Ink);
    items.push(Item::Text(Text { halo: Some(Style::SheetGround), ..tag }));
    items
}

/// One tile of a drawing, with its cut lines and the marks where it joins its neighbours. Row 0 is the front.
pub fn tile(drawing: &Drawing, tiling: &Tiling, row: usize, column: usize) -> Drawing {
    let cut = tiling.cut(drawing, row, column);
    let window = cut.grown(tiling.overlap);
    let mut items: Vec<Item> = Vec::new();
    within(&drawing.items, &window, &mut items);
    let (more_left, more_right) = (column > 0, column + 1 < tiling.across);
    let (more_front, more_back) = (row > 0, row + 1 < tiling.down);
    for (is, x) in [(more_left, cut.left), (more_right, cut.right)] {
        if is {
            items.push(Item::Line {
                from: Point::new(x, window.top),
                to: Point::new(x, window.bottom),
                style: Style::Chain,
            });
            for part in [0.25, 0.75] {
                items.extend(join(Point::new(x, cut.top + tiling.high * part)));
            }
        }
    }
    for (is, y) in [(more_back, cut.top), (more_front, cut.bottom)] {
        if is {
            items.push(Item::Line {
                from: Point::new(window.left, y),
                to: Point::new(window.right, y),
                style: Style::Chain,
            });
            for part in [0.25, 0.75] {
                items.extend(join(Point::new(cut.left + tiling.wide * part, y)));
            }
        }
    }
    let mut sketch = Sketch::new();
    sketch.items = items;
    let mut out = Drawing {
        name: "tile",
        title: format!("{}, {}", drawing.title, tiling.name(row, column)),
        width_mm: window.width(),
        height_mm: window.height(),
        scale: drawing.scale,
        datum: drawing.datum.moved(-window.left, -window.top),
        items: sketch.items,
    };
    crate::sketch::shift_all(&mut out.items, -window.left, -window.top);
    out
}

/// The mark two tiles are laid over: a ring and a cross on the cut.
fn join(at: Point) -> Vec<Item> {
    let mut items = vec![Item::Circle { centre: at, radius: 2.0, style: Style::Narrow }];
    items.push(Item::Line { from: at.moved(-4.0, 0.0), to: at.moved(4.0, 0.0), style: Style::Narrow });
    items.push(Item::Line { from: at.moved(0.0, -4.0), to: at.moved(0.0, 4.0), style: Style::Narrow });
    items
}

/// The items that reach into a window; groups are opened, so that a tile holds no more than it shows.
fn within(items: &[Item], window: &SheetRect, out: &mut Vec<Item>) {
    for item in items {
        match item {
            Item::Group(group) => {
                if bounds(&group.items).is_some_and(|area| area.overlaps(&window.grown(1.0))) {
                    let mut inner = Vec::new();
                    within(&group.items, window, &mut inner);
                    out.push(Item::Group(crate::model::Group { items: inner, ..group.clone() }));
                }
            }
            other => {
                let area = bounds(std::slice::from_ref(other)).unwrap_or_default().grown(0.5);
                if area.overlaps(window) {
                    out.push(other.clone());
                }
            }
        }
    }
}

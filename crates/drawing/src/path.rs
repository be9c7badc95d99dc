//! The signal path as strips of devices in the order of a run, read the way the signal goes.

use design::Design;
use rig::{Device, Direction, LeadClass, PortRef, Run};

use crate::marks::triangle;
use crate::model::{Anchor, Drawing, Item, Point, Scale, SheetRect, Weight};
use crate::sketch::{Sketch, bounds, centred, group, text};
use crate::style::Style;
use crate::text::{BENCH, BODY, HEAD, SMALL, TAG, clean, fit, width, wrap};
use crate::words;

/// A box of the strip, and the room for a lead between two.
///
/// Three of them go on an upright A4 sheet, four on a lying one; all type is read at the bench.
const BOX: (f64, f64) = (28.0, 19.0);
/// Lines of a title at most; a row is higher where one needs the last of them.
const TITLE: usize = 3;
const GAP: f64 = 26.0;
/// Height of one row with what stands above and below it.
const ROW: f64 = 48.0;
/// What a row's first and last lead need at the ends.
const END: f64 = 17.0;
/// Distance of two lines of text.
const LINE: f64 = BENCH * 1.22;
/// Lines of notes under a box at most.
const NOTES: usize = 4;
/// From one of these lines to the next.
const NOTE: f64 = BENCH * 1.22;

/// One box: a stop, or several in a row that are one device.
struct Stop<'a> {
    name: &'a str,
    arrives: Option<&'a PortRef>,
    leaves: Option<&'a PortRef>,
}

fn stops(run: &Run) -> Vec<Stop<'_>> {
    let mut out: Vec<Stop<'_>> = Vec::new();
    for stop in &run.stops {
        let Some(name) = stop.arrives.as_ref().or(stop.leaves.as_ref()).map(|port| port.device.as_str())
        else {
            continue;
        };
        match out.last_mut().filter(|last| last.name == name) {
            // A step within one device is inside it.
            Some(last) => last.leaves = stop.leaves.as_ref(),
            None => out.push(Stop { name, arrives: stop.arrives.as_ref(), leaves: stop.leaves.as_ref() }),
        }
    }
    out
}

/// One run as a strip, broken into rows no wider than `width_mm`.
pub fn path(design: &Design, run: &Run, width_mm: f64) -> Drawing {
    drawn(design, run, width_mm, None)
}

/// The same strip row by row, for pages that may break between two.
pub fn path_rows(design: &Design, run: &Run, width_mm: f64) -> Vec<Drawing> {
    let count = stops(run).len().div_ceil(per_row(width_mm)).max(1);
    (0..count).map(|row| drawn(design, run, width_mm, Some(row))).collect()
}

/// How many boxes a row holds.
fn per_row(width_mm: f64) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small count of boxes")]
    let count = ((width_mm - 2.0 * END + GAP) / (BOX.0 + GAP)).floor().clamp(1.0, 1000.0) as usize;
    count
}

fn drawn(design: &Design, run: &Run, width_mm: f64, only: Option<usize>) -> Drawing {
    let mut sketch = Sketch::new();
    let stops = stops(run);
    let pitch = BOX.0 + GAP;
    let per_row = per_row(width_mm);
    let mirrored = design.rig.board.direction == Direction::LeftToRight;
    // Along counts from the side the signal comes in at.
    let place = |along: f64, down: f64| {
        let x = if mirrored { along } else { width_mm - along };
        Point::new(x, down)
    };
    let class = run.carries.class();
    let shows = |row: usize| only.is_none_or(|only| only == row);
    for (index, stop) in stops.iter().enumerate() {
        let (row, column) = (index / per_row, index % per_row);
        let at = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX));
        let start = END + at(column) * pitch;
        let middle = at(row) * ROW + ROW / 2.0;
        let half = height_of(design, &stops, row, per_row) / 2.0;
        let area = SheetRect::between(place(start, middle - half), place(start + BOX.0, middle + half));
        if let Some(next) = stops.get(index + 1) {
            let lead = Lead { design, class, stop, next };
            let wraps = column + 1 == per_row;
            let from = place(start + BOX.0, middle);
            if wraps && shows(row) {
                lead.draw(&mut sketch, from, place(start + BOX.0 + END - 1.0, middle), true);
            } else if shows(row) {
                lead.draw(&mut sketch, from, place(start + pitch, middle), false);
            }
            if wraps && shows(row + 1) {
                let below = middle + ROW;
                lead.tail(&mut sketch, place(1.0, below), place(END, below));
            }
        }
        if shows(row) {
            sketch.push(stop_box(design, stop, area));
        }
    }
    // Every row is as wide as the page, so that rows stand below each other.
    let middle = bounds(&sketch.items).unwrap_or_default().centre().y;
    let edge = |x: f64| {
        let at = Point::new(x, middle);
        Item::Text(text(at, "", SMALL, Anchor::Start, Weight::Regular, Style::Ink))
    };
    sketch.push(edge(0.0));
    sketch.push(edge(width_mm));
    sketch.finish("path", clean(&run.name), Scale::one_to(1), 0.5)
}

struct Lead<'a> {
    design: &'a Design,
    class: LeadClass,
    stop: &'a Stop<'a>,
    next: &'a Stop<'a>,
}

impl Lead<'_> {
    fn tag(&self) -> String {
        let found = self.design.leads.iter().find(|lead| {
            let flow = |(from, to): &(rig::PortRef, rig::PortRef)| {
                Some(from) == self.stop.leaves && Some(to) == self.next.arrives
            };
            lead.run.is_some() && lead.flows.iter().any(flow)
        });
        found.map(|lead| fit(&lead.tag, BENCH, Weight::Bold, GAP - 4.0)).unwrap_or_default()
    }

    fn line(&self, sketch: &mut Sketch, from: Point, to: Point) {
        let style = Style::Lead(self.class);
        sketch.push(Item::Path {
            points: vec![from, to],
            closed: false,
            round: 0.0,
            style,
            width: Some(0.9),
        });
        let (dx, tip) = if to.x < from.x { (-1.0, to) } else { (1.0, to) };
        sketch.push(triangle(tip, dx, 0.0, 2.4));
    }

    /// The line with its number, and the ports at its two ends.
    fn draw(&self, sketch: &mut Sketch, from: Point, to: Point, short: bool) {
        self.line(sketch, from, to);
        let anchor = |here: Point, there: Point| if here.x < there.x { Anchor::Start } else { Anchor::End };
        let room = if short { END - 1.6 } else { GAP - 1.4 };
        let (leaves, arrives) =
            (named(self.design, self.stop.leaves, room), named(self.design, self.next.arrives, room));
        let off = if from.x < to.x { 0.6 } else { -0.6 };
        let below = |at: Point, off: f64, line: f64| at.moved(off, BENCH + 0.6 + line);
        let label = text(
            below(from, off, 0.0),
            leaves.0.clone(),
            leaves.1,
            anchor(from, to),
            Weight::Regular,
            Style::Faint,
        );
        sketch.push(Item::Text(label));
        if !short {
            // Two long names stand one below the other.
            let both = width(&leaves.0, leaves.1, Weight::Regular)
                + width(&arrives.0, arrives.1, Weight::Regular)
                + 2.0;
            let line = if both > GAP { LINE } else { 0.0 };
            let at = below(to, -off, line);
            sketch.push(Item::Text(text(
                at,
                arrives.0,
                arrives.1,
                anchor(to, from),
                Weight::Regular,
                Style::Faint,
            )));
        }
        let at = from.half_way(to).moved(0.0, -1.6);
        sketch.push(Item::Text(text(at, self.tag(), BENCH, Anchor::Middle, Weight::Bold, Style::Ink)));
    }

    /// Where a lead goes on at the start of the next row.
    fn tail(&self, sketch: &mut Sketch, from: Point, to: Point) {
        self.line(sketch, from, to);
        let off = if from.x < to.x { -0.6 } else { 0.6 };
        let anchor = if from.x < to.x { Anchor::End } else { Anchor::Start };
        let (port, size) = named(self.design, self.next.arrives, END - 1.0);
        let at = to.moved(off, BENCH + 0.6);
        sketch.push(Item::Text(text(at, port, size, anchor, Weight::Regular, Style::Faint)));
        let at = from.half_way(to).moved(0.0, -1.6);
        sketch.push(Item::Text(text(at, self.tag(), BENCH, Anchor::Middle, Weight::Bold, Style::Ink)));
    }
}

/// What a stop is called: the title of the device, or of what stands outside.
fn title<'a>(design: &'a Design, stop: &Stop<'_>) -> &'a str {
    let rig = &design.rig;
    let outside = || {
        let source = rig.source(stop.name).map(|source| source.title.as_str());
        source.or_else(|| rig.sink(stop.name).map(|sink| sink.title.as_str()))
    };
    rig.device(stop.name).map(|device| device.title.as_str()).or_else(outside).unwrap_or_default()
}

/// The lines of that in a box.
fn title_lines(design: &Design, stop: &Stop<'_>) -> Vec<String> {
    let room = BOX.0 - if design.rig.device(stop.name).is_some() { 1.6 } else { 6.0 };
    let lines = |title: &str| wrap(title, BENCH, Weight::Regular, room, TITLE);
    let whole = lines(title(design, stop));
    // A long word may be broken at its hyphen before it is cut.
    if whole.iter().any(|line| line.ends_with('…')) {
        let broken = lines(&title(design, stop).replace('-', "- "));
        if broken.iter().all(|line| !line.ends_with('…')) {
            return broken;
        }
    }
    whole
}

/// A port's name and its size: smaller rather than cut.
fn named(design: &Design, port: Option<&PortRef>, room: f64) -> (String, f64) {
    let printed =
        |port: &PortRef| design.rig.port(port).map_or_else(|| port.port.clone(), rig::Port::printed);
    let name = clean(&port.map(printed).unwrap_or_default());
    let size = [BENCH, HEAD, BODY].into_iter().find(|size| width(&name, *size, Weight::Regular) <= room);
    let size = size.unwrap_or(BODY);
    (fit(&name, size, Weight::Regular, room), size)
}

/// How high the boxes of a row are.
fn height_of(design: &Design, stops: &[Stop<'_>], row: usize, per_row: usize) -> f64 {
    let here = stops.iter().skip(row * per_row).take(per_row);
    let full = here.filter(|stop| title_lines(design, stop).len() == TITLE).count();
    if full > 0 { BOX.1 + LINE } else { BOX.1 }
}

fn stop_box(design: &Design, stop: &Stop<'_>, area: SheetRect) -> Item {
    let rig = &design.rig;
    let device = rig.device(stop.name);
    // What stands outside the board is round.
    let (corner, style) = match device {
        Some(device) if !device.outside => (1.5, Style::Outline),
        _ => (area.height() / 2.0, Style::Tab),
    };
    let mut items = vec![Item::Rect { area, corner, style }];
    let title = title(design, stop);
    let mut y = area.top + 5.2;
    let middle = area.centre().x;
    if device.is_some() {
        let tag = fit(stop.name, TAG, Weight::Bold, area.width() - 2.0);
        items.push(Item::Text(text(
            Point::new(middle, y),
            tag,
            TAG,
            Anchor::Middle,
            Weight::Bold,
            Style::Ink,
        )));
    } else {
        y = area.top + 2.9;
    }
    for line in title_lines(design, stop) {
        y += LINE;
        items.push(Item::Text(text(
            Point::new(middle, y),
            line,
            BENCH,
            Anchor::Middle,
            Weight::Regular,
            Style::Ink,
        )));
    }
    // Port names stand below the lines beside the box, so notes begin below the box.
    let room = BOX.0 + GAP - 2.0;
    let lines = notes(design, device, stop)
        .into_iter()
        .flat_map(|note| wrap(&note, BENCH, Weight::Regular, room, 2))
        .take(NOTES);
    for (index, line) in lines.enumerate() {
        let below = area.bottom + BENCH + 0.8 + NOTE * f64::from(u32::try_from(index).unwrap_or(0));
        items.push(Item::Text(text(
            Point::new(middle, below),
            line,
            BENCH,
            Anchor::Middle,
            Weight::Regular,
            Style::Faint,
        )));
    }
    let name = format!("{} {title}", stop.name);
    let mut group = group("path", "stop", stop.name, clean(&name), items);
    group.device = device.map(|device| device.tag.clone());
    Item::Group(group)
}

/// What is worth knowing of a stop: how it passes signal when off, polarity, impedances.
fn notes(design: &Design, device: Option<&Device>, stop: &Stop<'_>) -> Vec<String> {
    let rig = &design.rig;
    let z = |port: Option<&PortRef>| {
        let port = rig.port(port?)?;
        Some(format!("{}{}", port.z.value?, if port.z.is_assumed() { words::ASSUMED_MARK } else { "" }))
    };
    let Some(device) = device else {
        let z = rig.sink(stop.name).and_then(|sink| sink.z.value.map(|value| (value, sink.z.is_assumed())));
        return z
            .map(|(z, assumed)| {
                format!("{} {z}{}", words::Z_IN, if assumed { words::ASSUMED_MARK } else { "" })
            })
            .into_iter()
            .collect();
    };
    let mut out = Vec::new();
    let mut first = Vec::new();
    if let Some(bypass) = device.signal.bypass.value.filter(|_| device.role == rig::Role::Pedal) {
        first.push(words::bypass(bypass).to_owned());
    }
    if device.signal.passive {
        first.push(words::PASSIVE.to_owned());
    }
    if device.signal.inverts.value == Some(true) {
        first.push(words::INVERTS.to_owned());
    }
    if device.signal.bare_pickup.value == Some(true) {
        first.push(words::BARE.to_owned());
    }
    if !first.is_empty() {
        out.push(first.join(", "));
    }
    match (z(stop.arrives), z(stop.leaves)) {
        (Some(a), Some(b)) => out.push(format!("{} {a}, {} {b}", words::Z_IN, words::Z_OUT)),
        (Some(a), None) => out.push(format!("{} {a}", words::Z_IN)),
        (None, Some(b)) => out.push(format!("{} {b}", words::Z_OUT)),
        (None, None) => {}
    }
    out
}

/// Centres words, for other strips.
pub(crate) fn caption(at: Point, words: &str) -> Item {
    Item::Text(centred(at, words, BENCH, Weight::Regular, Style::Ink))
}

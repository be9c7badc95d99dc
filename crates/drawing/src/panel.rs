//! The drilling drawing of one plate, life-size, from the FRONT or the REAR.

use design::{CutOut, Design, Hole, PILOT, Plate, RoundHole};
use rig::Face;
use rig::geometry::{BoxClass, Owner, standing};

use crate::marks::datum;
use crate::model::{Anchor, Drawing, Item, Point, Scale, SheetRect, Text, Weight};
use crate::sketch::{Sketch, group, text};
use crate::style::Style;
use crate::text::{BENCH, SMALL, TAG, clean, width, wrap};
use crate::{plan_figure, words};

/// From one line of a legend to the next.
const LINE: f64 = 4.0;
/// The most lines of a legend.
const LEGEND_LINES: usize = 3;

/// The side a plate is seen from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PlateSide {
    /// From outside: what the template is glued to.
    Front,
    /// From inside, mirrored.
    Rear,
}

impl PlateSide {
    /// The word that stands on the plate.
    pub fn word(self) -> &'static str {
        match self {
            Self::Front => words::FRONT,
            Self::Rear => words::REAR,
        }
    }
}

/// What a legend may take across: to the nearer neighbour on either side.
fn room_beside(places: &[f64], here: f64) -> f64 {
    places.iter().map(|other| (other - here).abs()).filter(|apart| 0.0 < *apart).fold(41.5, f64::min) - 1.5
}

/// A legend in as many lines as it takes, smaller where a word alone is too wide: on a plate nothing may be missing of it.
fn legend_lines(legend: &str, most: f64) -> (f64, Vec<String>) {
    let whole = clean(legend);
    for size in [BENCH, SMALL] {
        let lines = wrap(&whole, size, Weight::Regular, most, LEGEND_LINES);
        if lines.join(" ") == whole {
            return (size, lines);
        }
    }
    (SMALL, wrap(&whole, SMALL, Weight::Regular, most, LEGEND_LINES))
}

fn to_f64(count: usize) -> f64 {
    f64::from(u32::try_from(count).unwrap_or(u32::MAX))
}

/// The plate at 1 : 1 with hole centres from the datum, its lower left corner seen from the FRONT; on the REAR
/// the same corner lies at the right.
pub fn panel(design: &Design, plate: &Plate, side: PlateSide) -> Drawing {
    let mut sketch = Sketch::new();
    let (wide, high) = match (plate.width.value, plate.height.value) {
        (Some(wide), Some(high)) => (wide.as_mm(), high.as_mm()),
        _ => (0.0, 0.0),
    };
    let view = View { wide, side };
    if wide > 0.0 && high > 0.0 {
        let area = SheetRect { left: 0.0, top: -high, right: wide, bottom: 0.0 };
        sketch.push(Item::Rect { area, corner: 0.0, style: Style::Outline });
    }
    for hole in &plate.holes {
        if let Some((low, high)) = keep_out(design, plate, hole) {
            let (a, b) = (view.point(low.0, low.1), view.point(high.0, high.1));
            sketch.push(Item::Rect { area: SheetRect::between(a, b), corner: 0.0, style: Style::Hidden });
        }
    }
    let mut last: Option<f64> = None;
    let mut level = 0;
    let mut sizes: Vec<(Point, (f64, f64), String)> = Vec::new();
    let mut order: Vec<(&Hole, f64)> = plate
        .holes
        .iter()
        .filter_map(|hole| Some((hole, view.point(hole.x.value?.as_mm(), 0.0).x)))
        .collect();
    order.sort_by(|a, b| a.1.total_cmp(&b.1));
    let places: Vec<f64> = order.iter().map(|(_, x)| *x).collect();
    let legends: Vec<(f64, Vec<String>)> =
        order.iter().map(|(hole, here)| legend_lines(&hole.legend, room_beside(&places, *here))).collect();
    let most_lines = legends.iter().map(|(_, lines)| lines.len()).max().unwrap_or(1).max(1);
    let rise = LINE * to_f64(most_lines - 1);
    for ((hole, _), (size, legend)) in order.into_iter().zip(legends) {
        let Some((x, y, cut)) = Cut::of(hole) else { continue };
        let at = view.point(x.as_mm(), y.as_mm());
        let mut items = cut.outline(at);
        items.extend(screws(&view, hole, (x.as_mm(), y.as_mm())));
        let reach = (cut.half.0 + 3.0, cut.half.1 + 3.0);
        items.push(Item::Line {
            from: at.moved(-reach.0, 0.0),
            to: at.moved(reach.0, 0.0),
            style: Style::Centre,
        });
        items.push(Item::Line {
            from: at.moved(0.0, -reach.1),
            to: at.moved(0.0, reach.1),
            style: Style::Centre,
        });
        // Dimensions from the datum: a line down to the figure, on two levels where they would meet.
        let figure = plan_figure(x);
        let half = width(&figure, BENCH, Weight::Regular) / 2.0 + 1.0;
        level = if last.is_some_and(|last| at.x - half < last) { 1 - level } else { 0 };
        last = Some(at.x + half);
        let foot = Point::new(at.x, 7.0 + f64::from(level) * 5.5);
        items.push(Item::Line { from: Point::new(at.x, 1.0), to: foot, style: Style::Dimension });
        items.push(Item::Text(text(
            foot.moved(0.0, BENCH + 0.8),
            figure,
            BENCH,
            Anchor::Middle,
            Weight::Regular,
            Style::Ink,
        )));
        let number = hole.number.to_string();
        let up = Point::new(at.x, -high - 2.4);
        items.push(Item::Text(text(
            up.moved(0.0, -4.8 - rise),
            number,
            TAG,
            Anchor::Middle,
            Weight::Bold,
            Style::Ink,
        )));
        for (line, words) in legend.iter().rev().enumerate() {
            let at = up.moved(0.0, -LINE * to_f64(line));
            items.push(Item::Text(text(
                at,
                words.clone(),
                size,
                Anchor::Middle,
                Weight::Regular,
                Style::Ink,
            )));
        }
        let words = match hole.fixings.first() {
            Some(first) => {
                format!("{}, {} × ⌀ {}", cut.words, hole.fixings.len(), plan_figure(first.diameter))
            }
            None => cut.words,
        };
        sizes.push((at, cut.half, words));
        let name = format!("{}.{}", plate.panel, hole.port);
        sketch.push(Item::Group(group("panel", "hole", &name, clean(&name), items)));
    }
    // Sizes come last, so that they break what is dashed behind them.
    for (at, half, words) in sizes {
        let place = at.moved(0.0, half.1 + BENCH + 0.6);
        let size = text(place, words, BENCH, Anchor::Middle, Weight::Regular, Style::Ink);
        sketch.push(Item::Text(Text { halo: Some(Style::SheetGround), ..size }));
    }
    heights(&view, plate, &mut sketch);
    let corner = view.point(0.0, 0.0);
    sketch.items.extend(datum(corner, 2.0));
    let (word, note) = match side {
        PlateSide::Front => (words::FRONT, words::FRONT_NOTE),
        PlateSide::Rear => (words::REAR, words::REAR_NOTE),
    };
    let at = Point::new(0.0, -high - 16.0 - rise);
    sketch.push(Item::Text(text(at, word, TAG * 1.3, Anchor::Start, Weight::Bold, Style::Ink)));
    let beside = width(word, TAG * 1.3, Weight::Bold) + 3.0;
    sketch.push(Item::Text(text(
        at.moved(beside, 0.0),
        note,
        BENCH,
        Anchor::Start,
        Weight::Regular,
        Style::Faint,
    )));
    let title = format!("{} {}, {word}", clean(&plate.panel), plate.face.word());
    let drawing = sketch.finish("panel", title, Scale::one_to(1), 1.0);
    // The datum is the plate's corner, wherever the sheet begins.
    Drawing { datum: drawing.datum.moved(corner.x, corner.y), ..drawing }
}

/// The holes of the screws that hold what sits in a hole.
fn screws(view: &View, hole: &Hole, centre: (f64, f64)) -> Vec<Item> {
    let of = |fixing: &design::Fixing| Item::Circle {
        centre: view.point(centre.0 + fixing.x.as_mm(), centre.1 + fixing.y.as_mm()),
        radius: fixing.diameter.half().as_mm(),
        style: Style::Hole,
    };
    hole.fixings.iter().map(of).collect()
}

/// Height of an engraved legend, and its least distance from hole and edge.
const ENGRAVED: f64 = 3.0;
const CLEAR: f64 = 1.5;

/// A plate for a machine, life-size, from the FRONT: what is cut, drilled, drilled first and engraved, with its dimensions,
/// each in layers of its own in [`dxf`](crate::dxf()) and [`layered`](crate::layered).
pub fn plate_file(design: &Design, plate: &Plate) -> Drawing {
    let mut drawing = panel(design, plate, PlateSide::Front);
    let (Some(wide), Some(high)) = (plate.width.value, plate.height.value) else { return drawing };
    let (wide, high) = (wide.as_mm(), high.as_mm());
    let datum = drawing.datum;
    for hole in &plate.holes {
        let Some((x, y, cut)) = Cut::of(hole) else { continue };
        let (x, y) = (x.as_mm(), y.as_mm());
        let legend = clean(&hole.legend);
        // Over the hole and its screws where there is room on the plate, else under them, else smaller.
        let reach = hole.fixings.iter().map(|fixing| fixing.y.as_mm().abs() + fixing.diameter.half().as_mm());
        let half = reach.fold(cut.half.1, f64::max) + CLEAR;
        let long = crate::engrave::wide(&legend, ENGRAVED);
        let room = 2.0 * (x.min(wide - x) - CLEAR);
        let height = if long <= room { ENGRAVED } else { (ENGRAVED * room / long).max(1.0) };
        let foot = if y + half + height + CLEAR <= high { y + half } else { y - half - height };
        let at = Point::new(datum.x + x, datum.y - foot);
        match crate::engrave::engraved(&legend, at, height) {
            Some(strokes) => drawing.items.extend(strokes.into_iter().map(|points| Item::Path {
                points,
                closed: false,
                round: 0.0,
                style: Style::Engraved,
                width: None,
            })),
            None => drawing.items.push(Item::Text(text(
                at,
                legend,
                height / crate::text::CAPITAL,
                Anchor::Middle,
                Weight::Regular,
                Style::Engraved,
            ))),
        }
    }
    drawing
}

/// What is cut for a hole: half its width and height, and its size in words.
struct Cut {
    half: (f64, f64),
    round: bool,
    words: String,
}

impl Cut {
    /// With its centre from the datum.
    fn of(hole: &Hole) -> Option<(quantity::Length, quantity::Length, Self)> {
        if let Some(CutOut { x, y, width, height }) = hole.as_cut_out() {
            let words = format!("{} × {}", plan_figure(width), plan_figure(height));
            let half = (width.half().as_mm(), height.half().as_mm());
            return Some((x, y, Self { half, round: false, words }));
        }
        let RoundHole { x, y, diameter } = hole.as_round()?;
        let half = diameter.half().as_mm();
        let words = format!("⌀ {}", plan_figure(diameter));
        Some((x, y, Self { half: (half, half), round: true, words }))
    }

    /// Its edge, with what is drilled first: the pilot, or a hole in each corner for the saw.
    fn outline(&self, at: Point) -> Vec<Item> {
        let pilot = PILOT.half().as_mm();
        let (x, y) = self.half;
        if !self.round {
            let area = SheetRect::around(at, 2.0 * x, 2.0 * y);
            let mut items = vec![Item::Rect { area, corner: 0.0, style: Style::Hole }];
            if pilot < x.min(y) {
                items.extend([(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(|(dx, dy)| {
                    let centre = at.moved(dx * (x - pilot), dy * (y - pilot));
                    Item::Circle { centre, radius: pilot, style: Style::Pilot }
                }));
            }
            return items;
        }
        let mut items = vec![Item::Circle { centre: at, radius: x, style: Style::Hole }];
        if pilot < x {
            items.push(Item::Circle { centre: at, radius: pilot, style: Style::Pilot });
        }
        items
    }
}

struct View {
    wide: f64,
    side: PlateSide,
}

impl View {
    /// A place from the datum, on the sketch: the front shows x to the right, the rear to the left.
    fn point(&self, x: f64, y: f64) -> Point {
        match self.side {
            PlateSide::Front => Point::new(x, -y),
            PlateSide::Rear => Point::new(self.wide - x, -y),
        }
    }
}

/// Heights of the holes beside the datum's edge, each height once.
fn heights(view: &View, plate: &Plate, sketch: &mut Sketch) {
    let mut all: Vec<quantity::Length> = plate.holes.iter().filter_map(|hole| hole.y.value).collect();
    all.sort();
    all.dedup();
    let edge = view.point(0.0, 0.0).x;
    let (out, anchor) = match view.side {
        PlateSide::Front => (-1.0, Anchor::End),
        PlateSide::Rear => (1.0, Anchor::Start),
    };
    for y in all {
        let at = Point::new(edge, -y.as_mm());
        sketch.push(Item::Line {
            from: at.moved(out, 0.0),
            to: at.moved(7.0 * out, 0.0),
            style: Style::Dimension,
        });
        let place = at.moved(8.0 * out, BENCH * 0.36);
        sketch.push(Item::Text(text(place, plan_figure(y), BENCH, anchor, Weight::Regular, Style::Ink)));
    }
}

/// The room a jack takes behind the plate, as a rectangle from the datum.
fn keep_out(design: &Design, plate: &Plate, hole: &Hole) -> Option<((f64, f64), (f64, f64))> {
    let device = design.rig.device(&plate.panel)?;
    let at = standing(&design.rig, device)?;
    let solid = design.solids.boxes.iter().find(|solid| {
        solid.class == BoxClass::Behind
            && matches!(&solid.owner, Owner::Port { port, .. } if port.device == plate.panel && port.port == hole.port)
    })?;
    // Boxes stand in the board's frame; the plate may be turned on the board.
    let looks = plate.face.turned(at.quarters);
    let (low, high) = if matches!(looks, Face::Front | Face::Back) {
        ((solid.low[0] - at.at.x).as_mm(), (solid.high[0] - at.at.x).as_mm())
    } else {
        ((solid.low[1] - at.at.y).as_mm(), (solid.high[1] - at.at.y).as_mm())
    };
    let (low, high) = match looks {
        Face::Front | Face::Right => (low, high),
        Face::Back | Face::Left => {
            let wide = plate.width.value?.as_mm();
            (wide - high, wide - low)
        }
    };
    Some(((low, (solid.low[2] - at.base).as_mm()), (high, (solid.high[2] - at.base).as_mm())))
}

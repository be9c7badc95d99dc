//! Marks that all drawings share: severities, dimensions, arrowheads, the check bar, the datum, numbers in
//! circles, hatching, the view arrow, the legend.

use std::f64::consts::FRAC_1_SQRT_2;

use finding::Severity;
use rig::LeadClass;

use crate::model::{Anchor, Drawing, Item, Point, Scale, SheetRect, Text, Weight};
use crate::sketch::{Sketch, centred, text};
use crate::style::{Style, lead_width};
use crate::text::{BENCH, BODY, SMALL, width};
use crate::words;

/// Radius of a number's circle.
pub(crate) const BALLOON: f64 = 1.95;
/// Arrowheads: 2.4 by 0.9 mm, filled.
const ARROW: (f64, f64) = (2.4, 0.9);

/// The shape of a severity with its sign, of this size, around a centre.
///
/// Stop: filled octagon with a bar. Look: edged triangle with a stroke. Note: open circle with an i. The
/// three differ in outline even in one ink.
pub(crate) fn severity_items(severity: Severity, centre: Point, size: f64) -> Vec<Item> {
    let unit = size / 16.0;
    let at = |x: f64, y: f64| centre.moved((x - 8.0) * unit, (y - 8.0) * unit);
    let shape = Style::SeverityShape(severity);
    let sign = Style::SeveritySign(severity);
    let polygon = |points: &[(f64, f64)]| Item::Path {
        points: points.iter().map(|(x, y)| at(*x, *y)).collect(),
        closed: true,
        round: 0.0,
        style: shape,
        width: None,
    };
    let stroke = |from: (f64, f64), to: (f64, f64), width: f64| Item::Path {
        points: vec![at(from.0, from.1), at(to.0, to.1)],
        closed: false,
        round: 0.0,
        style: sign,
        width: Some(width * unit),
    };
    match severity {
        Severity::Stop => vec![
            polygon(&[
                (5.0, 0.8),
                (11.0, 0.8),
                (15.2, 5.0),
                (15.2, 11.0),
                (11.0, 15.2),
                (5.0, 15.2),
                (0.8, 11.0),
                (0.8, 5.0),
            ]),
            stroke((4.0, 8.0), (12.0, 8.0), 2.4),
        ],
        Severity::Look => vec![
            polygon(&[(8.0, 1.2), (15.3, 14.6), (0.7, 14.6)]),
            stroke((8.0, 5.6), (8.0, 10.2), 1.7),
            stroke((8.0, 11.6), (8.0, 13.1), 1.7),
        ],
        Severity::Note => vec![
            Item::Circle { centre: at(8.0, 8.0), radius: 6.6 * unit, style: shape },
            stroke((8.0, 7.2), (8.0, 11.4), 1.7),
            stroke((8.0, 4.4), (8.0, 5.9), 1.7),
        ],
    }
}

/// The shape of a severity as a small drawing of its own, for lists.
pub fn severity_mark(severity: Severity, size_mm: f64) -> Drawing {
    let centre = Point::new(size_mm / 2.0, size_mm / 2.0);
    Drawing {
        name: "severity",
        title: severity.word().to_owned(),
        width_mm: size_mm,
        height_mm: size_mm,
        scale: Scale::one_to(1),
        datum: Point::default(),
        items: severity_items(severity, centre, size_mm),
    }
}

/// A bar of ten fields, each 10 mm long on the sheet whatever the scale: whoever prints a drawing measures
/// it before trusting a length. Its outline is exactly 100 mm by 2 mm.
pub fn check_bar() -> Drawing {
    let mut items = Vec::new();
    let field =
        |number: f64| SheetRect { left: number * 10.0, top: 0.0, right: number * 10.0 + 10.0, bottom: 2.0 };
    for number in [0.0, 2.0, 4.0, 6.0, 8.0] {
        items.push(Item::Rect { area: field(number), corner: 0.0, style: Style::Mark });
        items.push(Item::Rect { area: field(number + 1.0), corner: 0.0, style: Style::Narrow });
    }
    items.push(Item::Rect {
        area: SheetRect { left: 0.0, top: 0.0, right: 100.0, bottom: 2.0 },
        corner: 0.0,
        style: Style::Narrow,
    });
    let note = text(Point::new(103.0, 1.9), words::CHECK_BAR, BENCH, Anchor::Start, Weight::Bold, Style::Ink);
    let right = 103.0 + width(words::CHECK_BAR, BENCH, Weight::Bold);
    items.push(Item::Text(note));
    Drawing {
        name: "check-bar",
        title: words::CHECK_BAR.to_owned(),
        // Room for the outline's own width at the left end and for letters below the line.
        width_mm: right + 0.5,
        height_mm: 3.0,
        scale: Scale::one_to(1),
        datum: Point::default(),
        items,
    }
    .inset(0.25)
}

/// The same bar standing up, with a box under it to write down what both measure.
pub fn check_bar_upright() -> Drawing {
    let mut items = Vec::new();
    let field =
        |number: f64| SheetRect { left: 6.0, top: number * 10.0, right: 8.0, bottom: number * 10.0 + 10.0 };
    for number in [0.0, 2.0, 4.0, 6.0, 8.0] {
        items.push(Item::Rect { area: field(number), corner: 0.0, style: Style::Mark });
        items.push(Item::Rect { area: field(number + 1.0), corner: 0.0, style: Style::Narrow });
    }
    items.push(Item::Rect {
        area: SheetRect { left: 6.0, top: 0.0, right: 8.0, bottom: 100.0 },
        corner: 0.0,
        style: Style::Narrow,
    });
    let note = text(Point::new(4.5, 98.0), words::CHECK_BAR, BENCH, Anchor::Start, Weight::Bold, Style::Ink);
    items.push(Item::Text(Text { upright: true, ..note }));
    let mut y = 104.0;
    let centre = 7.0;
    let write = |y: f64, words: &str| {
        Item::Text(text(Point::new(centre, y), words, BENCH, Anchor::Middle, Weight::Regular, Style::Ink))
    };
    for name in [words::ACROSS, words::UPWARDS] {
        items.push(write(y + 2.6, name));
        let area = SheetRect { left: 0.5, top: y + 3.8, right: 13.5, bottom: y + 11.8 };
        items.push(Item::Rect { area, corner: 0.0, style: Style::Narrow });
        y += 14.5;
    }
    items.push(write(y + 1.0, "mm"));
    Drawing {
        name: "check-bar-upright",
        title: words::CHECK_BAR.to_owned(),
        width_mm: 14.0,
        height_mm: y + 2.0,
        scale: Scale::one_to(1),
        datum: Point::default(),
        items,
    }
    .inset(0.25)
}

/// Two plugs of a lead seen along it from the first: the first one’s tail up, the second one’s turned clockwise, in a
/// square of this size.
pub fn clock_mark(degrees: u32, size: f64) -> Drawing {
    let centre = Point::new(size / 2.0, size / 2.0);
    let reach = size / 2.0 - 0.4;
    let (dx, dy) = match degrees % 360 {
        0 => (0.0, -1.0),
        90 => (1.0, 0.0),
        180 => (0.0, 1.0),
        _ => (-1.0, 0.0),
    };
    let items = vec![
        Item::Circle { centre, radius: reach, style: Style::Hair },
        Item::Line { from: centre, to: centre.moved(0.0, -reach), style: Style::Narrow },
        Item::Line { from: centre, to: centre.moved(dx * reach, dy * reach), style: Style::Wide },
        Item::Circle { centre, radius: 0.5, style: Style::Mark },
    ];
    Drawing {
        name: "clock",
        title: format!("second plug turned by {degrees}°"),
        width_mm: size,
        height_mm: size,
        scale: Scale::one_to(1),
        datum: Point::default(),
        items,
    }
}

impl Drawing {
    /// The drawing with so much more room on every side.
    #[must_use]
    fn inset(self, by: f64) -> Self {
        let mut sketch = Sketch::new();
        let (name, title, scale) = (self.name, self.title.clone(), self.scale);
        let (width, height) = (self.width_mm, self.height_mm);
        sketch.items = self.items;
        let mut drawing = sketch.finish(name, title, scale, by);
        drawing.width_mm = drawing.width_mm.max(width);
        drawing.height_mm = drawing.height_mm.max(height);
        drawing
    }
}

/// A filled arrowhead with its tip at a point, pointing along (dx, dy), one of the four directions.
pub(crate) fn arrow(tip: Point, dx: f64, dy: f64) -> Item {
    let (long, half) = (ARROW.0, ARROW.1 / 2.0);
    Item::Path {
        points: vec![
            tip,
            tip.moved(-dx * long + dy * half, -dy * long + dx * half),
            tip.moved(-dx * long - dy * half, -dy * long - dx * half),
        ],
        closed: true,
        round: 0.0,
        style: Style::Mark,
        width: None,
    }
}

/// A dimension along x at height `y`, with extension lines up or down from where the thing ends.
pub(crate) fn dimension_x(sketch: &mut Sketch, left: Point, right: Point, y: f64, figure: &str) {
    for end in [left, right] {
        let (from, to) = if y > end.y { (end.y + 1.0, y + 1.2) } else { (end.y - 1.0, y - 1.2) };
        sketch.push(Item::Line {
            from: Point::new(end.x, from),
            to: Point::new(end.x, to),
            style: Style::Dimension,
        });
    }
    let (from, to) = (Point::new(left.x, y), Point::new(right.x, y));
    let middle = from.half_way(to);
    if to.x - from.x < 2.0 * ARROW.0 + 1.0 {
        // Too narrow for arrows between: they come from outside.
        sketch.push(Item::Line {
            from: from.moved(-5.0, 0.0),
            to: to.moved(5.0, 0.0),
            style: Style::Dimension,
        });
        sketch.push(arrow(from, 1.0, 0.0));
        sketch.push(arrow(to, -1.0, 0.0));
    } else {
        sketch.push(Item::Line { from, to, style: Style::Dimension });
        sketch.push(arrow(from, -1.0, 0.0));
        sketch.push(arrow(to, 1.0, 0.0));
    }
    figure_text(
        sketch,
        Text {
            halo: Some(Style::SheetGround),
            ..text(middle.moved(0.0, -0.9), figure, BODY, Anchor::Middle, Weight::Regular, Style::Ink)
        },
    );
}

/// A dimension along y at `x`, with extension lines from where the thing ends. The figure reads upwards.
pub(crate) fn dimension_y(sketch: &mut Sketch, top: Point, bottom: Point, x: f64, figure: &str) {
    for end in [top, bottom] {
        let (from, to) = if x > end.x { (end.x + 1.0, x + 1.2) } else { (end.x - 1.0, x - 1.2) };
        sketch.push(Item::Line {
            from: Point::new(from, end.y),
            to: Point::new(to, end.y),
            style: Style::Dimension,
        });
    }
    let (from, to) = (Point::new(x, top.y), Point::new(x, bottom.y));
    let long = to.y - from.y;
    if long < 2.0 * ARROW.0 + 1.0 {
        sketch.push(Item::Line {
            from: from.moved(0.0, -5.0),
            to: to.moved(0.0, 5.0),
            style: Style::Dimension,
        });
        sketch.push(arrow(from, 0.0, 1.0));
        sketch.push(arrow(to, 0.0, -1.0));
    } else {
        sketch.push(Item::Line { from, to, style: Style::Dimension });
        sketch.push(arrow(from, 0.0, -1.0));
        sketch.push(arrow(to, 0.0, 1.0));
    }
    let wide = width(figure, BODY, Weight::Regular);
    let mut at = from.half_way(to).moved(-0.9, 0.0);
    let upright = long > wide + 1.0;
    let anchor = if upright { Anchor::Middle } else { Anchor::Start };
    if !upright {
        // No room along the line: level, beside it.
        at = from.half_way(to).moved(1.2, BODY * 0.36);
    }
    figure_text(
        sketch,
        Text {
            upright,
            halo: Some(Style::SheetGround),
            ..text(at, figure, BODY, anchor, Weight::Regular, Style::Ink)
        },
    );
}

fn figure_text(sketch: &mut Sketch, figure: Text) {
    sketch.take(crate::svg::text_area(&figure));
    sketch.push(Item::Text(figure));
}

/// A number in a circle.
pub(crate) fn balloon(centre: Point, number: usize) -> Vec<Item> {
    vec![
        Item::Circle { centre, radius: BALLOON, style: Style::Balloon },
        Item::Text(centred(centre, number.to_string(), SMALL, Weight::Bold, Style::Ink)),
    ]
}

/// The datum mark: a circle with two filled quarters.
pub(crate) fn datum(centre: Point, radius: f64) -> Vec<Item> {
    let mut items = vec![Item::Circle { centre, radius, style: Style::Tab }];
    for (sx, sy) in [(1.0, -1.0), (-1.0, 1.0)] {
        // A quarter of a circle in straight pieces: cosines and sines of 0, 22.5, 45, 67.5 and 90 degrees.
        let mut points = vec![centre];
        for (c, s) in [
            (1.0, 0.0),
            (0.923_88, 0.382_68),
            (FRAC_1_SQRT_2, FRAC_1_SQRT_2),
            (0.382_68, 0.923_88),
            (0.0, 1.0),
        ] {
            points.push(centre.moved(sx * c * radius, sy * s * radius));
        }
        items.push(Item::Path { points, closed: true, round: 0.0, style: Style::Mark, width: None });
    }
    items
}

/// The point of an area that is nearest to a point.
pub(crate) fn nearest(area: &SheetRect, at: Point) -> Point {
    Point::new(at.x.clamp(area.left, area.right), at.y.clamp(area.top, area.bottom))
}

/// A hairline from a label to what it names, where the two do not lie next to each other anyway.
pub(crate) fn pointer(label: &SheetRect, to: Point) -> Option<Item> {
    let from = nearest(label, to);
    let away = (from.x - to.x).abs().max((from.y - to.y).abs());
    (away > 1.6).then_some(Item::Line { from, to, style: Style::Hair })
}

/// Lines at 45 degrees through an area, `step` apart along x.
pub(crate) fn hatch(area: &SheetRect, step: f64, style: Style) -> Vec<Item> {
    let mut items = Vec::new();
    let (wide, high) = (area.width(), area.height());
    if step <= 0.0 || wide <= 0.0 || high <= 0.0 || (wide + high) / step > 2000.0 {
        return items;
    }
    // Hatchings that overlap fall on the same lines.
    let mut at = step - (area.left + area.top).rem_euclid(step);
    while at < wide + high {
        // The line x + y = at, from the area's top left corner.
        let (x0, x1) = ((at - high).max(0.0), at.min(wide));
        items.push(Item::Line {
            from: Point::new(area.left + x0, area.top + at - x0),
            to: Point::new(area.left + x1, area.top + at - x1),
            style,
        });
        at += step;
    }
    items
}

/// What lines and marks mean, for a sheet at this scale, in two rows.
pub fn legend(scale: Scale) -> Drawing {
    const COLUMN: f64 = 32.0;
    const ROW: f64 = 6.0;
    let mut sketch = Sketch::new();
    let at = |column: f64, row: f64| Point::new(column * COLUMN, row * ROW);
    let label = |sketch: &mut Sketch, at: Point, words: &str| {
        sketch.push(Item::Text(text(
            at.moved(11.0, SMALL * 0.36),
            words,
            SMALL,
            Anchor::Start,
            Weight::Regular,
            Style::Ink,
        )));
    };
    // Five classes in the room of four columns: each as wide as its word.
    for (column, class, words) in [
        (0.0, LeadClass::Signal, words::LEGEND_SIGNAL),
        (0.66, LeadClass::Dc, words::LEGEND_DC),
        (1.62, LeadClass::Control, words::LEGEND_CONTROL),
        (2.3, LeadClass::Ac, words::LEGEND_AC),
        (3.3, LeadClass::Mains, words::LEGEND_MAINS),
    ] {
        let from = at(column, 0.0);
        sketch.push(Item::Path {
            points: vec![from, from.moved(9.0, 0.0)],
            closed: false,
            round: 0.0,
            style: Style::Lead(class),
            width: Some((lead_width(class) * scale.factor()).max(0.3)),
        });
        label(&mut sketch, from, words);
    }
    for (column, style, words) in [
        (0.0, Style::Plug, words::LEGEND_PLUG),
        (1.0, Style::Bend, words::LEGEND_BEND),
        (2.0, Style::Hidden, words::LEGEND_HIDDEN),
    ] {
        let from = at(column, 1.0);
        let area = SheetRect::around(from.moved(4.5, 0.0), 6.0, 3.4);
        sketch.push(Item::Rect { area, corner: 0.0, style });
        label(&mut sketch, from, words);
    }
    let place = at(3.0, 1.0);
    sketch.items.extend(outlet_tag(place.moved(4.0, 0.0), words::LEGEND_OUTLET_SAMPLE, LeadClass::Dc));
    label(&mut sketch, place, words::LEGEND_OUTLET);
    let place = at(0.0, 2.0);
    sketch.push(triangle(place.moved(5.4, 0.0), -1.0, 0.0, 1.9));
    label(&mut sketch, place, words::LEGEND_IN_OUT);
    let place = at(1.0, 2.0);
    sketch.items.extend(switch(place.moved(4.5, 0.0), 1.6));
    label(&mut sketch, place, words::LEGEND_SWITCH);
    let place = at(2.0, 2.0);
    sketch.items.extend(balloon(place.moved(4.5, 0.0), 1));
    label(&mut sketch, place, words::LEGEND_GAP);
    let place = at(3.0, 2.0);
    sketch.items.extend(datum(place.moved(4.5, 0.0), 1.5));
    label(&mut sketch, place, words::LEGEND_DATUM);
    sketch.finish("legend", words::LEGEND.to_owned(), scale, 0.6)
}

/// A foot switch: two circles.
pub(crate) fn switch(centre: Point, radius: f64) -> Vec<Item> {
    vec![
        Item::Circle { centre, radius, style: Style::Switch },
        Item::Circle { centre, radius: radius * 0.57, style: Style::Narrow },
    ]
}

/// A filled triangle with its tip at a point, pointing along (dx, dy), one of the four directions.
pub(crate) fn triangle(tip: Point, dx: f64, dy: f64, long: f64) -> Item {
    let half = long * 0.62;
    Item::Path {
        points: vec![
            tip,
            tip.moved(-dx * long + dy * half, -dy * long + dx * half),
            tip.moved(-dx * long - dy * half, -dy * long - dx * half),
        ],
        closed: true,
        round: 0.0,
        style: Style::Mark,
        width: None,
    }
}

/// A padlock, of this height, hanging from a point: what layout may not move.
pub(crate) fn padlock(at: Point, high: f64) -> Vec<Item> {
    let (wide, shackle) = (high * 0.72, high * 0.42);
    let body = SheetRect { left: at.x, top: at.y + shackle, right: at.x + wide, bottom: at.y + high };
    let (a, b) = (at.x + wide * 0.2, at.x + wide * 0.8);
    let points =
        vec![Point::new(a, body.top), Point::new(a, at.y), Point::new(b, at.y), Point::new(b, body.top)];
    vec![
        Item::Path { points, closed: false, round: high * 0.2, style: Style::Contact, width: None },
        Item::Rect { area: body, corner: 0.15, style: Style::Mark },
    ]
}

/// The room an outlet's tag takes.
pub(crate) fn outlet_tag_size(content: &str) -> (f64, f64) {
    (width(content, SMALL, Weight::Bold) + 1.8, SMALL + 1.0)
}

/// An outlet's tag in a border of its class, around a centre.
pub(crate) fn outlet_tag(centre: Point, content: &str, class: LeadClass) -> Vec<Item> {
    let (wide, high) = outlet_tag_size(content);
    vec![
        Item::Rect {
            area: SheetRect::around(centre, wide, high),
            corner: 0.5,
            style: Style::OutletTag(class),
        },
        Item::Text(centred(centre, content, SMALL, Weight::Bold, Style::Ink)),
    ]
}

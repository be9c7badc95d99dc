//! A drawing as DXF (R12): true millimetres from the drawing's datum, y up, plain entities on named layers.
//!
//! Circles, lines and polylines only, so that any drawing program opens it. Three layers matter to who drills:
//! `HOLES`, `OUTLINE` and `TEXT`; every other role has a layer of its own name.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use crate::model::{Anchor, Drawing, Item, Point, SheetRect, Text};
use crate::style::Style;
use crate::text::CAPITAL;

/// The bulge of a quarter circle: tan(90° / 4).
const QUARTER: f64 = 0.414_213_562_373_095_1;

/// The drawing as a DXF document.
pub fn dxf(drawing: &Drawing) -> String {
    let mut writer = Writer { out: String::new(), drawing, layers: BTreeSet::new() };
    for item in &drawing.items {
        writer.item(item);
    }
    let entities = writer.out;
    let mut out = String::new();
    let mut pair = |code: i32, value: &str| {
        // Writing to a `String` cannot fail.
        let _ = write!(out, "{code:>3}\r\n{value}\r\n");
    };
    for (code, value) in [
        (0, "SECTION"),
        (2, "HEADER"),
        (9, "$ACADVER"),
        (1, "AC1009"),
        (9, "$MEASUREMENT"),
        (70, "1"),
        (0, "ENDSEC"),
        (0, "SECTION"),
        (2, "TABLES"),
        (0, "TABLE"),
        (2, "LTYPE"),
        (70, "1"),
        (0, "LTYPE"),
        (2, "CONTINUOUS"),
        (70, "0"),
        (3, "Solid line"),
        (72, "65"),
        (73, "0"),
        (40, "0.0"),
        (0, "ENDTAB"),
        (0, "TABLE"),
        (2, "LAYER"),
    ] {
        pair(code, value);
    }
    pair(70, &writer.layers.len().to_string());
    for (index, layer) in writer.layers.iter().enumerate() {
        let colour = (index % 6 + 1).to_string();
        for (code, value) in
            [(0, "LAYER"), (2, layer.as_str()), (70, "0"), (62, colour.as_str()), (6, "CONTINUOUS")]
        {
            pair(code, value);
        }
    }
    for (code, value) in [(0, "ENDTAB"), (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")] {
        pair(code, value);
    }
    out.push_str(&entities);
    out.push_str("  0\r\nENDSEC\r\n  0\r\nEOF\r\n");
    out
}

/// The layer a role is drawn on.
fn layer(style: Style) -> String {
    match style {
        Style::Hole => "HOLES".to_owned(),
        Style::Outline | Style::BoardEdge => "OUTLINE".to_owned(),
        other => other.word().to_ascii_uppercase(),
    }
}

struct Writer<'a> {
    out: String,
    drawing: &'a Drawing,
    layers: BTreeSet<String>,
}

impl Writer<'_> {
    fn pair(&mut self, code: i32, value: &str) {
        let _ = write!(self.out, "{code:>3}\r\n{value}\r\n");
    }

    fn number(&mut self, code: i32, value: f64) {
        // Never a minus zero; a millionth of a millimetre is finer than any drill.
        let text = format!("{:.6}", if value.is_finite() { value + 0.0 } else { 0.0 });
        let text = if text == "-0.000000" { "0.000000" } else { &text };
        self.pair(code, text);
    }

    fn at(&mut self, first: i32, point: Point) {
        let (x, y) = self.true_place(point);
        self.number(first, x);
        self.number(first + 10, y);
    }

    fn true_place(&self, point: Point) -> (f64, f64) {
        let k = self.drawing.scale.factor();
        ((point.x - self.drawing.datum.x) / k, (self.drawing.datum.y - point.y) / k)
    }

    fn begin(&mut self, kind: &str, layer: String) {
        self.pair(0, kind);
        self.pair(8, &layer);
        self.layers.insert(layer);
    }

    fn item(&mut self, item: &Item) {
        let k = self.drawing.scale.factor();
        match item {
            Item::Line { from, to, style } => {
                self.begin("LINE", layer(*style));
                self.at(10, *from);
                self.at(11, *to);
            }
            Item::Circle { centre, radius, style } => {
                self.begin("CIRCLE", layer(*style));
                self.at(10, *centre);
                self.number(40, radius / k);
            }
            Item::Rect { area, corner, style } => {
                // A ground laid beneath something is paint, not geometry.
                if !matches!(style, Style::PlateGround | Style::SheetGround) {
                    let (points, closed) = (rectangle(area, *corner), true);
                    self.polyline(&points, closed, *style);
                }
            }
            Item::Path { points, closed, style, .. } => {
                if !matches!(style, Style::LeadHalo(_)) {
                    let points: Vec<(Point, f64)> = points.iter().map(|point| (*point, 0.0)).collect();
                    self.polyline(&points, *closed, *style);
                }
            }
            Item::Text(text) => self.text(text),
            Item::Group(group) => group.items.iter().for_each(|item| self.item(item)),
        }
    }

    fn polyline(&mut self, points: &[(Point, f64)], closed: bool, style: Style) {
        self.begin("POLYLINE", layer(style));
        self.pair(66, "1");
        self.number(10, 0.0);
        self.number(20, 0.0);
        self.pair(70, if closed { "1" } else { "0" });
        for (point, bulge) in points {
            self.begin("VERTEX", layer(style));
            self.at(10, *point);
            if *bulge != 0.0 {
                self.number(42, *bulge);
            }
        }
        self.begin("SEQEND", layer(style));
    }

    fn text(&mut self, text: &Text) {
        if text.content.is_empty() {
            return;
        }
        let k = self.drawing.scale.factor();
        self.begin("TEXT", "TEXT".to_owned());
        self.at(10, text.at);
        self.number(40, text.size_mm * CAPITAL / k);
        self.pair(1, &plain(&text.content));
        if text.upright {
            self.number(50, 90.0);
        }
        let align = match text.anchor {
            Anchor::Start => return,
            Anchor::Middle => "1",
            Anchor::End => "2",
        };
        self.pair(72, align);
        self.at(11, text.at);
    }
}

/// The corners of a rectangle, clockwise on the sheet, with the bulge of each round corner.
fn rectangle(area: &SheetRect, corner: f64) -> Vec<(Point, f64)> {
    let SheetRect { left, top, right, bottom } = *area;
    let r = corner.min(area.width() / 2.0).min(area.height() / 2.0);
    if r <= 0.0 {
        return [(left, top), (right, top), (right, bottom), (left, bottom)]
            .map(|(x, y)| (Point::new(x, y), 0.0))
            .to_vec();
    }
    // Clockwise on the sheet is clockwise in the file too, whose y points up: bulges are negative.
    [
        (left + r, top, 0.0),
        (right - r, top, -QUARTER),
        (right, top + r, 0.0),
        (right, bottom - r, -QUARTER),
        (right - r, bottom, 0.0),
        (left + r, bottom, -QUARTER),
        (left, bottom - r, 0.0),
        (left, top + r, -QUARTER),
    ]
    .map(|(x, y, bulge)| (Point::new(x, y), bulge))
    .to_vec()
}

/// Text as R12 takes it: one line of ASCII, other characters by number, no control codes.
fn plain(content: &str) -> String {
    let mut out = String::new();
    for c in content.chars() {
        match c {
            // Two percent signs begin a code; a third one makes them a sign again.
            '%' => out.push_str("%%%"),
            '^' => out.push_str("^ "),
            ' '..='~' => out.push(c),
            c if c.is_control() => {}
            c => {
                let mut units = [0; 2];
                for unit in c.encode_utf16(&mut units) {
                    let _ = write!(out, "\\U+{unit:04X}");
                }
            }
        }
    }
    out
}

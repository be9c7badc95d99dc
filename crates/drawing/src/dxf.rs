//! A drawing as DXF (R12): true millimetres from the drawing's datum, y up, plain entities on named layers.
//!
//! Circles, lines and polylines only, so that any drawing program opens it. Five layers matter to who cuts: `CUT`, `DRILL`,
//! `PILOT`, `ENGRAVE` and `DIMENSION`, which has all text, too; every other role has a layer of its own name.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use crate::model::{Anchor, Drawing, Item, Point, SheetRect, Text};
use crate::style::{PLATE, Style};
use crate::text::CAPITAL;

/// The bulge of a quarter circle: tan(90° / 4).
const QUARTER: f64 = 0.414_213_562_373_095_1;

/// The drawing as a DXF document.
pub fn dxf(drawing: &Drawing) -> String {
    let nothing = (f64::INFINITY, f64::INFINITY);
    let mut writer = Writer {
        out: String::new(),
        drawing,
        layers: BTreeSet::new(),
        low: nothing,
        high: (-nothing.0, -nothing.1),
    };
    for item in &drawing.items {
        writer.item(item);
    }
    let entities = std::mem::take(&mut writer.out);
    let mut out = String::new();
    let mut pair = |code: i32, value: &str| {
        // Writing to a `String` cannot fail.
        let _ = write!(out, "{code:>3}\r\n{value}\r\n");
    };
    let corner = |x: f64, y: f64| (millimetres(x), millimetres(y));
    let (low, high) = (corner(writer.low.0, writer.low.1), corner(writer.high.0, writer.high.1));
    for (code, value) in [
        (0, "SECTION"),
        (2, "HEADER"),
        (9, "$ACADVER"),
        (1, "AC1009"),
        // Millimetres. R12 has no such variable of its own; later readers take it, and the others go by the next.
        (9, "$INSUNITS"),
        (70, "4"),
        (9, "$MEASUREMENT"),
        (70, "1"),
        (9, "$EXTMIN"),
        (10, &low.0),
        (20, &low.1),
        (9, "$EXTMAX"),
        (10, &high.0),
        (20, &high.1),
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

/// The layer a role is drawn on in a drawing.
fn layer(drawing: &Drawing, style: Style, is_circle: bool) -> String {
    style.layer(drawing.name == PLATE, is_circle)
}

struct Writer<'a> {
    out: String,
    drawing: &'a Drawing,
    layers: BTreeSet<String>,
    /// The corners of all that is drawn so far.
    low: (f64, f64),
    high: (f64, f64),
}

/// Never a minus zero; a millionth of a millimetre is finer than any drill.
fn millimetres(value: f64) -> String {
    let text = format!("{:.6}", if value.is_finite() { value + 0.0 } else { 0.0 });
    if text == "-0.000000" { "0.000000".to_owned() } else { text }
}

impl Writer<'_> {
    fn pair(&mut self, code: i32, value: &str) {
        let _ = write!(self.out, "{code:>3}\r\n{value}\r\n");
    }

    fn number(&mut self, code: i32, value: f64) {
        self.pair(code, &millimetres(value));
    }

    fn at(&mut self, first: i32, point: Point) {
        let (x, y) = self.true_place(point);
        self.reaches(x, y, 0.0);
        self.number(first, x);
        self.number(first + 10, y);
    }

    /// Notes how far what is drawn reaches.
    fn reaches(&mut self, x: f64, y: f64, by: f64) {
        self.low = (self.low.0.min(x - by), self.low.1.min(y - by));
        self.high = (self.high.0.max(x + by), self.high.1.max(y + by));
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
                self.begin("LINE", layer(self.drawing, *style, false));
                self.at(10, *from);
                self.at(11, *to);
            }
            Item::Circle { centre, radius, style } => {
                self.begin("CIRCLE", layer(self.drawing, *style, true));
                self.at(10, *centre);
                let (x, y) = self.true_place(*centre);
                self.reaches(x, y, radius / k);
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
        self.begin("POLYLINE", layer(self.drawing, style, false));
        self.pair(66, "1");
        self.number(10, 0.0);
        self.number(20, 0.0);
        self.pair(70, if closed { "1" } else { "0" });
        for (point, bulge) in points {
            self.begin("VERTEX", layer(self.drawing, style, false));
            self.at(10, *point);
            if *bulge != 0.0 {
                self.number(42, *bulge);
            }
        }
        self.begin("SEQEND", layer(self.drawing, style, false));
    }

    fn text(&mut self, text: &Text) {
        if text.content.is_empty() {
            return;
        }
        let k = self.drawing.scale.factor();
        let layer = if text.style == Style::Engraved { "ENGRAVE" } else { "DIMENSION" };
        self.begin("TEXT", layer.to_owned());
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
            // R12 has codes of its own for these, which every reader knows.
            '⌀' | 'Ø' | 'ø' => out.push_str("%%c"),
            '°' => out.push_str("%%d"),
            '±' => out.push_str("%%p"),
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

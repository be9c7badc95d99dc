//! A drawing as SVG: fixed precision, stable ids, the same bytes for the same drawing.

use std::fmt::Write as _;

use crate::model::{Anchor, Drawing, Group, Item, Point, SheetRect, Text, Weight};
use crate::style::{Colour, PLATE, Pen, Style};
use crate::text::{CAPITAL, DESCENT, width};

/// Screen pixels in a millimetre, as CSS has it.
const PX: f64 = 96.0 / 25.4;
/// The least width a lead is drawn with, so that it stays in sight on a small scale.
const LEAST_LEAD: f64 = 0.3;
/// The width of every line for a machine: what cutters take for a path, not for a shape.
const THIN: f64 = 0.1;
/// How far a halo reaches beyond its text.
const HALO: f64 = 0.45;

/// Where a drawing is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Theme {
    /// On white paper or in a file: light colours, written out.
    Paper,
    /// On a page that may be light or dark: colours are its custom properties (`--ink`, `--signal` …), with
    /// the light ones to fall back on, and line weights do not grow when the drawing is zoomed.
    Screen,
}

/// The drawing as an SVG document.
pub fn svg(drawing: &Drawing, theme: Theme) -> String {
    let mut writer = Writer { out: String::new(), theme, factor: drawing.scale.factor(), is_thin: false };
    let (w, h) = (number(drawing.width_mm), number(drawing.height_mm));
    // Writing to a `String` cannot fail.
    let _ = writeln!(
        writer.out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\" \
         role=\"img\" aria-label=\"{}\" font-family=\"Noto Sans, DejaVu Sans\">",
        escape(&drawing.title)
    );
    for item in &drawing.items {
        writer.item(item);
    }
    writer.out.push_str("</svg>\n");
    writer.out
}

/// The drawing for a cutter, life-size: thin lines without ground, one group for each layer of [`dxf`](crate::dxf()), named
/// as there.
pub fn layered(drawing: &Drawing) -> String {
    let mut layers: std::collections::BTreeMap<String, Writer> = std::collections::BTreeMap::new();
    layer_items(drawing, &drawing.items, &mut layers);
    let (w, h) = (number(drawing.width_mm), number(drawing.height_mm));
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\" \
         role=\"img\" aria-label=\"{}\" font-family=\"Noto Sans, DejaVu Sans\">\n",
        escape(&drawing.title)
    );
    for (name, writer) in layers {
        let _ = write!(out, "<g id=\"{name}\">\n{}</g>\n", writer.out);
    }
    out.push_str("</svg>\n");
    out
}

fn layer_items(drawing: &Drawing, items: &[Item], layers: &mut std::collections::BTreeMap<String, Writer>) {
    let is_plate = drawing.name == PLATE;
    for item in items {
        let name = match item {
            Item::Group(group) => {
                layer_items(drawing, &group.items, layers);
                continue;
            }
            Item::Rect { style: Style::PlateGround | Style::SheetGround, .. } => continue,
            Item::Line { style, .. } | Item::Rect { style, .. } | Item::Path { style, .. } => {
                style.layer(is_plate, false)
            }
            Item::Circle { style, .. } => style.layer(is_plate, true),
            Item::Text(text) if text.style == Style::Engraved => text.style.layer(is_plate, false),
            Item::Text(_) => Style::Ink.layer(is_plate, false),
        };
        let writer = layers.entry(name).or_insert_with(|| Writer {
            out: String::new(),
            theme: Theme::Paper,
            factor: drawing.scale.factor(),
            is_thin: true,
        });
        match item {
            Item::Text(text) => writer.item(&Item::Text(Text { halo: None, ..text.clone() })),
            other => writer.item(other),
        }
    }
}

/// Text for XML: markup escaped, characters that XML does not allow left out.
pub(crate) fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\u{fffe}' | '\u{ffff}' => {}
            c if c.is_control() => {}
            c => out.push(c),
        }
    }
    out
}

/// At most three decimals, no needless zeros, never a minus zero.
pub(crate) fn number(value: f64) -> String {
    let value = if value.is_finite() { value } else { 0.0 };
    let text = format!("{value:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

struct Writer {
    out: String,
    theme: Theme,
    factor: f64,
    /// Whether every line is a hairline and nothing is filled but text, for a machine.
    is_thin: bool,
}

impl Writer {
    fn item(&mut self, item: &Item) {
        match item {
            Item::Line { from, to, style } => {
                let pen = self.pen(*style, None, false);
                let d = format!("M{} {}L{} {}", number(from.x), number(from.y), number(to.x), number(to.y));
                let _ = writeln!(self.out, "<path d=\"{d}\"{pen}/>");
            }
            Item::Path { points, closed, round, style, width } => {
                let pen = self.pen(*style, *width, true);
                let _ = writeln!(self.out, "<path d=\"{}\"{pen}/>", path(points, *closed, *round));
            }
            Item::Rect { area, corner, style } => self.rect(area, *corner, *style),
            Item::Circle { centre, radius, style } => {
                let pen = self.pen(*style, None, true);
                let (x, y, r) = (number(centre.x), number(centre.y), number(*radius));
                let _ = writeln!(self.out, "<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\"{pen}/>");
            }
            Item::Text(text) => self.text(text),
            Item::Group(group) => self.group(group),
        }
    }

    fn rect(&mut self, area: &SheetRect, corner: f64, style: Style) {
        let pen = self.pen(style, None, true);
        let (x, y, w, h) = (area.left, area.top, area.width(), area.height());
        let _ = write!(
            self.out,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"",
            number(x),
            number(y),
            number(w),
            number(h)
        );
        if corner > 0.0 {
            let _ = write!(self.out, " rx=\"{}\"", number(corner));
        }
        let _ = writeln!(self.out, "{pen}/>");
    }

    fn text(&mut self, text: &Text) {
        if text.content.is_empty() {
            return;
        }
        if let Some(ground) = text.halo {
            self.rect(&text_area(text).grown(HALO), 0.0, ground);
        }
        let (x, y, size) = (number(text.at.x), number(text.at.y), number(text.size_mm));
        let _ = write!(self.out, "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\"");
        match text.anchor {
            Anchor::Start => {}
            Anchor::Middle => self.out.push_str(" text-anchor=\"middle\""),
            Anchor::End => self.out.push_str(" text-anchor=\"end\""),
        }
        if text.weight == Weight::Bold {
            self.out.push_str(" font-weight=\"700\"");
        }
        if text.upright {
            let _ = write!(self.out, " transform=\"rotate(-90 {x} {y})\"");
        }
        let pen = self.pen(text.style, None, true);
        let _ = writeln!(self.out, "{pen}>{}</text>", escape(&text.content));
    }

    fn group(&mut self, group: &Group) {
        let _ = write!(self.out, "<g id=\"{}\"", escape(&group.id));
        if let Some(device) = &group.device {
            let _ = write!(self.out, " data-device=\"{}\"", escape(device));
        }
        if let Some(lead) = &group.lead {
            let _ = write!(self.out, " data-lead=\"{}\"", escape(lead));
        }
        let _ = writeln!(self.out, " role=\"img\" aria-label=\"{}\">", escape(&group.title));
        for item in &group.items {
            self.item(item);
        }
        self.out.push_str("</g>\n");
    }

    /// The attributes of a role. Presentation attributes need no style sheet and pass a strict content policy.
    fn pen(&self, style: Style, own_width: Option<f64>, can_fill: bool) -> String {
        let pen = style.pen();
        let mut out = String::new();
        if self.is_thin && pen.stroke.is_some() {
            return format!(" fill=\"none\" stroke=\"#000000\" stroke-width=\"{}\"", number(THIN));
        }
        if self.theme == Theme::Screen {
            let _ = write!(out, " class=\"{}\"", style.word());
        }
        match pen.fill.filter(|_| can_fill) {
            Some(fill) => {
                let _ = write!(out, " fill=\"{}\"", self.colour(fill));
            }
            None if can_fill => out.push_str(" fill=\"none\""),
            None => {}
        }
        if let Some(stroke) = pen.stroke {
            let _ = write!(out, " stroke=\"{}\"", self.colour(stroke));
            self.weight(&pen, own_width, &mut out);
        }
        out
    }

    fn weight(&self, pen: &Pen, own_width: Option<f64>, out: &mut String) {
        // True sizes follow the scale and the zoom; line weights follow neither.
        let fixed = self.theme == Theme::Screen && !pen.true_size;
        let unit = if pen.true_size {
            self.factor
        } else if fixed {
            PX
        } else {
            1.0
        };
        let width = own_width.unwrap_or(pen.width * unit);
        let width = if pen.true_size { width.max(LEAST_LEAD) } else { width };
        let _ = write!(out, " stroke-width=\"{}\"", number(width));
        if !pen.dash.is_empty() {
            // Dashes of a lead stay longer than it is wide.
            let unit = if pen.true_size { unit.max(0.12) } else { unit };
            let dash: Vec<String> = pen.dash.iter().map(|part| number(part * unit)).collect();
            let _ = write!(out, " stroke-dasharray=\"{}\"", dash.join(" "));
        }
        if fixed {
            out.push_str(" vector-effect=\"non-scaling-stroke\"");
        }
        if pen.true_size {
            out.push_str(" stroke-linejoin=\"round\"");
        }
    }

    fn colour(&self, colour: Colour) -> String {
        let (token, light, paper) = colour.values();
        match self.theme {
            Theme::Paper => paper.to_owned(),
            Theme::Screen => format!("var(--{token},{light})"),
        }
    }
}

/// The room a text takes on the sheet.
pub(crate) fn text_area(text: &Text) -> SheetRect {
    let long = width(&text.content, text.size_mm, text.weight);
    let (up, down) = (CAPITAL * text.size_mm, DESCENT * text.size_mm);
    let start = match text.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => -long / 2.0,
        Anchor::End => -long,
    };
    let Point { x, y } = text.at;
    if text.upright {
        SheetRect { left: x - up, right: x + down, top: y - start - long, bottom: y - start }
    } else {
        SheetRect { left: x + start, right: x + start + long, top: y - up, bottom: y + down }
    }
}

fn path(points: &[Point], closed: bool, round: f64) -> String {
    let mut d = String::new();
    let at = |point: Point| format!("{} {}", number(point.x), number(point.y));
    let Some(first) = points.first() else { return d };
    let _ = write!(d, "M{}", at(*first));
    for (index, point) in points.iter().enumerate().skip(1) {
        let before = points[index - 1];
        match points.get(index + 1) {
            Some(after) if round > 0.0 => {
                let (into, out_of) = (toward(*point, before, round), toward(*point, *after, round));
                let _ = write!(d, "L{}Q{} {}", at(into), at(*point), at(out_of));
            }
            _ => {
                let _ = write!(d, "L{}", at(*point));
            }
        }
    }
    if closed {
        d.push('Z');
    }
    d
}

/// The point so far from a corner towards its neighbour, at most half way.
fn toward(corner: Point, neighbour: Point, by: f64) -> Point {
    let (dx, dy) = (neighbour.x - corner.x, neighbour.y - corner.y);
    let long = (dx * dx + dy * dy).sqrt();
    if long <= 0.0 {
        return corner;
    }
    let part = (by / long).min(0.5);
    corner.moved(dx * part, dy * part)
}

//! What a recording of the finished board shows: its response beside the prediction, and the spectrum of its silence.
//!
//! Both have a logarithmic axis from 20 Hz to 20 kHz. The curves come as plain figures; nothing is computed here but where
//! they lie.

use crate::axis::{self, FROM, TO};
use crate::band::{decibels, sample};
use crate::model::{Anchor, Drawing, Item, Point, Scale, SheetRect, Weight};
use crate::sketch::{Sketch, group, text};
use crate::style::Style;
use crate::text::{CAPITAL, clean, width};
use crate::words;

/// A part of the frequency axis that is judged by itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlotBand {
    /// From, in hertz.
    pub from_hz: f64,
    /// To, in hertz.
    pub to_hz: f64,
    /// Measured less expected, in decibels.
    pub off_db: f64,
    /// Whether that passes.
    pub passes: bool,
}

/// Another recording drawn beside: the one of before a change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beside<'a> {
    /// What it is called.
    pub name: &'a str,
    /// Its change against the straight lead, as long as the frequencies.
    pub change_db: &'a [f64],
}

/// The response of one recording. All slices are as long as `frequencies`; an empty one is not drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ResponsePlot<'a> {
    /// What was recorded, for a screen reader.
    pub title: &'a str,
    /// Hertz, rising.
    pub frequencies: &'a [f64],
    /// The board against the straight lead, in decibels.
    pub measured_db: &'a [f64],
    /// What the circuit makes one expect.
    pub expected_db: &'a [f64],
    /// How far parts within their tolerance may take it either way.
    pub tolerance_db: &'a [f64],
    /// The recording of before.
    pub before: Option<Beside<'a>>,
    /// Measured less expected, band by band.
    pub bands: &'a [PlotBand],
    /// Whether it is as large as a thumb: curves alone, without words.
    pub is_thumb: bool,
}

/// A line in the spectrum of a silence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HumLine<'a> {
    /// Where it stands, in hertz.
    pub hertz: f64,
    /// Its level in dBFS.
    pub level_db: f64,
    /// What kind of hum it is of.
    pub kind: &'a str,
}

/// The spectrum of a silence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SilencePlot<'a> {
    /// What was recorded, for a screen reader.
    pub title: &'a str,
    /// Frequencies of the spectrum, rising.
    pub frequencies: &'a [f64],
    /// The board's level at each, in dBFS.
    pub board_db: &'a [f64],
    /// That of the straight lead.
    pub reference_db: &'a [f64],
    /// Lines that stand out.
    pub lines: &'a [HumLine<'a>],
}

/// A plot's area with its two axes.
struct Axes {
    area: SheetRect,
    low: f64,
    high: f64,
    step: f64,
    type_mm: f64,
    unit: &'static str,
}

impl Axes {
    fn x(&self, hertz: f64) -> f64 {
        axis::x(&self.area, hertz.max(FROM))
    }

    fn y(&self, db: f64) -> f64 {
        let db = if db.is_finite() { db.clamp(self.low, self.high) } else { self.low };
        self.area.top + (self.high - db) / (self.high - self.low) * self.area.height()
    }

    /// The ground, the grid and the figures of both axes. `foot` is where the figures of the frequencies hang from.
    fn draw(&self, sketch: &mut Sketch, name: &'static str, foot: f64) {
        let SheetRect { left, right, .. } = self.area;
        let line = |from, to, style| Item::Line { from, to, style };
        let mut items = vec![Item::Rect { area: self.area, corner: 0.0, style: Style::SheetGround }];
        items.extend(axis::grid(&self.area));
        let mut db = self.low;
        while db <= self.high + 1e-9 {
            let y = self.y(db);
            let style = if db.abs() < 1e-9 { Style::Hair } else { Style::Grid };
            items.push(line(Point::new(left, y), Point::new(right, y), style));
            let at = Point::new(left - 1.2, y + CAPITAL * self.type_mm / 2.0);
            let figure = decibels(db, 0);
            items.push(Item::Text(text(at, figure, self.type_mm, Anchor::End, Weight::Regular, Style::Ink)));
            db += self.step;
        }
        items.extend(axis::figures(&self.area, self.type_mm, foot, self.unit));
        sketch.push(Item::Group(group("plot", "axes", name, name.to_owned(), items)));
    }

    fn curve(&self, frequencies: &[f64], values: &[f64], style: Style) -> Option<Item> {
        let points: Vec<Point> = frequencies
            .iter()
            .zip(values)
            .filter(|(hertz, db)| (FROM..=TO).contains(*hertz) && db.is_finite())
            .map(|(hertz, db)| Point::new(self.x(*hertz), self.y(*db)))
            .collect();
        (1 < points.len()).then_some(Item::Path { points, closed: false, round: 0.0, style, width: None })
    }
}

/// Where the plot lies on a sheet of this size, below so many lines of type and above so many.
fn area(width_mm: f64, height_mm: f64, type_mm: f64, above: f64, below: f64) -> SheetRect {
    SheetRect {
        left: width("−140", type_mm, Weight::Regular) + 2.0,
        top: type_mm * above,
        right: width_mm - width("20 k", type_mm, Weight::Regular) / 2.0 - 0.5,
        bottom: height_mm - type_mm * below,
    }
}

/// The sheet is as large as it was asked for.
fn finished(mut sketch: Sketch, name: &'static str, title: &str, width_mm: f64, height_mm: f64) -> Drawing {
    for corner in axis::corners(width_mm, height_mm) {
        sketch.push(corner);
    }
    sketch.finish(name, clean(title), Scale::one_to(1), 0.0)
}

/// The response of a recording with the band of its prediction, on a sheet of this size.
pub fn response_plot(plot: &ResponsePlot<'_>, width_mm: f64, height_mm: f64, type_mm: f64) -> Drawing {
    let size = type_mm;
    let foot = height_mm - size * 1.8;
    // The bands have a strip of their own between plot and figures.
    let strip = if plot.bands.is_empty() { 0.0 } else { 2.0 };
    let area = if plot.is_thumb {
        SheetRect { left: 0.5, top: 0.5, right: width_mm - 0.5, bottom: height_mm - 0.5 }
    } else {
        area(width_mm, height_mm, size, 2.2, 1.8 + strip)
    };
    let mut span = (-4.0_f64, 2.0_f64);
    let before = plot.before.map_or(&[][..], |before| before.change_db);
    for db in [plot.measured_db, plot.expected_db, before].into_iter().flatten().filter(|db| db.is_finite()) {
        span = (span.0.min(*db), span.1.max(*db));
    }
    let step = if span.1.min(18.0) - span.0.max(-36.0) < 20.0 { 2.0 } else { 6.0 };
    let low = ((span.0 / step).floor() * step).max(-36.0);
    let high = ((span.1 / step).ceil() * step).min(18.0).max(low + step);
    let axes = Axes { area, low, high, step, type_mm, unit: words::DECIBEL };
    let mut sketch = Sketch::new();
    if !plot.is_thumb {
        axes.draw(&mut sketch, "response", foot);
    }
    let mut items = Vec::new();
    if !plot.tolerance_db.is_empty() {
        let place = |at: usize, sign: f64| {
            let db = plot.expected_db[at] + sign * plot.tolerance_db[at];
            Point::new(axes.x(plot.frequencies[at]), axes.y(db))
        };
        let count = plot.frequencies.len().min(plot.expected_db.len()).min(plot.tolerance_db.len());
        let there = (0..count).map(|at| place(at, 1.0));
        let points: Vec<Point> = there.chain((0..count).rev().map(|at| place(at, -1.0))).collect();
        if 2 < points.len() {
            items.push(Item::Path { points, closed: true, round: 0.0, style: Style::Envelope, width: None });
        }
    }
    items.extend(axes.curve(plot.frequencies, plot.expected_db, Style::Reference));
    items.extend(axes.curve(plot.frequencies, before, Style::Hidden));
    items.extend(axes.curve(plot.frequencies, plot.measured_db, Style::Curve));
    items.push(axis::edge(&axes.area));
    sketch.push(Item::Group(group("plot", "curves", "response", clean(plot.title), items)));
    if plot.is_thumb {
        return finished(sketch, "response", plot.title, width_mm, height_mm);
    }
    bands(&mut sketch, &axes, plot.bands);
    let mut key = Vec::new();
    let mut x = area.left;
    let y = area.top - size * 0.7;
    let before_words = plot.before.map(|before| format!("before: {}", before.name));
    let samples = [
        Some(("measured", Style::Curve)),
        (!plot.expected_db.is_empty()).then_some(("expected", Style::Reference)),
        (!plot.tolerance_db.is_empty()).then_some(("with parts within tolerance", Style::Envelope)),
        before_words.as_deref().map(|words| (words, Style::Hidden)),
    ];
    for (words, style) in samples.into_iter().flatten() {
        x = sample(&mut key, Point::new(x, y), words, style, size, area.right);
    }
    sketch.push(Item::Group(group("plot", "key", "response", words::LEGEND.to_owned(), key)));
    finished(sketch, "response", plot.title, width_mm, height_mm)
}

/// Measured less expected below the plot, each figure in the part of the axis that it is of.
fn bands(sketch: &mut Sketch, axes: &Axes, bands: &[PlotBand]) {
    let (size, top) = (axes.type_mm, axes.area.bottom);
    let mut items = Vec::new();
    for band in bands {
        let (left, right) = (axes.x(band.from_hz), axes.x(band.to_hz));
        let area = SheetRect { left, top, right, bottom: top + size * 2.0 };
        items.push(Item::Rect { area, corner: 0.0, style: Style::Plug });
        let weight = if band.passes { Weight::Regular } else { Weight::Bold };
        let full = format!("{} {}", if band.passes { "pass" } else { "LOOK" }, decibels(band.off_db, 1));
        let short = decibels(band.off_db, 1);
        let words = if width(&full, size, weight) < right - left - 1.0 { full } else { short };
        let at = Point::new(f64::midpoint(left, right), top + size * 1.0 + CAPITAL * size / 2.0);
        items.push(Item::Text(text(at, words, size, Anchor::Middle, weight, Style::Ink)));
    }
    if !items.is_empty() {
        sketch.push(Item::Group(group(
            "plot",
            "bands",
            "off",
            "measured less expected, dB".to_owned(),
            items,
        )));
    }
}

/// The spectrum of a silence with the lines that stand out of it, on a sheet of this size.
pub fn silence_plot(plot: &SilencePlot<'_>, width_mm: f64, height_mm: f64, type_mm: f64) -> Drawing {
    let size = type_mm;
    let foot = height_mm - size * 1.8;
    let area = area(width_mm, height_mm, size, 2.2, 1.8);
    let all = plot.board_db.iter().chain(plot.reference_db).copied();
    let levels = all.chain(plot.lines.iter().map(|line| line.level_db)).filter(|db| db.is_finite());
    let (least, most) =
        levels.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), db| (low.min(db), high.max(db)));
    let (least, most) = if least < most { (least, most) } else { (-140.0, -60.0) };
    let low = ((least / 20.0).floor() * 20.0).max(-180.0);
    let high = (((most + 8.0) / 20.0).ceil() * 20.0).clamp(low + 20.0, 0.0_f64.max(low + 20.0));
    let axes = Axes { area, low, high, step: 20.0, type_mm, unit: words::FULL_SCALE };
    let mut sketch = Sketch::new();
    axes.draw(&mut sketch, "silence", foot);
    let mut items = Vec::new();
    items.extend(axes.curve(plot.frequencies, plot.reference_db, Style::Reference));
    items.extend(axes.curve(plot.frequencies, plot.board_db, Style::Curve));
    items.push(axis::edge(&axes.area));
    sketch.push(Item::Group(group("plot", "curves", "silence", clean(plot.title), items)));
    // The loudest lines get their figures first; one that has no room beside them goes without.
    let mut lines: Vec<&HumLine<'_>> = plot.lines.iter().collect();
    lines.sort_by(|a, b| b.level_db.total_cmp(&a.level_db));
    let mut taken: Vec<(f64, f64)> = Vec::new();
    let mut items = Vec::new();
    for line in lines {
        let (x, y) = (axes.x(line.hertz), axes.y(line.level_db));
        items.push(Item::Circle { centre: Point::new(x, y), radius: size * 0.2, style: Style::Balloon });
        let figure = format!("{:.0}", line.hertz);
        let named = format!("{figure} {}", line.kind);
        let free = |half: f64, taken: &[(f64, f64)]| {
            taken.iter().all(|(from, to)| x + half < *from || *to < x - half)
                && axes.area.left < x - half
                && x + half < axes.area.right
        };
        for words in [named, figure] {
            let half = width(&words, size, Weight::Regular) / 2.0 + 0.6;
            if free(half, &taken) {
                taken.push((x - half, x + half));
                let at = Point::new(x, (y - size * 0.5).max(axes.area.top + size));
                let mut figure = text(at, words, size, Anchor::Middle, Weight::Regular, Style::Ink);
                figure.halo = Some(Style::SheetGround);
                items.push(Item::Text(figure));
                break;
            }
        }
    }
    sketch.push(Item::Group(group("plot", "lines", "hum", "lines that stand out".to_owned(), items)));
    let mut key = Vec::new();
    let mut x = area.left;
    for (words, style) in [("board", Style::Curve), ("straight lead", Style::Reference)] {
        x = sample(&mut key, Point::new(x, area.top - size * 0.7), words, style, size, area.right);
    }
    sketch.push(Item::Group(group("plot", "key", "silence", words::LEGEND.to_owned(), key)));
    finished(sketch, "silence", plot.title, width_mm, height_mm)
}

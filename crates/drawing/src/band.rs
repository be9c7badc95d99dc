//! The band of levels over all switching states against the player's reference, over the frequency.
//!
//! Two plots one above the other share the frequency axis: the level, and its change against the reference with
//! the limits. Both have a logarithmic axis from 20 Hz to 20 kHz. The curves come as plain figures; nothing is
//! computed here but where they lie.

use crate::axis;
use crate::model::{Anchor, Drawing, Item, Point, Scale, SheetRect, Weight};
use crate::sketch::{Sketch, group, text};
use crate::style::Style;
use crate::text::{CAPITAL, clean, fit, width};
use crate::words;

/// The curves of one way from a source to a sink. All slices are as long as `frequencies`; where one is shorter,
/// its curve ends there. Levels are decibels against anything that is the same for all of them; what is not
/// finite is not drawn, and an envelope without bound reaches to the edge of its plot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BandCurves<'a> {
    /// From where to where, for a screen reader: `Guitar to amp`.
    pub title: &'a str,
    /// Hertz, rising.
    pub frequencies: &'a [f64],
    /// The reference: the source straight into the amp by the player's usual lead.
    pub reference_db: &'a [f64],
    /// The highest level any switching state reaches.
    pub upper_db: &'a [f64],
    /// The lowest.
    pub lower_db: &'a [f64],
    /// The level in the worst state; empty where no one state is the worst.
    pub worst_db: &'a [f64],
    /// The worst state in words: `C1 to C5 off`.
    pub worst_state: &'a str,
    /// Whether the envelope is that of all states; else it is that of the states tried, or a bound.
    pub is_exact: bool,
    /// The worst change at 4 kHz in decibels, with its sign.
    pub change_at_4k_db: Option<f64>,
    /// Changes at 4 kHz larger than this deserve a look, in decibels.
    pub look_db: f64,
    /// Changes at 4 kHz larger than this are a stop, in decibels.
    pub stop_db: f64,
}

/// One more state drawn over the band: the one that somebody looks at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShownState<'a> {
    /// Its level, as long as the frequencies.
    pub level_db: &'a [f64],
    /// What it is called: `with A1 and A3 on`.
    pub name: &'a str,
}

/// Where the change is judged.
const JUDGED: f64 = 4000.0;
/// Where the reference is put at 0 dB: below any resonance of a coil, above the bass.
const REFERENCE_HERTZ: f64 = 200.0;
/// How much of the height the upper plot takes.
const UPPER_PART: f64 = 0.58;
/// The least and the greatest span of a decibel axis, and the step of its figures.
const LEVELS: Axis = Axis { low: -24.0, high: 18.0, least_low: -12.0, least_high: 6.0, step: 6.0 };
const CHANGES: Axis = Axis { low: -12.0, high: 8.0, least_low: -4.0, least_high: 4.0, step: 2.0 };

/// The band of all switching states against the reference, on a sheet of this size. `type_mm` is the size of all
/// type: [`BENCH`](crate::text::BENCH) on papers that are read at the bench.
pub fn band(curves: &BandCurves<'_>, width_mm: f64, height_mm: f64, type_mm: f64) -> Drawing {
    band_showing(curves, None, width_mm, height_mm, type_mm)
}

/// [`band`] with one more state drawn over it.
pub fn band_showing(
    curves: &BandCurves<'_>,
    shown: Option<&ShownState<'_>>,
    width_mm: f64,
    height_mm: f64,
    type_mm: f64,
) -> Drawing {
    let mut sketch = Sketch::new();
    let left = width("+18", type_mm, Weight::Regular) + 2.0;
    let right = width_mm - width("20 k", type_mm, Weight::Regular) / 2.0 - 0.5;
    let top = type_mm * if shown.is_some() { 4.5 } else { 3.1 };
    let foot = height_mm - type_mm * 1.8;
    let between = type_mm * 0.9;
    let split = top + (foot - top - between) * UPPER_PART;
    let zero = at(curves.frequencies, curves.reference_db, REFERENCE_HERTZ).unwrap_or(0.0);
    let less = |values: &[f64]| -> Vec<f64> { values.iter().map(|value| value - zero).collect() };
    let against = |values: &[f64]| -> Vec<f64> {
        values.iter().zip(curves.reference_db).map(|(value, reference)| value - reference).collect()
    };
    let level = Plot {
        frequencies: curves.frequencies,
        area: SheetRect { left, top, right, bottom: split },
        type_mm,
        name: "level",
        note: words::LEVEL_NOTE,
        reference: less(curves.reference_db),
        upper: less(curves.upper_db),
        lower: less(curves.lower_db),
        worst: less(curves.worst_db),
        shown: less(shown.map_or(&[], |shown| shown.level_db)),
        axis: LEVELS,
        limits: None,
    };
    let change = Plot {
        area: SheetRect { left, top: split + between, right, bottom: foot },
        name: "change",
        note: words::CHANGE_NOTE,
        reference: against(curves.reference_db),
        upper: against(curves.upper_db),
        lower: against(curves.lower_db),
        worst: against(curves.worst_db),
        shown: against(shown.map_or(&[], |shown| shown.level_db)),
        axis: CHANGES,
        limits: Some((curves.look_db, curves.stop_db)),
        ..level.clone()
    };
    let change_axis = change.spanned();
    for plot in [&level, &change] {
        plot.draw(&mut sketch);
    }
    frequency_figures(&mut sketch, &level, foot, curves);
    judged(&mut sketch, &level, &change, &change_axis, curves);
    key(&mut sketch, &level, curves);
    if let Some(shown) = shown {
        let mut items = Vec::new();
        let at = Point::new(left, top - type_mm * 3.5);
        let words = format!("{} {}", words::SHOWN, shown.name);
        sample(&mut items, at, &words, Style::Wide, type_mm, right);
        sketch.push(Item::Group(group("band", "key", "shown", words, items)));
    }
    for corner in axis::corners(width_mm, height_mm) {
        sketch.push(corner);
    }
    sketch.finish("band", clean(&format!("{}: {}", words::BAND, curves.title)), Scale::one_to(1), 0.0)
}

/// A decibel axis.
#[derive(Debug, Clone, Copy)]
struct Axis {
    low: f64,
    high: f64,
    least_low: f64,
    least_high: f64,
    step: f64,
}

#[derive(Debug, Clone)]
struct Plot<'a> {
    frequencies: &'a [f64],
    area: SheetRect,
    type_mm: f64,
    name: &'static str,
    note: &'static str,
    reference: Vec<f64>,
    upper: Vec<f64>,
    lower: Vec<f64>,
    worst: Vec<f64>,
    shown: Vec<f64>,
    axis: Axis,
    limits: Option<(f64, f64)>,
}

impl Plot<'_> {
    /// The axis as far as the curves need it. What lies deeper than the axis may go is cut off at its edge.
    fn spanned(&self) -> Axis {
        let Axis { low, high, least_low, least_high, step } = self.axis;
        let mut span = (least_low, least_high);
        for value in
            [&self.reference, &self.upper, &self.lower, &self.worst, &self.shown].into_iter().flatten()
        {
            if value.is_finite() {
                span = (span.0.min(*value), span.1.max(*value));
            }
        }
        let snap = |value: f64, up: bool| {
            let steps = value / step;
            (if up { steps.ceil() } else { steps.floor() }) * step
        };
        Axis {
            low: snap(span.0, false).max(low),
            high: snap(span.1 + step * 0.2, true).min(high),
            least_low,
            least_high,
            step,
        }
    }

    fn x(&self, hertz: f64) -> f64 {
        axis::x(&self.area, hertz)
    }

    fn y(&self, axis: &Axis, db: f64) -> f64 {
        let part = (axis.high - db) / (axis.high - axis.low);
        self.area.top + part * self.area.height()
    }

    fn draw(&self, sketch: &mut Sketch) {
        let span = self.spanned();
        let SheetRect { left, right, bottom, .. } = self.area;
        let mut items = Vec::new();
        let ground = |area| Item::Rect { area, corner: 0.0, style: Style::SheetGround };
        items.push(ground(self.area));
        let line = |from, to, style| Item::Line { from, to, style };
        let envelope = self.envelope(&span);
        if 2 < envelope.len() {
            items.push(Item::Path {
                points: envelope,
                closed: true,
                round: 0.0,
                style: Style::Envelope,
                width: None,
            });
        }
        items.extend(axis::grid(&self.area));
        let mut db = span.low;
        while db <= span.high + 1e-9 {
            let y = self.y(&span, db);
            let style = if db.abs() < 1e-9 { Style::Hair } else { Style::Grid };
            items.push(line(Point::new(left, y), Point::new(right, y), style));
            // Every second figure where lines stand close.
            let close = self.area.height() / ((span.high - span.low) / span.step) < self.type_mm * 1.15;
            let shown = !close || (db / (2.0 * span.step)).fract().abs() < 1e-9;
            if shown {
                let at = Point::new(left - 1.2, y + CAPITAL * self.type_mm / 2.0);
                items.push(Item::Text(text(
                    at,
                    decibels(db, 0),
                    self.type_mm,
                    Anchor::End,
                    Weight::Regular,
                    Style::Ink,
                )));
            }
            db += span.step;
        }
        if let Some((look, stop)) = self.limits {
            for (limit, style) in [(look, Style::LookLimit), (stop, Style::StopLimit)] {
                for db in [-limit, limit] {
                    if span.low <= db && db <= span.high {
                        let y = self.y(&span, db);
                        items.push(line(Point::new(left, y), Point::new(right, y), style));
                    }
                }
            }
        }
        for (values, style) in
            [(&self.worst, Style::Curve), (&self.shown, Style::Wide), (&self.reference, Style::Reference)]
        {
            for points in self.pieces(&span, values) {
                items.push(Item::Path { points, closed: false, round: 0.0, style, width: None });
            }
        }
        items.push(axis::edge(&self.area));
        // The note stands at the lower left, where curves of a coil never come.
        let at = Point::new(left + 1.5, bottom - self.type_mm * 0.5);
        let room = self.x(JUDGED) - left - 4.0;
        let note = fit(self.note, self.type_mm, Weight::Regular, room);
        let mut note = text(at, note, self.type_mm, Anchor::Start, Weight::Regular, Style::Ink);
        note.halo = Some(Style::SheetGround);
        items.push(Item::Text(note));
        sketch.push(Item::Group(group("band", "plot", self.name, self.note.to_owned(), items)));
    }

    /// The outline of the envelope, cut off at the edges of the plot.
    fn envelope(&self, axis: &Axis) -> Vec<Point> {
        let place = |hertz: f64, db: f64| {
            let db = if db.is_nan() { 0.0 } else { db.clamp(axis.low, axis.high) };
            Point::new(self.x(hertz), self.y(axis, db))
        };
        let there = self.frequencies.iter().zip(&self.upper).map(|(hertz, db)| place(*hertz, *db));
        let back: Vec<Point> =
            self.frequencies.iter().zip(&self.lower).map(|(hertz, db)| place(*hertz, *db)).collect();
        there.chain(back.into_iter().rev()).collect()
    }

    /// A curve as the pieces of it that lie within the plot.
    fn pieces(&self, axis: &Axis, values: &[f64]) -> Vec<Vec<Point>> {
        let points: Vec<(f64, f64)> = self.frequencies.iter().copied().zip(values.iter().copied()).collect();
        let mut out: Vec<Vec<Point>> = Vec::new();
        let mut piece: Vec<Point> = Vec::new();
        for pair in points.windows(2) {
            let Some((from, to)) =
                within(axis, (self.x(pair[0].0), pair[0].1), (self.x(pair[1].0), pair[1].1))
            else {
                out.push(std::mem::take(&mut piece));
                continue;
            };
            let (from, to) = (Point::new(from.0, self.y(axis, from.1)), Point::new(to.0, self.y(axis, to.1)));
            if piece.last() != Some(&from) {
                out.push(std::mem::replace(&mut piece, vec![from]));
            }
            piece.push(to);
        }
        out.push(piece);
        out.retain(|piece| 1 < piece.len());
        out
    }
}

/// The part of a straight piece that lies between the ends of the axis; y is in decibels.
fn within(axis: &Axis, from: (f64, f64), to: (f64, f64)) -> Option<((f64, f64), (f64, f64))> {
    if !from.1.is_finite() || !to.1.is_finite() {
        return None;
    }
    let cut = |inside: (f64, f64), outside: (f64, f64), edge: f64| {
        let part = (edge - inside.1) / (outside.1 - inside.1);
        (inside.0 + (outside.0 - inside.0) * part, edge)
    };
    let (mut from, mut to) = (from, to);
    for (edge, beyond) in [(axis.low, -1.0), (axis.high, 1.0)] {
        let out = |point: (f64, f64)| 0.0 < (point.1 - edge) * beyond;
        match (out(from), out(to)) {
            (true, true) => return None,
            (true, false) => from = cut(to, from, edge),
            (false, true) => to = cut(from, to, edge),
            (false, false) => {}
        }
    }
    Some((from, to))
}

fn frequency_figures(sketch: &mut Sketch, plot: &Plot<'_>, foot: f64, curves: &BandCurves<'_>) {
    let items = axis::figures(&plot.area, plot.type_mm, foot, words::DECIBEL);
    sketch.push(Item::Group(group("band", "axis", "frequency", clean(curves.title), items)));
}

/// The line at 4 kHz through both plots, and the worst change there.
fn judged(sketch: &mut Sketch, level: &Plot<'_>, change: &Plot<'_>, axis: &Axis, curves: &BandCurves<'_>) {
    let size = level.type_mm;
    let x = level.x(JUDGED);
    let mut items = vec![Item::Line {
        from: Point::new(x, level.area.top - 0.6),
        to: Point::new(x, change.area.bottom),
        style: Style::Narrow,
    }];
    let at = Point::new(x, level.area.top - size * 0.7);
    items.push(Item::Text(text(at, words::AT_4K, size, Anchor::Middle, Weight::Bold, Style::Ink)));
    if let Some(db) = curves.change_at_4k_db.filter(|db| db.is_finite()) {
        let y = change.y(axis, db.clamp(axis.low, axis.high));
        items.push(Item::Circle { centre: Point::new(x, y), radius: size * 0.28, style: Style::Balloon });
        let figure = format!("{} dB", decibels(db, 1));
        let y = (y + CAPITAL * size / 2.0).clamp(change.area.top + size, change.area.bottom - size * 0.3);
        let mut figure =
            text(Point::new(x - size * 0.6, y), figure, size, Anchor::End, Weight::Bold, Style::Ink);
        figure.halo = Some(Style::SheetGround);
        items.push(Item::Text(figure));
    }
    sketch.push(Item::Group(group("band", "judged", "4k", words::AT_4K.to_owned(), items)));
}

/// What is what, above the plots: the worst state on a line of its own, since its name may be long.
fn key(sketch: &mut Sketch, plot: &Plot<'_>, curves: &BandCurves<'_>) {
    let size = plot.type_mm;
    let y = plot.area.top - size * 0.7;
    let end = plot.x(JUDGED) - width(words::AT_4K, size, Weight::Bold) / 2.0 - 2.0;
    let mut items = Vec::new();
    let mut x = plot.area.left;
    let envelope = match (curves.is_exact, curves.worst_db.is_empty()) {
        (true, _) => words::ALL_STATES,
        (false, false) => words::STATES_TRIED,
        (false, true) => words::BOUNDS,
    };
    for (words, style) in [(words::REFERENCE, Style::Reference), (envelope, Style::Envelope)] {
        x = sample(&mut items, Point::new(x, y), words, style, size, end);
    }
    if !curves.worst_db.is_empty() {
        let at = Point::new(plot.area.left, y - size * 1.4);
        let worst = if curves.is_exact { words::WORST } else { words::WORST_TRIED };
        let words = format!("{worst} {}", curves.worst_state);
        sample(&mut items, at, &words, Style::Curve, size, plot.area.right);
    }
    sketch.push(Item::Group(group("band", "key", "curves", words::LEGEND.to_owned(), items)));
}

/// A piece of a line with its words, no further than `end`; gives where the next may begin.
pub(crate) fn sample(
    items: &mut Vec<Item>,
    at: Point,
    words: &str,
    style: Style,
    size: f64,
    end: f64,
) -> f64 {
    let from = at.moved(0.0, -CAPITAL * size / 2.0);
    let to = from.moved(8.0, 0.0);
    let start = to.x + 1.2;
    let content = fit(words, size, Weight::Regular, end - start);
    if content.is_empty() {
        return at.x;
    }
    if style == Style::Envelope {
        let area = SheetRect::between(from.moved(0.0, -1.2), to.moved(0.0, 1.2));
        items.push(Item::Rect { area, corner: 0.0, style });
    } else {
        items.push(Item::Path { points: vec![from, to], closed: false, round: 0.0, style, width: None });
    }
    let next = start + width(&content, size, Weight::Regular) + 4.0;
    let at = Point::new(start, at.y);
    items.push(Item::Text(text(at, content, size, Anchor::Start, Weight::Regular, Style::Ink)));
    next
}

/// Decibels with a true minus, a plus where it is above zero.
pub(crate) fn decibels(db: f64, decimals: usize) -> String {
    let figure = format!("{:.decimals$}", db.abs());
    let zero = figure.chars().all(|c| c == '0' || c == '.');
    let sign = match (zero, db < 0.0) {
        (true, _) => "",
        (_, true) => "−",
        (_, false) => "+",
    };
    format!("{sign}{figure}")
}

/// The value of a curve at a frequency, between its neighbours in proportion.
fn at(frequencies: &[f64], values: &[f64], hertz: f64) -> Option<f64> {
    let after = frequencies.iter().position(|frequency| hertz <= *frequency)?;
    let before = after.saturating_sub(1);
    let (low, high) = (*frequencies.get(before)?, *frequencies.get(after)?);
    let (from, to) = (*values.get(before)?, *values.get(after)?);
    let part = if low < high { (hertz - low) / (high - low) } else { 0.0 };
    Some(from + (to - from) * part).filter(|value| value.is_finite())
}

//! The logarithmic frequency axis that plots share, from 20 Hz to 20 kHz, with its grid and its figures.

use crate::model::{Anchor, Item, Point, SheetRect, Weight};
use crate::sketch::text;
use crate::style::Style;
use crate::text::width;
use crate::words;

/// The ends of the axis in hertz.
pub(crate) const FROM: f64 = 20.0;
pub(crate) const TO: f64 = 20_000.0;
/// Frequencies that carry a figure.
const MARKED: [(f64, &str); 10] = [
    (20.0, "20"),
    (50.0, "50"),
    (100.0, "100"),
    (200.0, "200"),
    (500.0, "500"),
    (1000.0, "1 k"),
    (2000.0, "2 k"),
    (5000.0, "5 k"),
    (10_000.0, "10 k"),
    (20_000.0, "20 k"),
];

/// Where a frequency stands in a plot; what lies beyond the axis, at its end.
pub(crate) fn x(area: &SheetRect, hertz: f64) -> f64 {
    // Only ratios of logarithms matter, so any base will do.
    let part = (libm::log(hertz) - libm::log(FROM)) / (libm::log(TO) - libm::log(FROM));
    area.left + part.clamp(0.0, 1.0) * area.width()
}

/// A line at every figure of each decade.
pub(crate) fn grid(area: &SheetRect) -> impl Iterator<Item = Item> + use<> {
    let area = *area;
    let decades = [10.0, 100.0, 1000.0, 10_000.0].into_iter();
    let all = decades.flat_map(|decade| (1..10).map(move |part| decade * f64::from(part)));
    all.filter(|hertz| FROM < *hertz && *hertz < TO).map(move |hertz| {
        let x = x(&area, hertz);
        Item::Line { from: Point::new(x, area.top), to: Point::new(x, area.bottom), style: Style::Grid }
    })
}

/// The figures below the axis, hanging from `foot`, as many as have room, and the units of both axes.
pub(crate) fn figures(area: &SheetRect, size: f64, foot: f64, unit: &str) -> Vec<Item> {
    let mut items = Vec::new();
    let mut end = f64::NEG_INFINITY;
    for (hertz, figure) in MARKED {
        let half = width(figure, size, Weight::Regular) / 2.0;
        let x = x(area, hertz);
        if x - half < end + 0.8 {
            continue;
        }
        end = x + half;
        let at = Point::new(x, foot + size * 1.45);
        items.push(Item::Text(text(at, figure, size, Anchor::Middle, Weight::Regular, Style::Ink)));
    }
    for (words, at) in
        [(unit, Point::new(0.0, area.top - size * 0.7)), (words::HERTZ, Point::new(0.0, foot + size * 1.45))]
    {
        items.push(Item::Text(text(at, words, size, Anchor::Start, Weight::Regular, Style::Faint)));
    }
    items
}

/// The edge of a plot.
pub(crate) fn edge(area: &SheetRect) -> Item {
    let SheetRect { left, top, right, bottom } = *area;
    let points = [(left, top), (right, top), (right, bottom), (left, bottom)];
    Item::Path {
        points: points.map(|(x, y)| Point::new(x, y)).to_vec(),
        closed: true,
        round: 0.0,
        style: Style::Narrow,
        width: None,
    }
}

/// Empty words at the corners of a sheet, so that it is as large as it was asked for.
pub(crate) fn corners(width_mm: f64, height_mm: f64) -> [Item; 2] {
    [(0.0, 0.0), (width_mm, height_mm)]
        .map(|(x, y)| Item::Text(text(Point::new(x, y), "", 0.0, Anchor::Start, Weight::Regular, Style::Ink)))
}

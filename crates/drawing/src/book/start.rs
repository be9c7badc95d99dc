//! How a board is switched on, act by act, in pictures.

use crate::model::{Anchor, Drawing, Item, Point, Scale, SheetRect, Weight};
use crate::sketch::{Sketch, text};
use crate::style::Style;
use crate::text::{BENCH, HEAD, clean, wrap};
use crate::words;

/// One act of switching on, with its picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StartAct {
    /// Amps and desk down, before anything is plugged.
    Down,
    /// The mains plug goes in.
    Mains,
    /// Lights are waited for.
    Lights,
    /// The desk gives phantom power.
    Phantom,
    /// Amps on.
    Amps,
}

/// Height of a picture.
const PICTURE: f64 = 16.0;
/// From the letter to the words.
const LETTER: f64 = 6.0;

/// The acts in a row, each with a letter, its picture and its words, in a sheet so wide in millimetres.
pub fn start(acts: &[(StartAct, String)], wide: f64) -> Drawing {
    let mut sketch = Sketch::new();
    let count = f64::from(u32::try_from(acts.len().max(1)).unwrap_or(u32::MAX));
    let column = wide / count;
    let lines: Vec<Vec<String>> = acts
        .iter()
        .map(|(_, words)| wrap(&clean(words), BENCH, Weight::Regular, column - LETTER - 2.5, 5))
        .collect();
    let deepest = lines.iter().map(Vec::len).max().unwrap_or(0);
    let row = BENCH * 1.25;
    let high = row * f64::from(u32::try_from(deepest).unwrap_or(u32::MAX)) + 3.0;
    for (index, ((act, _), lines)) in acts.iter().zip(lines).enumerate() {
        let place = f64::from(u32::try_from(index).unwrap_or(u32::MAX));
        let left = place * column;
        let letter = char::from(b'A' + u8::try_from(index.min(25)).unwrap_or(0)).to_string();
        let at = Point::new(left + 1.0, BENCH);
        sketch.push(Item::Text(text(at, letter, BENCH, Anchor::Start, Weight::Bold, Style::Ink)));
        for (line, words) in lines.into_iter().enumerate() {
            let down = f64::from(u32::try_from(line).unwrap_or(u32::MAX));
            let at = Point::new(left + LETTER, BENCH + row * down);
            sketch.push(Item::Text(text(at, words, BENCH, Anchor::Start, Weight::Regular, Style::Ink)));
        }
        let centre = Point::new(left + column / 2.0, high + PICTURE / 2.0);
        sketch.items.extend(picture(*act, centre));
        if 0 < index {
            let (from, to) = (Point::new(left - 1.0, 0.0), Point::new(left - 1.0, high + PICTURE));
            sketch.push(Item::Line { from, to, style: Style::Hair });
        }
    }
    let corner = Point::new(wide, 0.0);
    sketch.push(Item::Line { from: corner, to: corner, style: Style::Hair });
    sketch.finish("start", words::START.to_owned(), Scale::one_to(1), 0.4)
}

fn picture(act: StartAct, at: Point) -> Vec<Item> {
    let line = |from: (f64, f64), to: (f64, f64), style: Style| Item::Line {
        from: at.moved(from.0, from.1),
        to: at.moved(to.0, to.1),
        style,
    };
    let dot = |dx: f64, dy: f64, radius: f64, style: Style| Item::Circle {
        centre: at.moved(dx, dy),
        radius,
        style,
    };
    match act {
        // A knob turned all the way down.
        StartAct::Down => vec![
            dot(0.0, 0.0, 6.0, Style::Narrow),
            line((0.0, 0.0), (-2.9, 5.0), Style::Wide),
            line((-3.4, 5.9), (-4.2, 7.3), Style::Wide),
            line((3.4, 5.9), (4.2, 7.3), Style::Hair),
            dot(0.0, 0.0, 0.8, Style::Mark),
        ],
        // A plug before its inlet.
        StartAct::Mains => {
            let socket = SheetRect::around(at.moved(-6.5, 0.0), 12.0, 9.0);
            let plug = SheetRect::around(at.moved(7.5, 0.0), 6.0, 8.0);
            vec![
                Item::Rect { area: socket, corner: 1.2, style: Style::Narrow },
                line((-9.5, -0.2), (-9.5, 2.6), Style::Wide),
                line((-6.5, -2.4), (-6.5, 0.4), Style::Wide),
                line((-3.5, -0.2), (-3.5, 2.6), Style::Wide),
                Item::Rect { area: plug, corner: 0.6, style: Style::Outline },
                line((10.5, 0.0), (14.0, 0.0), Style::Wide),
                line((4.5, -2.0), (2.5, -2.0), Style::Narrow),
                line((4.5, 2.0), (2.5, 2.0), Style::Narrow),
                line((9.5, -6.4), (2.5, -6.4), Style::Narrow),
                crate::marks::arrow(at.moved(2.5, -6.4), -1.0, 0.0),
            ]
        }
        // Lights with their rays.
        StartAct::Lights => {
            let mut items = Vec::new();
            for dx in [-8.0, 0.0, 8.0] {
                items.push(dot(dx, 0.0, 1.3, Style::Mark));
                for (c, s) in [
                    (1.0, 0.0),
                    (0.707, 0.707),
                    (0.0, 1.0),
                    (-0.707, 0.707),
                    (-1.0, 0.0),
                    (-0.707, -0.707),
                    (0.0, -1.0),
                    (0.707, -0.707),
                ] {
                    items.push(line((dx + 2.0 * c, 2.0 * s), (dx + 3.4 * c, 3.4 * s), Style::Narrow));
                }
            }
            items
        }
        // Three contacts and the voltage that the desk puts on them.
        StartAct::Phantom => {
            let mut items = vec![
                dot(0.0, -1.0, 5.4, Style::Narrow),
                dot(-2.0, -1.8, 0.7, Style::Mark),
                dot(2.0, -1.8, 0.7, Style::Mark),
                dot(0.0, 1.2, 0.7, Style::Mark),
            ];
            let words = text(
                at.moved(0.0, 8.0),
                words::PHANTOM_VOLTS,
                HEAD,
                Anchor::Middle,
                Weight::Bold,
                Style::Ink,
            );
            items.push(Item::Text(words));
            items
        }
        // The sign on switches: a broken circle with a stroke (IEC 60417-5009, from memory).
        StartAct::Amps => {
            let area = SheetRect::around(at, 13.0, 13.0);
            let arc: Vec<Point> = (0..=16_u8)
                .map(|step| {
                    let angle = (35.0 + 290.0 * f64::from(step) / 16.0).to_radians();
                    at.moved(3.6 * libm::sin(angle), -3.6 * libm::cos(angle))
                })
                .collect();
            vec![
                Item::Rect { area, corner: 1.0, style: Style::Narrow },
                Item::Path { points: arc, closed: false, round: 0.0, style: Style::Wide, width: None },
                line((0.0, -4.6), (0.0, -0.6), Style::Wide),
            ]
        }
    }
}

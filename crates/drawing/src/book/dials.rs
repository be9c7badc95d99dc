//! A row of knobs to draw pointers into.

use crate::model::{Anchor, Drawing, Item, Point, Scale, Weight};
use crate::sketch::{Sketch, text};
use crate::style::Style;
use crate::text::{BENCH, SMALL, clean, fit};
use crate::words;

/// Radius of a knob on the sheet.
const KNOB: f64 = 6.2;
/// From the middle of one knob to that of the next.
const PITCH: f64 = 22.0;
/// Half the turn of a knob from its first tick to its last, in degrees. *Common practice, no source.*
const HALF_TURN: f64 = 150.0;

/// A knob: what is printed beside it, and where it stands.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Dial {
    /// What is printed beside it; empty where nobody knows.
    pub name: String,
    /// Where it stands: a number from 0 to 10, `noon`, or other words, which are written and not drawn. Empty: drawn
    /// without a pointer.
    pub at: String,
}

impl Dial {
    /// How far it is turned, from 0 to 10, where its words say so.
    fn turned(&self) -> Option<f64> {
        let words = self.at.trim();
        if words == words::NOON {
            return Some(5.0);
        }
        let (whole, half) = words.strip_suffix('½').map_or((words, 0.0), |whole| (whole, 0.5));
        let figure = if whole.is_empty() && half > 0.0 { 0.0 } else { whole.trim().parse::<f64>().ok()? };
        Some(figure + half).filter(|turned| (0.0..=10.0).contains(turned))
    }
}

/// A row of knobs with their names above and what is written of each below, in a sheet as wide as `count` of them.
///
/// The first tick stands at 0, the last at 10.
pub fn dials(dials: &[Dial]) -> Drawing {
    let mut sketch = Sketch::new();
    for (index, dial) in dials.iter().enumerate() {
        let place = f64::from(u32::try_from(index).unwrap_or(u32::MAX));
        let centre = Point::new((place + 0.5) * PITCH, 0.0);
        knob(&mut sketch, centre, dial);
    }
    let wide = f64::from(u32::try_from(dials.len()).unwrap_or(u32::MAX)) * PITCH;
    // The row keeps its width, so that rows stand below each other.
    sketch.push(Item::Line { from: Point::new(0.0, 0.0), to: Point::new(0.0, 0.0), style: Style::Hair });
    sketch.push(Item::Line { from: Point::new(wide, 0.0), to: Point::new(wide, 0.0), style: Style::Hair });
    sketch.finish("dials", words::KNOBS.to_owned(), Scale::one_to(1), 0.4)
}

fn knob(sketch: &mut Sketch, centre: Point, dial: &Dial) {
    let on = |radius: f64, turned: f64| {
        let angle = ((turned / 5.0 - 1.0) * HALF_TURN).to_radians();
        centre.moved(radius * libm::sin(angle), -radius * libm::cos(angle))
    };
    sketch.push(Item::Circle { centre, radius: KNOB, style: Style::Narrow });
    for step in 0..=10 {
        let turned = f64::from(step);
        let (style, far) = match step {
            0 | 5 | 10 => (Style::Wide, 2.0),
            _ => (Style::Hair, 1.2),
        };
        sketch.push(Item::Line { from: on(KNOB + 0.6, turned), to: on(KNOB + 0.6 + far, turned), style });
    }
    if let Some(turned) = dial.turned() {
        sketch.push(Item::Line { from: centre, to: on(KNOB - 0.5, turned), style: Style::Wide });
        sketch.push(Item::Circle { centre, radius: 0.8, style: Style::Mark });
    } else {
        sketch.push(Item::Circle { centre, radius: 0.35, style: Style::Mark });
    }
    let write = |sketch: &mut Sketch, y: f64, words: &str, size: f64, weight: Weight, style: Style| {
        let words = fit(words, size, weight, PITCH - 1.0);
        if !words.is_empty() {
            let at = Point::new(centre.x, y);
            sketch.push(Item::Text(text(at, words, size, Anchor::Middle, weight, style)));
        }
    };
    write(sketch, -KNOB - 4.0, &clean(&dial.name), SMALL * 1.3, Weight::Regular, Style::Ink);
    write(sketch, KNOB + 5.6, &clean(&dial.at), BENCH, Weight::Bold, Style::Ink);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_a_knob_turn_its_pointer_or_are_only_written() {
        let turned = |at: &str| Dial { name: String::new(), at: at.to_owned() }.turned();
        for (words, wanted) in [
            ("4", Some(4.0)),
            ("6½", Some(6.5)),
            ("½", Some(0.5)),
            ("7.5", Some(7.5)),
            ("noon", Some(5.0)),
            ("11", None),
            ("left", None),
            ("", None),
        ] {
            assert_eq!(turned(words), wanted, "{words}");
        }
    }

    #[test]
    fn a_pointer_at_noon_stands_upright() {
        let drawing = dials(&[Dial { name: "drive".into(), at: "noon".into() }]);
        let pointer = drawing.items.iter().find_map(|item| match item {
            Item::Line { from, to, style: Style::Wide } if (from.y - to.y).abs() > KNOB - 1.0 => {
                Some((from.x - to.x).abs())
            }
            _ => None,
        });
        assert!(pointer.is_some_and(|off| off < 1e-9), "{pointer:?}");
    }
}

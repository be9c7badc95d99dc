//! The sixteen channels of MIDI, and who listens on which.

use crate::model::{Anchor, Drawing, Item, Point, Scale, SheetRect, Weight};
use crate::sketch::{Sketch, centred, text};
use crate::style::Style;
use crate::text::{BENCH, SMALL, clean, fit};
use crate::words;

/// A field: how wide and high, and from one to the next.
const FIELD: (f64, f64) = (8.4, 6.4);
const PITCH: (f64, f64) = (9.6, 11.0);

/// Sixteen fields in two rows: the one of this device filled, the tags of others that listen below theirs.
pub fn channels(own: Option<u32>, others: &[(u32, &str)]) -> Drawing {
    let mut sketch = Sketch::new();
    for channel in 1..=16_u32 {
        let place = channel - 1;
        let centre = Point::new(f64::from(place % 8) * PITCH.0, f64::from(place / 8) * PITCH.1);
        let is_own = own == Some(channel);
        let (ground, ink) = if is_own { (Style::Mark, Style::SheetGround) } else { (Style::Tab, Style::Ink) };
        let area = SheetRect::around(centre, FIELD.0, FIELD.1);
        sketch.push(Item::Rect { area, corner: 0.5, style: ground });
        let weight = if is_own { Weight::Bold } else { Weight::Regular };
        sketch.push(Item::Text(centred(centre, channel.to_string(), BENCH, weight, ink)));
        let tags: Vec<&str> = others.iter().filter(|(at, _)| *at == channel).map(|(_, tag)| *tag).collect();
        let words = fit(&clean(&tags.join(" ")), SMALL, Weight::Regular, PITCH.0 - 0.6);
        if !words.is_empty() {
            let at = centre.moved(0.0, FIELD.1 / 2.0 + SMALL + 0.4);
            sketch.push(Item::Text(text(at, words, SMALL, Anchor::Middle, Weight::Regular, Style::Faint)));
        }
    }
    sketch.finish("channels", words::CHANNELS.to_owned(), Scale::one_to(1), 0.4)
}

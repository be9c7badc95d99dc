//! Label sheets: every label at its true size, both ends of a lead side by side.

use design::{Label, LabelKind};

use crate::model::{Anchor, Drawing, Item, Point, Scale, SheetRect, Weight};
use crate::sketch::{Sketch, group, text};
use crate::style::Style;
use crate::text::{CAPITAL, clean, fit, width, wrap};

/// What labels are printed on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Media {
    /// A tape of this width; labels are as long as their text.
    Roll {
        /// Width of the tape in millimetres.
        wide: f64,
    },
    /// Wrap-around labels cut from a sheet: so long along the cable, a printed part as high as the cable is
    /// around, and a clear part that covers it.
    Wrap {
        /// Length along the cable in millimetres.
        long: f64,
    },
}

/// Least height of capitals and figures on a label, in millimetres.
const LEAST: f64 = 2.5;
/// Height of capitals of the first line where there is room.
const LARGE: f64 = 3.5;
/// Room between two lines, in parts of the capitals' height.
const LEADING: f64 = 0.34;
/// Distance between rows, and between pairs.
const APART: f64 = 3.0;
/// How often a wrap-around label goes around its cable. *Common practice, no source.*
const TURNS: f64 = 3.0;
/// What a cable of unknown thickness is taken for, in millimetres.
const CABLE: f64 = 4.0;
/// The longest label of a tape, in millimetres.
const LONGEST: f64 = 60.0;

/// A label with its size and its lines: content, height of capitals, baseline from the top.
struct Set<'a> {
    label: &'a Label,
    wide: f64,
    high: f64,
    /// Height of the printed part.
    printed: f64,
    lines: Vec<(String, f64, f64)>,
}

/// The labels on pages of this size: pairs never apart, in the order given.
pub fn label_pages(labels: &[Label], media: Media, wide: f64, high: f64) -> Vec<Drawing> {
    let mut pages = Vec::new();
    let mut sketch = Sketch::new();
    let (mut x, mut y, mut row) = (0.0, 0.0, 0.0_f64);
    let sets: Vec<Set<'_>> = labels.iter().map(|label| set(label, media)).collect();
    let mut at = 0;
    while at < sets.len() {
        // The two ends of a lead are one piece until they are cut.
        let pair = sets[at].label.kind == LabelKind::LeadEnd
            && sets.get(at + 1).is_some_and(|next| next.label.of == sets[at].label.of);
        let piece = &sets[at..at + if pair { 2 } else { 1 }];
        let long: f64 = piece.iter().map(|set| set.wide).sum();
        let tall = piece.iter().map(|set| set.high).fold(0.0, f64::max);
        if x > 0.0 && x + long > wide {
            (x, y, row) = (0.0, y + row + APART, 0.0);
        }
        if y > 0.0 && y + tall > high {
            pages.push(finish(std::mem::replace(&mut sketch, Sketch::new())));
            (x, y, row) = (0.0, 0.0, 0.0);
        }
        for set in piece {
            sketch.push(draw(set, Point::new(x, y)));
            x += set.wide;
        }
        x += APART;
        row = row.max(tall);
        at += piece.len();
    }
    if !sketch.items.is_empty() {
        pages.push(finish(sketch));
    }
    pages
}

fn finish(sketch: Sketch) -> Drawing {
    sketch.finish("labels", "labels".to_owned(), Scale::one_to(1), 0.3)
}

fn set(label: &Label, media: Media) -> Set<'_> {
    let around = label.around.value.map_or(CABLE, quantity::Length::as_mm) * std::f64::consts::PI;
    let is_wrap = matches!(media, Media::Wrap { .. }) && label.kind == LabelKind::LeadEnd;
    let (printed, high, most) = match media {
        // A lead's label is as long as what it says.
        Media::Roll { wide } if label.kind == LabelKind::LeadEnd => (wide, wide, 2.0 * LONGEST),
        Media::Roll { wide } => (wide, wide, LONGEST),
        Media::Wrap { .. } if is_wrap => (around, around * TURNS, LONGEST),
        Media::Wrap { long } => (3.0 * LEAST * 1.5, 3.0 * LEAST * 1.5, long * 1.6),
    };
    // As many lines as go on the part that is seen.
    let pitch = |capital: f64| capital * (1.0 + LEADING);
    let room = printed - 1.0;
    let mut lines = Vec::new();
    let mut y = 0.5;
    // A long title runs over two lines; ends of leads keep one line for each port.
    let mut contents: Vec<String> = Vec::new();
    // What a supply lead carries stands beside its number where there is no room for a line of its own.
    let mut own = label.lines.clone();
    let all = pitch(LARGE)
        + pitch(LEAST) * f64::from(u32::try_from(own.len()).unwrap_or(u32::MAX).saturating_sub(1));
    if label.kind == LabelKind::LeadEnd && own.len() > 3 && room < all {
        let carried = own.remove(3);
        own[0] = format!("{}  {carried}", own[0]);
    }
    for (index, content) in own.iter().enumerate() {
        if index == 0 || label.kind == LabelKind::LeadEnd {
            contents.push(content.clone());
        } else {
            contents.extend(wrap(content, LEAST / CAPITAL, Weight::Regular, most - 2.0, 2));
        }
    }
    for (index, content) in contents.iter().enumerate() {
        let capital = if index == 0 && pitch(LARGE) + pitch(LEAST) <= room { LARGE } else { LEAST };
        if y + capital > printed - 0.3 {
            break;
        }
        let weight = if index == 0 { Weight::Bold } else { Weight::Regular };
        let content = fit(content, capital / CAPITAL, weight, most - 2.0);
        if content.is_empty() {
            continue;
        }
        y += capital;
        lines.push((content, capital, y));
        y += capital * LEADING;
    }
    // Centred in the printed part.
    let used = lines.last().map_or(0.0, |(_, _, y)| *y) - 0.5;
    let down = ((printed - used) / 2.0 - 0.5).max(0.0);
    for line in &mut lines {
        line.2 += down;
    }
    let longest = lines
        .iter()
        .enumerate()
        .map(|(index, (content, capital, _))| {
            width(content, capital / CAPITAL, if index == 0 { Weight::Bold } else { Weight::Regular })
        })
        .fold(8.0, f64::max);
    let wide = match media {
        // Nothing on it is cut: a long name has a longer label.
        Media::Wrap { long } if is_wrap => long.max(longest + 2.0),
        _ => longest + 3.0,
    };
    Set { label, wide, high, printed, lines }
}

fn draw(set: &Set<'_>, at: Point) -> Item {
    let area = SheetRect::between(at, at.moved(set.wide, set.high));
    let mut items = vec![Item::Rect { area, corner: 0.0, style: Style::Hair }];
    if set.printed < set.high {
        let (from, to) = (at.moved(0.0, set.printed), at.moved(set.wide, set.printed));
        items.push(Item::Line { from, to, style: Style::Bend });
    }
    for (index, (content, capital, y)) in set.lines.iter().enumerate() {
        let weight = if index == 0 { Weight::Bold } else { Weight::Regular };
        let place = at.moved(set.wide / 2.0, *y);
        items.push(Item::Text(text(
            place,
            content.clone(),
            capital / CAPITAL,
            Anchor::Middle,
            weight,
            Style::Ink,
        )));
    }
    Item::Group(group("labels", "label", &set.label.of, clean(&set.label.of), items))
}

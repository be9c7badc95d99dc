//! A drawing in the making: collects items around any origin, remembers what room is taken, and places
//! labels where they hurt least.

use crate::model::{Anchor, Drawing, Group, Item, Point, Scale, SheetRect, Text, Weight};
use crate::style::Style;
use crate::svg::text_area;
use crate::text::{CAPITAL, SMALL, width};

/// What sharing a square millimetre with a text costs a label.
const TAKEN_COST: f64 = 400.0;
/// What it costs to break an outline, to lie on a lead, on a plug, on the surface of a body.
pub(crate) const EDGE: f64 = 45.0;
pub(crate) const LINE: f64 = 14.0;
pub(crate) const PLUG: f64 = 3.0;
pub(crate) const SURFACE: f64 = 2.5;
/// What each later candidate costs, so that the first good one wins.
const LATER_COST: f64 = 0.02;

/// Items with the room they take.
pub(crate) struct Sketch {
    pub(crate) items: Vec<Item>,
    /// Texts and tags: nothing may be written over them.
    taken: Vec<SheetRect>,
    /// Lines, plugs, bodies: better not written over; with what that costs and whose they are.
    soft: Vec<(SheetRect, f64, Option<usize>)>,
}

impl Sketch {
    pub(crate) fn new() -> Self {
        Self { items: Vec::new(), taken: Vec::new(), soft: Vec::new() }
    }

    pub(crate) fn push(&mut self, item: Item) {
        self.items.push(item);
    }

    /// Notes room that labels must keep off.
    pub(crate) fn take(&mut self, area: SheetRect) {
        self.taken.push(area);
    }

    /// Notes room that labels had better keep off, at a cost per square millimetre.
    pub(crate) fn soften(&mut self, area: SheetRect, cost: f64) {
        self.soft.push((area, cost, None));
    }

    /// The same for a piece of a lead, over which its own number may stand.
    pub(crate) fn soften_for(&mut self, area: SheetRect, cost: f64, owner: usize) {
        self.soft.push((area, cost, Some(owner)));
    }

    /// Notes the outline of an area.
    pub(crate) fn soften_edges(&mut self, area: &SheetRect) {
        let SheetRect { left, top, right, bottom } = *area;
        for edge in [
            SheetRect { bottom: top, ..*area },
            SheetRect { top: bottom, ..*area },
            SheetRect { right: left, ..*area },
            SheetRect { left: right, ..*area },
        ] {
            self.soften(edge.grown(0.25), EDGE);
        }
    }

    /// The best of the candidate areas and what it costs; zero where it is quite free.
    pub(crate) fn best(&self, candidates: impl IntoIterator<Item = SheetRect>) -> Option<(SheetRect, f64)> {
        self.best_for(candidates, None)
    }

    /// The same, where what belongs to `owner` costs nothing.
    pub(crate) fn best_for(
        &self,
        candidates: impl IntoIterator<Item = SheetRect>,
        owner: Option<usize>,
    ) -> Option<(SheetRect, f64)> {
        self.best_with(candidates, owner, |_| 0.0)
    }

    /// The same with a cost of the candidate's own.
    pub(crate) fn best_with(
        &self,
        candidates: impl IntoIterator<Item = SheetRect>,
        owner: Option<usize>,
        own_cost: impl Fn(&SheetRect) -> f64,
    ) -> Option<(SheetRect, f64)> {
        let mut best: Option<(SheetRect, f64)> = None;
        for (index, area) in candidates.into_iter().enumerate() {
            #[expect(clippy::cast_precision_loss, reason = "there are some dozens of candidates")]
            let mut cost = index as f64 * LATER_COST + own_cost(&area);
            let grown = area.grown(0.25);
            cost += self.taken.iter().map(|taken| taken.shared(&grown)).sum::<f64>() * TAKEN_COST;
            cost += self
                .soft
                .iter()
                .filter(|(_, _, whose)| whose.is_none() || *whose != owner)
                .map(|(soft, cost, _)| soft.shared(&area) * cost)
                .sum::<f64>();
            if best.is_none_or(|(_, least)| cost < least) {
                best = Some((area, cost));
            }
        }
        best
    }

    /// What a thin line between two points would cost that ran over texts.
    pub(crate) fn line_cost(&self, from: Point, to: Point) -> f64 {
        let steps = 24;
        (0..=steps)
            .filter(|step| {
                let part = f64::from(*step) / f64::from(steps);
                let at = from.moved((to.x - from.x) * part, (to.y - from.y) * part);
                let spot = SheetRect::around(at, 0.6, 0.6);
                self.taken.iter().any(|taken| taken.overlaps(&spot))
            })
            .count()
            .min(100)
            .try_into()
            .map_or(0.0, |hits: u8| f64::from(hits) * TAKEN_COST)
    }

    /// Whether nothing is written there.
    pub(crate) fn is_free(&self, area: &SheetRect) -> bool {
        !self.taken.iter().any(|taken| taken.overlaps(area))
    }

    /// Ends the sketch: a sheet with so much margin around everything, the datum where the origin was.
    pub(crate) fn finish(mut self, name: &'static str, title: String, scale: Scale, margin: f64) -> Drawing {
        let bounds = bounds(&self.items).unwrap_or_default().grown(margin);
        let (dx, dy) = (-bounds.left, -bounds.top);
        for item in &mut self.items {
            shift(item, dx, dy);
        }
        Drawing {
            name,
            title,
            width_mm: bounds.width(),
            height_mm: bounds.height(),
            scale,
            datum: Point::new(dx, dy),
            items: self.items,
        }
    }
}

/// A text on its baseline.
pub(crate) fn text(
    at: Point,
    content: impl Into<String>,
    size_mm: f64,
    anchor: Anchor,
    weight: Weight,
    style: Style,
) -> Text {
    Text { at, content: content.into(), size_mm, anchor, weight, upright: false, style, halo: None }
}

/// A text centred on a point in both directions.
pub(crate) fn centred(
    at: Point,
    content: impl Into<String>,
    size_mm: f64,
    weight: Weight,
    style: Style,
) -> Text {
    text(at.moved(0.0, CAPITAL * size_mm / 2.0), content, size_mm, Anchor::Middle, weight, style)
}

/// The room a small label needs around its text.
pub(crate) fn label_size(content: &str, weight: Weight, pad: f64) -> (f64, f64) {
    (width(content, SMALL, weight) + 2.0 * pad, SMALL + 2.0 * pad * 0.6)
}

/// A group with a stable id: the drawing, the kind of thing, and its written name.
pub(crate) fn group(drawing: &str, kind: &str, name: &str, title: String, items: Vec<Item>) -> Group {
    Group { id: format!("{drawing}-{kind}-{}", slug(name)), title, device: None, lead: None, items }
}

/// A name as part of an id: letters, digits and hyphens stay, everything else becomes its number.
fn slug(name: &str) -> String {
    use std::fmt::Write as _;
    let mut out = String::new();
    for c in name.chars().take(48) {
        if c.is_ascii_alphanumeric() || c == '-' {
            out.push(c);
        } else {
            let _ = write!(out, "_{:x}_", u32::from(c));
        }
    }
    // Long names that begin alike must not share an id.
    if name.chars().nth(48).is_some() {
        let sum = name.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |sum, byte| {
            (sum ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
        });
        let _ = write!(out, "-{sum:x}");
    }
    out
}

/// The smallest area around all items; nothing when there are none.
pub(crate) fn bounds(items: &[Item]) -> Option<SheetRect> {
    items.iter().filter_map(item_bounds).reduce(|a, b| a.with(&b))
}

/// The areas of all single pieces, for finding room that is free of everything.
pub(crate) fn pieces(items: &[Item], out: &mut Vec<SheetRect>) {
    for item in items {
        match item {
            Item::Group(group) => pieces(&group.items, out),
            Item::Path { points, .. } => {
                out.extend(points.windows(2).map(|pair| SheetRect::between(pair[0], pair[1])));
            }
            other => out.extend(item_bounds(other)),
        }
    }
}

fn item_bounds(item: &Item) -> Option<SheetRect> {
    match item {
        Item::Line { from, to, .. } => Some(SheetRect::between(*from, *to)),
        Item::Path { points, .. } => {
            points.iter().map(|point| SheetRect::between(*point, *point)).reduce(|a, b| a.with(&b))
        }
        Item::Rect { area, .. } => Some(*area),
        Item::Circle { centre, radius, .. } => Some(SheetRect::around(*centre, 2.0 * radius, 2.0 * radius)),
        Item::Text(text) => Some(text_area(text)),
        Item::Group(group) => bounds(&group.items),
    }
}

/// Moves all items.
pub(crate) fn shift_all(items: &mut [Item], dx: f64, dy: f64) {
    for item in items.iter_mut() {
        shift(item, dx, dy);
    }
}

fn shift(item: &mut Item, dx: f64, dy: f64) {
    let moved = |point: &mut Point| *point = point.moved(dx, dy);
    match item {
        Item::Line { from, to, .. } => {
            moved(from);
            moved(to);
        }
        Item::Path { points, .. } => points.iter_mut().for_each(moved),
        Item::Rect { area, .. } => {
            *area = SheetRect {
                left: area.left + dx,
                top: area.top + dy,
                right: area.right + dx,
                bottom: area.bottom + dy,
            };
        }
        Item::Circle { centre, .. } => moved(centre),
        Item::Text(text) => moved(&mut text.at),
        Item::Group(group) => group.items.iter_mut().for_each(|item| shift(item, dx, dy)),
    }
}

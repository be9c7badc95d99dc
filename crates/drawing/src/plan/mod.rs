//! The true plan of one deck or of all: the player's view from above, the player at the bottom.

pub(crate) mod compared;
mod course;
mod deck;
pub(crate) use deck::{FOOT, figure};
mod device;
mod lead;
mod notes;
mod order;

use design::Design;
use quantity::Length;
use rig::geometry::{BoxClass, Standing, standing};
use rig::{Deck, Device, FLOOR, Rect};

use crate::model::{Drawing, Point, Scale, SheetRect};
use crate::sketch::Sketch;
use crate::words;

/// Boxes around plugs that whoever builds the board looks at, undermost first.
const BOXES: &[BoxClass] = &[BoxClass::Service, BoxClass::Bend, BoxClass::Behind, BoxClass::Plug];

/// Margin of the sheet around everything drawn.
const MARGIN: f64 = 1.0;

/// A placed device that the plan shows.
struct Shown<'a> {
    device: &'a Device,
    at: Standing,
    /// Whether it lies under a deck, with a part of it at least, so that its edges are hidden there.
    hidden: bool,
    /// What of it is to be seen before or beside the deck above it: the largest rectangle.
    seen: Option<Rect>,
    /// Whether it stands on the floor, beside the board.
    floor: bool,
}

/// What all parts of the plan look at.
struct View<'a> {
    design: &'a Design,
    /// The deck shown, or all of them.
    deck: Option<&'a str>,
    /// Sheet millimetres for a true one.
    k: f64,
    /// The classes of boxes around plugs that are drawn.
    boxes: &'static [BoxClass],
    shown: Vec<Shown<'a>>,
}

/// The true plan of one deck, or of all decks in the board's frame, with devices, plugs, leads, outlets,
/// numbered gaps and conflicts.
///
/// Leads of a design that is laid run as their routes do, with the bends they have; else they are drawn so that they can
/// be followed, and their ways are not measured. A device without a place or a
/// size stands beside the board, dashed. A deck that does not exist gives an empty board.
pub fn plan(design: &Design, deck: Option<&str>, scale: Scale) -> Drawing {
    let view = View::new(design, deck, scale);
    let mut sketch = Sketch::new();
    deck::decks(&view, &mut sketch);
    deck::origin(&view, &mut sketch);
    deck::feet(&view, &mut sketch);
    let found = lead::find(&view);
    let outer = bodies(&view, &mut sketch, &found);
    lead::labels(&view, &mut sketch, &found);
    device::outer_labels(outer, &mut sketch);
    device::hidden_labels(&view, &mut sketch);
    notes::numbers(&view, &mut sketch);
    deck::dimensions(&view, &mut sketch);
    notes::view_arrow(&view, &mut sketch);
    notes::beside(&view, &mut sketch);
    let title = match deck {
        Some(deck) => format!("{}, {}", words::PLAN, crate::text::clean(deck)),
        None => words::PLAN.to_owned(),
    };
    sketch.finish("plan", title, scale, MARGIN)
}

/// The board as its player sees it: bodies by name, leads, the names of panel jacks, nothing that is measured.
///
/// Where jacks have a number in order, the leads are left out and a line goes from each of these jacks to its number, off
/// the board.
pub fn portrait(design: &Design, scale: Scale, numbers: &[(rig::PortRef, usize)]) -> Drawing {
    let mut view = View::new(design, None, scale);
    view.boxes = &[];
    let mut sketch = Sketch::new();
    deck::decks(&view, &mut sketch);
    let found = if numbers.is_empty() { lead::find(&view) } else { Vec::new() };
    let outer = bodies(&view, &mut sketch, &found);
    if numbers.is_empty() {
        lead::panel_names(&view, &mut sketch);
    } else {
        order::numbers(&view, &mut sketch, numbers);
    }
    device::outer_labels(outer, &mut sketch);
    device::hidden_labels(&view, &mut sketch);
    sketch.finish("portrait", words::PORTRAIT.to_owned(), scale, MARGIN)
}

/// Bodies, leads and the names that fit their bodies; gives the labels that have no room there.
fn bodies<'a>(view: &View<'a>, sketch: &mut Sketch, found: &[lead::Found<'_>]) -> Vec<device::Label<'a>> {
    // What comes from under a deck passes below the bodies.
    lead::draw(view, sketch, found, true);
    let labels = device::devices(view, sketch);
    device::hidden_outlines(view, sketch);
    // Names of devices take their place first; everything else looks for room around them. They are written
    // after hidden edges and leads, so that none of these runs through a name.
    let (names, outer) = device::labels(labels, sketch);
    lead::draw(view, sketch, found, false);
    sketch.items.extend(names);
    outer
}

impl<'a> View<'a> {
    fn new(design: &'a Design, deck: Option<&'a str>, scale: Scale) -> Self {
        let rig = &design.rig;
        let mut shown: Vec<Shown<'a>> = rig
            .devices
            .iter()
            .filter(|device| !device.outside)
            .filter_map(|device| {
                let place = device.place.as_ref()?;
                let at = standing(rig, device)?;
                if deck.is_some_and(|deck| deck != place.deck) {
                    return None;
                }
                let floor = place.deck == FLOOR;
                let above = rig.board.decks.iter().filter(|other| {
                    deck.is_none() && !floor && other.name != place.deck && at.base < other.z
                });
                let over: Vec<Rect> =
                    above.flat_map(Deck::shape_on_board).filter(|rect| rect.overlaps(&at.at)).collect();
                let seen = if place.under || over.is_empty() { None } else { seen(&at.at, &over) };
                Some(Shown { device, at, hidden: place.under || !over.is_empty(), seen, floor })
            })
            .collect();
        // Undermost first, then in document order.
        shown.sort_by_key(|shown| shown.at.base);
        Self { design, deck, k: scale.factor(), boxes: BOXES, shown }
    }

    fn mm(&self, length: Length) -> f64 {
        length.as_mm() * self.k
    }

    /// A place of the board on the sheet.
    fn point(&self, x: Length, y: Length) -> Point {
        self.spot(x.as_mm(), y.as_mm())
    }

    /// The same from millimetres.
    fn spot(&self, x: f64, y: f64) -> Point {
        Point::new(x * self.k, -y * self.k)
    }

    fn area(&self, rect: &Rect) -> SheetRect {
        SheetRect::between(self.point(rect.x, rect.y), self.point(rect.right(), rect.back()))
    }

    fn solid_area(&self, solid: &rig::geometry::Solid) -> SheetRect {
        SheetRect::between(self.point(solid.low[0], solid.low[1]), self.point(solid.high[0], solid.high[1]))
    }

    fn shows_deck(&self, name: &str) -> bool {
        self.deck.is_none_or(|deck| deck == name)
    }

    fn shown(&self, tag: &str) -> Option<&Shown<'a>> {
        self.shown.iter().find(|shown| shown.device.tag == tag)
    }

    /// The board or the deck shown, on the sheet.
    fn board(&self) -> SheetRect {
        let rects: Vec<Rect> = self
            .design
            .rig
            .board
            .decks
            .iter()
            .filter(|deck| self.shows_deck(&deck.name))
            .flat_map(rig::Deck::shape_on_board)
            .collect();
        rects.iter().map(|rect| self.area(rect)).reduce(|a, b| a.with(&b)).unwrap_or_default()
    }
}

/// What of a body is still told from a line.
const LEAST_SEEN: Length = Length::from_mm(10);

/// The largest rectangle of a body that no deck above covers.
fn seen(body: &Rect, over: &[Rect]) -> Option<Rect> {
    let mut parts = vec![*body];
    for deck in over {
        parts = parts.iter().flat_map(|part| beside(part, deck)).collect();
    }
    parts.retain(|part| LEAST_SEEN <= part.width && LEAST_SEEN <= part.depth);
    let size = |part: &Rect| i128::from(part.width.nm()) * i128::from(part.depth.nm());
    parts.into_iter().max_by_key(size)
}

/// The parts of a rectangle before, behind and at both sides of another, each as large as it can be.
fn beside(part: &Rect, cut: &Rect) -> Vec<Rect> {
    if !part.overlaps(cut) {
        return vec![*part];
    }
    vec![
        Rect { depth: cut.y - part.y, ..*part },
        Rect { y: cut.back(), depth: part.back() - cut.back(), ..*part },
        Rect { width: cut.x - part.x, ..*part },
        Rect { x: cut.right(), width: part.right() - cut.right(), ..*part },
    ]
    .into_iter()
    .filter(|rest| Length::ZERO < rest.width && Length::ZERO < rest.depth)
    .collect()
}

/// The step on the sheet towards a side of the board.
fn step(face: rig::Face) -> (f64, f64) {
    match face {
        rig::Face::Right => (1.0, 0.0),
        rig::Face::Left => (-1.0, 0.0),
        rig::Face::Back => (0.0, -1.0),
        rig::Face::Front => (0.0, 1.0),
    }
}

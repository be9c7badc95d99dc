//! The carrier: decks, rails, risers, hinge, passages, lid and case.

use quantity::{Grams, Length};

use crate::Known;

/// The name that stands for the floor in front of or beside the board.
pub const FLOOR: &str = "floor";

/// A rectangle in a deck's frame: corner at the front left, then width and depth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Rect {
    /// Left edge.
    pub x: Length,
    /// Front edge.
    pub y: Length,
    /// Along x.
    pub width: Length,
    /// Along y.
    pub depth: Length,
}

impl Rect {
    /// Right edge.
    pub fn right(&self) -> Length {
        self.x + self.width
    }

    /// Back edge.
    pub fn back(&self) -> Length {
        self.y + self.depth
    }

    /// Whether `other` lies wholly within.
    pub fn holds(&self, other: &Self) -> bool {
        self.x <= other.x && self.y <= other.y && other.right() <= self.right() && other.back() <= self.back()
    }

    /// Whether the two share more than an edge.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.x < other.right() && other.x < self.right() && self.y < other.back() && other.y < self.back()
    }
}

/// Which way signal runs along the rows, as the player sees it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Direction {
    /// Input at the right, output at the left: the custom.
    #[default]
    RightToLeft,
    /// The other way round.
    LeftToRight,
}

vocabulary! { Direction: RightToLeft = "right-to-left", LeftToRight = "left-to-right" }

/// The physical carrier.
#[derive(Debug, Clone, Default)]
pub struct Board {
    /// Its catalogue kind.
    pub kind: Option<String>,
    /// What it is, for papers.
    pub title: String,
    /// Which way signal runs.
    pub direction: Direction,
    /// Its levels, lowest first as written.
    pub decks: Vec<Deck>,
    /// Where its feet stand, on the board's frame; none when nobody wrote them down.
    pub feet: Vec<(Length, Length)>,
    /// Its own mass.
    pub mass: Known<Grams>,
    /// The lid, when there is one.
    pub lid: Option<Lid>,
    /// The case, when there is one.
    pub case: Option<Case>,
}

impl Board {
    /// The deck with this name.
    pub fn deck(&self, name: &str) -> Option<&Deck> {
        self.decks.iter().find(|deck| deck.name == name)
    }

    /// How far the floor lies below the surface of the lowest deck: its thickness and clear height.
    pub fn floor_level(&self) -> Length {
        self.decks
            .iter()
            .filter_map(|deck| Some(deck.z - deck.thickness - deck.clear_below.value?))
            .min()
            .unwrap_or(Length::ZERO)
    }

    /// Width and depth around all decks.
    pub fn extent(&self) -> Rect {
        let rects: Vec<Rect> = self.decks.iter().flat_map(Deck::shape_on_board).collect();
        bounding(&rects)
    }
}

/// The smallest rectangle around all of them; empty at the origin when there are none.
fn bounding(rects: &[Rect]) -> Rect {
    let Some(x) = rects.iter().map(|r| r.x).min() else { return Rect::default() };
    let y = rects.iter().map(|r| r.y).min().unwrap_or_default();
    let right = rects.iter().map(Rect::right).max().unwrap_or_default();
    let back = rects.iter().map(Rect::back).max().unwrap_or_default();
    Rect { x, y, width: right - x, depth: back - y }
}

/// One level of a board.
#[derive(Debug, Clone, Default)]
pub struct Deck {
    /// Its name, used in placements.
    pub name: String,
    /// Where its origin stands on the board: from the board's front left corner.
    pub x: Length,
    /// Where its origin stands on the board.
    pub y: Length,
    /// Height of its surface above the main deck's surface.
    pub z: Length,
    /// Its outline: a union of rectangles in its own frame.
    pub shape: Vec<Rect>,
    /// Thickness of the deck.
    pub thickness: Length,
    /// Clear height beneath it, down to the floor or the deck below.
    pub clear_below: Known<Length>,
    /// Rails it is made of, when it is not one sheet.
    pub rails: Vec<Rail>,
    /// Raised places on it.
    pub risers: Vec<Riser>,
    /// Holes leads pass through.
    pub passages: Vec<Passage>,
    /// The axis it lifts on.
    pub hinge: Option<Hinge>,
}

impl Deck {
    /// The smallest rectangle around its outline, in its own frame.
    pub fn extent(&self) -> Rect {
        bounding(&self.shape)
    }

    /// Its outline in the board's frame.
    pub fn shape_on_board(&self) -> Vec<Rect> {
        self.shape.iter().map(|r| Rect { x: r.x + self.x, y: r.y + self.y, ..*r }).collect()
    }

    /// The height on which a thing with this footprint (in the deck's frame) stands: the highest riser
    /// that carries all of it, else the deck itself.
    pub fn ground(&self, footprint: &Rect) -> Length {
        self.risers
            .iter()
            .filter(|riser| riser.at.holds(footprint))
            .map(|riser| riser.height)
            .max()
            .unwrap_or(Length::ZERO)
    }
}

/// A rail of a frame: things may hang through the gaps between rails, never through a rail.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rail {
    /// Its name.
    pub name: String,
    /// Where it lies.
    pub at: Rect,
    /// How far it reaches below the deck's underside.
    pub drop: Length,
}

/// A raised place on a deck.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Riser {
    /// Its name.
    pub name: String,
    /// Where it stands.
    pub at: Rect,
    /// Its height above the deck.
    pub height: Length,
}

/// A hole that leads pass through.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Passage {
    /// Its name.
    pub name: String,
    /// Where it is cut.
    pub at: Rect,
    /// Whether its edge is lined with a grommet.
    pub grommet: Known<bool>,
}

/// The axis a deck lifts on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hinge {
    /// The edge it turns on: `back`, `front`, `left` or `right`.
    pub edge: crate::Face,
    /// How far it opens, in degrees.
    pub swing_degrees: u32,
}

/// The lid of the case or board.
#[derive(Debug, Clone, Default)]
pub struct Lid {
    /// Inside height above the main deck's surface, foam uncompressed to nothing.
    pub inside_height: Known<Length>,
}

/// The case the board travels in.
#[derive(Debug, Clone, Default)]
pub struct Case {
    /// What it is.
    pub title: String,
    /// Its mass.
    pub mass: Known<Grams>,
    /// Room between the foam walls: width.
    pub inside_width: Known<Length>,
    /// Room between the foam walls: depth.
    pub inside_depth: Known<Length>,
    /// Outside width, for carriers.
    pub outside_width: Known<Length>,
    /// Outside depth.
    pub outside_depth: Known<Length>,
    /// Outside height.
    pub outside_height: Known<Length>,
}

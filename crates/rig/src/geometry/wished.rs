//! What a wish for a place means in lengths: one measure for whoever judges a board and for whoever lays one.
//!
//! Each measure is zero where all is as wished, and otherwise how far it is from that. Where only the verdict is wanted,
//! it is whether the measure is zero.

use quantity::Length;

use super::{Owner, Solid};
use crate::{Deck, Rect, Spot};

/// What a tape reads, and how exactly something assumed was written down: nearer to a limit than this is not told from it.
/// *Common practice, no source.*
const TAPE: [Length; 2] = [Length::from_nm(500_000), Length::from_mm(1)];

/// How near to its limit a length cannot be told from it; more where it rests on an assumed value.
pub const fn tape(is_assumed: bool) -> Length {
    TAPE[is_assumed as usize]
}

/// The smallest step, so that whatever is not as wished is told from what is.
const LEAST: Length = Length::from_nm(1);

/// The edge of a deck that a row stands at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RowEdge {
    /// Where the player stands.
    Front,
    /// The other one.
    Back,
}

impl RowEdge {
    /// How far a body keeps from this edge of its deck.
    pub fn away(self, deck: &Rect, own: &Rect) -> Length {
        match self {
            Self::Front => own.y - deck.y,
            Self::Back => deck.back() - own.back(),
        }
    }

    /// How far a body is out of the half of its deck at this edge.
    pub fn out_of_half(self, deck: &Rect, own: &Rect) -> Length {
        (self.away(deck, own) - deck.depth.half() + LEAST).max(Length::ZERO)
    }

    /// How far `other` is in the way between a body and this edge: the shorter way out, to its side or past it.
    pub fn in_the_way(self, own: &Rect, other: &Rect) -> Length {
        let past = match self {
            Self::Front => own.y - other.y,
            Self::Back => other.y - own.y,
        };
        let aside = (own.right() - other.x).min(other.right() - own.x);
        past.min(aside).max(Length::ZERO)
    }
}

/// How much further out to the left or right end a body stands than `own`. Zero for a spot that is no end.
pub fn further_out(end: Spot, own: &Rect, other: &Rect) -> Length {
    let by = match end {
        Spot::LeftEnd => own.x - other.x,
        Spot::RightEnd => other.right() - own.right(),
        _ => Length::ZERO,
    };
    by.max(Length::ZERO)
}

/// How deep two rectangles share room: the shorter way out of one another.
pub fn shared(a: &Rect, b: &Rect) -> Length {
    let across = (a.right() - b.x).min(b.right() - a.x);
    let along = (a.back() - b.y).min(b.back() - a.y);
    across.min(along).max(Length::ZERO)
}

/// The corners of a body: what gaps are measured between.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bulk {
    /// The least x, y and z.
    pub low: [Length; 3],
    /// The greatest.
    pub high: [Length; 3],
}

impl Bulk {
    /// Of a box.
    pub fn of(solid: &Solid) -> Self {
        Self { low: solid.low, high: solid.high }
    }

    /// Seen from above.
    pub fn plan(&self) -> Rect {
        let [x, y, _] = self.low;
        Rect { x, y, width: self.high[0] - x, depth: self.high[1] - y }
    }

    /// The air between two bodies along the straight line; zero when they meet.
    pub fn air(&self, other: &Self) -> Length {
        let apart = |axis: usize| {
            (self.low[axis] - other.high[axis]).max(other.low[axis] - self.high[axis]).max(Length::ZERO)
        };
        match [0, 1, 2].map(apart) {
            [x, Length::ZERO, Length::ZERO] => x,
            [Length::ZERO, y, Length::ZERO] => y,
            [Length::ZERO, Length::ZERO, z] => z,
            all => Length::from_mm_rounded(
                all.iter().map(|apart| apart.as_mm() * apart.as_mm()).sum::<f64>().sqrt(),
            ),
        }
    }

    /// Whether the two share some height.
    pub fn is_level_with(&self, other: &Self) -> bool {
        self.low[2] < other.high[2] && other.low[2] < self.high[2]
    }

    /// How far two bodies are from standing side by side in one row: by how much neither reaches the depth of the other.
    pub fn out_of_row(&self, other: &Self) -> Length {
        (self.low[1].max(other.low[1]) - self.high[1].min(other.high[1]) + LEAST).max(Length::ZERO)
    }

    /// What lies between two bodies that stand side by side: along x from the one to the other, along y where both are.
    pub fn between(&self, other: &Self) -> Rect {
        let (left, right) = if self.low[0] <= other.low[0] { (self, other) } else { (other, self) };
        let (front, back) = (left.low[1].max(right.low[1]), left.high[1].min(right.high[1]));
        let width = (right.low[0] - left.high[0]).max(Length::ZERO);
        Rect { x: left.high[0], y: front, width, depth: back - front }
    }
}

/// A free place of this size on a deck, in the board's frame; `None` where there is none.
///
/// Free means: within the outline, wholly on one riser or on none, over no passage, and clear of every body, plug, bend
/// and service corridor up to `height`, which a foot wants.
pub fn free_place(
    deck: &Deck,
    boxes: &[Solid],
    (width, depth): (Length, Length),
    height: Length,
) -> Option<Rect> {
    let shape = deck.shape_on_board();
    let moved = |at: &Rect| Rect { x: at.x + deck.x, y: at.y + deck.y, ..*at };
    let top = deck.z + height;
    let is_above = |solid: &&Solid| deck.z < solid.high[2] && solid.low[2] < top;
    // Risers of this deck carry; everything else that stands over it is in the way.
    let is_own = |owner: &Owner| matches!(owner, Owner::Board { deck: name, .. } if *name == deck.name);
    let in_the_way = boxes.iter().filter(|solid| !is_own(&solid.owner)).filter(is_above);
    let mut taken: Vec<Rect> = in_the_way.map(|solid| Bulk::of(solid).plan()).collect();
    taken.extend(deck.passages.iter().map(|passage| moved(&passage.at)));
    let risers: Vec<Rect> = deck.risers.iter().map(|riser| moved(&riser.at)).collect();
    let is_free = |place: &Rect, taken: &[&Rect]| {
        !taken.iter().any(|other| other.overlaps(place))
            && risers.iter().all(|riser| riser.holds(place) || !riser.overlaps(place))
            && is_covered(&shape, place)
    };
    // A place that is free can be pushed left and then to the front until it touches something.
    let edges = |low: fn(&Rect) -> Length, high: fn(&Rect) -> Length, taken: &[&Rect]| {
        let mut edges: Vec<Length> = taken.iter().map(|at| high(at)).collect();
        edges.extend(shape.iter().chain(&risers).flat_map(|at| [low(at), high(at)]));
        edges.sort();
        edges.dedup();
        edges
    };
    let all: Vec<&Rect> = taken.iter().collect();
    edges(|at| at.x, Rect::right, &all).into_iter().find_map(|x| {
        let near: Vec<&Rect> = taken.iter().filter(|at| at.x < x + width && x < at.right()).collect();
        let mut places = edges(|at| at.y, Rect::back, &near).into_iter().map(|y| Rect { x, y, width, depth });
        places.find(|place| is_free(place, &near))
    })
}

/// Whether the rectangles together cover `rect`.
pub fn is_covered(rects: &[Rect], rect: &Rect) -> bool {
    if rect.width <= Length::ZERO || rect.depth <= Length::ZERO {
        return true;
    }
    let Some((first, rest)) = rects.split_first() else { return false };
    if !first.overlaps(rect) {
        return is_covered(rest, rect);
    }
    // What the first does not cover: strips at the left and right, then front and back between them.
    let (left, right) = (first.x.max(rect.x), first.right().min(rect.right()));
    let (front, back) = (first.y.max(rect.y), first.back().min(rect.back()));
    let from =
        |x: Length, y: Length, right: Length, back: Length| Rect { x, y, width: right - x, depth: back - y };
    [
        from(rect.x, rect.y, left, rect.back()),
        from(right, rect.y, rect.right(), rect.back()),
        from(left, rect.y, right, front),
        from(left, back, right, rect.back()),
    ]
    .iter()
    .all(|strip| is_covered(rest, strip))
}

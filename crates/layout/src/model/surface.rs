//! What things stand on or hang from.

use rig::{Deck, FLOOR, Rig};

use super::Flat;

/// The upper side or the underside of a deck, or the floor.
#[derive(Debug, Clone)]
pub(crate) struct Surface {
    /// The deck's name.
    pub(crate) deck: String,
    /// Whether things hang under it.
    pub(crate) under: bool,
    pub(crate) is_floor: bool,
    /// The deck's origin on the board.
    pub(crate) origin: [i64; 2],
    /// The height of what stands here; of what hangs here, the underside.
    level: i64,
    /// Around its shape, in the board's frame.
    pub(crate) extent: Flat,
    /// What of its extent is not deck.
    pub(crate) void: Vec<Flat>,
    /// What of it is raised, by how much, and what it is called.
    risers: Vec<Riser>,
    pub(crate) rails: Vec<Flat>,
    /// The lowest that things hanging here may reach.
    pub(crate) ground: Option<i64>,
    /// The middles of the deck's passages.
    pub(crate) passages: Vec<[i64; 2]>,
    /// The passages themselves.
    pub(crate) openings: Vec<Flat>,
}

/// A raised part of a deck.
#[derive(Debug, Clone)]
struct Riser {
    at: Flat,
    height: i64,
    name: String,
}

/// A level part of a deck along one axis.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Run {
    pub(crate) length: i64,
    /// Where it is: `before riser back`.
    pub(crate) words: String,
}

impl Surface {
    /// Every surface of the rig: upper sides, undersides, the floor.
    pub(crate) fn all(rig: &Rig) -> Vec<Self> {
        let tops = rig.board.decks.iter().map(|deck| Self::of(deck, false));
        let undersides = rig.board.decks.iter().map(|deck| Self::of(deck, true));
        let floor = Self {
            deck: FLOOR.to_owned(),
            under: false,
            is_floor: true,
            origin: [0, 0],
            level: rig.board.floor_level().nm(),
            extent: Flat { low: [0, 0], high: [0, 0] },
            void: Vec::new(),
            risers: Vec::new(),
            rails: Vec::new(),
            ground: None,
            passages: Vec::new(),
            openings: Vec::new(),
        };
        tops.chain(undersides).chain([floor]).collect()
    }

    fn of(deck: &Deck, under: bool) -> Self {
        let on_board =
            |rect: &rig::Rect| Flat::of(&rig::Rect { x: rect.x + deck.x, y: rect.y + deck.y, ..*rect });
        let shape: Vec<Flat> = deck.shape.iter().map(on_board).collect();
        let extent = Flat::around(&shape);
        Self {
            deck: deck.name.clone(),
            under,
            is_floor: false,
            origin: [deck.x.nm(), deck.y.nm()],
            level: if under { (deck.z - deck.thickness).nm() } else { deck.z.nm() },
            extent,
            void: extent.without(&shape),
            risers: if under {
                Vec::new()
            } else {
                let raised = |riser: &rig::Riser| Riser {
                    at: on_board(&riser.at),
                    height: riser.height.nm(),
                    name: riser.name.clone(),
                };
                deck.risers.iter().map(raised).collect()
            },
            rails: deck.rails.iter().map(|rail| on_board(&rail.at)).collect(),
            ground: deck
                .clear_below
                .value
                .filter(|_| under)
                .map(|clear| (deck.z - deck.thickness - clear).nm()),
            passages: deck
                .passages
                .iter()
                .map(|passage| on_board(&passage.at))
                .map(|at| [i64::midpoint(at.low[0], at.high[0]), i64::midpoint(at.low[1], at.high[1])])
                .collect(),
            openings: deck.passages.iter().map(|passage| on_board(&passage.at)).collect(),
        }
    }

    /// The height of the base of a body with this footprint; `hang` is what it and its bracket take below a deck.
    pub(crate) fn base(&self, at: &Flat, hang: i64) -> i64 {
        if self.under {
            return self.level - hang;
        }
        let holds = |riser: &Flat| {
            (0..2).all(|axis| riser.low[axis] <= at.low[axis] && at.high[axis] <= riser.high[axis])
        };
        let up = self.risers.iter().filter(|riser| holds(&riser.at)).map(|riser| riser.height).max();
        self.level + up.unwrap_or(0)
    }

    /// What is left below a body that takes so much under a deck; `None` on a deck, and where the clear height is not known or
    /// leads would have to go around the edge.
    pub(crate) fn room_below(&self, hang: i64) -> Option<i64> {
        self.ground
            .filter(|_| self.under && !self.passages.is_empty())
            .map(|ground| self.level - hang - ground)
    }

    /// What of it is raised.
    pub(crate) fn raised(&self) -> impl Iterator<Item = &Flat> {
        self.risers.iter().map(|riser| &riser.at)
    }

    /// Where the risers begin along an axis.
    pub(crate) fn riser_lows(&self, axis: usize) -> impl Iterator<Item = i64> {
        self.risers.iter().map(move |riser| riser.at.low[axis])
    }

    /// The risers that carry all of a footprint.
    pub(crate) fn under_foot<'a>(&'a self, at: &'a Flat) -> impl Iterator<Item = &'a Flat> {
        self.risers.iter().map(|riser| &riser.at).filter(|riser| holds(riser, at))
    }

    /// Whether another surface lies above this one.
    pub(crate) fn is_below(&self, other: &Self) -> bool {
        self.level < other.level
    }

    /// Whether this is the underside of a deck that lies between it and another surface.
    pub(crate) fn is_shut_from(&self, other: &Self) -> bool {
        let above = if other.under { self.level < other.level } else { self.level <= other.level };
        self.under && !other.is_floor && above
    }

    /// The level parts of it along an axis, where they run on: before, behind and on a riser that crosses all of it. Of
    /// several risers, or one beside which the deck goes on, only the longest part.
    pub(crate) fn free_runs(&self, axis: usize) -> Vec<Run> {
        let length = |flat: &Flat| flat.high[axis] - flat.low[axis];
        let across = 1 - axis;
        let whole = |riser: &&Riser| {
            riser.at.low[across] <= self.extent.low[across]
                && self.extent.high[across] <= riser.at.high[across]
        };
        let [riser] = self.risers.as_slice() else { return self.longest_run(axis) };
        if !whole(&riser) {
            return self.longest_run(axis);
        }
        let [before, behind] = [["left of", "right of"], ["before", "behind"]][axis];
        let runs = [
            (riser.at.low[axis] - self.extent.low[axis], before),
            (self.extent.high[axis] - riser.at.high[axis], behind),
            (length(&riser.at), "on"),
        ];
        let mut name = format!("riser {}", riser.name);
        let runs = runs.into_iter().filter(|(length, _)| 0 < *length);
        runs.map(|(length, side)| {
            let words = format!("{side} {name}");
            "it".clone_into(&mut name);
            Run { length, words }
        })
        .collect()
    }

    /// The longest part along an axis that no riser cuts, and the longest on a riser.
    fn longest_run(&self, axis: usize) -> Vec<Run> {
        let across = 1 - axis;
        let mut cuts: Vec<i64> =
            self.risers.iter().flat_map(|riser| [riser.at.low[across], riser.at.high[across]]).collect();
        cuts.extend([self.extent.low[across], self.extent.high[across]]);
        cuts.sort_unstable();
        let mut longest = 0;
        for strip in cuts.windows(2).filter(|strip| strip[0] < strip[1]) {
            let crosses =
                |riser: &&Riser| riser.at.low[across] < strip[1] && strip[0] < riser.at.high[across];
            let mut on: Vec<&Riser> = self.risers.iter().filter(crosses).collect();
            on.sort_by_key(|riser| riser.at.low[axis]);
            let mut from = self.extent.low[axis];
            for riser in on {
                longest = longest.max(riser.at.low[axis] - from);
                from = from.max(riser.at.high[axis]);
            }
            longest = longest.max(self.extent.high[axis] - from);
        }
        let raised = self.risers.iter().map(|riser| riser.at.high[axis] - riser.at.low[axis]).max();
        [(longest, "beside the risers"), (raised.unwrap_or(0), "on a riser")]
            .into_iter()
            .filter(|(length, _)| 0 < *length)
            .map(|(length, words)| Run { length, words: words.to_owned() })
            .collect()
    }

    /// How far a body with this footprint stands beside the deck.
    pub(crate) fn beside(&self, at: &Flat) -> i64 {
        if self.is_floor {
            return 0;
        }
        let over = |axis: usize| {
            (self.extent.low[axis] - at.low[axis]).max(0) + (at.high[axis] - self.extent.high[axis]).max(0)
        };
        over(0) + over(1) + self.void.iter().map(|void| void.depth(at)).sum::<i64>()
    }
}

fn holds(riser: &Flat, at: &Flat) -> bool {
    (0..2).all(|axis| riser.low[axis] <= at.low[axis] && at.high[axis] <= riser.high[axis])
}

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
    risers: Vec<(Flat, i64)>,
    pub(crate) rails: Vec<Flat>,
    /// The lowest that things hanging here may reach.
    pub(crate) ground: Option<i64>,
    /// The middles of the deck's passages.
    pub(crate) passages: Vec<[i64; 2]>,
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
                deck.risers.iter().map(|riser| (on_board(&riser.at), riser.height.nm())).collect()
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
        let up = self.risers.iter().filter(|(riser, _)| holds(riser)).map(|(_, height)| *height).max();
        self.level + up.unwrap_or(0)
    }

    /// The risers that carry all of a footprint.
    pub(crate) fn under_foot<'a>(&'a self, at: &'a Flat) -> impl Iterator<Item = &'a Flat> {
        self.risers.iter().map(|(riser, _)| riser).filter(|riser| holds(riser, at))
    }

    /// Whether another surface lies above this one.
    pub(crate) fn is_below(&self, other: &Self) -> bool {
        self.level < other.level
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

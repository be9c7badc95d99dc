//! Devices on decks as the search walks over them: overlaps are priced, and passed through while it is hot.

use super::descent::{self, Prices};
use super::room::Rooms;
use super::spots;
use super::state::{State, Undo, real};
use crate::Weights;
use crate::model::{Model, Stand};
use crate::random::Random;
use crate::search::{Heat, Kept, Walk};

/// What a millimetre of overlap and what an overlap cost while the search cools: so much that overlaps are passed through
/// while it is hot, and not lived in. Found by trying on the examples.
const DEPTH: f64 = 1000.0;
const PAIR: f64 = 3000.0;

/// The share of the search over which wishes come to count in full, in so many steps, and what they count at first: nobody
/// walks through a wall, so while it is hot there is none.
const UNTIL: f64 = 0.6;
const STEPS: f64 = 12.0;
const AT_FIRST: f64 = 0.05;

/// What part of its weight a wish counts when so much of the search is done.
fn part_of_wishes(share: f64) -> f64 {
    let done = ((share / UNTIL).min(1.0) * STEPS).floor() / STEPS;
    AT_FIRST + (1.0 - AT_FIRST) * done
}

/// What a placement costs but for the free room, what is wrong with it included.
fn energy(state: &State<'_>, weights: &Weights) -> f64 {
    let wrong = state.sums.wrong;
    state.cost(weights) + (DEPTH * real(wrong.depth) / 1000.0 + PAIR * f64::from(wrong.pairs))
}

/// What a placement costs but for the free room, and what that takes off.
#[derive(Debug, Clone, Copy)]
struct Judged {
    energy: f64,
    free: f64,
}

/// One worker's placement of the devices of a model.
#[derive(Debug)]
pub(crate) struct Devices<'m> {
    pub(super) model: &'m Model,
    rooms: &'m Rooms,
    pub(super) weights: Weights,
    /// The same as they count now, while it cools.
    now: Weights,
    pub(super) state: State<'m>,
    prices: Prices,
    /// The least that is wrong so far, when nothing fits.
    pub(super) nearest: (i64, Vec<Stand>),
    /// Of the present placement, when it was asked for.
    judged: Option<Judged>,
    /// The change: its stands until it is weighed, then what undoes it and what came of it.
    changes: Vec<(usize, Stand)>,
    undo: Vec<Undo>,
    changed: Judged,
    pub(super) movable: Vec<usize>,
    /// What may be moved, and what stays but has a plug or exit to choose.
    pub(super) open: Vec<usize>,
}

impl<'m> Devices<'m> {
    pub(crate) fn new(model: &'m Model, rooms: &'m Rooms, weights: Weights, stands: Vec<Stand>) -> Self {
        let state = State::new(model, stands);
        Self {
            model,
            rooms,
            weights,
            now: weights,
            prices: Prices::new(model.items.len()),
            nearest: (state.sums.wrong.depth, state.stands()),
            state,
            judged: None,
            changes: Vec::new(),
            undo: Vec::new(),
            changed: Judged { energy: 0.0, free: 0.0 },
            movable: (0..model.items.len()).filter(|index| model.items[*index].movable).collect(),
            open: (0..model.items.len()).filter(|index| model.items[*index].is_free()).collect(),
        }
    }

    /// A first guess: every other worker begins with rows, the others anywhere.
    pub(crate) fn guess(model: &Model, random: &mut Random, number: usize) -> Vec<Stand> {
        if number.is_multiple_of(2) {
            spots::rows(model, random)
        } else {
            (0..model.items.len()).map(|index| spots::first(model, random, index, false)).collect()
        }
    }

    fn room(&self) -> f64 {
        if self.weights.free_room == 0.0 {
            return 0.0;
        }
        self.weights.free_room * self.rooms.largest(&self.state).map_or(0.0, |free| free.area())
    }
}

impl Walk for Devices<'_> {
    type Placement = Vec<Stand>;

    fn is_fixed(&self) -> bool {
        self.open.is_empty()
    }

    fn towards_fit(&mut self, random: &mut Random) -> Option<u64> {
        let tried = descent::step(self.model, &mut self.state, &mut self.prices, random);
        self.judged = None;
        if self.state.sums.wrong.depth < self.nearest.0 {
            self.nearest = (self.state.sums.wrong.depth, self.state.stands());
        }
        Some(tried)
    }

    fn change(&mut self, random: &mut Random, heat: Heat) -> bool {
        if !self.model.wants.is_empty() {
            let wishes = self.weights.wishes * part_of_wishes(heat.share);
            if self.now.wishes.to_bits() != wishes.to_bits() {
                self.now.wishes = wishes;
                self.judged = None;
            }
        }
        if self.judged.is_none() {
            self.judged = Some(Judged { energy: energy(&self.state, &self.now), free: self.room() });
        }
        self.changes = self.changes(random, heat.share);
        !self.changes.is_empty()
    }

    fn energy(&self) -> f64 {
        self.judged.map_or(f64::INFINITY, |judged| judged.energy)
    }

    fn weigh(&mut self, most: f64, _: Heat) -> Option<f64> {
        let weights = self.now;
        let mut whole = true;
        self.undo.clear();
        let last = self.changes.len().saturating_sub(1);
        for (place, (item, stand)) in self.changes.drain(..).enumerate() {
            // A later change may mend what an earlier one broke; after the last one nothing is mended.
            let (one, all) = self.state.put_unless(item, stand, |state| {
                place == last && 0.0 <= weights.looks && most < energy(state, &weights)
            });
            self.undo.push(one);
            whole &= all;
        }
        self.changed.energy = energy(&self.state, &weights);
        whole.then_some(self.changed.energy)
    }

    fn weigh_dear(&mut self) -> Option<f64> {
        self.changed.free = self.room();
        self.judged.map(|judged| judged.free - self.changed.free)
    }

    fn accept(&mut self) {
        self.judged = Some(self.changed);
    }

    fn take_back(&mut self) {
        for one in self.undo.drain(..).rev() {
            self.state.undo(one);
        }
    }

    fn total(&mut self, bound: f64) -> Option<f64> {
        if !self.state.fits() {
            return None;
        }
        let soft = self.state.cost(&self.weights);
        // Nothing frees more room than there is.
        let least = soft - self.rooms.most() * self.weights.free_room;
        if bound <= least {
            return None;
        }
        Some(soft - self.judged.map_or_else(|| self.room(), |judged| judged.free))
    }

    fn placement(&self) -> Vec<Stand> {
        self.state.stands()
    }

    fn begin_at(&mut self, placement: &Vec<Stand>) {
        self.state = State::new(self.model, placement.clone());
        self.judged = None;
    }

    fn polish(&mut self, best: Kept<Vec<Stand>>) -> Kept<Vec<Stand>> {
        self.polished(best)
    }

    fn agrees_with_twin(&self) -> bool {
        self.state.agrees_with_twin()
    }
}

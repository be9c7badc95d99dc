//! The last touches on a placement: single steps, each axis slid to its best, rows straightened.

use super::insert;
use super::slide;
use super::spots;
use super::straight;
use super::walk::Devices;
use crate::model::Stand;
use crate::random::Random;
use crate::search::{Kept, Walk as _};

/// How often each pair of devices is tried, and tries of one placement in all.
const SIDES: usize = 4;
const TRIES: usize = 4_000;

impl Devices<'_> {
    /// The last touches on the best: each axis slid to its best, single steps and choices while they help.
    pub(super) fn polished(&mut self, mut best: Kept<Vec<Stand>>) -> Kept<Vec<Stand>> {
        for _ in 0..3 {
            let before = best.total;
            self.begin_at(&best.placement);
            self.put_in_anew(best.total);
            self.keep_in(&mut best);
            self.single_steps(best.total);
            self.keep_in(&mut best);
            slide::slide(self.model, &mut self.state, &self.weights);
            self.keep_in(&mut best);
            self.begin_at(&best.placement);
            straight::straighten(self.model, &mut self.state, &self.weights);
            self.keep_in(&mut best);
            if before <= best.total {
                break;
            }
        }
        best
    }

    /// Keeps the present placement where it is better.
    fn keep_in(&mut self, best: &mut Kept<Vec<Stand>>) {
        if let Some(total) = self.total(best.total)
            && total < best.total
        {
            *best = Kept { total, placement: self.placement() };
        }
    }

    /// Each device beside, before and behind each other one, while that brings the total below `least`.
    fn put_in_anew(&mut self, mut least: f64) {
        let count = self.model.items.len();
        let mut random = Random::new(count as u64, 0);
        let mut left = TRIES;
        let mut better = true;
        while better {
            better = false;
            for index in 0..self.movable.len() {
                for attempt in 0..count * SIDES {
                    if left == 0 {
                        return;
                    }
                    left -= 1;
                    let (item, other) = (self.movable[index], attempt / SIDES);
                    let changes = insert::inserted(self.model, &self.state.bodies, &mut random, item, other);
                    let undo: Vec<_> =
                        changes.into_iter().map(|(item, stand)| self.state.put(item, stand)).collect();
                    match self.total(least).filter(|total| *total < least) {
                        Some(total) => (least, better) = (total, true),
                        None => undo.into_iter().rev().for_each(|one| self.state.undo(one)),
                    }
                }
            }
        }
    }

    /// Steps and choices that bring the total below `least`, one after the other while there are any.
    fn single_steps(&mut self, mut least: f64) {
        for round in 0..4 {
            let before = least;
            for index in 0..self.open.len() {
                let item = self.open[index];
                for stand in self.near(item, round) {
                    let (undo, whole) = self.state.put_unless(item, stand, |state| !state.fits());
                    let total = if whole { self.total(least) } else { None };
                    if let Some(total) = total.filter(|total| *total < least) {
                        least = total;
                    } else {
                        self.state.undo(undo);
                    }
                }
            }
            if before <= least {
                break;
            }
        }
    }

    fn near(&self, item: usize, round: i64) -> Vec<Stand> {
        let now = &self.state.bodies[item].stand;
        let mut out = Vec::new();
        let shifts: &[i64] = if self.model.items[item].movable { &[8 >> round, 1] } else { &[] };
        for steps in shifts {
            for (x, y) in [(1, 0), (-1, 0), (0, 1), (0, -1)] {
                let mut stand = now.clone();
                stand.spot.x += x * steps * self.model.grid;
                stand.spot.y += y * steps * self.model.grid;
                stand.spot = spots::in_rim(self.model, &self.model.items[item], stand.spot);
                out.push(stand);
            }
        }
        for (end, place) in self.model.items[item].ends.iter().enumerate() {
            for choice in 0..place.choices.len() {
                let choice = u8::try_from(choice).unwrap_or(0);
                if choice != now.choices[end] {
                    let mut stand = now.clone();
                    stand.choices[end] = choice;
                    out.push(stand);
                }
            }
        }
        out
    }
}

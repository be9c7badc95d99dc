//! One logical worker: first a placement that fits, then a cooling search for a good one.

use super::{Heat, Walk};
use crate::random::{Random, tolerance};

/// A placement with its total.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept<P> {
    /// As [`Walk::total`] has it.
    pub total: f64,
    /// As [`Walk::placement`] has it.
    pub placement: P,
}

/// A walk with its own chance.
#[derive(Debug)]
pub struct Worker<W: Walk> {
    /// What it walks over.
    pub walk: W,
    random: Random,
    /// The best that fits.
    pub best: Option<Kept<W::Placement>>,
    moves: u64,
    /// Moves at which something fitted first.
    pub first_fit: Option<u64>,
}

impl<W: Walk> Worker<W> {
    /// A worker that begins where the walk is.
    pub fn new(walk: W, random: Random) -> Self {
        Self { walk, random, best: None, moves: 0, first_fit: None }
    }

    /// Goes on for about so many moves, cooling from `hot` to `cold` over the whole plan; `shares` are what is done of it at
    /// the start and at the end.
    pub(super) fn run(&mut self, moves: u64, (hot, cold): (f64, f64), shares: (f64, f64)) {
        let start = self.moves;
        let end = start + moves;
        if self.walk.is_fixed() {
            self.keep();
            self.moves = end;
            return;
        }
        while self.moves < end {
            if self.best.is_none() {
                self.keep();
                if self.best.is_none()
                    && let Some(tried) = self.walk.towards_fit(&mut self.random)
                {
                    self.moves += tried;
                    continue;
                }
            }
            let done = real(self.moves - start) / real(moves);
            let share = (shares.0 + (shares.1 - shares.0) * done).min(1.0);
            self.anneal(Heat { temperature: hot * libm::pow(cold / hot, share), share });
            self.moves += 1;
        }
        debug_assert!(self.walk.agrees_with_twin(), "the sums kept and the sums made anew differ");
    }

    /// One move: done, judged, and taken back when it is too much worse.
    fn anneal(&mut self, heat: Heat) {
        if !self.walk.change(&mut self.random, heat) {
            return;
        }
        let most = self.walk.energy() + tolerance(&mut self.random, heat.temperature);
        let mut accepted = self.walk.weigh(most, heat).is_some_and(|energy| energy <= most);
        // What is dear to find is looked for only when all else would be accepted, and then accepted or not by itself
        // (delayed acceptance, Christen and Fox, J. Comput. Graph. Stat. 14, 2005).
        if accepted && let Some(worse) = self.walk.weigh_dear() {
            accepted = worse <= tolerance(&mut self.random, heat.temperature);
        }
        if accepted {
            self.walk.accept();
            self.keep();
        } else {
            self.walk.take_back();
        }
    }

    /// Remembers the present placement when it fits and is better.
    fn keep(&mut self) {
        let bound = self.best.as_ref().map_or(f64::INFINITY, |best| best.total);
        let Some(total) = self.walk.total(bound) else { return };
        self.first_fit.get_or_insert(self.moves);
        if total < bound {
            self.best = Some(Kept { total, placement: self.walk.placement() });
        }
    }

    /// Takes over what another found.
    pub(super) fn adopt(&mut self, placement: &W::Placement) {
        self.walk.begin_at(placement);
        self.keep();
    }

    /// Starts again from the best.
    pub(super) fn back_to_best(&mut self) {
        if let Some(best) = &self.best {
            self.walk.begin_at(&best.placement);
        }
    }

    /// Finishes the best.
    pub(super) fn polish(&mut self) {
        if let Some(best) = self.best.take() {
            self.best = Some(self.walk.polish(best));
        }
    }
}

#[expect(clippy::cast_precision_loss, reason = "counts of moves are far below 2^53")]
fn real(moves: u64) -> f64 {
    moves as f64
}

//! One logical worker: first a placement that fits, then a cooling search for a good one.

use super::descent::{self, Prices};
use super::room::Rooms;
use super::rows::{in_row, nearest_line};
use super::slide;
use super::spots;
use super::state::{State, Undo, real};
use super::straight;
use crate::Weights;
use crate::model::{Model, Spot, Stand};
use crate::random::{Random, tolerance};

/// The temperature at the start and at the end, in millimetres of lead.
const HOT: f64 = 1000.0;
const COLD: f64 = 4.0;
/// What a millimetre of overlap and what an overlap cost while the search cools: so much that overlaps are passed through
/// while it is hot, and not lived in. Found by trying on the examples.
const DEPTH: f64 = 1000.0;
const PAIR: f64 = 3000.0;
/// How often a device that would miss a front line by little is put into it.
const IN_LINE: f64 = 0.8;
/// The farthest shift at the start.
const FAR: i64 = 80_000_000;

/// A placement with its total.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Kept {
    pub(crate) total: f64,
    pub(crate) stands: Vec<Stand>,
}

/// What a placement costs but for the free room, what is wrong with it included.
fn energy(state: &State<'_>, weights: &Weights) -> f64 {
    let wrong = state.sums.wrong;
    state.cost(weights) + (DEPTH * real(wrong.depth) / 1000.0 + PAIR * f64::from(wrong.pairs))
}

/// A worker with its own chance.
pub(crate) struct Worker<'m> {
    model: &'m Model,
    rooms: &'m Rooms,
    weights: Weights,
    random: Random,
    pub(crate) state: State<'m>,
    prices: Prices,
    /// The best that fits.
    pub(crate) best: Option<Kept>,
    /// The least that is wrong so far, when nothing fits.
    pub(crate) nearest: (i64, Vec<Stand>),
    pub(crate) moves: u64,
    /// Moves at which something fitted first.
    pub(crate) first_fit: Option<u64>,
    /// What the present placement costs but for the free room, and what that takes off.
    energy: f64,
    free: f64,
    movable: Vec<usize>,
    /// What may be moved, and what stays but has a plug or exit to choose.
    open: Vec<usize>,
}

impl<'m> Worker<'m> {
    pub(crate) fn new(
        model: &'m Model,
        rooms: &'m Rooms,
        weights: Weights,
        seed: u64,
        number: usize,
    ) -> Self {
        let mut random = Random::new(seed, number as u64);
        let stands = if number.is_multiple_of(2) {
            spots::rows(model, &mut random)
        } else {
            (0..model.items.len()).map(|index| spots::first(model, &mut random, index, false)).collect()
        };
        let state = State::new(model, stands);
        let nearest = (state.sums.wrong.depth, state.stands());
        let movable = (0..model.items.len()).filter(|index| model.items[*index].movable).collect();
        Self {
            model,
            rooms,
            weights,
            random,
            prices: Prices::new(model.items.len()),
            best: None,
            nearest,
            moves: 0,
            first_fit: None,
            energy: f64::INFINITY,
            free: 0.0,
            movable,
            open: (0..model.items.len()).filter(|index| model.items[*index].is_free()).collect(),
            state,
        }
    }

    /// Goes on for about so many moves; `cool` is the share of the plan that is done at the start and at the end.
    pub(crate) fn run(&mut self, moves: u64, cool: (f64, f64)) {
        let end = self.moves + moves;
        let start = self.moves;
        if self.open.is_empty() {
            self.keep();
            self.moves = end;
            return;
        }
        while self.moves < end {
            if self.best.is_none() {
                self.keep();
                if self.best.is_none() {
                    self.moves +=
                        descent::step(self.model, &mut self.state, &mut self.prices, &mut self.random);
                    if self.state.sums.wrong.depth < self.nearest.0 {
                        self.nearest = (self.state.sums.wrong.depth, self.state.stands());
                    }
                    continue;
                }
            }
            if self.energy.is_infinite() {
                self.judge_anew();
            }
            let done = real(i64::try_from(self.moves - start).unwrap_or(0))
                / real(i64::try_from(moves).unwrap_or(1));
            let share = (cool.0 + (cool.1 - cool.0) * done).min(1.0);
            let temperature = HOT * libm::pow(COLD / HOT, share);
            self.anneal(temperature, share);
            self.moves += 1;
        }
        debug_assert!(self.state.agrees_with_twin(), "the sums kept and the sums made anew differ");
    }

    /// Begins with a placement that is known from elsewhere; it need not fit.
    pub(crate) fn begin_at(&mut self, stands: &[Stand]) {
        self.state = State::new(self.model, stands.to_vec());
        self.nearest = (self.state.sums.wrong.depth, self.state.stands());
    }

    /// Takes over what another found.
    pub(crate) fn adopt(&mut self, stands: &[Stand]) {
        self.state = State::new(self.model, stands.to_vec());
        self.judge_anew();
        self.keep();
    }

    /// Starts again from the best.
    pub(crate) fn back_to_best(&mut self) {
        if let Some(best) = &self.best {
            let stands = best.stands.clone();
            self.adopt(&stands);
        }
    }

    fn soft(&self) -> f64 {
        self.state.cost(&self.weights)
    }

    fn room(&self) -> f64 {
        if self.weights.free_room == 0.0 {
            return 0.0;
        }
        self.weights.free_room * self.rooms.largest(&self.state).map_or(0.0, |free| free.area())
    }

    fn judge_anew(&mut self) {
        self.energy = energy(&self.state, &self.weights);
        self.free = self.room();
    }

    /// Remembers the present placement when it fits and is better.
    fn keep(&mut self) {
        self.keep_with(None);
    }

    /// The same with what the free room takes off, where that is known.
    fn keep_with(&mut self, room: Option<f64>) {
        if !self.state.fits() {
            return;
        }
        self.first_fit.get_or_insert(self.moves);
        let soft = self.soft();
        // Nothing frees more room than there is.
        if self
            .best
            .as_ref()
            .is_some_and(|best| best.total <= soft - self.rooms.most() * self.weights.free_room)
        {
            return;
        }
        let total = soft - room.unwrap_or_else(|| self.room());
        if self.best.as_ref().is_none_or(|best| total < best.total) {
            self.best = Some(Kept { total, stands: self.state.stands() });
        }
    }

    /// One move at a temperature: done, judged, and taken back when it is too much worse.
    fn anneal(&mut self, temperature: f64, share: f64) {
        let changes = self.changes(share);
        if changes.is_empty() {
            return;
        }
        let allowed = self.energy + tolerance(&mut self.random, temperature);
        let mut undo: Vec<Undo> = Vec::with_capacity(changes.len());
        let (last, weights) = (changes.len() - 1, self.weights);
        let mut whole = true;
        for (place, (item, stand)) in changes.into_iter().enumerate() {
            // A later change may mend what an earlier one broke; after the last one nothing is mended.
            let (one, all) = self.state.put_unless(item, stand, |state| {
                place == last && 0.0 <= weights.looks && allowed < energy(state, &weights)
            });
            undo.push(one);
            whole &= all;
        }
        // The free room is dear to find: it is looked for only when all else would be accepted, and then accepted
        // or not by itself (delayed acceptance, Christen and Fox, J. Comput. Graph. Stat. 14, 2005).
        let energy = energy(&self.state, &self.weights);
        let mut accepted = whole && energy <= allowed;
        if accepted {
            let room = self.room();
            accepted = self.free - room <= tolerance(&mut self.random, temperature);
            if accepted {
                self.energy = energy;
                self.free = room;
                self.keep_with(Some(room));
            }
        }
        if !accepted {
            for one in undo.into_iter().rev() {
                self.state.undo(one);
            }
        }
    }

    /// The stands that a move changes.
    fn changes(&mut self, share: f64) -> Vec<(usize, Stand)> {
        let model = self.model;
        let Some(&item) = self.random.pick(&self.open) else { return Vec::new() };
        if !model.items[item].movable {
            // A locked place locks the place, not what the document leaves open.
            let mut stand = self.state.bodies[item].stand.clone();
            let changes = descent::flip(model, &mut self.random, item, &mut stand);
            return if changes { vec![(item, stand)] } else { Vec::new() };
        }
        let kind = self.random.unit();
        if kind < 0.36 {
            let far = (real(FAR) * libm::pow(0.03, share)).max(real(model.grid));
            let stand = self.shifted(item, far);
            let stand = self.aligned(item, stand);
            return vec![(item, stand)];
        }
        if kind < 0.56 {
            let mut stand = spots::propose(model, &mut self.random, &self.state.bodies, item);
            if self.random.chance(0.3) {
                descent::flip(model, &mut self.random, item, &mut stand);
            }
            let stand = self.aligned(item, stand);
            return vec![(item, stand)];
        }
        if kind < 0.70 {
            return self.swap(item);
        }
        if kind < 0.76 {
            return self.line(item, share);
        }
        if kind < 0.9 {
            let mut stand = self.state.bodies[item].stand.clone();
            if descent::flip(model, &mut self.random, item, &mut stand) {
                return vec![(item, stand)];
            }
            return Vec::new();
        }
        self.push(item, share)
    }

    fn shifted(&mut self, item: usize, far: f64) -> Stand {
        #[expect(clippy::cast_possible_truncation, reason = "a few steps of the grid")]
        let steps = (far / real(self.model.grid)).max(1.0) as i64;
        let mut stand = self.state.bodies[item].stand.clone();
        let both = self.random.chance(0.3);
        let along = self.random.below(2);
        for axis in 0..2 {
            if both || axis == along {
                let by = self.random.between(-steps, steps) * self.model.grid;
                if axis == 0 { stand.spot.x += by } else { stand.spot.y += by }
            }
        }
        stand.spot = spots::in_rim(self.model, &self.model.items[item], stand.spot);
        stand
    }

    /// A stand that misses the front line of others by little, mostly put into it.
    fn aligned(&mut self, item: usize, mut stand: Stand) -> Stand {
        if self.random.chance(IN_LINE)
            && let Some(line) = nearest_line(self.model, &self.state.bodies, item, &stand)
        {
            stand.spot.y = line;
        }
        stand
    }

    /// All of a front line move along together, forth or back.
    fn line(&mut self, item: usize, share: f64) -> Vec<(usize, Stand)> {
        let far = (real(FAR) * libm::pow(0.03, share)).max(real(self.model.grid));
        #[expect(clippy::cast_possible_truncation, reason = "a few steps of the grid")]
        let steps = (far / real(self.model.grid)).max(1.0) as i64;
        let by =
            self.random.between(1, steps) * self.model.grid * if self.random.chance(0.5) { 1 } else { -1 };
        let here = self.state.bodies[item].stand.spot;
        let same = |other: &usize| {
            let stand = &self.state.bodies[*other].stand;
            (stand.spot.surface, stand.spot.y) == (here.surface, here.y) && in_row(self.model, *other, stand)
        };
        let moved = |other: usize| {
            let mut stand = self.state.bodies[other].stand.clone();
            stand.spot.y += by;
            (other, stand)
        };
        self.movable.iter().copied().filter(same).map(moved).collect()
    }

    /// Two items change places, each with its middle or its edge where the other's was.
    fn swap(&mut self, item: usize) -> Vec<(usize, Stand)> {
        let Some(&other) = self.random.pick(&self.movable) else { return Vec::new() };
        if other == item {
            return Vec::new();
        }
        let align = self.random.below(3);
        let there = |from: usize, to: usize| -> Option<Stand> {
            let (here, place) = (&self.state.bodies[from], &self.state.bodies[to]);
            let mut stand = here.stand.clone();
            let target = place.stand.spot;
            let turn = here.stand.spot.turn;
            let it = &self.model.items[from];
            if !it.ways.contains(&(target.surface, turn)) {
                return None;
            }
            let [width, _] = it.plan(turn);
            let spare = (place.plan.high[0] - place.plan.low[0]) - width;
            let x = match align {
                0 => target.x,
                1 => target.x + spare / 2,
                _ => target.x + spare,
            };
            let x = spots::snapped(self.model, target.surface, 0, x, false);
            let y = spots::snapped(self.model, target.surface, 1, target.y, false);
            stand.spot = spots::in_rim(self.model, it, Spot { surface: target.surface, turn, x, y });
            Some(stand)
        };
        match (there(item, other), there(other, item)) {
            (Some(a), Some(b)) => vec![(item, a), (other, b)],
            _ => Vec::new(),
        }
    }

    /// An item and all in its row beyond it move along together.
    fn push(&mut self, item: usize, share: f64) -> Vec<(usize, Stand)> {
        let far = (real(FAR) * 0.4 * libm::pow(0.05, share)).max(real(self.model.grid));
        #[expect(clippy::cast_possible_truncation, reason = "a few steps of the grid")]
        let steps = (far / real(self.model.grid)).max(1.0) as i64;
        let by =
            self.random.between(1, steps) * self.model.grid * if self.random.chance(0.5) { 1 } else { -1 };
        let (axis, forward) = (self.random.below(2), self.random.chance(0.5));
        let here = &self.state.bodies[item];
        let (surface, plan) = (here.stand.spot.surface, here.plan);
        let mut out = Vec::new();
        for &other in &self.movable {
            let body = &self.state.bodies[other];
            let across = 1 - axis;
            let in_row =
                body.plan.low[across] < plan.high[across] && plan.low[across] < body.plan.high[across];
            let beyond = if forward {
                plan.low[axis] <= body.plan.low[axis]
            } else {
                body.plan.low[axis] <= plan.low[axis]
            };
            if body.stand.spot.surface == surface && in_row && beyond {
                let mut stand = body.stand.clone();
                if axis == 0 {
                    stand.spot.x += by;
                } else {
                    stand.spot.y += by;
                }
                stand.spot = spots::in_rim(self.model, &self.model.items[other], stand.spot);
                out.push((other, stand));
            }
        }
        out
    }

    /// The last touches on the best: each axis slid to its best, single steps and choices while they help.
    pub(crate) fn polish(&mut self) {
        self.back_to_best();
        for _ in 0..3 {
            let before = self.best.as_ref().map(|best| best.total);
            self.single_steps();
            slide::slide(self.model, &mut self.state, &self.weights);
            self.keep();
            self.back_to_best();
            straight::straighten(self.model, &mut self.state, &self.weights);
            self.keep();
            self.back_to_best();
            if before == self.best.as_ref().map(|best| best.total) {
                break;
            }
        }
    }

    fn single_steps(&mut self) {
        let Some(mut least) = self.best.as_ref().map(|best| best.total) else { return };
        for round in 0..4 {
            let before = least;
            for index in 0..self.open.len() {
                let item = self.open[index];
                for stand in self.near(item, round) {
                    let (undo, whole) = self.state.put_unless(item, stand, |state| !state.fits());
                    self.moves += 1;
                    let fits = whole && self.state.fits();
                    let total = if fits { self.soft() - self.room() } else { f64::INFINITY };
                    if total < least {
                        least = total;
                        self.keep();
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

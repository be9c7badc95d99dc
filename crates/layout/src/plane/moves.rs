//! The moves that devices make: shifted, put elsewhere, exchanged, in rows, and with other plugs.

use super::descent;
use super::insert;
use super::rows::{in_row, nearest_line};
use super::spots;
use super::state::real;
use super::walk::Devices;
use super::wishes::off;
use crate::model::{Spot, Stand};
use crate::random::Random;

/// How often a device that would miss a front line by little is put into it.
const IN_LINE: f64 = 0.8;
/// How often a move is aimed at a wish that is not met, as long as there are such; and among how many places and exchanges
/// it takes the best.
const AIMED: f64 = 0.08;
const PLACES: usize = 6;
const EXCHANGES: usize = 3;
/// The farthest shift at the start.
const FAR: i64 = 80_000_000;

impl Devices<'_> {
    /// The stands that a move changes.
    pub(super) fn changes(&self, random: &mut Random, share: f64) -> Vec<(usize, Stand)> {
        let model = self.model;
        if 0 < self.state.sums.wishes && random.chance(AIMED) {
            return self.aimed(random);
        }
        let Some(&item) = random.pick(&self.open) else { return Vec::new() };
        if !model.items[item].movable {
            // A locked place locks the place, not what the document leaves open.
            let mut stand = self.state.bodies[item].stand.clone();
            let changes = descent::flip(model, random, item, &mut stand);
            return if changes { vec![(item, stand)] } else { Vec::new() };
        }
        let kind = random.unit();
        if kind < 0.28 {
            let far = (real(FAR) * libm::pow(0.03, share)).max(real(model.grid));
            let stand = self.shifted(random, item, far);
            let stand = self.aligned(random, item, stand);
            return vec![(item, stand)];
        }
        if kind < 0.42 {
            let mut stand = spots::propose(model, random, &self.state.bodies, item);
            if random.chance(0.3) {
                descent::flip(model, random, item, &mut stand);
            }
            let stand = self.aligned(random, item, stand);
            return vec![(item, stand)];
        }
        if kind < 0.52 {
            return self.swap(random, item);
        }
        if kind < 0.68 {
            let other = random.below(model.items.len());
            return insert::inserted(model, &self.state.bodies, random, item, other);
        }
        if kind < 0.74 {
            return self.line(random, item, share);
        }
        if kind < 0.9 {
            let mut stand = self.state.bodies[item].stand.clone();
            if descent::flip(model, random, item, &mut stand) {
                return vec![(item, stand)];
            }
            return Vec::new();
        }
        self.push(random, item, share)
    }

    /// A device that a wish speaks of which is not met, put elsewhere or exchanged with another: the best for that wish of
    /// some such changes.
    fn aimed(&self, random: &mut Random) -> Vec<(usize, Stand)> {
        let model = self.model;
        let unmet = model.wants.iter().filter(|want| 0 < off(model, &self.state.bodies, want));
        let about = unmet.map(|want| (want, want.items())).filter_map(|(want, items)| {
            let items: Vec<usize> = items.into_iter().filter(|item| model.items[*item].movable).collect();
            (!items.is_empty()).then_some((want, items))
        });
        let about: Vec<_> = about.collect();
        let Some((want, items)) = random.pick(&about) else { return Vec::new() };
        let Some(&item) = random.pick(items) else { return Vec::new() };
        let mut bodies = self.state.bodies.clone();
        let mut best: Option<(i64, Vec<(usize, Stand)>)> = None;
        for number in 0..PLACES + EXCHANGES {
            let change = if number < PLACES {
                let stand = spots::propose(model, random, &self.state.bodies, item);
                vec![(item, self.aligned(random, item, stand))]
            } else {
                self.swap(random, item)
            };
            for (moved, stand) in &change {
                bodies[*moved].stand.clone_from(stand);
                bodies[*moved].settle(model, *moved);
            }
            let off = off(model, &bodies, want);
            for (moved, _) in &change {
                bodies[*moved].clone_from(&self.state.bodies[*moved]);
            }
            if !change.is_empty() && best.as_ref().is_none_or(|(least, _)| off < *least) {
                best = Some((off, change));
            }
        }
        best.map(|(_, change)| change).unwrap_or_default()
    }

    fn shifted(&self, random: &mut Random, item: usize, far: f64) -> Stand {
        #[expect(clippy::cast_possible_truncation, reason = "a few steps of the grid")]
        let steps = (far / real(self.model.grid)).max(1.0) as i64;
        let mut stand = self.state.bodies[item].stand.clone();
        let both = random.chance(0.3);
        let along = random.below(2);
        for axis in 0..2 {
            if both || axis == along {
                let by = random.between(-steps, steps) * self.model.grid;
                if axis == 0 { stand.spot.x += by } else { stand.spot.y += by }
            }
        }
        stand.spot = spots::in_rim(self.model, &self.model.items[item], stand.spot);
        stand
    }

    /// A stand that misses the front line of others by little, mostly put into it.
    fn aligned(&self, random: &mut Random, item: usize, mut stand: Stand) -> Stand {
        if random.chance(IN_LINE)
            && let Some(line) = nearest_line(self.model, &self.state.bodies, item, &stand)
        {
            stand.spot.y = line;
        }
        stand
    }

    /// All of a front line move along together, forth or back.
    fn line(&self, random: &mut Random, item: usize, share: f64) -> Vec<(usize, Stand)> {
        let far = (real(FAR) * libm::pow(0.03, share)).max(real(self.model.grid));
        #[expect(clippy::cast_possible_truncation, reason = "a few steps of the grid")]
        let steps = (far / real(self.model.grid)).max(1.0) as i64;
        let by = random.between(1, steps) * self.model.grid * if random.chance(0.5) { 1 } else { -1 };
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
    fn swap(&self, random: &mut Random, item: usize) -> Vec<(usize, Stand)> {
        let Some(&other) = random.pick(&self.movable) else { return Vec::new() };
        if other == item {
            return Vec::new();
        }
        let align = random.below(3);
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
    fn push(&self, random: &mut Random, item: usize, share: f64) -> Vec<(usize, Stand)> {
        let far = (real(FAR) * 0.4 * libm::pow(0.05, share)).max(real(self.model.grid));
        #[expect(clippy::cast_possible_truncation, reason = "a few steps of the grid")]
        let steps = (far / real(self.model.grid)).max(1.0) as i64;
        let by = random.between(1, steps) * self.model.grid * if random.chance(0.5) { 1 } else { -1 };
        let (axis, forward) = (random.below(2), random.chance(0.5));
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
}

//! The way to a placement that fits: overlaps are allowed but priced, and the price of what keeps colliding grows.
//!
//! Guided local search (Voudouris and Tsang, European Journal of Operational Research 113, 1999) in the manner that
//! is used for nesting: only colliding items move, each to the best of many sampled places, and that is refined by
//! pattern search.

use super::body::{Body, alone, between};
use super::spots;
use super::state::State;
use crate::model::{Model, Stand, Wrong};
use crate::random::Random;

/// Samples for one move of an item.
const SAMPLES: usize = 24;
/// Of these, so many are refined.
const REFINED: usize = 3;
/// How the price of a colliding pair grows, and that of a free one shrinks, at each move.
const DEARER: f64 = 1.1;
const CHEAPER: f64 = 0.98;

/// The prices of being in the way.
#[derive(Debug, Clone)]
pub(crate) struct Prices {
    count: usize,
    pairs: Vec<f64>,
    alone: Vec<f64>,
}

impl Prices {
    pub(crate) fn new(count: usize) -> Self {
        Self { count, pairs: vec![1.0; count * count], alone: vec![1.0; count] }
    }

    fn learn(&mut self, state: &State<'_>) {
        for i in 0..self.count {
            let price = &mut self.alone[i];
            *price = if 0 < state.alone_of(i).pairs { *price * DEARER } else { (*price * CHEAPER).max(1.0) };
            for j in i + 1..self.count {
                let price = &mut self.pairs[i * self.count + j];
                *price =
                    if 0 < state.pair_of(i, j).pairs { *price * DEARER } else { (*price * CHEAPER).max(1.0) };
            }
        }
        // So that prices stay finite however long it takes.
        if self.pairs.iter().chain(&self.alone).any(|price| 1e9 < *price) {
            for price in self.pairs.iter_mut().chain(&mut self.alone) {
                *price = (*price * 1e-6).max(1.0);
            }
        }
    }

    fn pair(&self, i: usize, j: usize) -> f64 {
        self.pairs[i.min(j) * self.count + i.max(j)]
    }
}

fn plain(wrong: Wrong) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "depths of one board")]
    let depth = wrong.depth as f64 / 1000.0;
    depth + 3.0 * f64::from(wrong.pairs) + 0.2 * f64::from(wrong.looks)
}

/// What an item would cost at a stand; stops counting at `bound`.
fn weigh(model: &Model, bodies: &[Body], prices: &Prices, item: usize, body: &Body, bound: f64) -> f64 {
    let mut sum = prices.alone[item] * plain(alone(model, item, body));
    for (other, there) in bodies.iter().enumerate().filter(|(other, _)| *other != item) {
        if bound <= sum {
            return sum;
        }
        sum += prices.pair(item, other) * plain(between(model, (item, body), (other, there)));
    }
    sum
}

/// Moves one colliding item; hands back how many places it tried.
pub(crate) fn step(model: &Model, state: &mut State<'_>, prices: &mut Prices, random: &mut Random) -> u64 {
    let n = model.items.len();
    let mut colliding: Vec<usize> = Vec::new();
    for item in 0..n {
        let collides =
            0 < state.alone_of(item).pairs || (0..n).any(|other| 0 < state.pair_of(item, other).pairs);
        if collides && model.items[item].is_free() {
            colliding.push(item);
        }
    }
    // Locked things may be wrong among themselves; then others are of no help.
    let Some(&item) = random.pick(&colliding) else { return SAMPLES as u64 };
    let mut tried = 0;
    let now = weigh(model, &state.bodies, prices, item, &state.bodies[item], f64::INFINITY);
    let mut best: Vec<(f64, Stand)> = vec![(now, state.bodies[item].stand.clone())];
    let mut scratch = state.bodies[item].clone();
    for _ in 0..SAMPLES {
        let mut stand = if model.items[item].movable {
            spots::propose(model, random, &state.bodies, item)
        } else {
            state.bodies[item].stand.clone()
        };
        if !model.items[item].movable || random.chance(0.5) {
            flip(model, random, item, &mut stand);
        }
        scratch.stand = stand;
        scratch.settle(model, item);
        let bound = if best.len() < REFINED { f64::INFINITY } else { best[best.len() - 1].0 };
        let cost = weigh(model, &state.bodies, prices, item, &scratch, bound);
        tried += 1;
        if cost < bound {
            let place = best.partition_point(|(other, _)| *other <= cost);
            best.insert(place, (cost, scratch.stand.clone()));
            best.truncate(REFINED);
        }
    }
    let mut winner: Option<(f64, Stand)> = None;
    for (cost, stand) in best {
        let (cost, stand, more) = refine(model, state, prices, random, item, cost, stand);
        tried += more;
        if winner.as_ref().is_none_or(|(least, _)| cost < *least) {
            winner = Some((cost, stand));
        }
    }
    if let Some((_, stand)) = winner {
        state.put(item, stand);
    }
    prices.learn(state);
    tried
}

/// Another choice at one of the lead ends.
pub(crate) fn flip(model: &Model, random: &mut Random, item: usize, stand: &mut Stand) -> bool {
    let ends = &model.items[item].ends;
    if ends.is_empty() {
        return false;
    }
    let end = random.below(ends.len());
    let choice = random.below(ends[end].choices.len());
    let choice = u8::try_from(choice).unwrap_or(0);
    let changes = stand.choices[end] != choice;
    stand.choices[end] = choice;
    changes
}

/// Pattern search: shifts that halve, and other choices, while they help.
fn refine(
    model: &Model,
    state: &State<'_>,
    prices: &Prices,
    random: &mut Random,
    item: usize,
    mut cost: f64,
    mut stand: Stand,
) -> (f64, Stand, u64) {
    let mut tried = 0;
    let mut scratch = state.bodies[item].clone();
    let mut ask = |stand: &Stand, bound: f64| {
        scratch.stand.clone_from(stand);
        scratch.settle(model, item);
        tried += 1;
        weigh(model, &state.bodies, prices, item, &scratch, bound)
    };
    let mut step = 16;
    while 0 < step && 0.0 < cost {
        let mut better = false;
        let by = step * model.grid;
        let turned = usize::from(random.chance(0.5));
        for way in 0..if model.items[item].movable { 4 } else { 0 } {
            let mut there = stand.clone();
            match (way + turned) % 4 {
                0 => there.spot.x += by,
                1 => there.spot.y += by,
                2 => there.spot.x -= by,
                _ => there.spot.y -= by,
            }
            there.spot = spots::in_rim(model, &model.items[item], there.spot);
            let new = ask(&there, cost);
            if new < cost {
                (cost, stand, better) = (new, there, true);
                break;
            }
        }
        if !better {
            for end in
                0..model.items[item].ends.len().min(if step == 16 || step == 1 { usize::MAX } else { 0 })
            {
                for choice in 0..model.items[item].ends[end].choices.len() {
                    let choice = u8::try_from(choice).unwrap_or(0);
                    if choice == stand.choices[end] {
                        continue;
                    }
                    let mut there = stand.clone();
                    there.choices[end] = choice;
                    let new = ask(&there, cost);
                    if new < cost {
                        (cost, stand, better) = (new, there, true);
                    }
                }
            }
        }
        if !better {
            step /= 2;
        }
    }
    (cost, stand, tried)
}

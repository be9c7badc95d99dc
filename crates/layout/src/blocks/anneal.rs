//! A cooling search over sequence pairs, each laid as near to where its blocks were as the relations allow.

use super::problem::{Laid, Nets, Problem};
use super::sequence::{Layer, Pair, Side};
use crate::random::{Random, tolerance};

/// The share of each kind of move: turn a block, swap two in one sequence or the other, swap them in both; what is left
/// puts a block beside another. Found by trying on instances of 10 to 100 blocks.
const TURN: f64 = 0.10;
const FIRST: f64 = 0.15;
const SECOND: f64 = 0.20;
const BOTH: f64 = 0.55;
/// The odds that a swap is between neighbours in the sequence or blocks of like size.
const LOCAL: f64 = 0.8;
/// The odds that a block is put beside one near to where its nets want it, and beside one near to where it is.
const DRAWN: f64 = 0.3;
const NEAR: f64 = 0.3;
/// The odds that all blocks slide to where their nets want them.
const SETTLE: f64 = 0.02;
/// The share of moves that shall find the outline kept; the price of standing over it follows.
const KEPT: f64 = 0.1;
/// The gain of length, in temperatures, that a move is thought capable of before it is laid. Found by trying on instances of
/// 10 to 100 blocks.
const FORGIVEN: f64 = 1.0;
/// Moves between two looks at that share.
const LOOK: u64 = 500;

/// One worker's placement and its wire length.
#[derive(Debug, Clone)]
pub(crate) struct Annealer<'p> {
    problem: &'p Problem,
    nets: &'p Nets,
    random: Random,
    now: Plan,
    trial: Plan,
    layers: [Layer; 2],
    /// The weighted spans of the nets, by axis.
    spans: [Vec<i64>; 2],
    /// Nets whose span changed in the trial: axis, net, new span.
    changed: Vec<(usize, u32, i64)>,
    stamps: Vec<u32>,
    stamp: u32,
    pub(crate) best: Option<(i64, Vec<Laid>)>,
    /// The lowest cost of the last round.
    pub(crate) lowest: f64,
    /// What one unit over the outline costs.
    over: f64,
    pub(crate) moves: u64,
    /// Moves since the last look that found the outline kept.
    kept: u64,
    /// Where blocks would like to lie.
    wish: [Vec<i64>; 2],
    /// Ends of net ranges, for the median.
    ends: Vec<(i64, i64)>,
}

/// The blocks a move is about.
#[derive(Debug, Clone, Copy)]
enum Moved {
    One(usize),
    Two(usize, usize),
    All,
}

/// Relations, turns and places.
#[derive(Debug, Clone)]
struct Plan {
    pair: Pair,
    turned: Vec<bool>,
    sizes: [Vec<i64>; 2],
    at: [Vec<i64>; 2],
    middles: [Vec<i64>; 2],
    length: i64,
    /// How far it stands over the outline, by axis.
    over: [i64; 2],
}

impl Plan {
    fn copy_from(&mut self, other: &Self) {
        self.copy_relations(other);
        for axis in 0..2 {
            self.at[axis].copy_from_slice(&other.at[axis]);
            self.middles[axis].copy_from_slice(&other.middles[axis]);
        }
        self.length = other.length;
        self.over = other.over;
    }

    /// What a move changes; the rest follows from it.
    fn copy_relations(&mut self, other: &Self) {
        self.pair.copy_from(&other.pair);
        self.turned.copy_from_slice(&other.turned);
        for axis in 0..2 {
            self.sizes[axis].copy_from_slice(&other.sizes[axis]);
        }
    }

    fn over(&self) -> i64 {
        self.over[0] + self.over[1]
    }

    fn turn(&mut self, block: usize) {
        self.turned[block] = !self.turned[block];
        let [x, y] = &mut self.sizes;
        std::mem::swap(&mut x[block], &mut y[block]);
    }
}

impl<'p> Annealer<'p> {
    pub(crate) fn new(problem: &'p Problem, nets: &'p Nets, seed: u64, number: usize) -> Self {
        let mut random = Random::new(seed, number as u64);
        let count = problem.blocks.len();
        let mut shuffled = || {
            let mut list: Vec<u32> = (0..u32::try_from(count).unwrap_or(0)).collect();
            for place in (1..count).rev() {
                list.swap(place, random.below(place + 1));
            }
            list
        };
        let pair = Pair::new(shuffled(), shuffled());
        let size = |axis: usize| problem.blocks.iter().map(|block| block[axis]).collect::<Vec<i64>>();
        let plan = Plan {
            pair,
            turned: vec![false; count],
            sizes: [size(0), size(1)],
            at: [vec![problem.outline[0] / 2; count], vec![problem.outline[1] / 2; count]],
            middles: [vec![0; count], vec![0; count]],
            length: 0,
            over: [0; 2],
        };
        let mut annealer = Self {
            problem,
            nets,
            random,
            trial: plan.clone(),
            now: plan,
            layers: Default::default(),
            spans: [vec![0; nets.count()], vec![0; nets.count()]],
            changed: Vec::new(),
            stamps: vec![0; nets.count()],
            stamp: 0,
            best: None,
            lowest: f64::INFINITY,
            over: 1.0,
            moves: 0,
            kept: 0,
            wish: [vec![0; count], vec![0; count]],
            ends: Vec::new(),
        };
        annealer.start();
        annealer
    }

    fn start(&mut self) {
        // Every middle counts as changed.
        for axis in 0..2 {
            self.now.middles[axis].fill(i64::MIN / 4);
            for net in 0..self.nets.count() {
                self.spans[axis][net] = 0;
            }
        }
        self.now.length = 0;
        self.trial.copy_from(&self.now);
        for axis in 0..2 {
            self.wish[axis].copy_from_slice(&self.now.at[axis]);
        }
        self.reach_trial(0);
        self.reach_trial(1);
        self.lay_trial();
        self.accept();
        let outline = self.problem.outline;
        #[expect(clippy::cast_precision_loss, reason = "wire lengths are far below 2^53")]
        let mean = self.now.length as f64 / (outline[0] + outline[1]).max(1) as f64;
        self.over = 4.0 * mean;
    }

    /// Finds how far the trial stands over the outline along an axis, and the room each block has.
    fn reach_trial(&mut self, axis: usize) {
        let (trial, limit) = (&mut self.trial, self.problem.outline[axis]);
        let (pair, sizes, layer) = (&trial.pair, &trial.sizes[axis], &mut self.layers[axis]);
        trial.over[axis] = if axis == 0 {
            let rank = |block: usize| pair.in_second[block] as usize;
            layer.reach(pair.first.iter().copied(), rank, sizes, limit)
        } else {
            // Below: earlier in the second sequence, later in the first.
            let last = pair.first.len().saturating_sub(1);
            let rank = |block: usize| last - pair.in_first[block] as usize;
            layer.reach(pair.second.iter().copied(), rank, sizes, limit)
        };
    }

    /// Lays the trial as near to the wishes as its relations allow and finds its wire length from what changed.
    fn lay_trial(&mut self) {
        let trial = &mut self.trial;
        let pair = &trial.pair;
        let ([x, y], [across, along]) = (&mut trial.at, &mut self.layers);
        let rank = |block: usize| pair.in_second[block] as usize;
        across.lay(pair.first.iter().copied(), rank, &trial.sizes[0], &self.wish[0], x);
        let last = pair.first.len().saturating_sub(1);
        let rank = |block: usize| last - pair.in_first[block] as usize;
        along.lay(pair.second.iter().copied(), rank, &trial.sizes[1], &self.wish[1], y);
        self.measure();
    }

    fn measure(&mut self) {
        let trial = &mut self.trial;
        self.changed.clear();
        let mut length = self.now.length;
        for axis in 0..2 {
            self.stamp += 1;
            let middles = &mut trial.middles[axis];
            for (block, middle) in middles.iter_mut().enumerate() {
                *middle = 2 * trial.at[axis][block] + trial.sizes[axis][block];
            }
            for (block, middle) in middles.iter().enumerate() {
                if *middle == self.now.middles[axis][block] {
                    continue;
                }
                for net in &self.nets.at[block] {
                    let index = *net as usize;
                    if self.stamps[index] != self.stamp {
                        self.stamps[index] = self.stamp;
                        let span = self.nets.span(index, axis, middles);
                        length += span - self.spans[axis][index];
                        self.changed.push((axis, *net, span));
                    }
                }
            }
        }
        trial.length = length;
    }

    fn accept(&mut self) {
        for (axis, net, span) in self.changed.drain(..) {
            self.spans[axis][net as usize] = span;
        }
        std::mem::swap(&mut self.now, &mut self.trial);
        if self.now.over() == 0 && self.best.as_ref().is_none_or(|(length, _)| self.now.length < *length) {
            self.best = Some((self.now.length, self.laid()));
        }
    }

    fn laid(&self) -> Vec<Laid> {
        (0..self.problem.blocks.len())
            .map(|block| Laid {
                x: self.now.at[0][block],
                y: self.now.at[1][block],
                width: self.now.sizes[0][block],
                height: self.now.sizes[1][block],
            })
            .collect()
    }

    #[expect(clippy::cast_precision_loss, reason = "wire lengths are far below 2^53")]
    fn cost(plan: &Plan, over: f64) -> f64 {
        plan.length as f64 + over * plan.over() as f64
    }

    /// So many moves at a falling temperature; hands back the lowest cost on the way.
    #[expect(clippy::cast_precision_loss, reason = "counts of moves and wire lengths are far below 2^53")]
    pub(crate) fn run(&mut self, moves: u64, hot: f64, cold: f64) {
        let fall = libm::pow(cold / hot, 1.0 / moves.max(1) as f64);
        let mut temperature = hot;
        let outline = self.problem.outline;
        let unit = (self.now.length as f64 / (outline[0] + outline[1]).max(1) as f64).max(1e-6);
        self.lowest = f64::INFINITY;
        for _ in 0..moves {
            self.moves += 1;
            temperature *= fall;
            self.kept += u64::from(self.now.over() == 0);
            if self.moves.is_multiple_of(LOOK) {
                let by = if (self.kept as f64) < KEPT * LOOK as f64 { 1.08 } else { 1.0 / 1.08 };
                self.over = (self.over * by).clamp(0.5 * unit, 40.0 * unit);
                self.kept = 0;
            }
            self.trial.copy_relations(&self.now);
            let Some(moved) = self.change() else { continue };
            let allowed = tolerance(&mut self.random, temperature);
            // A trial that stands so far over the outline that no likely gain of length pays for it is not laid.
            let most = self.now.over() as f64 + (allowed + FORGIVEN * temperature) / self.over;
            self.reach_trial(0);
            if most < self.trial.over[0] as f64 {
                continue;
            }
            self.reach_trial(1);
            if most < self.trial.over() as f64 {
                continue;
            }
            self.wish(moved);
            self.lay_trial();
            let cost = Self::cost(&self.trial, self.over);
            let worse = cost - Self::cost(&self.now, self.over);
            if worse <= 0.0 || worse <= allowed {
                self.accept();
                self.lowest = self.lowest.min(cost);
            }
        }
        debug_assert_eq!(
            self.now.length,
            super::problem::wire_length_doubled(self.problem, &self.laid()),
            "the length kept and the length made anew differ"
        );
    }

    /// Makes standing over the outline dearer.
    pub(crate) fn press(&mut self) {
        self.over *= 2.0;
    }

    /// Goes on from where another is.
    pub(crate) fn adopt(&mut self, other: &Self) {
        self.now.copy_from(&other.now);
        for axis in 0..2 {
            self.spans[axis].copy_from_slice(&other.spans[axis]);
        }
        self.over = other.over;
    }

    /// The wire length for each block at the start: temperatures are shares of it.
    pub(crate) fn scale(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "wire lengths are far below 2^53")]
        let mean = self.now.length as f64 / self.problem.blocks.len().max(1) as f64;
        mean
    }

    /// Blocks stay where they are; those that were moved come to where their nets want them.
    fn wish(&mut self, moved: Moved) {
        for axis in 0..2 {
            self.wish[axis].copy_from_slice(&self.now.at[axis]);
        }
        match moved {
            Moved::One(a) => self.wish_for(a),
            Moved::Two(a, b) => {
                self.wish_for(a);
                self.wish_for(b);
            }
            Moved::All => (0..self.problem.blocks.len()).for_each(|block| self.wish_for(block)),
        }
    }

    /// Changes the relations of the trial; nothing when there is nothing to change.
    fn change(&mut self) -> Option<Moved> {
        let count = self.problem.blocks.len();
        if count < 2 {
            return None;
        }
        let a = self.random.below(count);
        let kind = self.random.unit();
        if self.random.chance(SETTLE) {
            return Some(Moved::All);
        }
        if kind < TURN && self.problem.rotate {
            self.trial.turn(a);
            return Some(Moved::One(a));
        }
        let mut b = self.random.below(count - 1);
        b += usize::from(a <= b);
        let local = self.random.chance(LOCAL);
        if kind < FIRST {
            if local {
                b = self.beside_in(a, true);
            }
            self.trial.pair.swap_first(a, b);
        } else if kind < SECOND {
            if local {
                b = self.beside_in(a, false);
            }
            self.trial.pair.swap_second(a, b);
        } else if kind < BOTH {
            if local {
                b = self.alike(a);
                if self.random.chance(0.5) {
                    self.trial.turn(a);
                    self.trial.turn(b);
                }
            }
            self.trial.pair.swap_first(a, b);
            self.trial.pair.swap_second(a, b);
        } else {
            let guide = self.random.unit();
            if guide < DRAWN {
                self.wish_for(a);
                b = self.nearest(a);
            } else if guide < DRAWN + NEAR {
                for axis in 0..2 {
                    self.wish[axis][a] = self.now.at[axis][a];
                }
                b = self.nearest(a);
            }
            let sides = [Side::Left, Side::Right, Side::Below, Side::Above];
            let side = sides[self.random.below(4)];
            self.trial.pair.put_beside(a, b, side);
            if self.problem.rotate && self.random.chance(0.25) {
                self.trial.turn(a);
            }
        }
        Some(if kind < BOTH { Moved::Two(a, b) } else { Moved::One(a) })
    }

    /// A neighbour in one of the sequences, or the next but one.
    fn beside_in(&mut self, block: usize, first: bool) -> usize {
        let pair = &self.trial.pair;
        let (list, places) =
            if first { (&pair.first, &pair.in_first) } else { (&pair.second, &pair.in_second) };
        let (count, place) = (list.len(), places[block] as usize);
        let by = 1 + self.random.below(2);
        let up = self.random.chance(0.5);
        let other =
            if up && place + by < count || place < by { (place + by).min(count - 1) } else { place - by };
        if other == place {
            list[if place == 0 { 1 } else { place - 1 }] as usize
        } else {
            list[other] as usize
        }
    }

    /// A block of like size: the likest of four.
    fn alike(&mut self, block: usize) -> usize {
        let count = self.problem.blocks.len();
        let mut best = (i64::MAX, usize::MAX);
        for _ in 0..4 {
            let mut other = self.random.below(count - 1);
            other += usize::from(block <= other);
            let [w, h] = self.problem.blocks[block];
            let [u, v] = self.problem.blocks[other];
            let off = (w.min(h) - u.min(v)).abs() + (w.max(h) - u.max(v)).abs();
            if off < best.0 {
                best = (off, other);
            }
        }
        best.1
    }

    /// A block near to where another wishes to lie: one of the nearest few.
    fn nearest(&mut self, block: usize) -> usize {
        let size = |axis: usize| self.trial.sizes[axis][block];
        let wish = [2 * self.wish[0][block] + size(0), 2 * self.wish[1][block] + size(1)];
        let mut near = [(i64::MAX, usize::MAX); 4];
        for other in (0..self.problem.blocks.len()).filter(|other| *other != block) {
            let off: i64 = (0..2)
                .map(|axis| {
                    ((wish[axis] - self.now.middles[axis][other]).abs() - self.now.sizes[axis][other]).max(0)
                })
                .sum();
            let mut one = (off, other);
            for place in &mut near {
                if one < *place {
                    std::mem::swap(place, &mut one);
                }
            }
        }
        let known = near.iter().filter(|(_, other)| *other != usize::MAX).count();
        near[self.random.below(known)].1
    }

    /// Wishes a block to where its nets are shortest: between the middle two of all ends of their ranges.
    fn wish_for(&mut self, block: usize) {
        for axis in 0..2 {
            let middles = &self.now.middles[axis];
            self.ends.clear();
            for net in &self.nets.at[block] {
                let net = *net as usize;
                let (mut low, mut high) = self.nets.pads[axis][net];
                for other in self.nets.blocks_of(net) {
                    if *other as usize != block {
                        let at = middles[*other as usize];
                        low = low.min(at);
                        high = high.max(at);
                    }
                }
                if low <= high {
                    let weight = self.nets.weights[net];
                    self.ends.push((low, weight));
                    self.ends.push((high, weight));
                }
            }
            self.ends.sort_unstable();
            let total: i64 = self.ends.iter().map(|(_, weight)| weight).sum();
            let mut sum = 0;
            let mut range = (i64::MIN, i64::MAX);
            for (at, weight) in &self.ends {
                sum += weight;
                if total <= 2 * sum && range.0 == i64::MIN {
                    range.0 = *at;
                }
                if total < 2 * sum {
                    range.1 = *at;
                    break;
                }
            }
            if range.0 != i64::MIN {
                let now = middles[block].clamp(range.0, range.1.max(range.0));
                self.wish[axis][block] = (now - self.trial.sizes[axis][block]) / 2;
            }
        }
    }
}

//! Blocks as the search walks over them: sequence pairs, each laid as near to where its blocks were as the relations allow.

use super::problem::{Laid, Nets, Problem, wire_length_doubled};
use super::sequence::{Layer, Pair};
use super::slide::slide;
use layout::search::{Heat, Kept, Random, Walk};

/// The share of moves that shall find the outline kept; the price of standing over it follows.
const KEPT: f64 = 0.1;
/// The gain of length, in temperatures, that a move is thought capable of before it is laid. Found by trying on instances of
/// 10 to 100 blocks.
const FORGIVEN: f64 = 1.0;
/// Moves between two looks at that share.
const LOOK: u64 = 500;

/// One worker's placement of blocks.
#[derive(Debug)]
pub(crate) struct Blocks<'p> {
    pub(super) problem: &'p Problem,
    pub(super) nets: &'p Nets,
    pub(super) now: Plan,
    pub(super) trial: Plan,
    moved: Option<Moved>,
    layers: [Layer; 2],
    /// The weighted spans of the nets, by axis.
    spans: [Vec<i64>; 2],
    /// Nets whose span changed in the trial: axis, net, new span.
    changed: Vec<(usize, u32, i64)>,
    stamps: Vec<u32>,
    stamp: u32,
    /// What one unit over the outline costs.
    over: f64,
    moves: u64,
    /// Moves since the last look that found the outline kept.
    kept: u64,
    /// Where blocks would like to lie.
    pub(super) wish: [Vec<i64>; 2],
    /// Ends of net ranges, for the median.
    pub(super) ends: Vec<(i64, i64)>,
}

/// The blocks a move is about.
#[derive(Debug, Clone, Copy)]
pub(super) enum Moved {
    One(usize),
    Two(usize, usize),
    All,
}

/// Relations, turns and places.
#[derive(Debug, Clone)]
pub(crate) struct Plan {
    pub(super) pair: Pair,
    turned: Vec<bool>,
    pub(super) sizes: [Vec<i64>; 2],
    pub(super) at: [Vec<i64>; 2],
    pub(super) middles: [Vec<i64>; 2],
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

    /// Where the blocks lie.
    pub(super) fn laid(&self) -> Vec<Laid> {
        (0..self.turned.len())
            .map(|block| Laid {
                x: self.at[0][block],
                y: self.at[1][block],
                width: self.sizes[0][block],
                height: self.sizes[1][block],
            })
            .collect()
    }

    pub(super) fn turn(&mut self, block: usize) {
        self.turned[block] = !self.turned[block];
        let [x, y] = &mut self.sizes;
        std::mem::swap(&mut x[block], &mut y[block]);
    }
}

impl<'p> Blocks<'p> {
    pub(crate) fn new(problem: &'p Problem, nets: &'p Nets, random: &mut Random) -> Self {
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
        let mut blocks = Self {
            problem,
            nets,
            trial: plan.clone(),
            now: plan,
            moved: None,
            layers: Default::default(),
            spans: [vec![0; nets.count()], vec![0; nets.count()]],
            changed: Vec::new(),
            stamps: vec![0; nets.count()],
            stamp: 0,
            over: 1.0,
            moves: 0,
            kept: 0,
            wish: [vec![0; count], vec![0; count]],
            ends: Vec::new(),
        };
        blocks.start();
        blocks
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
        self.stand_by_trial();
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

    fn stand_by_trial(&mut self) {
        for (axis, net, span) in self.changed.drain(..) {
            self.spans[axis][net as usize] = span;
        }
        std::mem::swap(&mut self.now, &mut self.trial);
    }

    /// Finds how dear it shall be to stand over the outline, from how often that was so since the last look.
    #[expect(clippy::cast_precision_loss, reason = "counts of moves and wire lengths are far below 2^53")]
    fn price_anew(&mut self) {
        let outline = self.problem.outline;
        let unit = (self.now.length as f64 / (outline[0] + outline[1]).max(1) as f64).max(1e-6);
        let by = if (self.kept as f64) < KEPT * LOOK as f64 { 1.08 } else { 1.0 / 1.08 };
        self.over = (self.over * by).clamp(0.5 * unit, 40.0 * unit);
        self.kept = 0;
    }

    #[expect(clippy::cast_precision_loss, reason = "wire lengths are far below 2^53")]
    fn cost(plan: &Plan, over: f64) -> f64 {
        plan.length as f64 + over * plan.over() as f64
    }

    /// The wire length for each block at the start: temperatures are shares of it.
    pub(crate) fn scale(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "wire lengths are far below 2^53")]
        let mean = self.now.length as f64 / self.problem.blocks.len().max(1) as f64;
        mean
    }

    /// Blocks stay where they are; those that were moved come to where their nets want them.
    fn wish(&mut self) {
        for axis in 0..2 {
            self.wish[axis].copy_from_slice(&self.now.at[axis]);
        }
        match self.moved {
            Some(Moved::One(a)) => self.wish_for(a),
            Some(Moved::Two(a, b)) => {
                self.wish_for(a);
                self.wish_for(b);
            }
            None => {}
            Some(Moved::All) => (0..self.problem.blocks.len()).for_each(|block| self.wish_for(block)),
        }
    }
}

impl Walk for Blocks<'_> {
    type Placement = Plan;

    fn is_fixed(&self) -> bool {
        self.problem.blocks.len() < 2
    }

    fn change(&mut self, random: &mut Random, _: Heat) -> bool {
        self.moves += 1;
        self.kept += u64::from(self.now.over() == 0);
        if self.moves.is_multiple_of(LOOK) {
            self.price_anew();
        }
        self.trial.copy_relations(&self.now);
        self.moved = self.changed_relations(random);
        self.moved.is_some()
    }

    fn energy(&self) -> f64 {
        Self::cost(&self.now, self.over)
    }

    #[expect(clippy::cast_precision_loss, reason = "wire lengths are far below 2^53")]
    fn weigh(&mut self, most: f64, heat: Heat) -> Option<f64> {
        // A trial that stands so far over the outline that no likely gain of length pays for it is not laid.
        let allowed = most - self.energy();
        let most_over = self.now.over() as f64 + (allowed + FORGIVEN * heat.temperature) / self.over;
        self.reach_trial(0);
        if most_over < self.trial.over[0] as f64 {
            return None;
        }
        self.reach_trial(1);
        if most_over < self.trial.over() as f64 {
            return None;
        }
        self.wish();
        self.lay_trial();
        Some(Self::cost(&self.trial, self.over))
    }

    fn accept(&mut self) {
        self.stand_by_trial();
    }

    // What was tried is overwritten by the next trial.
    fn take_back(&mut self) {}

    fn total(&mut self, _: f64) -> Option<f64> {
        (self.now.over() == 0).then(|| halved(self.now.length))
    }

    fn placement(&self) -> Plan {
        self.now.clone()
    }

    fn begin_at(&mut self, placement: &Plan) {
        self.now.copy_from(placement);
        for axis in 0..2 {
            for net in 0..self.nets.count() {
                self.spans[axis][net] = self.nets.span(net, axis, &self.now.middles[axis]);
            }
        }
    }

    fn insist(&mut self) -> bool {
        self.over *= 2.0;
        true
    }

    fn polish(&mut self, best: Kept<Plan>) -> Kept<Plan> {
        let mut laid = best.placement.laid();
        slide(self.problem, self.nets, &mut laid);
        let mut placement = best.placement;
        placement.length = wire_length_doubled(self.problem, &laid);
        for (block, at) in laid.iter().enumerate() {
            for (axis, (low, size)) in [(at.x, at.width), (at.y, at.height)].into_iter().enumerate() {
                placement.at[axis][block] = low;
                placement.middles[axis][block] = 2 * low + size;
            }
        }
        Kept { total: halved(placement.length), placement }
    }

    fn agrees_with_twin(&self) -> bool {
        self.now.length == wire_length_doubled(self.problem, &self.now.laid())
    }
}

#[expect(clippy::cast_precision_loss, reason = "wire lengths are far below 2^53")]
fn halved(length: i64) -> f64 {
    length as f64 / 2.0
}

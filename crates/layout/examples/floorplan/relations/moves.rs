//! The moves that blocks make: turned, exchanged, put beside another.

use super::sequence::Side;
use super::walk::{Blocks, Moved};
use layout::search::Random;

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

impl Blocks<'_> {
    /// Changes the relations of the trial; nothing when there is nothing to change.
    pub(super) fn changed_relations(&mut self, random: &mut Random) -> Option<Moved> {
        let count = self.problem.blocks.len();
        if count < 2 {
            return None;
        }
        let a = random.below(count);
        let kind = random.unit();
        if random.chance(SETTLE) {
            return Some(Moved::All);
        }
        if kind < TURN && self.problem.rotate {
            self.trial.turn(a);
            return Some(Moved::One(a));
        }
        let mut b = random.below(count - 1);
        b += usize::from(a <= b);
        let local = random.chance(LOCAL);
        if kind < FIRST {
            if local {
                b = self.beside_in(random, a, true);
            }
            self.trial.pair.swap_first(a, b);
        } else if kind < SECOND {
            if local {
                b = self.beside_in(random, a, false);
            }
            self.trial.pair.swap_second(a, b);
        } else if kind < BOTH {
            if local {
                b = self.alike(random, a);
                if random.chance(0.5) {
                    self.trial.turn(a);
                    self.trial.turn(b);
                }
            }
            self.trial.pair.swap_first(a, b);
            self.trial.pair.swap_second(a, b);
        } else {
            let guide = random.unit();
            if guide < DRAWN {
                self.wish_for(a);
                b = self.nearest(random, a);
            } else if guide < DRAWN + NEAR {
                for axis in 0..2 {
                    self.wish[axis][a] = self.now.at[axis][a];
                }
                b = self.nearest(random, a);
            }
            let sides = [Side::Left, Side::Right, Side::Below, Side::Above];
            let side = sides[random.below(4)];
            self.trial.pair.put_beside(a, b, side);
            if self.problem.rotate && random.chance(0.25) {
                self.trial.turn(a);
            }
        }
        Some(if kind < BOTH { Moved::Two(a, b) } else { Moved::One(a) })
    }

    /// A neighbour in one of the sequences, or the next but one.
    fn beside_in(&self, random: &mut Random, block: usize, first: bool) -> usize {
        let pair = &self.trial.pair;
        let (list, places) =
            if first { (&pair.first, &pair.in_first) } else { (&pair.second, &pair.in_second) };
        let (count, place) = (list.len(), places[block] as usize);
        let by = 1 + random.below(2);
        let up = random.chance(0.5);
        let other =
            if up && place + by < count || place < by { (place + by).min(count - 1) } else { place - by };
        if other == place {
            list[if place == 0 { 1 } else { place - 1 }] as usize
        } else {
            list[other] as usize
        }
    }

    /// A block of like size: the likest of four.
    fn alike(&self, random: &mut Random, block: usize) -> usize {
        let count = self.problem.blocks.len();
        let mut best = (i64::MAX, usize::MAX);
        for _ in 0..4 {
            let mut other = random.below(count - 1);
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
    fn nearest(&self, random: &mut Random, block: usize) -> usize {
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
        near[random.below(known)].1
    }

    /// Wishes a block to where its nets are shortest: between the middle two of all ends of their ranges.
    pub(super) fn wish_for(&mut self, block: usize) {
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

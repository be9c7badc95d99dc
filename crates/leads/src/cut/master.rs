//! The linear program over patterns: cover every demand with as few bins as possible.
//!
//! Revised simplex with the inverse of the basis kept whole; patterns are made when they are wanted (`[src:GILMORE-1961]`). A master can be taken over by a smaller residual problem: its basis stays, columns that
//! no longer fit are priced out.

use super::knapsack::{Knapsack, Pattern};
use super::number::real;

/// What a stand-in costs more than it is worth, as a share, at first.
const PENALTY: f64 = 0.05;
/// What the penalty of a stand-in is multiplied by while the program still uses it.
const RAISE: f64 = 4.0;
/// Below this a reduced cost counts as nought.
const EPSILON: f64 = 1e-9;
/// Below this a pivot is too small to divide by.
const PIVOT: f64 = 1e-8;
/// Above this a column counts as in use.
const IN_USE: f64 = 1e-7;
/// The inverse is made anew after so many pivots.
const FRESH: u32 = 120;
/// What the weights of a certificate are multiplied by before they are cut to whole numbers.
const SCALE: f64 = 1_048_576.0 * 256.0;

/// A pattern enters without a proof that it is the best when it saves as much.
const WORTH: f64 = 1e-6;
/// Steps of the search for a pattern around one size that need not be the best.
const QUICK: u64 = 60;

/// So many patterns beside those in use are tried at one place.
const NEAR: usize = 40;

/// Patterns made so far; they are looked through before new ones are made.
#[derive(Debug, Clone, Default)]
pub(super) struct Pool {
    patterns: Vec<Pattern>,
}

impl Pool {
    /// The pattern that saves most by these prices and fits the demand; `None` when none saves enough.
    fn cheapest(&self, prices: &[f64], demand: &[i64]) -> Option<(f64, Pattern)> {
        let mut best: Option<(f64, &Pattern)> = None;
        for pattern in &self.patterns {
            let value: f64 = pattern.iter().map(|&(row, held)| prices[row] * real(held)).sum();
            if best.map_or(1.0 + WORTH, |(top, _)| top) < value
                && pattern.iter().all(|&(row, held)| held <= demand[row])
            {
                best = Some((value, pattern));
            }
        }
        best.map(|(value, pattern)| (value, pattern.clone()))
    }
}

impl Pool {
    /// The patterns that hold a size and whose use leaves the program below `wanted` bins.
    pub(super) fn near(&self, master: &Master, wanted: i64, holds: Option<usize>) -> Vec<Pattern> {
        let prices = master.prices();
        let spare = real(wanted) - master.value(&prices) + 1e-6;
        self.patterns
            .iter()
            .filter(|pattern| pattern.iter().any(|&(row, _)| Some(row) == holds))
            .filter(|pattern| {
                1.0 - pattern.iter().map(|&(row, held)| prices[row] * real(held)).sum::<f64>() <= spare
            })
            .take(NEAR)
            .cloned()
            .collect()
    }
}

/// The column of a pattern.
fn patterned(pattern: Pattern) -> Column {
    let entries = pattern.iter().map(|&(row, held)| (row, real(held))).collect();
    Column { entries, cost: 1.0, pattern: Some(pattern), penalty: 0.0 }
}

/// One column of the basis.
#[derive(Debug, Clone)]
struct Column {
    entries: Vec<(usize, f64)>,
    cost: f64,
    /// The pattern, unless it is a surplus or a stand-in.
    pattern: Option<Pattern>,
    /// Of a stand-in: what it costs beyond its worth. It grows until the stand-in is not used any more, so that the
    /// prices stay near their true values all the time (du Merle and others, Discrete Mathematics 194, 1999).
    penalty: f64,
}

impl Column {
    /// Makes a stand-in of a column that may not be used any more.
    fn stand_in(&mut self, worth: f64) {
        self.penalty = PENALTY * worth.abs();
        self.cost = worth + self.penalty;
        self.pattern = None;
    }
}

/// Whole weights of the sizes: no pattern weighs more than `heaviest`.
#[derive(Debug, Clone, Default)]
pub(super) struct Weights {
    pub(super) weights: Vec<i64>,
    pub(super) heaviest: i64,
}

impl Weights {
    /// What the demand needs at least: its weight over the heaviest pattern, rounded up.
    pub(super) fn bound(&self, demand: &[i64]) -> i64 {
        if self.heaviest <= 0 {
            return 0;
        }
        let sum: i128 = self.weights.iter().zip(demand).map(|(&w, &d)| i128::from(w) * i128::from(d)).sum();
        let heaviest = i128::from(self.heaviest);
        i64::try_from((sum + heaviest - 1) / heaviest).unwrap_or(i64::MAX)
    }
}

/// The linear program with its basis.
#[derive(Debug, Clone)]
pub(super) struct Master {
    demand: Vec<i64>,
    basis: Vec<Column>,
    inverse: Vec<Vec<f64>>,
    level: Vec<f64>,
    pivots: u32,
}

impl Master {
    /// The master whose basis is one stand-in per item of each size, at a little more than its share of a bin that holds
    /// nothing else: no price of a best program is higher where the demand fills such a bin.
    pub(super) fn new(sizes: &[i64], demand: &[i64], capacity: i64) -> Self {
        let rows = demand.len();
        let mut master = Self {
            demand: demand.to_vec(),
            basis: Vec::with_capacity(rows),
            inverse: vec![vec![0.0; rows]; rows],
            level: vec![0.0; rows],
            pivots: 0,
        };
        for row in 0..rows {
            let mut column = Column { entries: vec![(row, 1.0)], cost: 0.0, pattern: None, penalty: 0.0 };
            column.stand_in(1.0 / real((capacity / sizes[row]).max(1)));
            master.basis.push(column);
            master.inverse[row][row] = 1.0;
            master.level[row] = real(demand[row]);
        }
        master
    }

    /// What remains after some patterns were fixed: the basis is kept, what no longer fits is priced out.
    pub(super) fn reduced(&self, demand: &[i64]) -> Self {
        let mut master = self.clone();
        master.demand = demand.to_vec();
        for column in &mut master.basis {
            if let Some(pattern) = &column.pattern
                && pattern.iter().any(|&(row, held)| demand[row] < held)
            {
                let worth = column.cost - column.penalty;
                column.stand_in(worth);
            }
        }
        master.set_levels();
        for row in 0..demand.len() {
            if master.level[row] < -1e-9 {
                // A column below nought is replaced by its mirror image, which leaves at a price.
                let column = &mut master.basis[row];
                for (_, entry) in &mut column.entries {
                    *entry = -*entry;
                }
                let worth = column.penalty - column.cost;
                column.stand_in(worth);
                for value in &mut master.inverse[row] {
                    *value = -*value;
                }
                master.level[row] = -master.level[row];
            }
        }
        master
    }

    fn set_levels(&mut self) {
        for (row, level) in self.level.iter_mut().enumerate() {
            *level = self.inverse[row].iter().zip(&self.demand).map(|(a, &times)| a * real(times)).sum();
            if level.abs() < 1e-9 {
                *level = 0.0;
            }
        }
    }

    /// The price of one item of each size.
    fn prices(&self) -> Vec<f64> {
        let mut prices = vec![0.0; self.demand.len()];
        for (column, row) in self.basis.iter().zip(&self.inverse) {
            if column.cost != 0.0 {
                for (price, value) in prices.iter_mut().zip(row) {
                    *price += column.cost * value;
                }
            }
        }
        prices
    }

    /// What the bins cost at these prices.
    fn value(&self, prices: &[f64]) -> f64 {
        prices.iter().zip(&self.demand).map(|(price, &times)| price * real(times)).sum()
    }

    /// Solves the program, or stops when the bound reaches `enough` (more bins than are wanted) or cannot grow.
    ///
    /// Returns the best bound met, in bins, and the weights that prove it.
    pub(super) fn solve(
        &mut self,
        pool: &mut Pool,
        knapsack: &Knapsack,
        enough: i64,
        most_steps: u32,
    ) -> (i64, Weights) {
        let mut best = (0, Weights::default());
        for step in 0..most_steps {
            let mut prices = self.prices();
            let cost = self.value(&prices);
            let lowest =
                prices.iter().enumerate().min_by(|a, b| a.1.total_cmp(b.1)).map(|(row, &price)| (row, price));
            let pooled = pool.cheapest(&prices, &self.demand);
            let saved = pooled.as_ref().map_or(0.0, |(value, _)| value - 1.0);
            let entering = match (lowest, pooled) {
                (Some((row, price)), _) if price < -1e-7 && saved < -price => {
                    Column { entries: vec![(row, -1.0)], cost: 0.0, pattern: None, penalty: 0.0 }
                }
                (_, Some((_, pattern))) => patterned(pattern),
                _ => {
                    for price in &mut prices {
                        *price = price.max(0.0);
                    }
                    let some = knapsack.some(&prices, &self.demand, 1.0 + WORTH, QUICK);
                    if !some.is_empty() {
                        pool.patterns.extend(some);
                        continue;
                    }
                    let (value, pattern) = knapsack.best(&prices, &self.demand, 1.0);
                    let sum: f64 = prices.iter().zip(&self.demand).map(|(p, &d)| p * real(d)).sum();
                    let near = 0.0 < value && real(best.0) + 1e-6 < sum / value.max(1.0);
                    if near {
                        let weights = certify(&prices, knapsack, &self.demand);
                        let bound = weights.bound(&self.demand);
                        if best.0 < bound {
                            best = (bound, weights);
                        }
                    }
                    let done = value <= 1.0 + EPSILON;
                    if enough <= best.0 || !self.stands_in() && (done || cost <= real(best.0) + 1e-7) {
                        return best;
                    }
                    if done {
                        self.raise();
                        continue;
                    }
                    pool.patterns.push(pattern.clone());
                    patterned(pattern)
                }
            };
            if !self.enter(entering, step) {
                return best;
            }
        }
        best
    }

    /// Whether a stand-in is in use.
    fn stands_in(&self) -> bool {
        self.basis.iter().zip(&self.level).any(|(column, &level)| 0.0 < column.penalty && IN_USE < level)
    }

    /// Makes the stand-ins in use dearer.
    fn raise(&mut self) {
        for (column, &level) in self.basis.iter_mut().zip(&self.level) {
            if 0.0 < column.penalty && IN_USE < level {
                column.cost += column.penalty * (RAISE - 1.0);
                column.penalty *= RAISE;
            }
        }
    }

    /// Puts a column into the basis. `false` when no column can leave.
    fn enter(&mut self, column: Column, step: u32) -> bool {
        let rows = self.demand.len();
        let mut direction = vec![0.0; rows];
        for (row, value) in direction.iter_mut().enumerate() {
            *value = column.entries.iter().map(|&(at, entry)| self.inverse[row][at] * entry).sum();
        }
        let mut leaving: Option<(usize, f64)> = None;
        for (row, &along) in direction.iter().enumerate() {
            if along <= PIVOT {
                continue;
            }
            let ratio = self.level[row].max(0.0) / along;
            let better = match leaving {
                None => true,
                Some((other, least)) => {
                    ratio < least - 1e-12
                        || (ratio <= least + 1e-12 && prefer(along, direction[other], row, other, step))
                }
            };
            if better {
                leaving = Some((row, ratio));
            }
        }
        let Some((row, ratio)) = leaving else { return false };
        let pivot = direction[row];
        for (other, level) in self.level.iter_mut().enumerate() {
            if other != row {
                *level = (*level - ratio * direction[other]).max(0.0);
            }
        }
        self.level[row] = ratio;
        let mut base = std::mem::take(&mut self.inverse[row]);
        for value in &mut base {
            *value /= pivot;
        }
        for (other, line) in self.inverse.iter_mut().enumerate() {
            let factor = direction[other];
            if other != row && factor.abs() > 1e-13 {
                for (value, with) in line.iter_mut().zip(&base) {
                    *value -= factor * with;
                }
            }
        }
        self.inverse[row] = base;
        self.basis[row] = column;
        self.pivots += 1;
        if self.pivots.is_multiple_of(FRESH) {
            self.invert();
        }
        true
    }

    /// Makes the inverse anew from the columns, by elimination with the largest pivot of each row.
    fn invert(&mut self) {
        let rows = self.demand.len();
        let mut matrix = vec![vec![0.0; rows]; rows];
        for (at, column) in self.basis.iter().enumerate() {
            for &(row, entry) in &column.entries {
                matrix[row][at] += entry;
            }
        }
        let mut inverse = vec![vec![0.0; rows]; rows];
        for (row, line) in inverse.iter_mut().enumerate() {
            line[row] = 1.0;
        }
        for at in 0..rows {
            let Some(pivot) = (at..rows).max_by(|&a, &b| matrix[a][at].abs().total_cmp(&matrix[b][at].abs()))
            else {
                return;
            };
            if matrix[pivot][at].abs() < 1e-11 {
                return;
            }
            matrix.swap(at, pivot);
            inverse.swap(at, pivot);
            let by = 1.0 / matrix[at][at];
            for value in matrix[at].iter_mut().chain(inverse[at].iter_mut()) {
                *value *= by;
            }
            let (line, with) = (matrix[at].clone(), inverse[at].clone());
            for other in 0..rows {
                let factor = matrix[other][at];
                if other == at || factor == 0.0 {
                    continue;
                }
                for (value, from) in matrix[other].iter_mut().zip(&line) {
                    *value -= factor * from;
                }
                for (value, from) in inverse[other].iter_mut().zip(&with) {
                    *value -= factor * from;
                }
            }
        }
        self.inverse = inverse;
        self.set_levels();
        for level in &mut self.level {
            *level = level.max(0.0);
        }
    }

    /// The patterns in use and how often each is, highest first; stand-ins are left out.
    pub(super) fn patterns(&self) -> Vec<(f64, &Pattern)> {
        let mut out: Vec<(f64, &Pattern)> = self
            .basis
            .iter()
            .zip(&self.level)
            .filter(|&(_, level)| IN_USE < *level)
            .filter_map(|(column, level)| Some((*level, column.pattern.as_ref()?)))
            .collect();
        out.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(b.1)));
        out
    }
}

/// Which of two equal ratios leaves: the larger pivot; every third step the other way, so that ties do not go round.
fn prefer(along: f64, other: f64, row: usize, at: usize, step: u32) -> bool {
    if step % 3 == 2 { row.wrapping_mul(7919) % 1009 < at.wrapping_mul(7919) % 1009 } else { other < along }
}

/// The prices as whole weights, and what the heaviest pattern weighs by them, exactly.
fn certify(prices: &[f64], knapsack: &Knapsack, demand: &[i64]) -> Weights {
    let weights: Vec<i64> =
        prices.iter().map(|&price| super::number::whole(price.min(1.0) * SCALE)).collect();
    let as_values: Vec<f64> = weights.iter().map(|&weight| real(weight)).collect();
    let floor = weights
        .iter()
        .zip(demand)
        .filter(|&(_, &d)| 0 < d)
        .map(|(&w, _)| w)
        .max()
        .unwrap_or(0)
        .max(super::number::whole(SCALE));
    let (_, pattern) = knapsack.best(&as_values, demand, real(floor));
    let found: i64 = pattern.iter().map(|&(row, held)| weights[row] * held).sum();
    let heaviest = found.max(floor);
    Weights { weights, heaviest }
}

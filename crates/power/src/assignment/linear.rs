//! The linear relaxation, for its prices: a primal simplex on a dense inverse.
//!
//! Every item may be left out at a penalty, so that a first basis is at hand. Right-hand sides are moved by a little,
//! differently for each row, so that the many ties of assignment problems do not make the method run in circles.
//! Nothing rests on this being exact: the bound is computed anew from the prices, and any prices give a true bound.

use super::flat::Flat;
use super::real;

/// Columns priced again between two passes over all of them.
const CANDIDATES: usize = 48;
/// Steps before the prices are taken as they are.
const STEPS: usize = 4_000;
/// A reduced cost below this is worth a step.
const WORTH: f64 = 1e-7;
/// A pivot below this is taken as zero.
const PIVOT: f64 = 1e-8;
/// By how much right-hand sides are moved, at most.
const MOVED: f64 = 1e-6;

/// What the relaxation gave.
pub(super) struct Linear {
    pub(super) item: Vec<f64>,
    /// In units of the row's scale.
    pub(super) row: Vec<f64>,
    /// The part of each live column that is taken, with the column; only what is taken.
    pub(super) taken: Vec<(usize, f64)>,
    /// What it took, in multiplications.
    pub(super) work: u64,
}

/// Solves the relaxation of what is still open.
pub(super) fn relax(flat: &Flat, live: &[usize], open: &[bool], left: &[i64], penalty: f64) -> Linear {
    let mut simplex = Simplex::new(flat, live, open, left, penalty);
    simplex.run();
    simplex.result(flat)
}

struct Simplex<'a> {
    live: &'a [usize],
    /// Number of rows of the system.
    size: usize,
    /// Row of the system for each item and each row, or none.
    item_row: Vec<Option<usize>>,
    row_row: Vec<Option<usize>>,
    /// Entries of each live column.
    start: Vec<usize>,
    entries: Vec<(usize, f64)>,
    cost: Vec<f64>,
    /// Basic variable of each row: a live column, or `live.len() + row` for the row's own slack or penalty.
    basis: Vec<usize>,
    is_basic: Vec<bool>,
    own_cost: Vec<f64>,
    value: Vec<f64>,
    /// Inverse of the basis, column by column.
    inverse: Vec<f64>,
    price: Vec<f64>,
    work: usize,
}

impl<'a> Simplex<'a> {
    fn new(flat: &Flat, live: &'a [usize], open: &[bool], left: &[i64], penalty: f64) -> Self {
        let mut used = vec![false; left.len()];
        for &column in live {
            for &(row, _) in flat.uses_of(column) {
                used[row] = true;
            }
        }
        let mut size = 0;
        let mut number = |wanted: bool| {
            wanted.then(|| {
                size += 1;
                size - 1
            })
        };
        let item_row: Vec<Option<usize>> = open.iter().map(|&open| number(open)).collect();
        let row_row: Vec<Option<usize>> = used.iter().map(|&used| number(used)).collect();
        let mut own_cost = vec![0.0; size];
        let mut value = vec![0.0; size];
        for &row in item_row.iter().flatten() {
            own_cost[row] = penalty;
            value[row] = 1.0 + moved(row);
        }
        for (index, row) in row_row.iter().enumerate() {
            if let Some(row) = *row {
                value[row] = real(left[index].max(0)) / flat.scale[index] + moved(row);
            }
        }
        let mut start = vec![0];
        let mut entries = Vec::new();
        for &column in live {
            entries.extend(flat.items_of(column).iter().filter_map(|&item| Some((item_row[item]?, 1.0))));
            let uses = flat.uses_of(column).iter();
            entries.extend(
                uses.filter_map(|&(row, amount)| Some((row_row[row]?, real(amount) / flat.scale[row]))),
            );
            start.push(entries.len());
        }
        let mut inverse = vec![0.0; size * size];
        for row in 0..size {
            inverse[row * size + row] = 1.0;
        }
        Self {
            live,
            size,
            item_row,
            row_row,
            start,
            entries,
            cost: live.iter().map(|&column| flat.cost_real[column]).collect(),
            basis: (0..size).map(|row| live.len() + row).collect(),
            is_basic: vec![false; live.len()],
            price: own_cost.clone(),
            own_cost,
            value,
            inverse,
            work: size * size,
        }
    }

    fn reduced(&self, column: usize) -> f64 {
        let entries = &self.entries[self.start[column]..self.start[column + 1]];
        self.cost[column] - entries.iter().map(|&(row, part)| self.price[row] * part).sum::<f64>()
    }

    fn run(&mut self) {
        let mut candidates: Vec<(f64, usize)> = Vec::new();
        for _ in 0..STEPS {
            let mut best: Option<(f64, usize)> = None;
            for &(_, column) in &candidates {
                let reduced = self.reduced(column);
                if reduced < best.map_or(-WORTH, |(least, _)| least) && !self.is_basic[column] {
                    best = Some((reduced, column));
                }
            }
            if best.is_none() {
                candidates.clear();
                self.work += self.entries.len();
                for column in (0..self.live.len()).filter(|&column| !self.is_basic[column]) {
                    let reduced = self.reduced(column);
                    if reduced < -WORTH {
                        candidates.push((reduced, column));
                    }
                }
                // A slack is a column of its row alone.
                let slack = self
                    .row_row
                    .iter()
                    .flatten()
                    .map(|&row| (-self.price[row], self.live.len() + row))
                    .filter(|(reduced, _)| *reduced < -WORTH)
                    .min_by(|a, b| a.0.total_cmp(&b.0));
                if CANDIDATES < candidates.len() {
                    candidates
                        .select_nth_unstable_by(CANDIDATES, |a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
                    candidates.truncate(CANDIDATES);
                }
                best = candidates.iter().copied().min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
                if let Some(slack) = slack
                    && best.is_none_or(|(least, _)| slack.0 < least)
                {
                    best = Some(slack);
                }
            }
            let Some((reduced, column)) = best else { return };
            if !self.step(column, reduced) {
                return;
            }
        }
    }

    /// Brings a variable into the basis; `false` when nothing stops it, which bounded problems do not have.
    fn step(&mut self, entering: usize, reduced: f64) -> bool {
        let size = self.size;
        self.work += size * size;
        let mut way = vec![0.0; size];
        if entering < self.live.len() {
            for &(row, part) in &self.entries[self.start[entering]..self.start[entering + 1]] {
                for (at, inverse) in way.iter_mut().zip(&self.inverse[row * size..(row + 1) * size]) {
                    *at += part * inverse;
                }
            }
        } else {
            let row = entering - self.live.len();
            way.copy_from_slice(&self.inverse[row * size..(row + 1) * size]);
        }
        let mut leaving: Option<(f64, usize)> = None;
        for (row, &pivot) in way.iter().enumerate() {
            if PIVOT < pivot {
                let ratio = self.value[row].max(0.0) / pivot;
                let better =
                    leaving.is_none_or(|(least, at)| ratio < least || (ratio <= least && way[at] < pivot));
                if better {
                    leaving = Some((ratio, row));
                }
            }
        }
        let Some((ratio, out)) = leaving else { return false };
        let pivot = way[out];
        for (value, by) in self.value.iter_mut().zip(&way) {
            *value -= ratio * by;
        }
        self.value[out] = ratio;
        for column in 0..size {
            let at = column * size;
            let part = self.inverse[at + out] / pivot;
            if part != 0.0 {
                for (row, by) in way.iter().enumerate() {
                    self.inverse[at + row] -= by * part;
                }
                self.price[column] += reduced * part;
            }
            self.inverse[at + out] = part;
        }
        let old = self.basis[out];
        if old < self.live.len() {
            self.is_basic[old] = false;
        }
        if entering < self.live.len() {
            self.is_basic[entering] = true;
        }
        self.basis[out] = entering;
        true
    }

    fn result(mut self, flat: &Flat) -> Linear {
        // The prices once more from the basis, without what the steps have gathered.
        for column in 0..self.size {
            let inverse = &self.inverse[column * self.size..(column + 1) * self.size];
            self.price[column] = self
                .basis
                .iter()
                .zip(inverse)
                .map(|(&basic, part)| {
                    let cost = if basic < self.live.len() {
                        self.cost[basic]
                    } else {
                        self.own_cost[basic - self.live.len()]
                    };
                    cost * part
                })
                .sum();
        }
        let price = |row: &Option<usize>| row.map_or(0.0, |row| self.price[row]);
        Linear {
            item: self.item_row.iter().map(price).collect(),
            row: self.row_row.iter().map(|row| (-price(row)).max(0.0)).collect(),
            work: u64::try_from(self.work).unwrap_or(u64::MAX),
            taken: self
                .basis
                .iter()
                .zip(&self.value)
                .filter(|(basic, value)| **basic < self.live.len() && 1e-4 < **value)
                .map(|(&basic, &value)| (self.live[basic], value.min(1.0)))
                .filter(|&(column, _)| column < flat.columns())
                .collect(),
        }
    }
}

/// By how much the right-hand side of a row is moved: more for some than for others, and never two alike.
fn moved(row: usize) -> f64 {
    let mixed = (row.wrapping_mul(2_654_435_761) >> 7) % 1009;
    MOVED * (0.5 + real(i64::try_from(mixed).unwrap_or(0)) / 2018.0)
}

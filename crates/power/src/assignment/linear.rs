//! The linear relaxation, for its prices: a primal simplex on a dense inverse, kept from one question to the next.
//!
//! Every item may be left out at a penalty, so that a first basis is at hand. Right-hand sides are moved by a little,
//! differently for each row, so that the many ties of assignment problems do not make the method run in circles.
//!
//! A search asks again and again with a few columns taken or gone, and the last basis is then nearly right. What a taken
//! column served leaves the right-hand sides; a basic variable that falls below zero by that gives its place to one of
//! the opposite sign that costs so much that it soon goes, and so does what is gone and still in the basis. From there the
//! method goes on as usual.
//!
//! Nothing rests on this being exact: the bound is computed anew from the prices, and any prices give a true bound.

use super::flat::Flat;
use super::real;

/// Columns priced again before others are looked for.
const CANDIDATES: usize = 48;
/// Columns looked at, at least, for others.
const LOOK: usize = 800;
/// Steps before the prices are taken as they are.
const STEPS: usize = 4_000;
/// Steps after which the next question starts from a fresh basis, so that rounding does not pile up.
const FRESH: usize = 6_000;
/// A reduced cost below this is worth a step.
const WORTH: f64 = 1e-7;
/// A pivot below this is taken as zero.
const PIVOT: f64 = 1e-8;
/// By how much right-hand sides are moved, at most.
const MOVED: f64 = 1e-6;
/// A basic variable below this is below zero.
const BELOW: f64 = -1e-9;
/// What must go costs so many times the penalty of the items that it stands for.
const MUST_GO: f64 = 4.0;

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

/// What is open at a place of the search.
pub(super) struct Place<'a> {
    /// Whether each column is alive, and those that are.
    pub(super) alive: &'a [bool],
    pub(super) live: &'a [usize],
    /// Whether each item is still to be served.
    pub(super) open: &'a [bool],
    /// What is left of each row.
    pub(super) left: &'a [i64],
    /// What leaving an item out costs.
    pub(super) penalty: f64,
}

/// A variable of the system.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Variable {
    Column(usize),
    /// A row's own slack, or its penalty.
    Own(usize),
    /// What took the place of one that fell below zero, and must go.
    Stopgap,
}

/// The relaxation with the basis of the last question.
pub(super) struct Simplex {
    /// Number of rows of the system.
    size: usize,
    /// Row of the system for each item and each row, or none.
    item_row: Vec<Option<usize>>,
    row_row: Vec<Option<usize>>,
    /// Entries of each column.
    start: Vec<usize>,
    entries: Vec<(usize, f64)>,
    basis: Vec<Variable>,
    is_basic: Vec<bool>,
    own_is_basic: Vec<bool>,
    own_cost: Vec<f64>,
    right: Vec<f64>,
    value: Vec<f64>,
    /// Inverse of the basis, column by column.
    inverse: Vec<f64>,
    price: Vec<f64>,
    /// Steps since the basis was fresh.
    steps: usize,
    work: usize,
    way: Vec<f64>,
}

impl Simplex {
    /// With a basis of slacks and penalties. Rows that no live column uses are left out.
    pub(super) fn new(flat: &Flat, live: &[usize]) -> Self {
        let mut used = vec![false; flat.capacity.len()];
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
        let item_row: Vec<Option<usize>> = (0..flat.items).map(|_| number(true)).collect();
        let row_row: Vec<Option<usize>> = used.iter().map(|&used| number(used)).collect();
        let mut start = vec![0];
        let mut entries = Vec::new();
        for column in 0..flat.columns() {
            entries.extend(flat.items_of(column).iter().filter_map(|&item| Some((item_row[item]?, 1.0))));
            let uses = flat.uses_of(column).iter();
            entries.extend(
                uses.filter_map(|&(row, amount)| Some((row_row[row]?, real(amount) / flat.scale[row]))),
            );
            start.push(entries.len());
        }
        let mut simplex = Self {
            size,
            item_row,
            row_row,
            start,
            entries,
            basis: Vec::new(),
            is_basic: vec![false; flat.columns()],
            own_is_basic: Vec::new(),
            own_cost: vec![0.0; size],
            right: vec![0.0; size],
            value: vec![0.0; size],
            inverse: Vec::new(),
            price: vec![0.0; size],
            steps: 0,
            work: 0,
            way: vec![0.0; size],
        };
        simplex.begin();
        simplex
    }

    fn begin(&mut self) {
        self.basis = (0..self.size).map(Variable::Own).collect();
        self.is_basic.fill(false);
        self.own_is_basic = vec![true; self.size];
        self.inverse = vec![0.0; self.size * self.size];
        for row in 0..self.size {
            self.inverse[row * self.size + row] = 1.0;
        }
        self.steps = 0;
    }

    /// Solves the relaxation of what is still open.
    pub(super) fn relax(&mut self, flat: &Flat, place: &Place<'_>) -> Linear {
        if FRESH < self.steps || !self.value.iter().all(|value| value.is_finite()) {
            self.begin();
        }
        self.work = 3 * self.size * self.size;
        self.set(flat, place);
        self.run(flat, place);
        self.price_anew(flat, place);
        let price = |row: &Option<usize>| row.map_or(0.0, |row| self.price[row]);
        Linear {
            item: self.item_row.iter().map(price).collect(),
            row: self.row_row.iter().map(|row| (-price(row)).max(0.0)).collect(),
            work: u64::try_from(self.work).unwrap_or(u64::MAX),
            taken: self
                .basis
                .iter()
                .zip(&self.value)
                .filter_map(|(basic, value)| match basic {
                    Variable::Column(column) if place.alive[*column] && 1e-4 < *value => {
                        Some((*column, value.min(1.0)))
                    }
                    _ => None,
                })
                .collect(),
        }
    }

    /// Right-hand sides and costs of the question, and a basis that bears them.
    fn set(&mut self, flat: &Flat, place: &Place<'_>) {
        let size = self.size;
        for (item, row) in self.item_row.iter().enumerate() {
            let Some(row) = *row else { continue };
            let open = place.open[item];
            self.own_cost[row] = if open { place.penalty } else { 0.0 };
            self.right[row] = f64::from(u8::from(open)) + moved(row);
        }
        for (index, row) in self.row_row.iter().enumerate() {
            if let Some(row) = *row {
                self.right[row] = real(place.left[index].max(0)) / flat.scale[index] + moved(row);
            }
        }
        self.value.fill(0.0);
        for column in 0..size {
            let right = self.right[column];
            for (value, part) in self.value.iter_mut().zip(&self.inverse[column * size..(column + 1) * size])
            {
                *value += right * part;
            }
        }
        for row in 0..size {
            if BELOW <= self.value[row] {
                continue;
            }
            self.leave(row);
            self.basis[row] = Variable::Stopgap;
            self.value[row] = -self.value[row];
            for column in 0..size {
                self.inverse[column * size + row] *= -1.0;
            }
        }
        self.price_anew(flat, place);
    }

    /// A basic variable is basic no more.
    fn leave(&mut self, row: usize) {
        match self.basis[row] {
            Variable::Column(column) => self.is_basic[column] = false,
            Variable::Own(own) => self.own_is_basic[own] = false,
            Variable::Stopgap => {}
        }
    }

    /// The prices from the basis, without what the steps have gathered.
    fn price_anew(&mut self, flat: &Flat, place: &Place<'_>) {
        let cost = |basic: &Variable| match basic {
            Variable::Column(column) if place.alive[*column] => flat.cost_real[*column],
            Variable::Column(column) => {
                let items = f64::from(u32::try_from(flat.items_of(*column).len()).unwrap_or(u32::MAX));
                flat.cost_real[*column] + MUST_GO * place.penalty * (1.0 + items)
            }
            Variable::Own(row) => self.own_cost[*row],
            Variable::Stopgap => MUST_GO * MUST_GO * place.penalty,
        };
        let costs: Vec<f64> = self.basis.iter().map(cost).collect();
        for (column, price) in self.price.iter_mut().enumerate() {
            let inverse = &self.inverse[column * self.size..(column + 1) * self.size];
            *price = costs.iter().zip(inverse).map(|(cost, part)| cost * part).sum();
        }
    }

    fn reduced(&self, flat: &Flat, column: usize) -> f64 {
        let entries = &self.entries[self.start[column]..self.start[column + 1]];
        flat.cost_real[column] - entries.iter().map(|&(row, part)| self.price[row] * part).sum::<f64>()
    }

    fn run(&mut self, flat: &Flat, place: &Place<'_>) {
        let mut candidates: Vec<(f64, usize)> = Vec::new();
        let mut from = 0;
        for _ in 0..STEPS {
            let mut best: Option<(f64, Variable)> = None;
            for &(_, column) in &candidates {
                let reduced = self.reduced(flat, column);
                if reduced < best.map_or(-WORTH, |(least, _)| least) && !self.is_basic[column] {
                    best = Some((reduced, Variable::Column(column)));
                }
            }
            if best.is_none() {
                candidates.clear();
                // Round the columns from where the last look ended, until there are enough to choose from.
                let (before, after) = place.live.split_at(from.min(place.live.len()));
                let mut looked = 0;
                for &column in after.iter().chain(before) {
                    looked += 1;
                    if !self.is_basic[column] {
                        let reduced = self.reduced(flat, column);
                        if reduced < -WORTH {
                            candidates.push((reduced, column));
                        }
                    }
                    if LOOK <= looked && CANDIDATES <= candidates.len() {
                        break;
                    }
                }
                from = (from + looked) % place.live.len().max(1);
                self.work += 4 * looked;
                if CANDIDATES < candidates.len() {
                    candidates
                        .select_nth_unstable_by(CANDIDATES, |a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
                    candidates.truncate(CANDIDATES);
                }
                let column =
                    candidates.iter().copied().min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
                best = column.map(|(reduced, column)| (reduced, Variable::Column(column)));
                // A slack or a penalty is a column of its row alone.
                let own = (0..self.size)
                    .filter(|row| !self.own_is_basic[*row])
                    .map(|row| (self.own_cost[row] - self.price[row], row))
                    .filter(|(reduced, _)| *reduced < -WORTH)
                    .min_by(|a, b| a.0.total_cmp(&b.0));
                if let Some((reduced, row)) = own
                    && best.is_none_or(|(least, _)| reduced < least)
                {
                    best = Some((reduced, Variable::Own(row)));
                }
            }
            let Some((reduced, entering)) = best else { return };
            if !self.step(entering, reduced) {
                return;
            }
        }
    }

    /// Brings a variable into the basis; `false` when nothing stops it, which bounded problems do not have.
    fn step(&mut self, entering: Variable, reduced: f64) -> bool {
        let size = self.size;
        self.work += size * size;
        self.steps += 1;
        let mut way = std::mem::take(&mut self.way);
        way.fill(0.0);
        match entering {
            Variable::Column(column) => {
                for &(row, part) in &self.entries[self.start[column]..self.start[column + 1]] {
                    for (at, inverse) in way.iter_mut().zip(&self.inverse[row * size..(row + 1) * size]) {
                        *at += part * inverse;
                    }
                }
            }
            Variable::Own(row) => way.copy_from_slice(&self.inverse[row * size..(row + 1) * size]),
            Variable::Stopgap => {}
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
        let Some((ratio, out)) = leaving else {
            self.way = way;
            return false;
        };
        let pivot = way[out];
        for (value, by) in self.value.iter_mut().zip(&way) {
            *value -= ratio * by;
        }
        self.value[out] = ratio;
        for (price, column) in self.price.iter_mut().zip(self.inverse.chunks_exact_mut(size)) {
            let part = column[out] / pivot;
            if part != 0.0 {
                for (cell, by) in column.iter_mut().zip(&way) {
                    *cell -= by * part;
                }
                *price += reduced * part;
            }
            column[out] = part;
        }
        self.way = way;
        self.leave(out);
        match entering {
            Variable::Column(column) => self.is_basic[column] = true,
            Variable::Own(row) => self.own_is_basic[row] = true,
            Variable::Stopgap => {}
        }
        self.basis[out] = entering;
        true
    }
}

/// By how much the right-hand side of a row is moved: more for some than for others, and never two alike.
fn moved(row: usize) -> f64 {
    let mixed = (row.wrapping_mul(2_654_435_761) >> 7) % 1009;
    MOVED * (0.5 + real(i64::try_from(mixed).unwrap_or(0)) / 2018.0)
}

//! The Lagrangian bound at fixed prices: every home row's knapsack solved exactly, all else priced.

use super::flat::{Flat, NONE};
use super::real;

/// Knapsacks up to this capacity are solved by dynamic programming; above it their linear relaxation is taken.
const TABLE_LIMIT: i64 = 4096;

/// A column worth taking must save at least this.
const WORTH: f64 = 1e-12;

/// Working memory and result of one evaluation.
pub(super) struct Relaxation {
    /// What each live column costs at the prices.
    pub(super) reduced: Vec<f64>,
    /// How often each item is served.
    pub(super) cover: Vec<f64>,
    /// How much of each row is used, in units of its scale.
    pub(super) load: Vec<f64>,
    /// Value of each home row's knapsack by capacity left out: how much worse it gets when room is taken.
    blocks: Vec<Block>,
    list: Vec<usize>,
    seen: Vec<(usize, usize)>,
    table: Vec<f64>,
    taken: Vec<bool>,
}

/// What one home row's knapsack gave.
#[derive(Default, Clone)]
struct Block {
    /// Value by capacity, where a table was made; else empty.
    table: Vec<f64>,
    /// Where all columns weigh the same: the weight, and what losing one place costs.
    uniform: Option<(i64, f64)>,
}

impl Relaxation {
    pub(super) fn new(flat: &Flat) -> Self {
        Self {
            reduced: vec![0.0; flat.columns()],
            cover: vec![0.0; flat.items],
            load: vec![0.0; flat.capacity.len()],
            blocks: vec![Block::default(); flat.capacity.len()],
            list: Vec::new(),
            seen: vec![(NONE, 0); flat.items],
            table: Vec::new(),
            taken: Vec::new(),
        }
    }

    /// The bound at these prices for what is still open: live columns (in flat order), capacities left.
    pub(super) fn evaluate(
        &mut self,
        flat: &Flat,
        live: &[usize],
        open: &[bool],
        left: &[i64],
        item: &[f64],
        row: &[f64],
    ) -> f64 {
        self.cover.fill(0.0);
        self.load.fill(0.0);
        self.seen.fill((NONE, 0));
        let mut value: f64 = (0..flat.items).filter(|&i| open[i]).map(|i| item[i]).sum();
        for (r, &capacity) in left.iter().enumerate() {
            if row[r] != 0.0 {
                value -= row[r] * real(capacity) / flat.scale[r];
            }
        }
        let mut from = 0;
        while from < live.len() {
            let home = flat.home[live[from]];
            let mut to = from;
            self.list.clear();
            while to < live.len() && flat.home[live[to]] == home {
                let column = live[to];
                let reduced = flat.reduced(column, item, row);
                self.reduced[column] = reduced;
                to += 1;
                if reduced >= -WORTH {
                    continue;
                }
                // Of the columns that serve one and the same single item from one row, only the best can be taken.
                let single = flat.single[column];
                if home != NONE && single != NONE {
                    let (block, place) = self.seen[single];
                    if block == home && flat.weight[self.list[place]] == flat.weight[column] {
                        if reduced < self.reduced[self.list[place]] {
                            self.list[place] = column;
                        }
                        continue;
                    }
                    self.seen[single] = (home, self.list.len());
                }
                self.list.push(column);
            }
            value += if home == NONE { self.take_all(flat) } else { self.knapsack(flat, home, left[home]) };
            from = to;
        }
        value
    }

    /// Takes every column of the list.
    fn take_all(&mut self, flat: &Flat) -> f64 {
        let mut value = 0.0;
        for place in 0..self.list.len() {
            value += self.reduced[self.list[place]];
            self.take(flat, self.list[place], 1.0);
        }
        value
    }

    fn take(&mut self, flat: &Flat, column: usize, part: f64) {
        for &index in flat.items_of(column) {
            self.cover[index] += part;
        }
        for &(row, amount) in flat.uses_of(column) {
            self.load[row] += part * real(amount) / flat.scale[row];
        }
    }

    /// The cheapest columns of the list that fit the row together.
    fn knapsack(&mut self, flat: &Flat, home: usize, capacity: i64) -> f64 {
        self.blocks[home].table.clear();
        self.blocks[home].uniform = None;
        let capacity = capacity.max(0);
        let total: i64 = self.list.iter().map(|&column| flat.weight[column]).sum();
        if total <= capacity {
            return self.take_all(flat);
        }
        let weight = flat.weight[self.list[0]];
        if self.list.iter().all(|&column| flat.weight[column] == weight) {
            return self.same_weight(flat, home, capacity, weight);
        }
        if capacity <= TABLE_LIMIT {
            return self.by_table(flat, home, usize::try_from(capacity).unwrap_or(0));
        }
        self.linear(flat, capacity)
    }

    fn same_weight(&mut self, flat: &Flat, home: usize, capacity: i64, weight: i64) -> f64 {
        let places = usize::try_from(capacity / weight.max(1)).unwrap_or(usize::MAX).min(self.list.len());
        let reduced = &self.reduced;
        self.list.sort_by(|&a, &b| reduced[a].total_cmp(&reduced[b]).then(a.cmp(&b)));
        self.list.truncate(places);
        let last = self.list.last().map_or(0.0, |&column| -self.reduced[column]);
        self.blocks[home].uniform = Some((weight, last));
        self.take_all(flat)
    }

    /// Dynamic programming over the capacity.
    fn by_table(&mut self, flat: &Flat, home: usize, capacity: usize) -> f64 {
        let width = capacity + 1;
        self.table.clear();
        self.table.resize(width, 0.0);
        self.taken.clear();
        self.taken.resize(width * self.list.len(), false);
        for (place, &column) in self.list.iter().enumerate() {
            let weight = usize::try_from(flat.weight[column]).unwrap_or(0);
            let gain = self.reduced[column];
            for room in (weight..width).rev() {
                let with = self.table[room - weight] + gain;
                if with < self.table[room] {
                    self.table[room] = with;
                    self.taken[place * width + room] = true;
                }
            }
        }
        let value = self.table[capacity];
        let mut room = capacity;
        for place in (0..self.list.len()).rev() {
            if self.taken[place * width + room] {
                let column = self.list[place];
                room -= usize::try_from(flat.weight[column]).unwrap_or(0);
                self.take(flat, column, 1.0);
            }
        }
        self.blocks[home].table.extend_from_slice(&self.table);
        value
    }

    /// The linear relaxation of a knapsack too large for a table.
    fn linear(&mut self, flat: &Flat, capacity: i64) -> f64 {
        let reduced = &self.reduced;
        let worth = |column: usize| reduced[column] / real(flat.weight[column]).max(WORTH);
        self.list.sort_by(|&a, &b| worth(a).total_cmp(&worth(b)).then(a.cmp(&b)));
        let (mut value, mut room) = (0.0, capacity);
        for place in 0..self.list.len() {
            let column = self.list[place];
            let weight = flat.weight[column];
            let part = if weight <= room { 1.0 } else { real(room) / real(weight) };
            value += part * self.reduced[column];
            self.take(flat, column, part);
            room -= weight.min(room);
            if room == 0 {
                break;
            }
        }
        value
    }

    /// How much the bound rises at least when a column is taken, after an evaluation at the same prices.
    pub(super) fn rise(&self, flat: &Flat, column: usize, left: &[i64]) -> f64 {
        let reduced = self.reduced[column];
        let home = flat.home[column];
        if home == NONE {
            return reduced.max(0.0);
        }
        let (block, weight) = (&self.blocks[home], flat.weight[column]);
        let lost = if block.table.is_empty() {
            match block.uniform {
                Some((unit, last)) if unit <= weight => last,
                _ => 0.0,
            }
        } else {
            let full = block.table.len() - 1;
            let room = usize::try_from(left[home].max(0) - weight).unwrap_or(0).min(full);
            block.table[room] - block.table[full]
        };
        // A column that was taken already costs nothing more than the bound counts.
        (reduced + lost).max(0.0)
    }
}

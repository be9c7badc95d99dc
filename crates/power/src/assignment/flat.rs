//! The problem as flat arrays, in the order in which the bound walks through it.

use super::{Problem, real};

/// No row, no item.
pub(super) const NONE: usize = usize::MAX;

/// Columns sorted by home row and first item.
pub(super) struct Flat {
    pub(super) items: usize,
    pub(super) capacity: Vec<i64>,
    /// Position of each column in the problem.
    pub(super) original: Vec<usize>,
    item_at: Vec<usize>,
    item_of: Vec<usize>,
    use_at: Vec<usize>,
    use_of: Vec<(usize, i64)>,
    part_of: Vec<f64>,
    pub(super) cost: Vec<i64>,
    pub(super) cost_real: Vec<f64>,
    pub(super) home: Vec<usize>,
    /// How much a column uses of its home row.
    pub(super) weight: Vec<i64>,
    /// The only item of a column that has one.
    pub(super) single: Vec<usize>,
    /// The largest use of each row by one column: rows are priced in this unit.
    pub(super) scale: Vec<f64>,
    /// Whether a row is used by a column whose home it is not, and so must be priced.
    pub(super) priced: Vec<bool>,
    /// Whether home rows only count: every column uses one or two of its home row.
    pub(super) counts: bool,
    /// The extra that gives a row more room, and how much.
    pub(super) extra: Vec<Option<(usize, i64)>>,
}

impl Flat {
    pub(super) fn new(problem: &Problem) -> Self {
        let mut original: Vec<usize> = (0..problem.columns.len()).collect();
        original.sort_by_key(|&index| {
            let column = &problem.columns[index];
            (
                column.home.unwrap_or(NONE),
                column.items.first().copied().unwrap_or(NONE),
                column.items.len(),
                index,
            )
        });
        let rows = problem.capacity.len();
        let mut scale = vec![1.0_f64; rows];
        let mut priced = vec![false; rows];
        for column in &problem.columns {
            for &(row, amount) in &column.uses {
                scale[row] = scale[row].max(real(amount.abs()));
                priced[row] |= column.home != Some(row);
            }
        }
        let mut flat = Self {
            items: problem.items,
            capacity: problem.capacity.clone(),
            item_at: vec![0],
            item_of: Vec::new(),
            use_at: vec![0],
            use_of: Vec::new(),
            part_of: Vec::new(),
            cost: Vec::new(),
            cost_real: Vec::new(),
            home: Vec::new(),
            weight: Vec::new(),
            single: Vec::new(),
            extra: vec![None; rows],
            original,
            scale,
            priced,
            counts: true,
        };
        for place in 0..flat.original.len() {
            let column = &problem.columns[flat.original[place]];
            flat.item_of.extend(&column.items);
            flat.item_at.push(flat.item_of.len());
            let mut weight = 0;
            for &(row, amount) in &column.uses {
                flat.use_of.push((row, amount));
                flat.part_of.push(real(amount) / flat.scale[row]);
                if column.home == Some(row) {
                    weight = amount;
                }
                if column.items.is_empty() && amount < 0 {
                    flat.extra[row] = Some((place, -amount));
                }
            }
            flat.counts &= column.home.is_none() || weight <= 2;
            flat.use_at.push(flat.use_of.len());
            flat.cost.push(column.cost);
            flat.cost_real.push(real(column.cost));
            flat.home.push(column.home.unwrap_or(NONE));
            flat.weight.push(weight);
            flat.single.push(if let [only] = column.items.as_slice() { *only } else { NONE });
        }
        flat
    }

    pub(super) fn columns(&self) -> usize {
        self.cost.len()
    }

    pub(super) fn items_of(&self, column: usize) -> &[usize] {
        &self.item_of[self.item_at[column]..self.item_at[column + 1]]
    }

    pub(super) fn uses_of(&self, column: usize) -> &[(usize, i64)] {
        &self.use_of[self.use_at[column]..self.use_at[column + 1]]
    }

    /// What a column costs at these prices (rows in units of [`Flat::scale`]).
    pub(super) fn reduced(&self, column: usize, item: &[f64], row: &[f64]) -> f64 {
        let mut cost = self.cost_real[column];
        for place in self.use_at[column]..self.use_at[column + 1] {
            cost += row[self.use_of[place].0] * self.part_of[place];
        }
        for &index in self.items_of(column) {
            cost -= item[index];
        }
        cost
    }

    /// Whether a column only gives room.
    pub(super) fn is_extra(&self, column: usize) -> bool {
        self.item_at[column] == self.item_at[column + 1]
    }
}

//! The best pattern for one bin: a bounded knapsack, solved exactly.
//!
//! Small bins by dynamic programming over the room taken; wide bins, where few items fit, by depth-first search in the
//! order of value per size with the fractional bound (Dantzig, Operations Research 5, 1957).

use super::number::{count, place, real};

/// Above so many cells of the table, the search is used instead.
const CELLS: i64 = 600_000;

/// What a pattern holds: the size's place and how often.
pub(super) type Pattern = Vec<(usize, i64)>;

/// A knapsack over fixed sizes; values and counts change from call to call.
#[derive(Debug, Clone)]
pub(super) struct Knapsack {
    capacity: i64,
    sizes: Vec<i64>,
    least: i64,
}

impl Knapsack {
    /// For bins of this capacity and items of these sizes, all above nought.
    pub(super) fn new(capacity: i64, sizes: &[i64]) -> Self {
        Self { capacity, sizes: sizes.to_vec(), least: sizes.iter().copied().min().unwrap_or(1).max(1) }
    }

    /// The pattern of largest value with at most `most` of each size, and its value.
    ///
    /// Sums of whole values below 2⁵³ come out exact.
    pub(super) fn best(&self, values: &[f64], most: &[i64]) -> (f64, Pattern) {
        self.within(values, most, u64::MAX)
    }

    /// As [`best`](Self::best), but a search may end after so many steps with a good pattern instead of the best.
    pub(super) fn within(&self, values: &[f64], most: &[i64], steps: u64) -> (f64, Pattern) {
        let usable: Vec<(usize, i64)> = (0..self.sizes.len())
            .filter(|&i| 0.0 < values[i] && 0 < most[i] && self.sizes[i] <= self.capacity)
            .map(|i| (i, most[i].min(self.capacity / self.sizes[i])))
            .collect();
        let layers: i64 = usable.iter().map(|&(_, times)| i64::from(64 - times.leading_zeros())).sum();
        if layers.saturating_mul(self.capacity) <= CELLS || self.capacity / self.least > 12 {
            self.by_table(values, &usable)
        } else {
            self.by_search(values, &usable, steps)
        }
    }

    /// Dynamic programming; each size in portions of 1, 2, 4… and a rest.
    fn by_table(&self, values: &[f64], usable: &[(usize, i64)]) -> (f64, Pattern) {
        let width = place(self.capacity) + 1;
        let mut best = vec![0.0_f64; width];
        let mut portions: Vec<(usize, i64)> = Vec::new();
        for &(i, times) in usable {
            let mut left = times;
            let mut portion = 1;
            while 0 < left {
                let here = portion.min(left);
                portions.push((i, here));
                left -= here;
                portion *= 2;
            }
        }
        let mut taken: Vec<Vec<u64>> = Vec::with_capacity(portions.len());
        for &(i, times) in &portions {
            let size = place(self.sizes[i] * times);
            let value = values[i] * real(times);
            let mut bits = vec![0_u64; width / 64 + 1];
            for room in (size..width).rev() {
                let with = best[room - size] + value;
                if best[room] < with {
                    best[room] = with;
                    bits[room / 64] |= 1 << (room % 64);
                }
            }
            taken.push(bits);
        }
        let mut room = width - 1;
        let value = best[room];
        let mut pattern: Pattern = Vec::new();
        for (&(i, times), bits) in portions.iter().zip(&taken).rev() {
            if bits[room / 64] >> (room % 64) & 1 == 1 {
                room -= place(self.sizes[i] * times);
                match pattern.last_mut() {
                    Some((last, held)) if *last == i => *held += times,
                    _ => pattern.push((i, times)),
                }
            }
        }
        pattern.reverse();
        (value, pattern)
    }

    fn by_search(&self, values: &[f64], usable: &[(usize, i64)], steps: u64) -> (f64, Pattern) {
        let mut order: Vec<(usize, i64)> = usable.to_vec();
        let density = |i: usize| values[i] / real(self.sizes[i]);
        order.sort_by(|a, b| density(b.0).total_cmp(&density(a.0)).then(a.0.cmp(&b.0)));
        let mut lightest = vec![i64::MAX; order.len() + 1];
        for at in (0..order.len()).rev() {
            lightest[at] = lightest[at + 1].min(self.sizes[order[at].0]);
        }
        // For the last item of a bin: by size, the best value among all sizes up to it.
        let mut by_size: Vec<(i64, f64, usize)> =
            order.iter().enumerate().map(|(at, &(i, _))| (self.sizes[i], values[i], at)).collect();
        by_size.sort_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)));
        let mut ladder: Vec<(i64, f64)> = Vec::new();
        for &(size, value, _) in &by_size {
            if ladder.last().is_none_or(|&(_, top)| top < value) {
                ladder.push((size, value));
            }
        }
        let mut search = Search {
            order: &order,
            sizes: &self.sizes,
            values,
            lightest: &lightest,
            ladder: &ladder,
            least: self.least,
            best: 0.0,
            pattern: Vec::new(),
            open: Vec::new(),
            steps,
        };
        search.descend(0, self.capacity, 0.0);
        (search.best, search.pattern)
    }
}

struct Search<'a> {
    order: &'a [(usize, i64)],
    sizes: &'a [i64],
    values: &'a [f64],
    lightest: &'a [i64],
    ladder: &'a [(i64, f64)],
    least: i64,
    best: f64,
    pattern: Pattern,
    open: Pattern,
    steps: u64,
}

impl Search<'_> {
    fn descend(&mut self, from: usize, room: i64, value: f64) {
        if self.best < value {
            self.best = value;
            self.pattern.clone_from(&self.open);
        }
        // When one more item fits at most, no item adds more than the best of all that fit.
        if room < 2 * self.least {
            let at = self.ladder.partition_point(|&(size, _)| size <= room);
            if at == 0 || value + self.ladder[at - 1].1 <= self.best {
                return;
            }
        }
        for at in from..self.order.len() {
            if room < self.lightest[at] {
                return;
            }
            let (i, most) = self.order[at];
            let (size, worth) = (self.sizes[i], self.values[i]);
            if value + real(room) * worth / real(size) <= self.best {
                return;
            }
            if self.steps == 0 {
                return;
            }
            self.steps -= 1;
            let times = most.min(room / size);
            for held in (1..=times).rev() {
                self.open.push((i, held));
                self.descend(at + 1, room - size * held, value + worth * real(held));
                self.open.pop();
            }
        }
    }
}

/// How many items a pattern holds.
pub(super) fn items(pattern: &Pattern) -> i64 {
    pattern.iter().map(|&(_, held)| held).sum::<i64>().max(count(0))
}

//! The best pattern for one bin: a bounded knapsack, solved exactly.
//!
//! Small bins by dynamic programming over the room taken; wide bins, where few items fit, by depth-first search in the
//! order of value per size with the fractional bound (Dantzig, Operations Research 5, 1957).

use super::number::{place, real};

/// Above so many cells of the table, the search is used instead.
const CELLS: i64 = 600_000;

/// What a pattern holds: the size's place and how often.
pub(super) type Pattern = Vec<(usize, i64)>;

/// Above so many sizes no table of pairs is kept.
const PAIRS: usize = 700;

/// A knapsack over fixed sizes; values and counts change from call to call.
#[derive(Debug, Clone)]
pub(super) struct Knapsack {
    capacity: i64,
    sizes: Vec<i64>,
    least: i64,
    /// For wide bins: all pairs of sizes that fit together, by what they take.
    pairs: Vec<(i64, u16, u16)>,
}

impl Knapsack {
    /// For bins of this capacity and items of these sizes, all above nought.
    pub(super) fn new(capacity: i64, sizes: &[i64]) -> Self {
        let least = sizes.iter().copied().min().unwrap_or(1).max(1);
        let mut knapsack = Self { capacity, sizes: sizes.to_vec(), least, pairs: Vec::new() };
        if !knapsack.is_narrow(sizes.iter().map(|size| 64 - (capacity / size).leading_zeros()).sum())
            && sizes.len() <= PAIRS
        {
            for (i, a) in (0_u16..).zip(sizes) {
                for (j, b) in (0_u16..).zip(sizes).skip(usize::from(i)) {
                    if a + b <= capacity {
                        knapsack.pairs.push((a + b, i, j));
                    }
                }
            }
            knapsack.pairs.sort_unstable();
        }
        knapsack
    }

    /// Whether a table over the room is small enough, or the bins hold too many items for a search.
    fn is_narrow(&self, layers: u32) -> bool {
        i64::from(layers).saturating_mul(self.capacity) <= CELLS || self.capacity / self.least > 12
    }

    /// The pattern of largest value with at most `most` of each size, and its value, if it is above `floor`; else `floor`
    /// and no pattern.
    ///
    /// Sums of whole values below 2⁵³ come out exact.
    pub(super) fn best(&self, values: &[f64], most: &[i64], floor: f64) -> (f64, Pattern) {
        let usable = self.usable(values, most);
        if self.is_narrow(layers(&usable)) {
            let (value, pattern) = self.by_table(values, &usable);
            return if floor < value { (value, pattern) } else { (floor, Vec::new()) };
        }
        let (value, mut patterns) = self.by_search(values, &usable, floor, None);
        (value, patterns.pop().unwrap_or_default())
    }

    /// Some patterns above `floor`, quickly and not always when there are any.
    pub(super) fn some(&self, values: &[f64], most: &[i64], floor: f64, steps: u64) -> Vec<Pattern> {
        let usable = self.usable(values, most);
        if self.is_narrow(layers(&usable)) {
            return Vec::new();
        }
        self.by_search(values, &usable, floor, Some(steps)).1
    }

    fn usable(&self, values: &[f64], most: &[i64]) -> Vec<(usize, i64)> {
        (0..self.sizes.len())
            .filter(|&i| 0.0 < values[i] && 0 < most[i] && self.sizes[i] <= self.capacity)
            .map(|i| (i, most[i].min(self.capacity / self.sizes[i])))
            .collect()
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

    /// The best pattern above the floor; or, with a number of steps, some patterns above it.
    fn by_search(
        &self,
        values: &[f64],
        usable: &[(usize, i64)],
        floor: f64,
        steps: Option<u64>,
    ) -> (f64, Vec<Pattern>) {
        let mut order: Vec<(usize, i64)> = usable.to_vec();
        let density = |i: usize| values[i] / real(self.sizes[i]);
        order.sort_by(|a, b| density(b.0).total_cmp(&density(a.0)).then(a.0.cmp(&b.0)));
        let mut lightest = vec![i64::MAX; order.len() + 1];
        for at in (0..order.len()).rev() {
            lightest[at] = lightest[at + 1].min(self.sizes[order[at].0]);
        }
        // For the last item of a bin, and for the last two: the best value among all that take no more room.
        let mut by_size: Vec<(i64, f64)> = order.iter().map(|&(i, _)| (self.sizes[i], values[i])).collect();
        by_size.sort_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)));
        let mut single: Vec<(i64, f64)> = Vec::new();
        for (size, value) in by_size {
            climb(&mut single, size, value);
        }
        let mut double: Vec<(i64, f64)> = Vec::new();
        if !self.pairs.is_empty() {
            let mut times = vec![0; self.sizes.len()];
            for &(i, most) in usable {
                times[i] = most;
            }
            for &(size, i, j) in &self.pairs {
                let (i, j) = (usize::from(i), usize::from(j));
                if 0 < times[i] && 0 < times[j] && (i != j || 1 < times[i]) {
                    climb(&mut double, size, values[i] + values[j]);
                }
            }
        }
        let mut search = Search {
            order: &order,
            sizes: &self.sizes,
            values,
            lightest: &lightest,
            single: &single,
            double: &double,
            least: self.least,
            best: floor,
            found: Vec::new(),
            open: Vec::new(),
            skipped: None,
            steps: u64::MAX,
        };
        let Some(steps) = steps else {
            search.descend(0, self.capacity, 0.0);
            return (search.best, search.found);
        };
        // One pattern around each size, so that they differ.
        let mut gathered: Vec<Pattern> = Vec::new();
        for &(i, _) in &order {
            search.best = floor;
            search.steps = steps;
            search.skipped = Some(i);
            search.open = vec![(i, 1)];
            search.descend(0, self.capacity - self.sizes[i], values[i]);
            gathered.append(&mut search.found);
        }
        for pattern in &mut gathered {
            pattern.sort_unstable();
        }
        gathered.sort_unstable();
        gathered.dedup();
        (floor, gathered)
    }
}

/// How many portions a table has.
fn layers(usable: &[(usize, i64)]) -> u32 {
    usable.iter().map(|&(_, times)| 64 - times.leading_zeros()).sum()
}

/// Keeps a list of sizes with rising values: the best for each room.
fn climb(ladder: &mut Vec<(i64, f64)>, size: i64, value: f64) {
    match ladder.last_mut() {
        Some((_, top)) if value <= *top => {}
        Some((last, top)) if *last == size => *top = value,
        _ => ladder.push((size, value)),
    }
}

/// The best value within some room.
fn within(ladder: &[(i64, f64)], room: i64) -> f64 {
    match ladder.partition_point(|&(size, _)| size <= room) {
        0 => 0.0,
        at => ladder[at - 1].1,
    }
}

struct Search<'a> {
    order: &'a [(usize, i64)],
    sizes: &'a [i64],
    values: &'a [f64],
    lightest: &'a [i64],
    single: &'a [(i64, f64)],
    double: &'a [(i64, f64)],
    least: i64,
    best: f64,
    found: Vec<Pattern>,
    open: Pattern,
    /// A size that stands in the pattern already.
    skipped: Option<usize>,
    steps: u64,
}

impl Search<'_> {
    fn descend(&mut self, from: usize, room: i64, value: f64) {
        if self.best < value {
            self.best = value;
            self.found = vec![self.open.clone()];
        }
        // No last item, and no last two, add more than the best of all that fit.
        if room < 2 * self.least {
            if value + within(self.single, room) <= self.best {
                return;
            }
        } else if room < 3 * self.least
            && !self.double.is_empty()
            && value + within(self.double, room).max(within(self.single, room)) <= self.best
        {
            return;
        }
        for at in from..self.order.len() {
            if room < self.lightest[at] {
                return;
            }
            let (i, most) = self.order[at];
            if self.skipped == Some(i) {
                continue;
            }
            let (size, worth) = (self.sizes[i], self.values[i]);
            if value + real(room) * worth / real(size) <= self.best {
                return;
            }
            let times = most.min(room / size);
            for held in (1..=times).rev() {
                if self.steps == 0 {
                    return;
                }
                self.steps -= 1;
                self.open.push((i, held));
                self.descend(at + 1, room - size * held, value + worth * real(held));
                self.open.pop();
            }
        }
    }
}

/// How many items a pattern holds.
pub(super) fn items(pattern: &Pattern) -> i64 {
    pattern.iter().map(|&(_, held)| held).sum()
}

//! Quick packings: best fit in falling order, and filling one bin after the other as full as it goes.

/// A bin as the places of its sizes, one entry per item.
pub(super) type Bin = Vec<usize>;

/// Best fit decreasing: each item, largest first, into the fullest bin that still takes it.
pub(super) fn best_fit(sizes: &[i64], demand: &[i64], capacity: i64) -> Vec<Bin> {
    let mut bins: Vec<(i64, Bin)> = Vec::new();
    for i in falling(sizes) {
        for _ in 0..demand[i] {
            let fullest = bins.iter_mut().filter(|(room, _)| sizes[i] <= *room).min_by_key(|(room, _)| *room);
            match fullest {
                Some((room, bin)) => {
                    *room -= sizes[i];
                    bin.push(i);
                }
                None => bins.push((capacity - sizes[i], vec![i])),
            }
        }
    }
    bins.into_iter().map(|(_, bin)| bin).collect()
}

/// Each bin begins with the largest item left and is then filled as full as the rest allows (after the idea of minimum
/// bin slack, Gupta and Ho, Production Planning & Control 10, 1999).
pub(super) fn fullest(sizes: &[i64], demand: &[i64], capacity: i64) -> Vec<Bin> {
    let order = falling(sizes);
    let mut left = demand.to_vec();
    let mut bins = Vec::new();
    while let Some(&first) = order.iter().find(|&&i| 0 < left[i]) {
        left[first] -= 1;
        let mut search = Fill {
            order: &order,
            sizes,
            left: &mut left,
            best: i64::MAX,
            bin: Vec::new(),
            open: vec![],
            steps: 4000,
        };
        search.descend(0, capacity - sizes[first]);
        let mut bin = vec![first];
        bin.append(&mut search.bin);
        for &i in &bin[1..] {
            left[i] -= 1;
        }
        bins.push(bin);
    }
    bins
}

struct Fill<'a> {
    order: &'a [usize],
    sizes: &'a [i64],
    left: &'a mut [i64],
    best: i64,
    bin: Bin,
    open: Bin,
    steps: u32,
}

impl Fill<'_> {
    fn descend(&mut self, from: usize, room: i64) {
        if room < self.best {
            self.best = room;
            self.bin.clone_from(&self.open);
        }
        for at in from..self.order.len() {
            let i = self.order[at];
            if self.best == 0 || self.steps == 0 {
                return;
            }
            if self.left[i] == 0 || room < self.sizes[i] {
                continue;
            }
            self.steps -= 1;
            self.left[i] -= 1;
            self.open.push(i);
            self.descend(at, room - self.sizes[i]);
            self.open.pop();
            self.left[i] += 1;
        }
    }
}

/// The places of the sizes, largest first.
fn falling(sizes: &[i64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..sizes.len()).collect();
    order.sort_by_key(|&i| (std::cmp::Reverse(sizes[i]), i));
    order
}

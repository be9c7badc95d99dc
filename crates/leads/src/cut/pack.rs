//! The fewest bins.

use super::complete::{Answer, complete};
use super::dive::Dive;
use super::heuristic::{Bin, best_fit, fullest};
use super::knapsack::Knapsack;
use super::master::{Master, Pool, Weights};
use super::number::{count, place};

/// Steps of the simplex for the whole problem. Two hundred sizes of three or four to a bin have needed 30 000.
const ROOT_STEPS: u32 = 200_000;
/// The most choices that a dive may make against the program's advice.
const MOST_WRONG: u32 = 40;

/// Items of one size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Size {
    /// How large each is, above nought.
    pub(super) size: i64,
    /// How many there are.
    pub(super) times: i64,
}

/// How far to go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PackingEffort {
    /// The most nodes of the search to open.
    pub nodes: u32,
    /// The most steps of the complete search, for each number of bins.
    pub fills: u32,
}

impl PackingEffort {
    /// Far more than published instances of a few hundred items have needed.
    pub const fn standard() -> Self {
        Self { nodes: 800, fills: 1_000_000 }
    }
}

/// Why fewer bins are impossible: each size has a weight, no bin can hold more than `heaviest`, and all items together
/// weigh more than one bin fewer could hold (a dual solution, `[src:FARLEY-1990]`).
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Certificate {
    /// The weight of an item of each size, in the order of the sizes given.
    pub weights: Vec<i64>,
    /// The most that any bin can hold by these weights.
    pub heaviest: i64,
}

/// A packing with what is known of the best.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Packing {
    /// The bins: places in the list of sizes, one entry per item.
    pub(super) bins: Vec<Vec<usize>>,
    /// No packing has fewer bins than this.
    pub(super) bound: i64,
    /// Why.
    pub(super) certificate: Certificate,
    /// Whether the bound is one more than the certificate says, because every packing of one bin fewer was tried.
    pub(super) exhausted: bool,
    /// Places of the sizes that fit in no bin.
    pub(super) too_large: Vec<usize>,
}

/// Packs all items into as few bins of this capacity as it finds.
pub(super) fn pack(items: &[Size], capacity: i64, effort: PackingEffort) -> Packing {
    let mut packing = Packing::default();
    packing.certificate.weights = vec![0; items.len()];
    let mut places: Vec<usize> = Vec::new();
    for (at, item) in items.iter().enumerate() {
        if item.times <= 0 {
            continue;
        }
        if item.size <= 0 || capacity < item.size {
            packing.too_large.push(at);
        } else {
            places.push(at);
        }
    }
    if places.is_empty() {
        return packing;
    }
    // Equal sizes are one row; a common divisor makes the table smaller.
    let mut sizes: Vec<i64> = places.iter().map(|&at| items[at].size).collect();
    sizes.sort_unstable_by(|a, b| b.cmp(a));
    sizes.dedup();
    let row = |size: i64| sizes.partition_point(|&other| size < other);
    let mut demand = vec![0; sizes.len()];
    for &at in &places {
        demand[row(items[at].size)] += items[at].times;
    }
    let divisor = sizes.iter().fold(0, |a, &b| greatest_divisor(a, b));
    let small: Vec<i64> = sizes.iter().map(|size| size / divisor).collect();
    let (bins, bound, weights, exhausted) = solve(&small, &demand, capacity / divisor, effort);
    packing.bound = bound;
    packing.certificate.heaviest = weights.heaviest;
    packing.exhausted = exhausted;
    for &at in &places {
        packing.certificate.weights[at] = weights.weights.get(row(items[at].size)).copied().unwrap_or(0);
    }
    // Back to the list given: items of one size are handed out in its order.
    let mut queues: Vec<Vec<usize>> = vec![Vec::new(); sizes.len()];
    for &at in places.iter().rev() {
        queues[row(items[at].size)].extend(std::iter::repeat_n(at, place(items[at].times)));
    }
    packing.bins = bins
        .into_iter()
        .map(|bin| {
            let mut out: Vec<usize> = bin.into_iter().filter_map(|i| queues[i].pop()).collect();
            out.sort_by_key(|&at| (std::cmp::Reverse(items[at].size), at));
            out
        })
        .collect();
    packing.bins.sort();
    packing
}

fn greatest_divisor(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { greatest_divisor(b, a % b) }
}

fn solve(
    sizes: &[i64],
    demand: &[i64],
    capacity: i64,
    effort: PackingEffort,
) -> (Vec<Bin>, i64, Weights, bool) {
    let mut bins = best_fit(sizes, demand, capacity);
    let other = fullest(sizes, demand, capacity);
    if other.len() < bins.len() {
        bins = other;
    }
    // By size alone: nothing is heavier than its capacity.
    let plain = Weights { weights: sizes.to_vec(), heaviest: capacity };
    let mut best = (plain.bound(demand), plain);
    let mut exhausted = false;
    if best.0 < count(bins.len()) {
        let knapsack = Knapsack::new(capacity, sizes);
        let mut master = Master::new(sizes, demand, capacity);
        let mut pool = Pool::default();
        let (bound, weights) = master.solve(&mut pool, &knapsack, count(bins.len()), ROOT_STEPS);
        if best.0 < bound {
            best = (bound, weights);
        }
        let mut nodes = effort.nodes;
        // More and more bins are wanted until some are found; most often the first number does.
        let mut wanted = best.0;
        while wanted < count(bins.len()) && 0 < nodes {
            // Where hardly any room may be lost, a short complete search is often done at once.
            if let Answer::Found(found) = complete(sizes, demand, capacity, wanted, effort.fills / 8) {
                bins = found;
                break;
            }
            for largest_first in [false, true] {
                let mut left = nodes / 2;
                nodes -= left;
                for wrong in 0..=MOST_WRONG {
                    let mut dive = Dive {
                        sizes,
                        capacity,
                        knapsack: &knapsack,
                        pool: &mut pool,
                        wanted,
                        largest_first,
                        nodes: left,
                    };
                    let found = dive.go(&master, demand, &mut Vec::new(), wrong);
                    left = dive.nodes;
                    if let Some(found) = found {
                        bins = found;
                        break;
                    }
                }
                nodes += left;
                if count(bins.len()) <= wanted {
                    break;
                }
            }
            if wanted < count(bins.len()) {
                match complete(sizes, demand, capacity, wanted, effort.fills) {
                    Answer::Found(found) => bins = found,
                    Answer::Impossible if wanted == best.0 => {
                        best.0 += 1;
                        exhausted = true;
                    }
                    Answer::Impossible | Answer::Unfinished => {}
                }
            }
            wanted += 1;
        }
    }
    (bins, best.0, best.1, exhausted)
}

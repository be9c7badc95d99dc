//! From the linear program to whole bins: fix patterns, solve what is left, and turn back where it cannot be enough.
//!
//! Limited discrepancy search (`[src:HARVEY-1995]`) over the patterns in use: the fullest choice first,
//! then those that differ from it in one place, in two, and so on.

use super::heuristic::{Bin, best_fit, fullest};
use super::knapsack::{Knapsack, Pattern, items};
use super::master::{Master, Pool};
use super::number::whole;

/// The dive towards a wanted number of bins.
pub(super) struct Dive<'a> {
    pub(super) sizes: &'a [i64],
    pub(super) capacity: i64,
    pub(super) knapsack: &'a Knapsack,
    pub(super) pool: &'a mut Pool,
    /// No more bins than this are wanted.
    pub(super) wanted: i64,
    /// Whether the largest item left is placed first, instead of the pattern that is fullest in use.
    pub(super) largest_first: bool,
    /// Nodes left to open.
    pub(super) nodes: u32,
}

impl Dive<'_> {
    /// Bins for the demand, `wanted` of them at most together with `fixed`, or `None`.
    pub(super) fn go(
        &mut self,
        master: &Master,
        demand: &[i64],
        fixed: &mut Vec<Pattern>,
        wrong: u32,
    ) -> Option<Vec<Bin>> {
        if demand.iter().all(|&left| left == 0) {
            return (super::number::count(fixed.len()) <= self.wanted).then(|| spread(fixed));
        }
        if self.nodes == 0 {
            return None;
        }
        self.nodes -= 1;
        let left = self.wanted - super::number::count(fixed.len());
        let mut master = master.reduced(demand);
        let (bound, _) = master.solve(self.pool, self.knapsack, left + 1, 4000);
        if left < bound {
            return None;
        }
        let patterns: Vec<(f64, Pattern)> =
            master.patterns().into_iter().map(|(level, pattern)| (level, pattern.clone())).collect();
        // Whole parts are fixed as they are.
        let depth = fixed.len();
        let mut rest = demand.to_vec();
        let mut choices: Vec<(f64, Pattern)> = Vec::new();
        for (level, pattern) in patterns {
            let mut times = whole(level + 1e-6);
            while 0 < times && fits(&pattern, &rest) {
                take(&pattern, &mut rest);
                fixed.push(pattern.clone());
                times -= 1;
            }
            let part = level - level.floor();
            if 1e-6 < part && part < 1.0 - 1e-6 {
                choices.push((part, pattern));
            }
        }
        if depth < fixed.len() && rest.iter().all(|&left| left == 0) {
            let found = self.go(&master, &rest, fixed, wrong);
            fixed.truncate(depth);
            return found;
        }
        let room = self.wanted - super::number::count(fixed.len());
        for bins in [best_fit(self.sizes, &rest, self.capacity), fullest(self.sizes, &rest, self.capacity)] {
            if super::number::count(bins.len()) <= room {
                let mut out = spread(fixed);
                out.extend(bins);
                fixed.truncate(depth);
                return Some(out);
            }
        }
        let largest = rest.iter().position(|&left| 0 < left);
        if self.largest_first {
            // Not only what is in use: all patterns known that hold the largest item and cost no more than can be spared.
            for pattern in self.pool.near(&master, left, largest) {
                if choices.iter().all(|(_, other)| *other != pattern) {
                    choices.push((0.0, pattern));
                }
            }
        }
        choices.retain(|(_, pattern)| fits(pattern, &rest));
        let away = |pattern: &Pattern| self.largest_first && pattern.first().map(|&(i, _)| i) != largest;
        choices.sort_by(|a, b| {
            away(&a.1)
                .cmp(&away(&b.1))
                .then_with(|| b.0.total_cmp(&a.0))
                .then_with(|| self.slack(&a.1).cmp(&self.slack(&b.1)))
                .then_with(|| items(&a.1).cmp(&items(&b.1)))
                .then_with(|| a.1.cmp(&b.1))
        });
        let mut found = None;
        for (turn, (_, pattern)) in choices.iter().enumerate() {
            let Some(wrong) = wrong.checked_sub(u32::try_from(turn).unwrap_or(u32::MAX)) else { break };
            let mut after = rest.clone();
            take(pattern, &mut after);
            fixed.push(pattern.clone());
            found = self.go(&master, &after, fixed, wrong);
            fixed.pop();
            if found.is_some() {
                break;
            }
        }
        fixed.truncate(depth);
        found
    }

    fn slack(&self, pattern: &Pattern) -> i64 {
        self.capacity - pattern.iter().map(|&(i, held)| self.sizes[i] * held).sum::<i64>()
    }
}

fn fits(pattern: &Pattern, demand: &[i64]) -> bool {
    pattern.iter().all(|&(i, held)| held <= demand[i])
}

fn take(pattern: &Pattern, demand: &mut [i64]) {
    for &(i, held) in pattern {
        demand[i] -= held;
    }
}

fn spread(patterns: &[Pattern]) -> Vec<Bin> {
    patterns
        .iter()
        .map(|pattern| {
            pattern.iter().flat_map(|&(i, held)| std::iter::repeat_n(i, super::number::place(held))).collect()
        })
        .collect()
}

//! Every way to pack so many bins, where little room may be lost: bin completion, `[src:KORF-2002]`.
//!
//! The largest item left opens a bin, and each set that fills it, with no more loss than can be spared, is tried. What is
//! left after it is remembered, so that no remainder is searched twice.

use std::collections::BTreeSet;

use super::heuristic::Bin;

/// How a complete search ended.
pub(super) enum Answer {
    /// With a packing.
    Found(Vec<Bin>),
    /// There is none.
    Impossible,
    /// It was not finished.
    Unfinished,
}

/// Looks for a packing into `wanted` bins; sizes fall.
pub(super) fn complete(sizes: &[i64], demand: &[i64], capacity: i64, wanted: i64, nodes: u32) -> Answer {
    let all: i64 = sizes.iter().zip(demand).map(|(size, times)| size * times).sum();
    let spare = wanted * capacity - all;
    if spare < 0 {
        return Answer::Impossible;
    }
    let mut search = Search {
        sizes,
        capacity,
        left: demand.to_vec(),
        bins: Vec::new(),
        seen: BTreeSet::new(),
        nodes,
        done: false,
    };
    search.open(spare);
    if search.done {
        Answer::Found(search.bins)
    } else if search.nodes == 0 {
        Answer::Unfinished
    } else {
        Answer::Impossible
    }
}

struct Search<'a> {
    sizes: &'a [i64],
    capacity: i64,
    left: Vec<i64>,
    bins: Vec<Bin>,
    seen: BTreeSet<Vec<i64>>,
    nodes: u32,
    done: bool,
}

impl Search<'_> {
    fn open(&mut self, spare: i64) {
        let Some(first) = self.left.iter().position(|&left| 0 < left) else {
            self.done = true;
            return;
        };
        if !self.seen.insert(self.left.clone()) {
            return;
        }
        self.left[first] -= 1;
        let mut bin = vec![first];
        self.fill(first, self.capacity - self.sizes[first], spare, &mut bin);
        self.left[first] += 1;
    }

    /// Fills the open bin further, fullest sets first, then goes on with the next bin.
    fn fill(&mut self, from: usize, room: i64, spare: i64, bin: &mut Bin) {
        if self.done || self.nodes == 0 {
            return;
        }
        self.nodes -= 1;
        for at in from..self.sizes.len() {
            if self.left[at] == 0 || room < self.sizes[at] {
                continue;
            }
            self.left[at] -= 1;
            bin.push(at);
            self.fill(at, room - self.sizes[at], spare, bin);
            bin.pop();
            self.left[at] += 1;
            if self.done || self.nodes == 0 {
                return;
            }
        }
        if room <= spare {
            self.bins.push(bin.clone());
            self.open(spare - room);
            if !self.done {
                self.bins.pop();
            }
        }
    }
}

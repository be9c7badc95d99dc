//! A budget of work, so that every question ends: what would go over it is answered with bounds.
//!
//! Work is counted, not timed: the same question ends at the same place on every machine.

use std::cell::Cell;

use crate::model::Model;

/// Work that one question may take, in steps: one element of a ladder at eight frequencies, or what costs as much. A
/// step takes about 10 ns on a desk machine of 2023, the whole some 0.15 s.
pub const WHOLE: u64 = 15_000_000;

/// What is left of the work that may be done.
#[derive(Debug)]
pub(crate) struct Budget {
    left: Cell<u64>,
    whole: u64,
    /// What was asked for, also once nothing was left.
    demanded: Cell<u64>,
}

impl Budget {
    pub(crate) fn new(steps: u64) -> Self {
        Self { left: Cell::new(steps), whole: steps, demanded: Cell::new(0) }
    }

    /// Takes some steps; false, and nothing left, where they are not there.
    pub(crate) fn spend(&self, steps: u64) -> bool {
        let left = self.left.get();
        self.demanded.set(self.demanded.get().saturating_add(steps));
        self.left.set(left.saturating_sub(steps));
        steps <= left
    }

    pub(crate) fn left(&self) -> u64 {
        self.left.get()
    }

    pub(crate) fn is_spent(&self) -> bool {
        self.left.get() == 0
    }

    pub(crate) fn spent(&self) -> u64 {
        self.whole - self.left.get()
    }

    /// What was asked for in all: more than the whole where something went on asking with nothing left.
    pub(crate) fn demanded(&self) -> u64 {
        self.demanded.get()
    }

    /// A share of what is left, for one of so many equal questions.
    pub(crate) fn share(&self, of: usize) -> Self {
        Self::new(self.left() / u64::try_from(of.max(1)).unwrap_or(u64::MAX))
    }

    /// Takes what a share has used.
    pub(crate) fn settle(&self, share: &Self) {
        self.spend(share.spent());
        self.demanded.set(self.demanded.get() + share.demanded() - share.spent());
    }
}

/// What it costs to get to an element at all, whatever the frequencies are.
const REACH: usize = 8;

/// Steps of so many elements over a sweep.
pub(crate) fn steps(elements: usize, frequencies: usize) -> u64 {
    u64::try_from((elements + 1) * (frequencies.div_ceil(8) + REACH)).unwrap_or(u64::MAX)
}

/// Steps of going through a network so many times: an index of it, a copy.
pub(crate) fn passes(model: &Model, times: u64) -> u64 {
    let blocks = model.blocks.iter().flat_map(|block| &block.variants).map(|variant| variant.elements.len());
    let size = model.nodes.len() + model.fixed.elements.len() + blocks.sum::<usize>();
    u64::try_from(size).unwrap_or(u64::MAX).saturating_mul(times)
}

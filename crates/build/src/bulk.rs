//! A box in the board's frame.

use quantity::Length;

/// An open box: what only touches it is not in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bulk {
    /// Left, front, bottom.
    pub low: [Length; 3],
    /// Right, back, top.
    pub high: [Length; 3],
}

impl Bulk {
    /// Whether two boxes share room.
    pub fn meets(&self, other: &Self) -> bool {
        (0..3).all(|axis| self.low[axis] < other.high[axis] && other.low[axis] < self.high[axis])
    }

    /// The same box, longer to one side of an axis.
    pub(crate) fn longer(mut self, axis: usize, forward: bool, by: Length) -> Self {
        if forward {
            self.high[axis] += by;
        } else {
            self.low[axis] -= by;
        }
        self
    }

    /// The same box, so wide across an axis, about its middle.
    pub(crate) fn wide(mut self, axis: usize, width: Length) -> Self {
        let middle = self.low[axis] + (self.high[axis] - self.low[axis]).half();
        (self.low[axis], self.high[axis]) = (middle - width.half(), middle + width.half());
        self
    }

    /// The smallest box around some; `None` around none.
    pub(crate) fn around(all: &[Self]) -> Option<Self> {
        all.iter().copied().reduce(|mut a, b| {
            for axis in 0..3 {
                a.low[axis] = a.low[axis].min(b.low[axis]);
                a.high[axis] = a.high[axis].max(b.high[axis]);
            }
            a
        })
    }
}

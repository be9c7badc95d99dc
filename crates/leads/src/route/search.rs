//! The shortest way over the grid from plug to plug (Hart, Nilsson and Raphael, IEEE Transactions SSC 4, 1968).
//!
//! Costs are whole micrometres; equal ones are settled by the estimate and then by the cell, so that the answer is one.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::space::{Space, cells, figure, place};
use super::vector::{dot, length, minus};
use crate::input::{Input, Point};

/// A cell beside the board costs so many times as much.
const BESIDE: i64 = 5;
/// A cell behind a plug costs so many times as much, so that a lead turns in a wide bow.
const BEHIND: i64 = 6;

/// So many cells at most; a board of a metre and a half by one on the finest grid has about as many.
const MOST_CELLS: usize = 600_000;

/// So many cells are no pocket. A way that is found sooner is not asked about one.
const POCKET: usize = 1500;

/// The grid with what has been learnt of its edges and what is spent on its cells.
#[derive(Debug)]
pub(crate) struct Grid {
    low: Point,
    pitch: f64,
    size: [usize; 3],
    /// Whether a cell lies beside all decks.
    beside: Vec<bool>,
    /// For each cell and direction: 0 unknown, 1 clear, 2 blocked. Of one cable radius.
    edges: Vec<[u8; 26]>,
    /// For each cell: 0 unknown, 1 nothing near it, 2 something.
    open: Vec<u8>,
    radius: f64,
    nodes: Vec<Packed>,
    now: u32,
    /// For each cell the last pocket that it was found in, and how many were looked for.
    pockets: Vec<u32>,
    looked: u32,
}

/// A [`Node`] as plain numbers, of which a list full of noughts is had for nothing: its cost, and where from and of which search.
type Packed = [i64; 2];

/// What a search knows of a cell; together, since it is asked for together.
#[derive(Debug, Clone, Copy)]
struct Node {
    cost: i64,
    from: u32,
    /// The search that this is of.
    stamp: u32,
}

impl Node {
    fn packed(self) -> Packed {
        [self.cost, i64::from(self.from) << 32 | i64::from(self.stamp)]
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "the two halves that were put together"
    )]
    fn unpacked([cost, rest]: Packed) -> Self {
        Self { cost, from: (rest >> 32) as u32, stamp: rest as u32 }
    }
}

/// The steps to the 26 neighbours, and along how many axes each goes.
const STEPS: [([isize; 3], usize); 26] = {
    let mut out = [([0; 3], 0); 26];
    let mut at = 0;
    let mut cube = 0;
    while cube < 27 {
        let step = [cube % 3 - 1, cube / 3 % 3 - 1, cube / 9 - 1];
        let axes: isize = step[0] * step[0] + step[1] * step[1] + step[2] * step[2];
        if 0 < axes {
            out[at] = (step, axes.unsigned_abs());
            at += 1;
        }
        cube += 1;
    }
    out
};

/// Lengths of a step along one, two or three axes of a pitch of 1000.
const STEP: [i64; 4] = [0, 1000, 1414, 1732];

impl Grid {
    pub(crate) fn new(input: &Input, radius: f64, wanted_pitch: f64) -> Self {
        // A board without measure is looked at more coarsely instead of filling the memory.
        let mut pitch = wanted_pitch.max(1.0);
        let size = loop {
            let size = [0, 1, 2].map(|axis| cells(input.high[axis] - input.low[axis], pitch));
            let count = size.iter().fold(1_usize, |count, side| count.saturating_mul(*side));
            if count <= MOST_CELLS {
                break size;
            }
            pitch *= 1.25;
        };
        let count = size[0] * size[1] * size[2];
        let mut beside = vec![true; size[0] * size[1]];
        for y in 0..size[1] {
            for x in 0..size[0] {
                let (px, py) = (input.low[0] + figure(x) * pitch, input.low[1] + figure(y) * pitch);
                beside[y * size[0] + x] = !input.is_over_a_deck([px, py]);
            }
        }
        Self {
            low: input.low,
            pitch,
            size,
            beside,
            edges: vec![[0; 26]; count],
            open: vec![0; count],
            radius,
            nodes: vec![[0; 2]; count],
            now: 0,
            pockets: vec![0; count],
            looked: 0,
        }
    }

    fn node(&self, cell: usize) -> Node {
        Node::unpacked(self.nodes[cell])
    }

    fn index(&self, at: [usize; 3]) -> usize {
        (at[2] * self.size[1] + at[1]) * self.size[0] + at[0]
    }

    fn coordinates(&self, index: usize) -> [usize; 3] {
        let (wide, deep) = (self.size[0], self.size[1]);
        [index % wide, index / wide % deep, index / wide / deep]
    }

    pub(crate) fn point(&self, index: usize) -> Point {
        let at = self.coordinates(index);
        [0, 1, 2].map(|axis| self.low[axis] + figure(at[axis]) * self.pitch)
    }

    /// The cells around a point, nearest first.
    fn around(&self, point: Point, space: &Space) -> Vec<(usize, i64)> {
        let base = [0, 1, 2].map(|axis| place((point[axis] - self.low[axis]) / self.pitch));
        let mut out = Vec::new();
        for z in 0..=1 {
            for y in 0..=1 {
                for x in 0..=1 {
                    let at = [base[0] + x, base[1] + y, base[2] + z];
                    if (0..3).any(|axis| self.size[axis] <= at[axis]) {
                        continue;
                    }
                    let index = self.index(at);
                    if space.clear(point, self.point(index), self.radius, &[]) {
                        out.push((index, micro(length(minus(self.point(index), point)))));
                    }
                }
            }
        }
        out
    }

    /// The cheapest way from one point to another over the cells.
    ///
    /// `shy` are places and directions that a lead has to leave in: cells right behind them are dear. A way that costs more
    /// than `most_mm` is not looked for.
    pub(crate) fn way(
        &mut self,
        space: &Space,
        from: Point,
        to: Point,
        shy: &[(Point, Point, f64)],
        most_mm: f64,
    ) -> Option<Vec<Point>> {
        let (starts, ends) = (self.around(from, space), self.around(to, space));
        if starts.is_empty() || ends.is_empty() {
            return None;
        }
        self.now += 1;
        let (pitch, most) = (micro(self.pitch), micro(most_mm));
        let aim = [0, 1, 2].map(|axis| micro(to[axis] - self.low[axis]));
        // The last piece, to the plug itself, goes straight: the estimate is lowered by what that may save.
        let saved = ends
            .iter()
            .map(|&(end, rest)| self.least(self.coordinates(end), aim) - rest)
            .max()
            .unwrap_or(0)
            .max(0)
            + 10;
        let long = [0, 1, 2, 3].map(|axes| pitch * STEP[axes] / 1000);
        let mut heap = BinaryHeap::new();
        for &(cell, cost) in &starts {
            self.nodes[cell] = Node { cost, from: u32::MAX, stamp: self.now }.packed();
            let rest = (self.least(self.coordinates(cell), aim) - saved).max(0);
            heap.push(Reverse((cost + rest, rest, cell)));
        }
        let mut best: Option<(i64, usize)> = None;
        let mut popped = 0;
        while let Some(Reverse((guess, rest, cell))) = heap.pop() {
            // A pocket around the far end is found out before the whole board is searched.
            popped += 1;
            if popped == POCKET && self.is_pocket(space, &ends, &starts) {
                return None;
            }
            if most < guess || best.is_some_and(|(found, _)| found <= guess) {
                break;
            }
            let cost = guess - rest;
            if self.node(cell).cost < cost {
                continue;
            }
            if let Some(&(_, last)) = ends.iter().find(|(end, _)| *end == cell)
                && best.is_none_or(|(found, _)| cost + last < found)
            {
                best = Some((cost + last, cell));
            }
            let at = self.coordinates(cell);
            let here = self.point(cell);
            let is_shy = shy.iter().any(|(place, _, bow)| {
                let away = minus(here, *place);
                dot(away, away) < 9.0 * bow * bow
            });
            for (direction, (step, axes)) in STEPS.iter().enumerate() {
                if self.edges[cell][direction] == 2 {
                    continue;
                }
                let Some(there) = self.beyond(at, *step) else { continue };
                let next = self.index(there);
                let mut long = long[*axes];
                let known = self.node(next);
                if known.stamp == self.now && known.cost <= cost + long {
                    continue;
                }
                if !self.passable(space, cell, next, direction) {
                    continue;
                }
                if self.beside[there[1] * self.size[0] + there[0]] {
                    long *= BESIDE;
                }
                if is_shy {
                    let point = self.point(next);
                    let behind = shy.iter().any(|(place, out, bow)| {
                        let away = minus(point, *place);
                        let along = dot(away, *out);
                        along < 0.0
                            && dot(away, away) - along * along < bow * bow
                            && dot(away, away) < 4.0 * bow * bow
                    });
                    if behind {
                        long *= BEHIND;
                    }
                }
                let reached = cost + long;
                if known.stamp != self.now || reached < known.cost {
                    let from = u32::try_from(cell).unwrap_or(u32::MAX);
                    self.nodes[next] = Node { cost: reached, from, stamp: self.now }.packed();
                    let rest = (self.least(there, aim) - saved).max(0);
                    heap.push(Reverse((reached + rest, rest, next)));
                }
            }
        }
        let (_, mut cell) = best?;
        let mut out = vec![to, self.point(cell)];
        while self.node(cell).from != u32::MAX {
            cell = self.node(cell).from as usize;
            out.push(self.point(cell));
        }
        out.push(from);
        out.reverse();
        Some(out)
    }

    /// Whether the cells around an end lead nowhere.
    fn is_pocket(&mut self, space: &Space, ends: &[(usize, i64)], starts: &[(usize, i64)]) -> bool {
        self.looked += 1;
        let mut open: Vec<usize> = ends.iter().map(|&(cell, _)| cell).collect();
        for &cell in &open {
            self.pockets[cell] = self.looked;
        }
        let mut seen = open.len();
        while let Some(cell) = open.pop() {
            if POCKET < seen || starts.iter().any(|(start, _)| *start == cell) {
                return false;
            }
            let at = self.coordinates(cell);
            for (direction, (step, _)) in STEPS.iter().enumerate() {
                if let Some(next) = self.beyond(at, *step).map(|there| self.index(there))
                    && self.pockets[next] != self.looked
                    && self.passable(space, cell, next, direction)
                {
                    self.pockets[next] = self.looked;
                    open.push(next);
                    seen += 1;
                }
            }
        }
        true
    }

    fn beyond(&self, at: [usize; 3], step: [isize; 3]) -> Option<[usize; 3]> {
        // A step below nought wraps round to far beyond every side.
        let next = [0, 1, 2].map(|axis| at[axis].wrapping_add_signed(step[axis]));
        (0..3).all(|axis| next[axis] < self.size[axis]).then_some(next)
    }

    fn passable(&mut self, space: &Space, cell: usize, next: usize, direction: usize) -> bool {
        if self.edges[cell][direction] == 0 {
            let (here, there) = (self.point(cell), self.point(next));
            let clear = if self.is_open(space, cell) {
                space.inside(here) && space.inside(there)
            } else {
                space.clear(here, there, self.radius, &[])
            };
            let known = if clear { 1 } else { 2 };
            self.edges[cell][direction] = known;
            self.edges[next][25 - direction] = known;
        }
        self.edges[cell][direction] == 1
    }

    /// Whether nothing stands between a cell and any of its neighbours: asked once for all of them.
    fn is_open(&mut self, space: &Space, cell: usize) -> bool {
        if self.open[cell] == 0 {
            // A hair more than a step, so that rounding leaves none out.
            let open = space.is_open(self.point(cell), self.pitch + 1e-6, self.radius);
            self.open[cell] = if open { 1 } else { 2 };
        }
        self.open[cell] == 1
    }

    /// What the steps from a cell to a place cost at least, along three axes at once, then two, then one.
    fn least(&self, at: [usize; 3], to: [i64; 3]) -> i64 {
        let pitch = micro(self.pitch);
        let mut away = [0, 1, 2].map(|axis| (count(at[axis]) * pitch - to[axis]).abs());
        away.sort_unstable();
        away[2] - away[1] + (away[1] - away[0]) * STEP[2] / 1000 + away[0] * STEP[3] / 1000
    }
}

/// A place in a table as a whole number.
fn count(place: usize) -> i64 {
    i64::try_from(place).unwrap_or(i64::MAX)
}

/// Millimetres as whole micrometres.
#[expect(clippy::cast_possible_truncation, reason = "lengths of boards")]
pub(crate) fn micro(mm: f64) -> i64 {
    // Half away from nought, for the figures of a board.
    (mm * 1000.0 + if mm < 0.0 { -0.5 } else { 0.5 }) as i64
}

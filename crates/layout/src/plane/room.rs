//! The largest free rectangle on the decks, on a grid of two centimetres.

use rig::geometry::BoxClass;

use super::state::State;
use crate::model::{Flat, Model};

/// One field of the grid, in nanometres: twenty millimetres.
const CELL: i64 = 20_000_000;
/// The square centimetres of a field.
const FIELD: f64 = 4.0;

/// The decks as grids, with what is never free.
#[derive(Debug, Clone)]
pub(crate) struct Rooms {
    decks: Vec<Deck>,
}

#[derive(Debug, Clone)]
struct Deck {
    surface: usize,
    origin: [i64; 2],
    columns: usize,
    rows: usize,
    taken: Vec<bool>,
}

/// A free rectangle on a deck.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Free {
    pub(crate) surface: usize,
    pub(crate) at: Flat,
    /// Fields of the grid.
    cells: usize,
}

impl Free {
    /// Its area in square centimetres.
    pub(crate) fn area(&self) -> f64 {
        count(self.cells) * FIELD
    }
}

impl Rooms {
    pub(crate) fn new(model: &Model) -> Self {
        let tops = || model.surfaces.iter().enumerate().filter(|(_, s)| !s.under && !s.is_floor);
        let decks = tops()
            .map(|(index, surface)| {
                let size = |axis: usize| {
                    usize::try_from((surface.extent.high[axis] - surface.extent.low[axis]) / CELL)
                        .unwrap_or(0)
                        .min(1000)
                };
                let mut deck = Deck {
                    surface: index,
                    origin: surface.extent.low,
                    columns: size(0),
                    rows: size(1),
                    taken: Vec::new(),
                };
                deck.taken = vec![false; deck.columns * deck.rows];
                let voids = surface.void.clone();
                // Below a higher deck there is no room for a device that a foot works.
                let roofs =
                    tops().filter(|(_, other)| surface.is_below(other)).map(|(_, other)| other.extent);
                for flat in voids.into_iter().chain(roofs) {
                    deck.take(&flat);
                }
                deck
            })
            .collect();
        Self { decks }
    }

    /// The square centimetres of all decks.
    pub(crate) fn most(&self) -> f64 {
        self.decks
            .iter()
            .map(|deck| deck.taken.iter().filter(|taken| !**taken).count())
            .map(count)
            .sum::<f64>()
            * FIELD
    }

    /// The largest free rectangle over all decks.
    pub(crate) fn largest(&self, state: &State<'_>) -> Option<Free> {
        let solid = [BoxClass::Body, BoxClass::Plug, BoxClass::Behind];
        let mut best: Option<Free> = None;
        for blank in &self.decks {
            let (mut deck, here) = (blank.clone(), blank.surface);
            for body in state.bodies.iter().filter(|body| body.stand.spot.surface == here) {
                for cell in body.cells.iter().filter(|cell| solid.iter().any(|class| cell.is(*class))) {
                    deck.take(&cell.plan());
                }
            }
            if let Some(free) = deck.largest()
                && best.is_none_or(|best| best.cells < free.cells)
            {
                best = Some(free);
            }
        }
        best
    }
}

impl Deck {
    fn take(&mut self, flat: &Flat) {
        let from = |axis: usize, limit: usize| {
            usize::try_from((flat.low[axis] - self.origin[axis]).div_euclid(CELL).max(0))
                .unwrap_or(0)
                .min(limit)
        };
        let to = |axis: usize, limit: usize| {
            usize::try_from((flat.high[axis] - self.origin[axis] + CELL - 1).div_euclid(CELL).max(0))
                .unwrap_or(0)
                .min(limit)
        };
        let (x, right) = (from(0, self.columns), to(0, self.columns));
        for row in from(1, self.rows)..to(1, self.rows) {
            if x < right {
                self.taken[row * self.columns + x..row * self.columns + right].fill(true);
            }
        }
    }

    /// The largest rectangle under a histogram, row by row.
    fn largest(&self) -> Option<Free> {
        let mut heights = vec![0_usize; self.columns + 1];
        let mut best = (0, 0, 0, 0, 0);
        let mut stack: Vec<usize> = Vec::with_capacity(self.columns + 1);
        for row in 0..self.rows {
            let taken = &self.taken[row * self.columns..(row + 1) * self.columns];
            for (height, taken) in heights.iter_mut().zip(taken) {
                *height = if *taken { 0 } else { *height + 1 };
            }
            stack.clear();
            for column in 0..=self.columns {
                while let Some(&top) = stack.last() {
                    if heights[top] <= heights[column] {
                        break;
                    }
                    stack.pop();
                    let left = stack.last().map_or(0, |below| below + 1);
                    let area = heights[top] * (column - left);
                    if best.0 < area {
                        best = (area, left, row + 1 - heights[top], column, row + 1);
                    }
                }
                stack.push(column);
            }
        }
        let (cells, left, front, right, back) = best;
        let at = |x: usize, y: usize| {
            let cell = |count: usize| i64::try_from(count).unwrap_or(0) * CELL;
            [self.origin[0] + cell(x), self.origin[1] + cell(y)]
        };
        (0 < cells).then(|| Free {
            surface: self.surface,
            at: Flat { low: at(left, front), high: at(right, back) },
            cells,
        })
    }
}

fn count(cells: usize) -> f64 {
    f64::from(u32::try_from(cells).unwrap_or(u32::MAX))
}

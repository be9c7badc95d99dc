//! Grids that serve again and again: what one has learnt of its edges is known to the next lead as thick.

use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard, PoisonError};

use super::search::{Grid, micro};
use crate::input::{Input, Wanted};

/// As many grids of a cable's thickness as threads ask for one at a time. Which of them answers changes nothing.
pub(crate) struct Grids<'a> {
    input: &'a Input,
    pitch_mm: f64,
    free: Mutex<BTreeMap<i64, Vec<Grid>>>,
}

impl<'a> Grids<'a> {
    pub(crate) fn new(input: &'a Input, pitch_mm: f64) -> Self {
        Self { input, pitch_mm, free: Mutex::default() }
    }

    /// Works on a grid for a lead.
    pub(crate) fn on<T>(&self, lead: &Wanted, work: impl FnOnce(&mut Grid) -> T) -> T {
        let radius = lead.diameter_mm / 2.0;
        let known = self.free().get_mut(&micro(radius)).and_then(Vec::pop);
        let mut grid = known.unwrap_or_else(|| Grid::new(self.input, radius, self.pitch_mm));
        let out = work(&mut grid);
        self.free().entry(micro(radius)).or_default().push(grid);
        out
    }

    fn free(&self) -> MutexGuard<'_, BTreeMap<i64, Vec<Grid>>> {
        self.free.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

//! The largest free rectangle on the decks, on a grid of two centimetres.

use rig::geometry::BoxClass;

use super::body::Body;
use super::state::State;
use crate::model::{Flat, Model};

/// One field of the grid, in nanometres: twenty millimetres.
const CELL: i64 = 20_000_000;
/// The square centimetres of a field.
const FIELD: f64 = 4.0;
/// So many fields are looked at along a deck: two and a half metres, more than any board has.
const MOST: usize = 128;

/// The decks as grids, with what is never free.
#[derive(Debug, Clone)]
pub(crate) struct Rooms {
    decks: Vec<Deck>,
    /// So many items are devices; the others are room that is kept free.
    devices: usize,
}

#[derive(Debug, Clone)]
struct Deck {
    surface: usize,
    origin: [i64; 2],
    columns: usize,
    /// The fields of each row, a bit each, set while the field is free.
    free: Vec<u128>,
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
                        .min(MOST)
                };
                let (columns, rows) = (size(0), size(1));
                let free = vec![bits(0, columns); rows];
                let mut deck = Deck { surface: index, origin: surface.extent.low, columns, free };
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
        Self { decks, devices: model.items.iter().filter(|item| !item.is_spare).count() }
    }

    /// The square centimetres of all decks.
    pub(crate) fn most(&self) -> f64 {
        self.decks.iter().flat_map(|deck| &deck.free).map(|row| f64::from(row.count_ones())).sum::<f64>()
            * FIELD
    }

    /// The largest free rectangle over all decks.
    pub(crate) fn largest(&self, state: &State<'_>) -> Option<Free> {
        let solid = [BoxClass::Body, BoxClass::Plug, BoxClass::Behind];
        let mut best: Option<Free> = None;
        for blank in &self.decks {
            let (mut deck, here) = (blank.clone(), blank.surface);
            let is_here = |body: &&Body| body.stand.spot.surface == here;
            for body in state.bodies[..self.devices].iter().filter(is_here) {
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
        let taken = bits(from(0, self.columns), to(0, self.columns));
        let rows = self.free.len();
        for row in &mut self.free[from(1, rows)..to(1, rows).max(from(1, rows))] {
            *row &= !taken;
        }
    }

    /// The largest rectangle: for each row in front, the fields that are free in all rows up to one behind it.
    fn largest(&self) -> Option<Free> {
        let rows = self.free.len();
        let mut best = (0, 0, 0, 0, 0);
        for front in 0..rows {
            let mut mask = u128::MAX;
            for back in front..rows {
                mask &= self.free[back];
                let (wide, high) = (mask.count_ones() as usize, back + 1 - front);
                if wide * (rows - front) <= best.0 {
                    break;
                }
                // Only a run of fields that makes a larger rectangle is of interest.
                if let Some((left, wide)) = longest_run(mask, best.0 / high + 1) {
                    best = (wide * high, left, front, left + wide, back + 1);
                }
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

/// Bits from one place up to before another.
fn bits(from: usize, to: usize) -> u128 {
    let below = |place: usize| if place < MOST { (1_u128 << place) - 1 } else { u128::MAX };
    if from < to { below(to) & !below(from) } else { 0 }
}

/// The longest run of set bits, if it is at least so long: where it begins and its length; the lowest of the longest.
fn longest_run(mask: u128, least: usize) -> Option<(usize, usize)> {
    if MOST < least {
        return None;
    }
    // A bit stays set while a run of `long` bits ends at it.
    let (mut ends, mut long) = (mask, 1);
    while long < least && ends != 0 {
        let by = long.min(least - long);
        ends &= ends << by;
        long += by;
    }
    if ends == 0 {
        return None;
    }
    loop {
        let longer = ends & (ends << 1);
        if longer == 0 {
            break;
        }
        ends = longer;
        long += 1;
    }
    Some((ends.trailing_zeros() as usize + 1 - long, long))
}

fn count(cells: usize) -> f64 {
    f64::from(u32::try_from(cells).unwrap_or(u32::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The largest free rectangle, found by trying all.
    fn tried(deck: &Deck) -> usize {
        let is_free = |x: usize, y: usize| deck.free[y] >> x & 1 == 1;
        let mut best = 0;
        for left in 0..deck.columns {
            for right in left + 1..=deck.columns {
                for front in 0..deck.free.len() {
                    let rows = deck.free.len() - front;
                    let high =
                        (0..rows).take_while(|row| (left..right).all(|x| is_free(x, front + row))).count();
                    best = best.max(high * (right - left));
                }
            }
        }
        best
    }

    #[test]
    fn the_largest_is_that_of_trying_all() {
        let mut random = crate::random::Random::new(3, 0);
        for _ in 0..200 {
            let (columns, rows) = (1 + random.below(12), 1 + random.below(9));
            let free = (0..rows)
                .map(|_| (0..columns).filter(|_| random.chance(0.8)).fold(0, |row, x| row | 1_u128 << x))
                .collect();
            let deck = Deck { surface: 0, origin: [0, 0], columns, free };
            assert_eq!(deck.largest().map_or(0, |free| free.cells), tried(&deck), "{deck:?}");
        }
    }

    #[test]
    fn runs_are_found_at_both_ends_and_not_below_the_least() {
        assert_eq!(longest_run(0b0011_1011, 1), Some((3, 3)));
        assert_eq!(longest_run(0b0011_1011, 3), Some((3, 3)));
        assert_eq!(longest_run(0b0011_1011, 4), None);
        assert_eq!(longest_run(u128::MAX, 100), Some((0, 128)));
        assert_eq!(longest_run(u128::MAX, 129), None);
        assert_eq!(longest_run(1 << 127, 1), Some((127, 1)));
        assert_eq!(longest_run(0, 1), None);
    }
}

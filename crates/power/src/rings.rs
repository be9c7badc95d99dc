//! Legs of series pairs that could close a ring of supplies.
//!
//! A ring of supplies that hang on one outlet each cannot be: each would have to give more than it takes, and none gives all of
//! it. A leg of a pair brings half of what its device takes, so that a ring of which one step is such a leg could add up. What
//! may not be is kept out beforehand: a supply has no leg on one that it could feed itself, directly or by way of others. Where
//! a lock asks for such a leg, what else would close the ring is kept out instead.

use std::collections::BTreeSet;

use rig::FeedKind;

use crate::input::{Input, Need};

/// What a supply may not hang on, so that no ring closes.
#[derive(Debug, Default)]
pub(crate) struct Shut {
    /// Needs and bricks: no leg of a series pair.
    legs: BTreeSet<(usize, usize)>,
    /// Needs and bricks: nothing at all.
    all: BTreeSet<(usize, usize)>,
}

impl Shut {
    pub(crate) fn of(input: &Input) -> Self {
        let fed = |brick: usize| input.bricks[brick].intake_nw.is_some();
        let may_pair = |outlet: &crate::Outlet| outlet.series == Some(true) && fed(outlet.brick);
        // Without a leg on a supply that is fed itself there is nothing to shut out.
        if !input.outlets.iter().any(may_pair) {
            return Self::default();
        }
        let supplies: Vec<(usize, usize)> =
            (0..input.needs.len()).filter_map(|need| Some((need, input.needs[need].supplies?))).collect();
        let size = input.bricks.len();
        let mut reach = vec![vec![false; size]; size];
        for &(need, brick) in &supplies {
            for outlet in input.outlets.iter().filter(|outlet| could_hang(&input.needs[need], outlet)) {
                reach[outlet.brick][brick] = true;
            }
        }
        close(&mut reach);
        let mut shut = Self::default();
        for &(need, brick) in &supplies {
            shut.legs.extend((0..size).filter(|&on| reach[brick][on]).map(|on| (need, on)));
        }
        shut.give_way(input, &supplies, &reach);
        shut
    }

    /// A lock keeps its legs; what would close the ring with them is shut out instead, unless other locks do.
    fn give_way(&mut self, input: &Input, supplies: &[(usize, usize)], reach: &[Vec<bool>]) {
        let size = input.bricks.len();
        let mut held = vec![vec![false; size]; size];
        for &(need, brick) in supplies {
            for &outlet in input.needs[need].lock().into_iter().flat_map(|lock| &lock.outlets) {
                held[input.outlets[outlet].brick][brick] = true;
            }
        }
        close(&mut held);
        let reaches = |from: usize, to: usize| from == to || reach[from][to];
        for &(need, brick) in supplies {
            let Some(lock) = input.needs[need].lock().filter(|lock| lock.kind == FeedKind::SeriesPair) else {
                continue;
            };
            for &outlet in &lock.outlets {
                let on = input.outlets[outlet].brick;
                if !self.legs.contains(&(need, on)) || held[brick][on] {
                    continue;
                }
                self.legs.remove(&(need, on));
                for &(other, fed) in supplies.iter().filter(|(other, _)| input.needs[*other].lock().is_none())
                {
                    self.all.extend(
                        (0..size).filter(|&by| reaches(brick, by) && reaches(fed, on)).map(|by| (other, by)),
                    );
                }
            }
        }
    }

    /// Whether a supply may have a leg of a series pair on a brick.
    pub(crate) fn allows_leg(&self, need: usize, brick: usize) -> bool {
        !self.legs.contains(&(need, brick)) && self.allows(need, brick)
    }

    /// Whether a supply may hang on a brick at all.
    pub(crate) fn allows(&self, need: usize, brick: usize) -> bool {
        !self.all.contains(&(need, brick))
    }
}

/// Whether a supply could hang on an outlet, alone or with one leg of a pair, as far as voltages go.
fn could_hang(need: &Need, outlet: &crate::Outlet) -> bool {
    let fits = |mv: i64| need.low_mv <= mv && mv <= need.high_mv;
    let single = |mv: i64| fits(mv) || outlet.series == Some(true) && fits(2 * mv);
    need.ac == outlet.ac && outlet.settings.iter().any(|setting| single(setting.mv))
}

/// What follows from what follows.
fn close(reach: &mut [Vec<bool>]) {
    for by in 0..reach.len() {
        let further = reach[by].clone();
        for from in reach.iter_mut().filter(|from| from[by]) {
            for (reached, is) in from.iter_mut().zip(&further) {
                *reached |= is;
            }
        }
    }
}

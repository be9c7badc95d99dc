//! Which devices cannot be served together: the smallest such sets.
//!
//! A conflict is a set that cannot be served while every proper subset can. The smallest one is found by the duality of
//! conflicts and corrections (Reiter, Artificial Intelligence 32, 1987; Ignatiev and others, CP 2015): a smallest set
//! that hits every correction known so far either cannot be served, and then is a smallest conflict, or can, and
//! then the devices that must go to make room for it are one more correction.

use crate::allocate::{Asked, Meter, ask, ask_all, serve};
use crate::assignment::SearchEnd;
use crate::config::Config;
use crate::input::Input;
use crate::model::Model;
use crate::outcome::Conflict;
use crate::stage::Pool;
use crate::words;

/// Sets of devices that cannot be served together, smallest first; no two of them share a device. Without those
/// that are left out the others can be served.
pub(crate) fn conflicts(
    input: &Input,
    config: &Config,
    left_out: &[usize],
    meter: &Meter<'_>,
) -> Vec<Conflict> {
    let until = meter.worked().saturating_add(config.work_conflicts);
    let mut hunt = Hunt {
        input,
        config,
        meter,
        oracle: Oracle::new(input, config),
        questions: config.questions,
        steps: HIT_STEPS,
    };
    let mut found: Vec<(Vec<usize>, bool, bool)> = Vec::new();
    let mut left = Vec::new();
    for need in 0..input.needs.len() {
        if hunt.servable(&[need]) == Some(false) {
            found.push((vec![need], true, true));
        } else {
            left.push(need);
        }
    }
    // That not all can be served is known from the allocation; of the rest it is asked.
    let mut known = found.is_empty();
    let first = found.len();
    let goes_on = |found: usize| found == first || meter.worked() < until;
    while found.len() < config.conflicts
        && goes_on(found.len())
        && (known || hunt.servable(&left) == Some(false))
    {
        known = false;
        let (set, smallest, irreducible) = hunt.smallest(&left, left_out);
        left.retain(|need| !set.contains(need));
        found.push((set, smallest, irreducible));
    }
    found.sort_by_key(|(set, _, _)| (set.len(), set.clone()));
    found
        .into_iter()
        .map(|(set, smallest, irreducible)| Conflict {
            devices: set.iter().map(|&need| input.needs[need].tag.clone()).collect(),
            words: words::together(input, &set),
            smallest,
            irreducible,
        })
        .collect()
}

/// Whether some of the devices can be served by all the outlets; `None` when the budget is not enough to tell.
pub(crate) fn servable(input: &Input, needs: &[usize], config: &Config, meter: &Meter<'_>) -> Option<bool> {
    ask_all(&input.only(needs), config, meter).all
}

/// One model for all questions, with the ways that were made for any of them.
struct Oracle<'a> {
    model: Model<'a>,
    pool: Pool,
}

impl<'a> Oracle<'a> {
    /// `None` where those that are not asked about matter all the same: an outlet that is locked to a device outside the set is
    /// free for the set, and a brick outside of it is fed.
    fn new(input: &'a Input, config: &Config) -> Option<Self> {
        if input.needs.iter().any(|need| need.lock().is_some() || need.supplies.is_some()) {
            return None;
        }
        let model = Model::new(input, config.means, false);
        let pool = Pool::new(&model);
        Some(Self { model, pool })
    }
}

struct Hunt<'a> {
    input: &'a Input,
    config: &'a Config,
    meter: &'a Meter<'a>,
    oracle: Option<Oracle<'a>>,
    questions: u64,
    /// Steps left for smallest hitting sets.
    steps: usize,
}

impl Hunt<'_> {
    fn servable(&mut self, needs: &[usize]) -> Option<bool> {
        self.ask(needs).all
    }

    fn ask(&mut self, needs: &[usize]) -> Asked {
        match &mut self.oracle {
            Some(oracle) => ask(&oracle.model, &mut oracle.pool, needs, self.config, self.meter),
            None => ask_all(&self.input.only(needs), self.config, self.meter),
        }
    }

    /// A smallest conflict among devices that cannot all be served: the set, whether it is proven smallest, whether
    /// it is proven irreducible.
    fn smallest(&mut self, among: &[usize], left_out: &[usize]) -> (Vec<usize>, bool, bool) {
        // What the allocation leaves out makes room for the others: that needs no search.
        let first: Vec<usize> = (0..among.len()).filter(|&place| left_out.contains(&among[place])).collect();
        let mut corrections: Vec<Vec<usize>> = [first].into_iter().filter(|set| !set.is_empty()).collect();
        let until = self.meter.worked().saturating_add(self.config.work_conflict);
        // No conflict has fewer devices.
        let mut least = 0;
        while 0 < self.questions && self.meter.worked() < until {
            self.questions -= 1;
            let Some(hit) = hitting_set(&corrections, among.len(), &mut self.steps) else { break };
            least = hit.len();
            let set = || hit.iter().map(|&place| among[place]).collect::<Vec<usize>>();
            let Some(oracle) = &mut self.oracle else {
                // Then the set is asked by itself.
                match self.servable(&set()) {
                    Some(false) => return (set(), true, true),
                    Some(true) => {}
                    None => break,
                }
                let Some(dropped) = self.grown(among, &hit, until) else { break };
                corrections.push(dropped);
                continue;
            };
            let Oracle { model, pool } = oracle;
            let effort = (self.config.nodes_each, self.config.work_conflicts);
            match serve(model, pool, Some(among), &set(), effort, self.meter) {
                (Some(served), _) if !served.dropped.is_empty() => {
                    let place = |need: &usize| among.iter().position(|other| other == need);
                    corrections.push(served.dropped.iter().filter_map(place).collect());
                }
                (None, SearchEnd::Complete) => return (set(), true, true),
                // Everything can be served after all, or nobody knows.
                _ => break,
            }
        }
        let paying = self.paying(among);
        let (set, certain) = self.reduced(paying);
        (set.clone(), certain && set.len() == least, certain)
    }

    /// The devices that are why a set cannot be served, as far as prices tell, those that would pay the least first: what pays
    /// nothing for its feed takes nothing from the others.
    fn paying(&mut self, among: &[usize]) -> Vec<usize> {
        const NOTHING: f64 = 1e-6;
        let mut set = among.to_vec();
        let mut asked = self.ask(&set);
        loop {
            let mut paying: Vec<(f64, usize)> = asked
                .pays
                .iter()
                .copied()
                .zip(set.iter().copied())
                .filter(|(pays, _)| NOTHING < *pays)
                .collect();
            paying.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            let paying: Vec<usize> = paying.into_iter().map(|(_, need)| need).collect();
            if paying.is_empty() || paying.len() == set.len() {
                return set;
            }
            let of_paying = self.ask(&paying);
            if of_paying.all != Some(false) {
                return set;
            }
            (set, asked) = (paying, of_paying);
        }
    }

    /// The devices that are left over when a set that can be served takes in one after the other, as places.
    /// `None` where the work done reaches `until` before.
    fn grown(&mut self, among: &[usize], from: &[usize], until: u64) -> Option<Vec<usize>> {
        let mut taken = from.to_vec();
        let mut dropped = Vec::new();
        for place in (0..among.len()).filter(|place| !from.contains(place)) {
            if until <= self.meter.worked() {
                return None;
            }
            taken.push(place);
            let set: Vec<usize> = taken.iter().map(|&place| among[place]).collect();
            if !self.servable(&set)? {
                taken.pop();
                dropped.push(place);
            }
        }
        (!dropped.is_empty()).then_some(dropped)
    }

    /// Leaves devices out one after the other as long as the rest cannot be served.
    fn reduced(&mut self, mut set: Vec<usize>) -> (Vec<usize>, bool) {
        let until = self.meter.worked().saturating_add(self.config.work_conflicts);
        let mut certain = true;
        let mut place = 0;
        while place < set.len() {
            if until <= self.meter.worked() {
                certain = false;
                break;
            }
            let mut without = set.clone();
            without.remove(place);
            match self.servable(&without) {
                Some(false) => set = without,
                answer => {
                    certain &= answer.is_some();
                    place += 1;
                }
            }
        }
        set.sort_unstable();
        (set, certain)
    }
}

/// Steps of all searches for smallest hitting sets together, before the hunt settles for a conflict that is merely
/// irreducible.
const HIT_STEPS: usize = 30_000;

/// A smallest set that meets every one of the sets, the first in order; `None` when no steps are left.
fn hitting_set(sets: &[Vec<usize>], universe: usize, steps: &mut usize) -> Option<Vec<usize>> {
    for size in 0..=universe {
        let mut picked = Vec::new();
        match hit(sets, size, &mut picked, steps) {
            Hit::Found => {
                picked.sort_unstable();
                return Some(picked);
            }
            Hit::None => {}
            Hit::TooLong => return None,
        }
    }
    None
}

enum Hit {
    Found,
    None,
    TooLong,
}

fn hit(sets: &[Vec<usize>], room: usize, picked: &mut Vec<usize>, steps: &mut usize) -> Hit {
    if *steps == 0 {
        return Hit::TooLong;
    }
    *steps -= 1;
    let open: Vec<&Vec<usize>> =
        sets.iter().filter(|set| !set.iter().any(|item| picked.contains(item))).collect();
    let Some(next) = open.iter().min_by_key(|set| set.len()) else { return Hit::Found };
    // Sets that share no item want one pick each.
    let mut apart: Vec<usize> = Vec::new();
    let mut least = 0;
    for set in &open {
        if !set.iter().any(|item| apart.contains(item)) {
            apart.extend(set.iter().copied());
            least += 1;
        }
    }
    if room < least {
        return Hit::None;
    }
    for &item in *next {
        picked.push(item);
        match hit(sets, room - 1, picked, steps) {
            Hit::None => {}
            end => return end,
        }
        picked.pop();
    }
    Hit::None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_smallest_hitting_set_is_found() {
        let sets = [vec![0, 1], vec![1, 2], vec![3]];
        assert_eq!(hitting_set(&sets, 4, &mut 100), Some(vec![1, 3]));
        assert_eq!(hitting_set(&[], 4, &mut 100), Some(vec![]));
        assert_eq!(hitting_set(&sets, 4, &mut 2), None);
    }
}

//! The fewest switching states in which every device, loop, insert and lead is once on and once off.
//!
//! A lead is on where signal goes along it. What hangs in a loop, an insert's leads among it, is on and off with the loop; a lead
//! that more than one switch has a say in is a thing of its own, and one along which signal goes in every state is off only when it
//! is unplugged, whichever branch or output it leads to. Choosing the states is the set cover
//! problem: things to be met, states that meet some of them, and the fewest states that meet all. It is solved exactly by
//! deepening: no cover of `k` states exists before one of `k + 1` is looked for, and among the things not met yet the one that
//! the fewest states meet is branched on (Knuth, Dancing Links, 2000: the rule of the smallest column) [src:COVER-SMALLEST].

use std::collections::BTreeSet;

use rig::State;

use crate::{Design, carried};

/// All states are looked at up to so many switches: 4096 of them.
const ALL_STATES: usize = 12;

/// How the name of a state begins that nobody named.
pub(crate) const ADDED: &str = "added ";

/// In so many states at most it is looked along which leads signal goes.
const ALL_CIRCUITS: usize = 256;

/// So many branches are tried before an answer is given that is not proven.
const BRANCHES: usize = 200_000;

/// States that exercise what no named state does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exercise {
    /// What is on in each; all else is off.
    pub states: Vec<Vec<String>>,
    /// Whether it is proven that no fewer would do.
    pub is_fewest: bool,
    /// What is on, or off, in no state that can be: it cannot be exercised by switching.
    pub fixed: Vec<String>,
    /// Numbers of the leads along which signal goes in every state: they are off only when they are unplugged.
    pub always: Vec<String>,
}

/// The fewest states that, together with the named ones where `with_named` says so, have everything once on and once off.
pub fn exercise(design: &Design, with_named: bool) -> Exercise {
    let (input, config) = (design.signal_input(), design.signal_config());
    let names = signal::switches(&input, &config);
    let can_be = signal::possible(&input, &config);
    let is_all = names.len() <= ALL_STATES;
    let mut wanted: Vec<Vec<String>> = Vec::new();
    if is_all {
        for number in 0..(1_usize << names.len()) {
            let on = names.iter().enumerate().filter(|(at, _)| (number >> at) & 1 == 1);
            wanted.push(on.map(|(_, name)| name.clone()).collect());
        }
    } else {
        wanted.extend(some_states(&names, &can_be));
    }
    wanted.extend(design.rig.states.iter().map(|state| state.engaged.clone()));
    // The fewest on first: of answers that are as short, the one that is easiest to set.
    wanted.sort_by(|a, b| (a.len(), a).cmp(&(b.len(), b)));
    wanted.dedup();
    let mut states: Vec<Vec<String>> = Vec::new();
    let mut seen: BTreeSet<BTreeSet<String>> = BTreeSet::new();
    let legal: Vec<Vec<String>> = wanted.into_iter().filter(|state| can_be(state)).collect();
    let on = signal::on_in_states(&input, &config, legal.iter().map(Vec::as_slice));
    let mut met: Vec<BTreeSet<usize>> = Vec::new();
    for (state, on) in legal.into_iter().zip(on) {
        let on: BTreeSet<String> = on.into_iter().collect();
        if seen.insert(on.clone()) {
            let of = names.iter().enumerate();
            met.push(of.map(|(at, name)| 2 * at + usize::from(on.contains(name))).collect());
            states.push(state);
        }
    }
    let leads = carried::leads(&input, &config, &probes(&names, &can_be));
    // Beyond the switches: leads that hang on none of them alone.
    for (at, (state, met)) in states.iter().zip(&mut met).enumerate() {
        if leads.own.is_empty() || ALL_CIRCUITS <= at {
            break;
        }
        let on = carried::on(&input, &config, state);
        for (place, lead) in leads.own.iter().enumerate() {
            met.insert(2 * (names.len() + place) + usize::from(on.contains(lead)));
        }
    }
    let can: BTreeSet<usize> = met.iter().flatten().copied().collect();
    let fixed = (0..2 * names.len()).filter(|one| !can.contains(one)).map(|one| names[one / 2].clone());
    let fixed: BTreeSet<String> = fixed.collect();
    let mut left: BTreeSet<usize> = can;
    if with_named {
        let named: Vec<Vec<String>> = design.rig.states.iter().map(|state| state.engaged.clone()).collect();
        for on in signal::on_in_states(&input, &config, named.iter().map(Vec::as_slice)) {
            for (at, name) in names.iter().enumerate() {
                left.remove(&(2 * at + usize::from(on.contains(name))));
            }
        }
        for state in named.iter().filter(|_| !leads.own.is_empty()) {
            let on = carried::on(&input, &config, state);
            for (place, lead) in leads.own.iter().enumerate() {
                left.remove(&(2 * (names.len() + place) + usize::from(on.contains(lead))));
            }
        }
    }
    let (mut chosen, is_fewest) = fewest(&left, &met);
    // What is on in every state wants one to be on in.
    let has_named = with_named && !design.rig.states.is_empty();
    if chosen.is_empty() && !has_named && !leads.always.is_empty() && !states.is_empty() {
        chosen.push(0);
    }
    // Where not all states were looked at, one or two are the fewest all the same: one thing is not on and off in one state.
    let both = left.iter().any(|one| one % 2 == 0 && left.contains(&(one + 1)));
    let is_fewest = is_fewest && (is_all || chosen.len() <= if both { 2 } else { 1 });
    // Nor is it proven where leads of their own were looked at in some states alone.
    let is_fewest = is_fewest && (leads.own.is_empty() || states.len() <= ALL_CIRCUITS);
    Exercise {
        states: chosen.into_iter().map(|at| states[at].clone()).collect(),
        is_fewest,
        fixed: fixed.into_iter().collect(),
        always: numbers(design, &leads.always),
    }
}

/// Every state that somebody may have recorded: everything bypassed, those with a name, and those that are added to them.
pub fn recorded_states(design: &Design) -> Vec<State> {
    let bypassed = State { name: signal::EVERYTHING_BYPASSED.to_owned(), engaged: Vec::new() };
    let mut out: Vec<State> = Vec::new();
    let added = exercise(design, true).states.into_iter().enumerate();
    let added = added.map(|(at, engaged)| State { name: format!("{ADDED}{}", at + 1), engaged });
    for state in design.rig.states.iter().cloned().chain([bypassed]).chain(added) {
        if !out.iter().any(|known| known.engaged == state.engaged) {
            out.push(state);
        }
    }
    out
}

/// The numbers of leads by their two jacks, in their order.
fn numbers(design: &Design, leads: &[String]) -> Vec<String> {
    let number = |lead: &String| design.lead_number(lead).unwrap_or_else(|| lead.clone());
    let mut out: Vec<String> = leads.iter().map(number).collect();
    out.sort_by(|a, b| rig::tag_order(a, b));
    out
}

/// States that show what each lead hangs on: everything off, as much on as can be, one alone, all but one.
fn probes(names: &[String], can_be: &impl Fn(&[String]) -> bool) -> Vec<Vec<String>> {
    let mut out = some_states(names, can_be);
    out.retain(|state| can_be(state));
    out.sort();
    out.dedup();
    out
}

/// States worth trying where there are too many to try all: everything off, as much on as can be, one alone, all but one.
fn some_states(names: &[String], can_be: impl Fn(&[String]) -> bool) -> Vec<Vec<String>> {
    let filled = |first: &[String], without: Option<&String>| {
        let mut state: Vec<String> = first.to_vec();
        for name in names.iter().filter(|name| Some(*name) != without) {
            if !state.contains(name) {
                state.push(name.clone());
                if !can_be(&state) {
                    state.pop();
                }
            }
        }
        state.sort();
        state
    };
    let mut out = vec![Vec::new(), filled(&[], None)];
    for name in names {
        out.push(vec![name.clone()]);
        out.push(filled(std::slice::from_ref(name), None));
        out.push(filled(&[], Some(name)));
    }
    out
}

/// The fewest sets that have all of these things between them, by their places, and whether that is proven. What no set has
/// is left out.
fn fewest(things: &BTreeSet<usize>, sets: &[BTreeSet<usize>]) -> (Vec<usize>, bool) {
    let things: Vec<usize> =
        things.iter().copied().filter(|thing| sets.iter().any(|set| set.contains(thing))).collect();
    if things.is_empty() {
        return (Vec::new(), true);
    }
    let own: Vec<Vec<bool>> =
        sets.iter().map(|set| things.iter().map(|thing| set.contains(thing)).collect()).collect();
    // A set that another has all of is never needed.
    let mut kept: Vec<usize> = Vec::new();
    if sets.len() <= 512 {
        for (at, set) in own.iter().enumerate() {
            let within = |other: &[bool]| set.iter().zip(other).all(|(a, b)| !a || *b);
            let is_less = own
                .iter()
                .enumerate()
                .any(|(place, other)| place != at && within(other) && (other != set || place < at));
            if !is_less {
                kept.push(at);
            }
        }
    } else {
        kept.extend(0..sets.len());
    }
    let mut search = Search { own: &own, kept: &kept, branches: 0 };
    let whole = vec![false; things.len()];
    for depth in 1..=things.len() {
        let mut chosen = Vec::new();
        match search.cover(&whole, depth, &mut chosen) {
            Some(true) => {
                chosen.sort_unstable();
                return (chosen, true);
            }
            Some(false) => {}
            None => return (greedy(&own, &kept, things.len()), false),
        }
    }
    (greedy(&own, &kept, things.len()), false)
}

struct Search<'a> {
    own: &'a [Vec<bool>],
    kept: &'a [usize],
    branches: usize,
}

impl Search<'_> {
    /// Whether so many sets more can meet what is open; `None` where that took too long.
    fn cover(&mut self, met: &[bool], depth: usize, chosen: &mut Vec<usize>) -> Option<bool> {
        let open: Vec<usize> = (0..met.len()).filter(|thing| !met[*thing]).collect();
        if open.is_empty() {
            return Some(true);
        }
        let most =
            self.kept.iter().map(|set| open.iter().filter(|thing| self.own[*set][**thing]).count()).max();
        if most.unwrap_or(0) * depth < open.len() {
            return Some(false);
        }
        let (own, kept) = (self.own, self.kept);
        let having = |thing: usize| kept.iter().filter(|set| own[**set][thing]).count();
        let rarest = open.iter().copied().min_by_key(|thing| having(*thing))?;
        let candidates: Vec<usize> = self.kept.iter().copied().filter(|set| self.own[*set][rarest]).collect();
        for set in candidates {
            self.branches += 1;
            if BRANCHES < self.branches {
                return None;
            }
            let next: Vec<bool> = met.iter().zip(&self.own[set]).map(|(a, b)| *a || *b).collect();
            chosen.push(set);
            if self.cover(&next, depth - 1, chosen)? {
                return Some(true);
            }
            chosen.pop();
        }
        Some(false)
    }
}

/// The set that meets most of what is open, again and again.
fn greedy(own: &[Vec<bool>], kept: &[usize], things: usize) -> Vec<usize> {
    let mut met = vec![false; things];
    let mut chosen = Vec::new();
    while met.iter().any(|is_met| !is_met) {
        let gain = |set: usize| own[set].iter().zip(&met).filter(|(has, met)| **has && !**met).count();
        let Some(best) = kept.iter().copied().rev().max_by_key(|set| gain(*set)) else { break };
        if gain(best) == 0 {
            break;
        }
        for (met, has) in met.iter_mut().zip(&own[best]) {
            *met |= *has;
        }
        chosen.push(best);
    }
    chosen.sort_unstable();
    chosen
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every choice of sets, the smallest first.
    fn by_trying_all(things: &BTreeSet<usize>, sets: &[BTreeSet<usize>]) -> usize {
        (0..(1_usize << sets.len()))
            .filter(|choice| {
                things.iter().all(|thing| {
                    (0..sets.len()).any(|set| (choice >> set) & 1 == 1 && sets[set].contains(thing))
                })
            })
            .map(|choice| usize::try_from(choice.count_ones()).expect("a few"))
            .min()
            .expect("all sets together have all")
    }

    #[test]
    fn the_fewest_are_as_few_as_trying_all_choices_finds() {
        // A fixed sequence of numbers: Knuth's multiplier for 64 bits.
        let mut seed = 11_u64;
        let mut next = |below: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) % below
        };
        let mut sizes = BTreeSet::new();
        for _ in 0..300 {
            let (count, of) = (1 + next(12), 1 + next(12));
            let sets: Vec<BTreeSet<usize>> = (0..of)
                .map(|_| {
                    (0..count)
                        .filter(|_| next(3) == 0)
                        .map(|thing| usize::try_from(thing).expect("a few"))
                        .collect()
                })
                .collect();
            let things: BTreeSet<usize> = sets.iter().flatten().copied().collect();
            let (chosen, is_proven) = fewest(&things, &sets);
            let met: BTreeSet<usize> = chosen.iter().flat_map(|set| &sets[*set]).copied().collect();
            assert!(things.is_subset(&met), "{sets:?}");
            assert!(is_proven, "{sets:?}");
            assert_eq!(chosen.len(), by_trying_all(&things, &sets), "{sets:?}");
            sizes.insert(chosen.len());
        }
        assert!(5 <= sizes.len(), "covers of several sizes were met: {sizes:?}");
    }
}

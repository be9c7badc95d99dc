//! What is made stays: cut, plugged or wired feeds are given up only where more devices are served without them.

use crate::allocate::{self, Allocated, Meter};
use crate::assignment::Watch;
use crate::input::Input;
use crate::outcome::Outcome;
use crate::report::{solve_once, unserved};
use crate::{Config, Feed, Status};

/// How many made feeds are tried together for giving up, before all are free.
const TOGETHER: usize = 2;

/// The best allocation that undoes as few made feeds as serve the most devices: none, one, two, or as many as it takes.
///
/// Up to two the number is the least there is, since every set of that size is tried; beyond, all made feeds are free.
pub(crate) fn solve(input: &Input, config: &Config, watch: &dyn Watch) -> Outcome {
    let made = made(input);
    if made.is_empty() {
        return solve_once(input, input, config, watch);
    }
    let with_free = |free: &[usize]| {
        let kept = locked(input, &made, free);
        let outcome = solve_once(&kept, input, config, watch);
        finished(input, config, &made, outcome)
    };
    let all_kept = with_free(&[]);
    if all_kept.unserved.is_empty() || all_kept.status == Status::Cancelled {
        return all_kept;
    }
    let all_free = solve_once(input, input, config, watch);
    // What the document locks counts more than what is made: the figures are those of the document's own locks.
    let (least, bound) = (all_free.missing, all_free.missing_bound);
    if all_kept.missing <= least {
        return bounded(all_kept, bound);
    }
    for size in 1..=TOGETHER {
        let mut best: Option<Outcome> = None;
        for free in sets(&made, size) {
            let outcome = with_free(&free);
            if outcome.status == Status::Cancelled {
                return outcome;
            }
            let better = |other: &Outcome| rank(&outcome) < rank(other);
            if outcome.missing <= least && best.as_ref().is_none_or(better) {
                best = Some(outcome);
            }
        }
        if let Some(best) = best {
            return bounded(best, bound);
        }
    }
    finished(input, config, &made, all_free)
}

/// The same of an allocation alone: all fed with none of the made feeds undone, with one, with two, or with all free. Where it is
/// known that with all free `all` are fed, that is not sought again.
pub(crate) fn allocate(input: &Input, config: &Config, all: bool, meter: &Meter<'_>) -> Allocated {
    let made: Vec<usize> = made(input);
    if made.is_empty() {
        return allocate::allocate(input, config, all, meter);
    }
    let with_free = |free: &[usize]| allocate::allocate(&locked(input, &made, free), config, false, meter);
    let all_kept = with_free(&[]);
    if all_kept.unserved.is_empty() {
        return all_kept;
    }
    let free = allocate::allocate(input, config, all, meter);
    let least = missing(input, &free.unserved);
    if missing(input, &all_kept.unserved) <= least {
        return all_kept;
    }
    for size in 1..=TOGETHER {
        for set in sets(&made, size) {
            let some = with_free(&set);
            if missing(input, &some.unserved) <= least {
                return some;
            }
        }
    }
    free
}

/// What devices without a feed count for, by the locks of an input.
pub(crate) fn missing(input: &Input, unserved: &[usize]) -> i64 {
    unserved.iter().map(|&need| crate::model::missing(input, need)).sum()
}

/// The outcome with what is known of the whole question: no allocation leaves fewer without, whatever is undone.
fn bounded(outcome: Outcome, bound: i64) -> Outcome {
    let is_open = !matches!(outcome.status, Status::Impossible | Status::Feasible) || outcome.missing == 0;
    let status = match outcome.status {
        status if is_open => status,
        _ if 0 < bound => Status::Impossible,
        _ => Status::Feasible,
    };
    Outcome { status, missing_bound: bound.min(outcome.missing), ..outcome }
}

fn made(input: &Input) -> Vec<usize> {
    (0..input.needs.len())
        .filter(|&need| {
            input.needs[need].present.as_ref().is_some_and(|present| present.made && !present.locked)
        })
        .collect()
}

/// What is made stands like a lock, but for some that are free.
fn locked(input: &Input, made: &[usize], free: &[usize]) -> Input {
    let mut kept = input.clone();
    for &need in made.iter().filter(|need| !free.contains(need)) {
        if let Some(present) = &mut kept.needs[need].present {
            present.locked = true;
        }
    }
    kept
}

/// The order of the objective; the margin counts the other way.
fn rank(outcome: &Outcome) -> (i64, i64, i64, Option<i64>) {
    let objective = &outcome.objective;
    (objective.looks, objective.special, -objective.margin_permille, objective.length_mm)
}

/// All sets of so many members.
pub(crate) fn sets(of: &[usize], size: usize) -> Vec<Vec<usize>> {
    if size == 0 {
        return vec![Vec::new()];
    }
    let mut out = Vec::new();
    for (index, &first) in of.iter().enumerate() {
        for mut rest in sets(&of[index + 1..], size - 1) {
            rest.insert(0, first);
            out.push(rest);
        }
    }
    out
}

/// The outcome as an answer to the question that was asked: its locks are those of the document, and what it undoes is named.
fn finished(input: &Input, config: &Config, made: &[usize], mut outcome: Outcome) -> Outcome {
    // One that goes without stays plugged in where nobody else is put, and its lead with it.
    let taken = |need: usize| {
        let outlets = input.needs[need].present.as_ref().map(|present| &present.outlets);
        let mut others = outcome.allocation.iter().flat_map(|feed| &feed.outlets);
        others.any(|outlet| outlets.is_some_and(|own| own.contains(outlet)))
    };
    let goes = |need: usize| match outcome.allocation.iter().find(|feed| feed.need == need) {
        Some(feed) => !is_same(input, feed),
        None => taken(need),
    };
    outcome.unmade =
        made.iter().filter(|&&need| goes(need)).map(|&need| input.needs[need].tag.clone()).collect();
    let fed = |need: &usize| outcome.allocation.iter().any(|feed| feed.need == *need);
    let without: Vec<usize> = (0..input.needs.len()).filter(|need| !fed(need)).collect();
    outcome.missing = missing(input, &without);
    outcome.unserved = unserved(input, config, &without, &[]);
    outcome.locks.retain(|(tag, _)| input.needs.iter().any(|need| need.tag == *tag && need.lock().is_some()));
    outcome
}

/// Whether a feed is the one that stands in the document.
fn is_same(input: &Input, feed: &Feed) -> bool {
    let Some(present) = &input.needs[feed.need].present else { return false };
    let mut outlets = feed.outlets.clone();
    outlets.sort_unstable();
    let mut written = present.outlets.clone();
    written.sort_unstable();
    // An adaptor hangs on a socket, which is no outlet.
    let adaptor = present.kind == rig::FeedKind::Adaptor;
    present.kind == feed.kind && (adaptor || (outlets == written && present.crossing == feed.crossing))
}

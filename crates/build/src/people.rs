//! Two people at one board.
//!
//! Whoever is free takes the act from which most still hangs. Where places bind nobody, two people then need at most one and
//! a half times the least there can be (Graham, *Bounds on multiprocessing timing anomalies*, 1969 [src:GRAHAM-1969]). They are
//! never at one place, and nobody touches the board while mains is on.

use crate::order::Knot;
use crate::{Act, Link};

/// The longest row of acts that wait for one another.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Critical {
    /// Its acts.
    pub acts: Vec<usize>,
    /// Their minutes: however many help, it takes as long.
    pub minutes: u32,
}

/// One act of one person.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Turn {
    /// The act.
    pub act: usize,
    /// Who: 0 or 1.
    pub person: usize,
    /// The minute at which it begins.
    pub start: u32,
}

/// The work shared between two.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Shared {
    /// Every act, as it begins.
    pub turns: Vec<Turn>,
    /// When the last is done.
    pub minutes: u32,
    /// What no way of sharing goes below: the critical row, or half of all.
    pub bound: u32,
    /// How long each of the two waits for the other.
    pub waits: [u32; 2],
}

/// The knots before each, and what hangs from each on, in minutes, its own with it.
pub(crate) struct Web {
    before: Vec<Vec<usize>>,
    tail: Vec<u32>,
}

impl Web {
    /// `order` is one in which every link that counts leads forward.
    pub(crate) fn new(knots: &[Knot], of: &[usize], order: &[usize], links: &[&Link]) -> Self {
        let mut before: Vec<Vec<usize>> = vec![Vec::new(); knots.len()];
        let mut after: Vec<Vec<usize>> = vec![Vec::new(); knots.len()];
        for link in links {
            let (earlier, later) = (of[link.before], of[link.after]);
            if earlier != later {
                before[later].push(earlier);
                after[earlier].push(later);
            }
        }
        let mut tail = vec![0; knots.len()];
        for knot in order.iter().rev() {
            let rest = after[*knot].iter().map(|later| tail[*later]).max().unwrap_or(0);
            tail[*knot] = knots[*knot].minutes + rest;
        }
        Self { before, tail }
    }

    /// The longest row.
    pub(crate) fn critical(&self, knots: &[Knot], order: &[usize]) -> Critical {
        let mut place = vec![0; knots.len()];
        for (at, knot) in order.iter().enumerate() {
            place[*knot] = at;
        }
        let longest = |all: &mut dyn Iterator<Item = usize>| {
            all.max_by_key(|knot| (self.tail[*knot], usize::MAX - place[*knot]))
        };
        let mut here = longest(&mut order.iter().copied());
        let minutes = here.map_or(0, |knot| self.tail[knot]);
        let mut acts = Vec::new();
        while let Some(knot) = here {
            acts.extend(&knots[knot].acts);
            let rest = self.tail[knot] - knots[knot].minutes;
            let mut next = order
                .iter()
                .copied()
                .filter(|later| self.before[*later].contains(&knot) && self.tail[*later] == rest);
            here = longest(&mut next);
        }
        Critical { acts, minutes }
    }

    /// Shared between two.
    pub(crate) fn shared(&self, acts: &[Act], knots: &[Knot], order: &[usize], critical: u32) -> Shared {
        let total: u32 = knots.iter().map(|knot| knot.minutes).sum();
        let mut ends: Vec<Option<u32>> = vec![None; knots.len()];
        let mut out = Shared { bound: critical.max(total.div_ceil(2)), ..Shared::default() };
        let mut free = [0_u32; 2];
        let mut worked = [0_u32; 2];
        let mut at_last: [Option<&str>; 2] = [None; 2];
        let mut left: Vec<usize> = order.to_vec();
        let place = |knot: usize| acts[knots[knot].acts[0]].place.as_deref();
        // Knots under way, each with its end.
        let mut busy: Vec<(usize, u32)> = Vec::new();
        while !left.is_empty() {
            let person = usize::from(free[1] < free[0]);
            let now = free[person];
            busy.retain(|(_, end)| now < *end);
            let may = |knot: usize| {
                let is_ready = self.before[knot].iter().all(|need| ends[*need].is_some_and(|end| end <= now));
                let at = place(knot);
                let collides = |other: usize| {
                    let beside = place(other);
                    let alone = knots[knot].alone || knots[other].alone;
                    at.is_some() && beside.is_some() && (alone || at == beside)
                };
                is_ready && busy.iter().all(|(other, _)| !collides(*other))
            };
            let choice = (0..left.len())
                .filter(|at| may(left[*at]))
                .max_by_key(|at| (self.tail[left[*at]], usize::MAX - at));
            let Some(choice) = choice else {
                // Until something that is under way is done.
                let next = busy.iter().map(|(_, end)| *end).min().unwrap_or(now + 1);
                free[person] = next.max(now + 1);
                continue;
            };
            let knot = left.remove(choice);
            // Who was at that place last goes on there, where both are free.
            let other = 1 - person;
            let goes_on =
                free[other] == now && at_last[other] == place(knot) && at_last[person] != place(knot);
            let person = if goes_on { other } else { person };
            at_last[person] = place(knot);
            let mut start = now;
            for act in &knots[knot].acts {
                out.turns.push(Turn { act: *act, person, start });
                start += acts[*act].minutes;
            }
            ends[knot] = Some(start);
            worked[person] += start - now;
            free[person] = start;
            busy.push((knot, start));
        }
        out.minutes = ends.iter().copied().flatten().max().unwrap_or(0);
        out.waits = [0, 1].map(|person| out.minutes - worked[person]);
        out.turns.sort_by_key(|turn| (turn.start, turn.person));
        out
    }
}

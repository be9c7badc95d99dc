//! One order of all acts: what needs comes after what is needed, stages stay together as far as they may, and what has the
//! same tool in the hand follows each other.

use std::collections::{BTreeMap, BTreeSet};

use crate::{Act, Link};

/// Acts that follow each other with nothing between: a run, or one act.
#[derive(Debug, Clone)]
pub(crate) struct Knot {
    pub(crate) acts: Vec<usize>,
    pub(crate) minutes: u32,
    /// Whether nobody else touches the board meanwhile.
    pub(crate) alone: bool,
}

/// The acts as knots, and the knot of each act.
pub(crate) fn knots(acts: &[Act]) -> (Vec<Knot>, Vec<usize>) {
    let mut out: Vec<Knot> = Vec::new();
    let mut of = vec![0; acts.len()];
    let mut runs: BTreeMap<usize, usize> = BTreeMap::new();
    for (at, act) in acts.iter().enumerate() {
        let next = out.len();
        let knot = act.run.map_or(next, |run| *runs.entry(run).or_insert(next));
        if knot == next {
            out.push(Knot { acts: Vec::new(), minutes: 0, alone: act.run.is_some() });
        }
        out[knot].acts.push(at);
        out[knot].minutes += act.minutes;
        of[at] = knot;
    }
    (out, of)
}

/// The knots in their order, and the links that had to be left out so that there is one.
pub(crate) fn ordered(
    acts: &[Act],
    knots: &[Knot],
    of: &[usize],
    links: &[Link],
) -> (Vec<usize>, BTreeSet<usize>) {
    let mut dropped: BTreeSet<usize> = BTreeSet::new();
    let mut done = vec![false; knots.len()];
    let mut out: Vec<usize> = Vec::new();
    let mut after: Vec<Vec<usize>> = vec![Vec::new(); knots.len()];
    let mut open = vec![0_usize; knots.len()];
    for (at, link) in links.iter().enumerate() {
        let (before, later) = (of[link.before], of[link.after]);
        if before != later {
            after[before].push(at);
            open[later] += 1;
        }
    }
    let stage = |knot: usize| acts[knots[knot].acts[0]].stage;
    let tool = |act: usize| acts[act].tool.as_str();
    let mut ready: BTreeSet<(usize, usize)> =
        (0..knots.len()).filter(|knot| open[*knot] == 0).map(|knot| (stage(knot), knot)).collect();
    let mut hand = "";
    while out.len() < knots.len() {
        let Some(first) = ready.first().copied() else {
            let left_out = weakest(knots.len(), of, links, &done, &dropped);
            dropped.insert(left_out);
            let knot = of[links[left_out].after];
            open[knot] -= 1;
            if open[knot] == 0 {
                ready.insert((stage(knot), knot));
            }
            continue;
        };
        let here = ready.iter().take_while(|(stage, _)| *stage == first.0);
        let same = here.copied().find(|(_, knot)| {
            let own = tool(knots[*knot].acts[0]);
            !own.is_empty() && own == hand
        });
        let next = same.unwrap_or(first);
        ready.remove(&next);
        let knot = next.1;
        done[knot] = true;
        out.push(knot);
        hand = knots[knot].acts.last().map_or("", |act| tool(*act));
        for at in after[knot].iter().filter(|at| !dropped.contains(at)) {
            let later = of[links[*at].after];
            open[later] -= 1;
            if open[later] == 0 {
                ready.insert((stage(later), later));
            }
        }
    }
    (out, dropped)
}

/// In a circle of what is left, the link to do without: one that follows from where things are, which is what cannot be
/// reached; else, of needs that contradict each other, the last.
fn weakest(count: usize, of: &[usize], links: &[Link], done: &[bool], dropped: &BTreeSet<usize>) -> usize {
    let circle = circle(count, of, links, done, dropped);
    let placed = circle.iter().copied().find(|at| links[*at].why.of_place().is_some());
    placed.or_else(|| circle.last().copied()).unwrap_or_else(|| {
        // Every knot that is left waits for one that is left: there is a circle.
        unreachable!("nothing is ready, and nothing waits")
    })
}

/// Links that lead from a knot that is left back to itself.
fn circle(
    count: usize,
    of: &[usize],
    links: &[Link],
    done: &[bool],
    dropped: &BTreeSet<usize>,
) -> Vec<usize> {
    // Backwards from any knot that waits, to one that it waits for, until one comes again.
    let mut waits: Vec<Option<usize>> = vec![None; count];
    for (at, link) in links.iter().enumerate() {
        let (before, after) = (of[link.before], of[link.after]);
        let counts = before != after && !done[before] && !done[after] && !dropped.contains(&at);
        // One that follows from where things are is told rather than one that does not.
        let better = |known: usize| links[known].why.of_place().is_none() && link.why.of_place().is_some();
        if counts && waits[after].is_none_or(better) {
            waits[after] = Some(at);
        }
    }
    let Some(start) = (0..count).find(|knot| !done[*knot] && waits[*knot].is_some()) else {
        return Vec::new();
    };
    let mut path: Vec<usize> = Vec::new();
    let mut seen: Vec<usize> = Vec::new();
    let mut knot = start;
    loop {
        if let Some(from) = seen.iter().position(|known| *known == knot) {
            return path[from..].to_vec();
        }
        let Some(at) = waits[knot] else { return Vec::new() };
        seen.push(knot);
        path.push(at);
        knot = of[links[at].before];
    }
}

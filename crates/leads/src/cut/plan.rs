//! The workshop's question: from which offcut or reel each piece is cut.
//!
//! In this order: the least fresh cable off the reels, then the least scrap. Scrap is what remains of an opened offcut or
//! of a reel that ends, when it is too short to keep. Offcuts are searched exactly, depth first; what the offcuts left
//! can still give at most, each by itself, is the bound.

use std::collections::BTreeSet;

use super::number::{count, place};

/// A piece that is wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    /// Whose it is: a lead's number.
    pub id: String,
    /// Its length, millimetres.
    pub mm: i64,
}

/// An offcut or a reel.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// Its name.
    pub id: String,
    /// Its length, millimetres; `None` for a reel whose end is far.
    pub mm: Option<i64>,
    /// Whether it is a reel; else an offcut.
    pub reel: bool,
}

/// How far to go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CutEffort {
    /// The most patterns to try.
    pub nodes: u32,
    /// The most patterns to list for one offcut at one place.
    pub patterns: usize,
}

impl CutEffort {
    /// Enough for a board's leads of one cable and a drawer of offcuts.
    pub const fn standard() -> Self {
        Self { nodes: 200_000, patterns: 20_000 }
    }
}

/// One cut piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct CutStep {
    /// The source, as a place in the list.
    pub source: usize,
    /// Where on it the piece begins, millimetres.
    pub offset_mm: i64,
    /// The piece, as a place in the list.
    pub piece: usize,
}

/// The plan.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct CutPlan {
    /// The pieces by source and offset.
    pub steps: Vec<CutStep>,
    /// Pieces for which there is no cable.
    pub missing: Vec<usize>,
    /// What is taken off reels, kerfs included.
    pub fresh_mm: i64,
    /// No plan takes less off the reels.
    pub fresh_bound_mm: i64,
    /// Remainders too short to keep.
    pub waste_mm: i64,
    /// No plan that takes as little off the reels has less waste.
    pub bound_mm: i64,
}

impl CutPlan {
    /// Whether no plan is better.
    pub fn proven(&self) -> bool {
        self.missing.is_empty() && self.fresh_mm == self.fresh_bound_mm && self.waste_mm == self.bound_mm
    }
}

/// Plans the cuts; a cut takes `kerf_mm`, a remainder of `keep_mm` and more goes back into the drawer.
pub fn plan(pieces: &[Piece], sources: &[Source], kerf_mm: i64, keep_mm: i64, effort: &CutEffort) -> CutPlan {
    let mut sizes: Vec<i64> = pieces.iter().map(|piece| piece.mm + kerf_mm).collect();
    sizes.sort_unstable_by(|a, b| b.cmp(a));
    sizes.dedup();
    let mut queues: Vec<Vec<usize>> = vec![Vec::new(); sizes.len()];
    let mut named: Vec<usize> = (0..pieces.len()).collect();
    named.sort_by(|&a, &b| (&pieces[b].id, b).cmp(&(&pieces[a].id, a)));
    for at in named {
        queues[sizes.partition_point(|&size| pieces[at].mm + kerf_mm < size)].push(at);
    }
    let left: Vec<i64> = queues.iter().map(|queue| count(queue.len())).collect();
    // A piece that ends where its source ends needs no cut: one kerf more room.
    let room = |source: usize| sources[source].mm.map(|mm| mm + kerf_mm);
    let mut offcuts: Vec<usize> =
        (0..sources.len()).filter(|&at| !sources[at].reel && room(at).is_some()).collect();
    offcuts.sort_by(|&a, &b| (room(a), &sources[a].id, a).cmp(&(room(b), &sources[b].id, b)));
    let rooms: Vec<i64> = offcuts.iter().filter_map(|&at| room(at)).collect();
    let mut search = Search {
        sizes: &sizes,
        rooms: &rooms,
        kerf: kerf_mm,
        keep: keep_mm,
        effort: *effort,
        nodes: effort.nodes,
        whole: true,
        best: None,
        open: vec![Vec::new(); rooms.len()],
        seen: BTreeSet::new(),
    };
    let bound = search.least_fresh(0, &left);
    let mut rest = left.clone();
    search.offcut(0, &mut rest, 0);
    let whole = search.whole;
    let (fresh, waste, chosen) = search.best.unwrap_or((0, 0, vec![Vec::new(); rooms.len()]));
    let mut out = CutPlan {
        fresh_mm: fresh,
        fresh_bound_mm: if whole { fresh } else { bound },
        waste_mm: waste,
        bound_mm: if whole { waste } else { 0 },
        ..CutPlan::default()
    };
    for (at, pattern) in chosen.iter().enumerate() {
        let mut offset = 0;
        for &(size, times) in pattern {
            for _ in 0..times {
                if let Some(piece) = queues[size].pop() {
                    out.steps.push(CutStep { source: offcuts[at], offset_mm: offset, piece });
                    offset += sizes[size];
                }
            }
        }
    }
    reels(&mut out, sources, &sizes, &mut queues, kerf_mm, keep_mm);
    out.steps.sort_unstable();
    out
}

/// What the offcuts did not give comes off the reels: each piece, longest first, off the shortest end that still has it.
fn reels(
    out: &mut CutPlan,
    sources: &[Source],
    sizes: &[i64],
    queues: &mut [Vec<usize>],
    kerf: i64,
    keep: i64,
) {
    let mut ends: Vec<(Option<i64>, usize, i64)> = (0..sources.len())
        .filter(|&at| sources[at].reel)
        .map(|at| (sources[at].mm.map(|mm| mm + kerf), at, 0))
        .collect();
    for (queue, &size) in queues.iter_mut().zip(sizes) {
        while let Some(piece) = queue.pop() {
            let end = ends
                .iter_mut()
                .filter(|(room, _, used)| room.is_none_or(|room| used + size <= room))
                .min_by_key(|(room, at, used)| (room.map_or(i64::MAX, |room| room - used), *at));
            match end {
                Some((_, at, used)) => {
                    out.steps.push(CutStep { source: *at, offset_mm: *used, piece });
                    *used += size;
                }
                None => out.missing.push(piece),
            }
        }
    }
    for (room, _, used) in ends {
        let remainder = room.map_or(0, |room| (room - used - kerf).max(0));
        if 0 < used && remainder < keep {
            // Another way to lay pieces on the reels might save this; it is not searched.
            out.waste_mm += remainder;
        }
    }
    out.missing.sort_unstable();
}

type Pattern = Vec<(usize, i64)>;

struct Search<'a> {
    sizes: &'a [i64],
    rooms: &'a [i64],
    kerf: i64,
    keep: i64,
    effort: CutEffort,
    nodes: u32,
    /// Whether nothing was left out.
    whole: bool,
    best: Option<(i64, i64, Vec<Pattern>)>,
    open: Vec<Pattern>,
    seen: BTreeSet<(usize, Vec<i64>, i64)>,
}

impl Search<'_> {
    /// The offcut at this place and all after it.
    fn offcut(&mut self, at: usize, left: &mut [i64], waste: i64) {
        let fresh: i64 = self.sizes.iter().zip(left.iter()).map(|(size, times)| size * times).sum();
        if at == self.rooms.len() {
            if self.best.as_ref().is_none_or(|(f, w, _)| (fresh, waste) < (*f, *w)) {
                self.best = Some((fresh, waste, self.open.clone()));
            }
            return;
        }
        if let Some((f, w, _)) = &self.best
            && (*f, *w) <= (self.least_fresh(at, left), waste)
        {
            return;
        }
        if !self.seen.insert((at, left.to_vec(), waste)) {
            return;
        }
        if self.nodes == 0 {
            self.whole = false;
        }
        let mut patterns: Vec<(i64, i64, Pattern)> = Vec::new();
        self.list(self.rooms[at], 0, left, 0, &mut Vec::new(), &mut patterns);
        patterns.sort();
        for (unused, scrap, pattern) in patterns {
            if self.nodes == 0 {
                self.whole = false;
                if self.best.is_some() {
                    return;
                }
            }
            self.nodes = self.nodes.saturating_sub(1);
            let _ = unused;
            for &(size, times) in &pattern {
                left[size] -= times;
            }
            self.open[at].clone_from(&pattern);
            self.offcut(at + 1, left, waste + scrap);
            self.open[at].clear();
            for &(size, times) in &pattern {
                left[size] += times;
            }
        }
    }

    /// All patterns of one offcut: what stays unused, what of it is scrap.
    fn list(
        &mut self,
        room: i64,
        from: usize,
        left: &[i64],
        used: i64,
        pattern: &mut Pattern,
        out: &mut Vec<(i64, i64, Pattern)>,
    ) {
        if self.effort.patterns <= out.len() {
            self.whole = false;
            return;
        }
        let remainder = (room - used - self.kerf).max(0);
        let scrap = if pattern.is_empty() || self.keep <= remainder { 0 } else { remainder };
        out.push((room - used, scrap, pattern.clone()));
        for size in from..self.sizes.len() {
            let most = left[size].min((room - used) / self.sizes[size]);
            for times in 1..=most {
                pattern.push((size, times));
                self.list(room, size + 1, left, used + self.sizes[size] * times, pattern, out);
                pattern.pop();
            }
        }
    }

    /// What must come off the reels at least: all that is left, less the best that each offcut could give by itself.
    fn least_fresh(&self, at: usize, left: &[i64]) -> i64 {
        let all: i64 = self.sizes.iter().zip(left).map(|(size, times)| size * times).sum();
        let widest = self.rooms[at..].iter().copied().max().unwrap_or(0);
        // The sums that can be reached at all, up to the widest offcut.
        let mut reached = vec![false; place(widest.max(0)) + 1];
        reached[0] = true;
        for (&size, &times) in self.sizes.iter().zip(left) {
            let size = place(size);
            for _ in 0..times {
                for sum in (size..reached.len()).rev() {
                    if reached[sum - size] {
                        reached[sum] = true;
                    }
                }
            }
        }
        let given: i64 = self.rooms[at..]
            .iter()
            .map(|&room| count((0..=place(room.max(0))).rev().find(|&sum| reached[sum]).unwrap_or(0)))
            .sum();
        (all - given).max(0)
    }
}

//! The workshop's question: from which offcut or reel each piece is cut.
//!
//! In this order: cable for every piece, the least fresh cable off the reels, the least scrap, and the fewest reels where
//! each of them ends. Scrap is what remains of an opened offcut or of a reel that ends, when it is too short to keep.
//! Offcuts are searched exactly, depth first; what the offcuts left can still give at most, each by itself, is the bound.
//! Reels that end are the problem of the fewest bins.

use std::collections::BTreeSet;

use super::number::{count, place};
use super::pack::{Certificate, PackingEffort};
use super::reels::{Filling, fill};

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
    /// How far to go for the fewest reels that end.
    pub packing: PackingEffort,
}

impl CutEffort {
    /// Enough for a board's leads of one cable and a drawer of offcuts.
    pub const fn standard() -> Self {
        Self { nodes: 200_000, patterns: 20_000, packing: PackingEffort::standard() }
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
    /// The reels that are cut from, where each of them ends; nought where one is endless.
    pub reels: usize,
    /// No plan with these pieces on reels cuts from fewer.
    pub reels_bound: usize,
    /// Why, by the sizes of the pieces on reels with their kerfs, longest first. Empty where the sum of their lengths says so.
    pub certificate: Certificate,
    /// Whether the bound is one more than the certificate says, because everything was tried.
    pub exhausted: bool,
}

impl CutPlan {
    /// Whether no plan is better.
    pub fn is_proven(&self) -> bool {
        self.missing.is_empty()
            && self.fresh_mm == self.fresh_bound_mm
            && self.waste_mm == self.bound_mm
            && self.reels == self.reels_bound
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
    let mut bins: Vec<Bin> = Vec::new();
    let mut open = left.clone();
    for (at, pattern) in chosen.iter().enumerate() {
        let mut sizes = Vec::new();
        for &(size, times) in pattern {
            open[size] -= times;
            sizes.extend(std::iter::repeat_n(size, place(times)));
        }
        bins.push((offcuts[at], sizes));
    }
    let reels = Reels::new(sources, &sizes, kerf_mm, keep_mm);
    let cut = reels.cut(&open, effort.packing);
    if let Some(all) =
        cut.short.then(|| everything(sources, &sizes, &left, kerf_mm, effort.packing)).flatten()
    {
        // The offcuts were used up best, and then no reel was long enough for the rest.
        out.fresh_mm = reels.fresh(&all);
        out.waste_mm = scrap(&all, sources, &sizes, keep_mm);
        out.reels = all.iter().filter(|(at, sizes)| sources[*at].reel && !sizes.is_empty()).count();
        bins = all;
    } else {
        out.waste_mm += cut.scrap;
        (out.reels, out.reels_bound) = (cut.opened, cut.bound);
        (out.certificate, out.exhausted) = (cut.certificate, cut.exhausted);
        bins.extend(cut.bins);
    }
    for (source, on) in bins {
        let mut offset_mm = 0;
        for size in on {
            if let Some(piece) = queues[size].pop() {
                out.steps.push(CutStep { source, offset_mm, piece });
                offset_mm += sizes[size];
            }
        }
    }
    out.missing = queues.into_iter().flatten().collect();
    out.missing.sort_unstable();
    out.steps.sort_unstable();
    out
}

/// A source, as a place in the list, with the sizes that are cut from it, one entry per piece.
type Bin = (usize, Vec<usize>);

/// All pieces from sources that end, offcuts and reels alike; `None` where no such plan was found.
fn everything(
    sources: &[Source],
    sizes: &[i64],
    left: &[i64],
    kerf: i64,
    effort: PackingEffort,
) -> Option<Vec<Bin>> {
    let rooms: Vec<i64> =
        sources.iter().map(|source| source.mm.map(|mm| mm + kerf)).collect::<Option<_>>()?;
    fill(sizes, left, &rooms, effort).map(|filling| filling.rooms)
}

/// What remains of the sources that pieces are cut from, as far as it is too short to keep.
fn scrap(bins: &[Bin], sources: &[Source], sizes: &[i64], keep: i64) -> i64 {
    bins.iter()
        .filter(|(_, on)| !on.is_empty())
        .filter_map(|(at, on)| {
            let used: i64 = on.iter().map(|&size| sizes[size]).sum();
            Some((sources[*at].mm? - used).max(0)).filter(|remainder| *remainder < keep)
        })
        .sum()
}

/// The reels of one cable.
struct Reels<'a> {
    sources: &'a [Source],
    sizes: &'a [i64],
    kerf: i64,
    keep: i64,
}

/// What comes off the reels.
#[derive(Default)]
struct Off {
    bins: Vec<Bin>,
    /// Whether some piece found no cable.
    short: bool,
    scrap: i64,
    opened: usize,
    bound: usize,
    certificate: Certificate,
    exhausted: bool,
}

impl<'a> Reels<'a> {
    fn new(sources: &'a [Source], sizes: &'a [i64], kerf: i64, keep: i64) -> Self {
        Self { sources, sizes, kerf, keep }
    }

    /// What the offcuts did not give. Where a reel is endless, ends are used up first; where each of them ends, it is all
    /// laid on the fewest, unless to use up short ends first leaves less scrap.
    fn cut(&self, left: &[i64], effort: PackingEffort) -> Off {
        let mut by_hand = self.ends_first(left);
        let reels: Vec<usize> = (0..self.sources.len()).filter(|&at| self.sources[at].reel).collect();
        let rooms = reels.iter().map(|&at| self.sources[at].mm.map(|mm| mm + self.kerf));
        let Some(rooms) = rooms.collect::<Option<Vec<i64>>>().filter(|rooms| !rooms.is_empty()) else {
            return by_hand;
        };
        by_hand.opened = by_hand.bins.iter().filter(|(_, on)| !on.is_empty()).count();
        let all: i64 = self.sizes.iter().zip(left).map(|(size, times)| size * times).sum();
        let longest = rooms.iter().copied().max().unwrap_or(1).max(1);
        by_hand.bound = place((all + longest - 1) / longest);
        if !by_hand.short && by_hand.scrap == 0 && by_hand.opened == by_hand.bound {
            return by_hand;
        }
        let Some(Filling { rooms: filled, bound, certificate, exhausted }) =
            fill(self.sizes, left, &rooms, effort)
        else {
            return by_hand;
        };
        let bins: Vec<Bin> = filled.into_iter().map(|(room, on)| (reels[room], on)).collect();
        let scrap = scrap(&bins, self.sources, self.sizes, self.keep);
        let fewest = Off { opened: bins.len(), bins, short: false, scrap, bound, certificate, exhausted };
        let rank = |off: &Off| (off.short, off.scrap, off.opened);
        if rank(&by_hand) <= rank(&fewest) {
            return Off { bins: by_hand.bins, scrap: by_hand.scrap, opened: by_hand.opened, ..fewest };
        }
        fewest
    }

    /// Each piece, longest first, off the shortest end that still has it.
    fn ends_first(&self, left: &[i64]) -> Off {
        let reels = (0..self.sources.len()).filter(|&at| self.sources[at].reel);
        let mut ends: Vec<(Option<i64>, i64, Bin)> =
            reels.map(|at| (self.sources[at].mm.map(|mm| mm + self.kerf), 0, (at, Vec::new()))).collect();
        let mut short = false;
        for (at, &size) in self.sizes.iter().enumerate() {
            for _ in 0..left[at] {
                let end = ends
                    .iter_mut()
                    .filter(|(room, used, _)| room.is_none_or(|room| used + size <= room))
                    .min_by_key(|(room, used, bin)| (room.map_or(i64::MAX, |room| room - used), bin.0));
                match end {
                    Some((_, used, bin)) => {
                        bin.1.push(at);
                        *used += size;
                    }
                    None => short = true,
                }
            }
        }
        let bins: Vec<Bin> = ends.into_iter().map(|(_, _, bin)| bin).collect();
        let scrap = scrap(&bins, self.sources, self.sizes, self.keep);
        Off { bins, short, scrap, ..Off::default() }
    }

    /// What these plans take off reels, kerfs included.
    fn fresh(&self, bins: &[Bin]) -> i64 {
        let on_reels = bins.iter().filter(|(at, _)| self.sources[*at].reel);
        on_reels.flat_map(|(_, on)| on).map(|&size| self.sizes[size]).sum()
    }
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

//! Shortest and longest paths through the graph, at each frequency.
//!
//! Of devices of which only one at a time is on a path puts on one at most. What a path has used of such a set matters
//! only while members of the set lie both behind and ahead: the best way on from a driver is kept for each
//! combination of the sets that stand open there, which are few where the members stand together.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use smallvec::SmallVec;

use crate::extremes::Best;
use crate::model::{Model, SwitchChoice};
use crate::section::{Driver, Edge, StageRef, next};

/// From so many edges on shortest and longest paths are sought side by side.
const MANY_EDGES: usize = 200;

/// So many sets may stand open at a driver; of more, the switches are held from outside.
const MOST_OPEN: u32 = 10;

/// The graph as paths are sought in it: each driver after those it leads to.
#[derive(Default)]
pub(crate) struct Ways<'a> {
    drivers: Vec<Driver>,
    /// The edges of each driver; made of states where a stretch sums.
    edges: Vec<Cow<'a, [Edge]>>,
    /// Where each of them leads.
    targets: Vec<Vec<Target>>,
    /// The switches that are held from outside.
    outer: Vec<usize>,
    /// The sets that each edge uses, one bit each; `None` where it puts on two of one.
    uses: Vec<Vec<Option<u64>>>,
    /// The sets that stand open at each driver.
    open: Vec<u64>,
}

/// Where an edge leads.
#[derive(Debug, Clone, Copy)]
enum Target {
    Sink,
    /// A driver, by its place.
    Driver(usize),
    /// Nowhere that a path goes on from.
    Nowhere,
}

impl<'a> Ways<'a> {
    /// Adds the edges of a driver, after those it leads to.
    pub(crate) fn add(&mut self, driver: Driver, edges: Cow<'a, [Edge]>) {
        self.drivers.push(driver);
        self.edges.push(edges);
    }

    /// Looks up where edges lead, and how what excludes each other is kept.
    pub(crate) fn finish(&mut self, model: &Model) {
        let index: BTreeMap<Driver, usize> =
            self.drivers.iter().enumerate().map(|(at, driver)| (*driver, at)).collect();
        let target = |edge: &Edge| match next(edge.leaf) {
            None => Target::Sink,
            Some(driver) => index.get(&driver).map_or(Target::Nowhere, |at| Target::Driver(*at)),
        };
        self.targets = self.edges.iter().map(|edges| edges.iter().map(target).collect()).collect();
        let (twice, again) = self.asked_twice(model);
        let met: BTreeSet<usize> = self
            .edges
            .iter()
            .flat_map(|edges| edges.iter())
            .flat_map(|edge| edge.choices.iter().map(|choice| choice.switch))
            .collect();
        let sets = model.exclusive.iter().filter(|set| set.iter().any(|choice| met.contains(&choice.switch)));
        let (mut kept, mut held): (Vec<&Vec<SwitchChoice>>, _) = (sets.collect(), twice);
        // A set that has a switch held from outside is held as a whole; so is one that wants what stands at rest.
        loop {
            let is_kept = |set: &&Vec<SwitchChoice>| {
                set.iter().all(|choice| {
                    choice.position != 0 && !again.contains(&choice.switch) && !held.contains(&choice.switch)
                })
            };
            let (stay, go): (Vec<_>, Vec<_>) = kept.iter().copied().partition(is_kept);
            held.extend(go.iter().flat_map(|set| set.iter().map(|choice| choice.switch)));
            kept = stay;
            if go.is_empty() {
                self.mark(model, &kept);
                let too_many = self.open.iter().any(|open| MOST_OPEN < open.count_ones());
                if kept.len() <= 64 && !too_many {
                    break;
                }
                let rest: Vec<_> = std::mem::take(&mut kept);
                held.extend(rest.iter().flat_map(|set| set.iter().map(|choice| choice.switch)));
            }
        }
        self.outer = held.into_iter().collect();
    }

    /// Which of some sets each edge uses, and which stand open at each driver.
    fn mark(&mut self, model: &Model, sets: &[&Vec<SwitchChoice>]) {
        let count = self.drivers.len();
        let uses = |edge: &Edge, own: Option<SwitchChoice>| {
            let mut all = 0_u64;
            for (bit, set) in sets.iter().enumerate().take(64) {
                let on: SmallVec<[&SwitchChoice; 2]> =
                    set.iter().filter(|choice| edge.choices.contains(choice)).collect();
                match on.as_slice() {
                    [] => {}
                    // What a driver is there by was counted on the way to it.
                    [one] if own == Some(**one) => {}
                    [_] => all |= 1 << bit,
                    _ => return None,
                }
            }
            Some(all)
        };
        let each = self.drivers.iter().zip(&self.edges);
        self.uses = each
            .map(|(driver, edges)| edges.iter().map(|edge| uses(edge, own_choice(model, *driver))).collect())
            .collect();
        let (mut before, mut after) = (vec![0_u64; count], vec![0_u64; count]);
        if !sets.is_empty() {
            for at in 0..count {
                for (edge, target) in self.targets[at].iter().enumerate() {
                    let on = if let Target::Driver(to) = target { after[*to] } else { 0 };
                    after[at] |= on | self.uses[at][edge].unwrap_or(0);
                }
            }
            for at in (0..count).rev() {
                for (edge, target) in self.targets[at].iter().enumerate() {
                    if let Target::Driver(to) = target {
                        before[*to] |= before[at] | self.uses[at][edge].unwrap_or(0);
                    }
                }
            }
        }
        self.open = before.iter().zip(&after).map(|(before, after)| before & after).collect();
    }

    /// The switches to hold from outside: those that a path may ask twice with different answers, and what excludes each
    /// other where that cannot be kept along a path.
    pub(crate) fn outer(&self) -> &[usize] {
        &self.outer
    }

    /// How many edges are looked at to find the best paths once.
    pub(crate) fn looks(&self) -> usize {
        self.edges.iter().zip(&self.open).map(|(edges, open)| edges.len() << open.count_ones()).sum()
    }

    /// The edges of a driver, where they lead and what sets they use; those that put on two of one set left out.
    fn at(&self, at: usize) -> impl Iterator<Item = (usize, &Edge, Target, u64)> {
        let all = self.edges[at].iter().zip(self.targets[at].iter().copied()).zip(&self.uses[at]);
        all.enumerate().filter_map(|(number, ((edge, target), uses))| Some((number, edge, target, (*uses)?)))
    }

    /// Switches that a path may ask twice with different answers, and all that it may ask twice.
    fn asked_twice(&self, model: &Model) -> (BTreeSet<usize>, BTreeSet<usize>) {
        let (mut out, mut again): (BTreeSet<usize>, BTreeSet<usize>) = Default::default();
        // Positions seen on some way to each driver, as one bit each, from the source on.
        let width = model.switches.len();
        let mut seen: Vec<Vec<u64>> = vec![Vec::new(); self.drivers.len()];
        for at in (0..self.drivers.len()).rev() {
            let here = std::mem::take(&mut seen[at]);
            let own = own_choice(model, self.drivers[at]);
            for (edge, target) in self.edges[at].iter().zip(&self.targets[at]) {
                for choice @ SwitchChoice { switch, position } in &edge.choices {
                    let before = here.get(*switch).copied().unwrap_or(0);
                    if before != 0 && own != Some(*choice) {
                        again.insert(*switch);
                    }
                    if before & !(1 << (position & 63)) != 0 {
                        out.insert(*switch);
                    }
                }
                let Target::Driver(to) = target else { continue };
                let there = &mut seen[*to];
                there.resize(width, 0);
                for (mine, theirs) in here.iter().zip(there.iter_mut()) {
                    *theirs |= mine;
                }
                for SwitchChoice { switch, position } in &edge.choices {
                    there[*switch] |= 1 << (position & 63);
                }
            }
        }
        (out, again)
    }

    /// Shortest and longest paths at each frequency, with some switches held from outside.
    pub(crate) fn paths(
        &self,
        columns: usize,
        difference: Option<(usize, usize)>,
        (held, outer): (&[u8], &[usize]),
        best: &mut Best,
    ) {
        let better = |new: f64, old: f64| new < old;
        let worse = |new: f64, old: f64| new > old;
        let low = || self.extremes(columns, difference, (held, outer), f64::INFINITY, better);
        let high = || self.extremes(columns, difference, (held, outer), 0.0, worse);
        let (least, most) = if MANY_EDGES < self.looks() { rayon::join(low, high) } else { (low(), high()) };
        let first = |found: &[Vec<Extremes>]| found.last()?.first().map(|best| best.values.clone());
        let (Some(low), Some(high)) = (first(&least), first(&most)) else { return };
        best.arrives |= self.offer(&least, held, &low, &mut best.least, better);
        self.offer(&most, held, &high, &mut best.most, worse);
    }

    /// The best path from each driver to the sink in each column, by what counts as better, for each combination of
    /// the sets that stand open there.
    fn extremes(
        &self,
        columns: usize,
        difference: Option<(usize, usize)>,
        (held, outer): (&[u8], &[usize]),
        worst: f64,
        better: impl Fn(f64, f64) -> bool,
    ) -> Vec<Vec<Extremes>> {
        let size = columns + usize::from(difference.is_some());
        let ones = vec![1.0; size];
        let mut out: Vec<Vec<Extremes>> = Vec::with_capacity(self.drivers.len());
        let contrary =
            |choice: &SwitchChoice| outer.contains(&choice.switch) && held[choice.switch] != choice.position;
        for (at, open) in self.open.iter().enumerate() {
            let mut all = Vec::with_capacity(1 << open.count_ones());
            for place in 0..1_usize << open.count_ones() {
                let used = spread(place, *open);
                let mut best = Extremes::new(worst, size);
                for (number, edge, target, uses) in self.at(at) {
                    if uses & used != 0 || !outer.is_empty() && edge.choices.iter().any(contrary) {
                        continue;
                    }
                    let onward = match target {
                        Target::Sink => &ones,
                        Target::Driver(to) => &out[to][gather(used | uses, self.open[to])].values,
                        Target::Nowhere => continue,
                    };
                    let number = u64::try_from(number).unwrap_or(u64::MAX - 1);
                    best.keep(0, &edge.loss, onward, number, &better);
                    if let Some((first, second)) = difference {
                        best.keep(columns, &[edge.loss[second] / edge.loss[first]], onward, number, &better);
                    }
                }
                all.push(best);
            }
            out.push(all);
        }
        out
    }

    /// Takes over what is better than what was found before, with the states of the paths; whether there was any.
    fn offer(
        &self,
        found: &[Vec<Extremes>],
        held: &[u8],
        values: &[f64],
        best: &mut [(f64, Option<Rc<[u8]>>)],
        better: impl Fn(f64, f64) -> bool,
    ) -> bool {
        let mut any = false;
        // Columns beside each other mostly share their path.
        let mut last: Option<(usize, Vec<Stood>, Rc<[u8]>)> = None;
        for (k, (value, best)) in values.iter().zip(best).enumerate() {
            if !better(*value, best.0) {
                continue;
            }
            any = true;
            let by = |(at, place): &Stood, k: usize| found[*at][*place].by[k];
            let state = match &last {
                Some((of, drivers, state)) if drivers.iter().all(|one| by(one, k) == by(one, *of)) => {
                    Rc::clone(state)
                }
                _ => {
                    let (drivers, state) = self.trace(found, held, k);
                    last = Some((k, drivers, Rc::clone(&state)));
                    state
                }
            };
            *best = (*value, Some(state));
        }
        any
    }

    /// The drivers on the path of a column with what stands open there, and the positions of the switches along it.
    fn trace(&self, found: &[Vec<Extremes>], held: &[u8], k: usize) -> (Vec<Stood>, Rc<[u8]>) {
        let (mut state, mut drivers) = (held.to_vec(), Vec::new());
        let (mut next, mut used) = (found.len().checked_sub(1), 0_u64);
        while let Some(at) = next {
            let place = gather(used, self.open[at]);
            drivers.push((at, place));
            let number = usize::try_from(found[at][place].by[k]).unwrap_or(usize::MAX);
            let Some(edge) = self.edges[at].get(number) else { break };
            for SwitchChoice { switch, position } in &edge.choices {
                state[*switch] = *position;
            }
            used |= self.uses[at][number].unwrap_or(0);
            next = match self.targets[at][number] {
                Target::Driver(to) => Some(to),
                Target::Sink | Target::Nowhere => None,
            };
        }
        (drivers, state.into())
    }
}

/// The position of its own switch that a driver is there by.
fn own_choice(model: &Model, driver: Driver) -> Option<SwitchChoice> {
    match driver {
        Driver::Stage(StageRef { variant: Some((block, position)), .. }) => {
            Some(SwitchChoice { switch: model.blocks[block].switch, position })
        }
        _ => None,
    }
}

/// A driver on a path by its place, and by its place the combination of sets that stood open there.
type Stood = (usize, usize);

/// The bits of a mask that stand in another, pushed together.
fn gather(bits: u64, mask: u64) -> usize {
    let (mut out, mut place, mut left) = (0, 0, mask);
    while left != 0 {
        if bits & left & left.wrapping_neg() != 0 {
            out |= 1 << place;
        }
        place += 1;
        left &= left - 1;
    }
    out
}

/// The other way round.
fn spread(place: usize, mask: u64) -> u64 {
    let (mut out, mut rest, mut left) = (0, place, mask);
    while left != 0 {
        if rest & 1 == 1 {
            out |= left & left.wrapping_neg();
        }
        rest >>= 1;
        left &= left - 1;
    }
    out
}

/// The best loss from a driver to the sink in each column, and the edge that it begins with.
struct Extremes {
    values: Vec<f64>,
    by: Vec<u64>,
}

impl Extremes {
    fn new(worst: f64, size: usize) -> Self {
        Self { values: vec![worst; size], by: vec![u64::MAX; size] }
    }

    /// Keeps the better of what is there and loss times what follows, column by column from the first one on.
    ///
    /// Both outcomes are written, so that no branch depends on the data.
    #[inline]
    fn keep(
        &mut self,
        first: usize,
        loss: &[f64],
        onward: &[f64],
        number: u64,
        better: impl Fn(f64, f64) -> bool,
    ) {
        let kept = self.values[first..].iter_mut().zip(&mut self.by[first..]);
        for (((best, by), loss), onward) in kept.zip(loss).zip(&onward[first..]) {
            let value = loss * onward;
            let take = better(value, *best);
            *best = if take { value } else { *best };
            *by = if take { number } else { *by };
        }
    }
}

//! The search for the fewest buffers: every set, the small ones first, and a good set where that is too much work.
//!
//! Where there are more states than a proof can look at, a set is judged by the worst that were found: those of the sets
//! before it, and what a climb from them leads to ([`crate::reached`]). A limit that a real state breaks is broken; one
//! that none of them breaks is kept as far as was tried.

use std::cell::RefCell;

use crate::budget::{Budget, WHOLE, passes};
use crate::build::Built;
use crate::figures::Held;
use crate::graph::Graph;
use crate::input::{BufferPlace, Config, Input};
use crate::ladder::Sweep;
use crate::model::{Model, SwitchPositions};
use crate::outcome::{Advice, AdviceStatus, Alternative, Figures};
use crate::put::put;
use crate::reached::{climb, look};
use crate::sparing::sparing;
use crate::turn::Turn;

/// Alternatives told.
const MOST_TOLD: usize = 8;

/// Places whose figures are worked out whole to find the one that helps most.
const MOST_HELPFUL: usize = 3;

/// A place helps that leaves less than this share of what is beyond a limit.
const HELPS: f64 = 0.9;

/// Worst states that are kept to judge the next set by.
const MOST_KEPT: usize = 32;

/// The search: a network without buffers, what it is held against, and what may still be spent.
pub(crate) struct Search<'a> {
    input: &'a Input<'a>,
    config: &'a Config,
    pub(crate) built: Built,
    held: Vec<Held>,
    /// Volume pedals elsewhere than they stand, each with the ways that it lies on and what they are held against there.
    turns: Vec<(Turn, Vec<Held>)>,
    sweep: Sweep,
    pub(crate) budget: Budget,
    pub(crate) tried: usize,
    /// The worst states found where not all could be looked at.
    worst: RefCell<Vec<SwitchPositions>>,
}

/// Whether the limits are kept with buffers in some places.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Verdict {
    /// They are, by what is known exactly or by bounds.
    Kept,
    /// They are in every state tried, which are not all.
    Tried,
    /// Not known: bounds break one that the exact figures may keep, or no resonance could be looked for.
    Open,
    /// One is broken by a state that there is.
    Broken,
}

impl Verdict {
    /// Whether no limit is broken as far as anybody has seen.
    fn holds(self) -> bool {
        self <= Self::Tried
    }
}

/// A set that holds, and the worst with it.
type Found = (Vec<BufferPlace>, Figures);

impl<'a> Search<'a> {
    pub(crate) fn new(
        input: &'a Input<'a>,
        config: &'a Config,
        built: Built,
        (held, turns): (Vec<Held>, Vec<(Turn, Vec<Held>)>),
        sweep: Sweep,
        budget: Budget,
    ) -> Self {
        Self { input, config, built, held, turns, sweep, budget, tried: 0, worst: RefCell::default() }
    }

    fn keeps(&self, figures: Figures) -> bool {
        figures.broken(self.config).is_empty()
    }

    /// Every set, the small ones first, until a size has one that holds or the budget ends. `is_open` where it is not known
    /// whether the limits are kept without a buffer.
    pub(crate) fn smallest(&mut self, places: &[BufferPlace], mut is_open: bool, advice: &mut Advice) {
        for size in 1..=places.len() {
            let mut set: Vec<usize> = (0..size).collect();
            let (mut found, mut tried): (Vec<Found>, Vec<Found>) = (Vec::new(), Vec::new());
            // What is not known of a set is no proof against it; among sets of its own size it takes nothing from those
            // that hold.
            let status = if is_open { AdviceStatus::NotProven } else { AdviceStatus::Proven };
            loop {
                if self.budget.is_spent() {
                    break;
                }
                let chosen: Vec<BufferPlace> = set.iter().map(|index| places[*index].clone()).collect();
                let (after, verdict) = self.judge(&chosen, false);
                if !self.budget.is_spent() {
                    match verdict {
                        Verdict::Kept => found.push((chosen, after)),
                        Verdict::Tried => tried.push((chosen, after)),
                        Verdict::Open | Verdict::Broken => {}
                    }
                }
                is_open |= matches!(verdict, Verdict::Open | Verdict::Tried);
                if !next_set(&mut set, places.len()) {
                    break;
                }
            }
            // Where the budget ends among the sets of one size and no smaller one holds, what was found is of the smallest
            // size, though others of that size may hold too.
            let is_spent = self.budget.is_spent();
            if !is_open && !is_spent {
                advice.size_tried = size;
            }
            if !found.is_empty() {
                self.tell(found, status, advice);
                return;
            }
            if !tried.is_empty() {
                advice.by_states_tried = true;
                self.tell(tried, AdviceStatus::NotProven, advice);
                return;
            }
            if is_spent {
                advice.status = AdviceStatus::CutShort;
                return;
            }
        }
        // Every set of every size, none left out.
        advice.status = if is_open { AdviceStatus::CutShort } else { AdviceStatus::NoneFound };
    }

    fn tell(&self, mut found: Vec<Found>, status: AdviceStatus, advice: &mut Advice) {
        found.sort_by(|a, b| a.1.change_at_4k_db.total_cmp(&b.1.change_at_4k_db).then_with(|| a.0.cmp(&b.0)));
        found.truncate(MOST_TOLD);
        advice.status = status;
        let budget = Budget::new(WHOLE / 4);
        advice.alternatives =
            found.into_iter().map(|(places, after)| self.alternative(places, after, &budget)).collect();
    }

    /// A good set where the smallest is beyond the budget.
    pub(crate) fn good(&mut self, places: &[BufferPlace], advice: &mut Advice) {
        let over = |figures: Figures, config: &Config| {
            (figures.change_at_4k_db / config.change_limit)
                .max(figures.shift / config.shift_limit)
                .max(figures.loss_1k_db / config.loss_limit)
        };
        let mut chosen: Vec<BufferPlace> = Vec::new();
        let (mut now, mut verdict) = (advice.before, Verdict::Open);
        while !verdict.holds() {
            let mut best: Option<(f64, usize, (Figures, Verdict))> = None;
            for (index, place) in places.iter().enumerate().filter(|(_, place)| !chosen.contains(place)) {
                let with: Vec<BufferPlace> = chosen.iter().chain([place]).cloned().collect();
                // Where levels break a limit already, the resonance, which takes most of the work, need not be known.
                let after = self.judge(&with, false);
                if self.budget.is_spent() {
                    break;
                }
                let size = over(after.0, self.config);
                if best.is_none_or(|(least, ..)| size < least) {
                    best = Some((size, index, after));
                }
            }
            // No place left, or the budget ended before one helped: what was tried is no proof of anything. A round
            // that the budget ends leaves the best it has seen.
            let Some((_, index, after)) = best else { return };
            chosen.push(places[index].clone());
            (now, verdict) = after;
            if self.budget.is_spent() && !verdict.holds() {
                return;
            }
        }
        for place in chosen.clone() {
            if self.budget.is_spent() {
                break;
            }
            let without: Vec<BufferPlace> = chosen.iter().filter(|other| **other != place).cloned().collect();
            let (after, less) = self.judge(&without, false);
            if less.holds() && !self.budget.is_spent() {
                (chosen, now, verdict) = (without, after, less);
            }
        }
        chosen.sort();
        advice.status = AdviceStatus::NotProven;
        advice.by_states_tried = verdict == Verdict::Tried;
        advice.alternatives = vec![self.alternative(chosen, now, &Budget::new(WHOLE / 4))];
    }

    /// Where no set keeps the limits: the place that helps most by itself, of those whose levels say so.
    pub(crate) fn helpful(&mut self, places: &[BufferPlace], advice: &mut Advice) {
        let size = |figures: Figures, config: &Config| {
            let level =
                (figures.loss_1k_db / config.loss_limit).max(figures.change_at_4k_db / config.change_limit);
            // A resonance that is lost is as far off as can be, and no measure of the rest.
            if figures.shift.is_finite() { level.max(figures.shift / config.shift_limit) } else { level }
        };
        let mut order: Vec<(f64, usize)> = Vec::new();
        for (index, place) in places.iter().enumerate() {
            let (figures, _) = self.judge(std::slice::from_ref(place), false);
            if self.budget.is_spent() {
                break;
            }
            order.push((size(figures, self.config), index));
        }
        order.sort_by(|a, b| a.0.total_cmp(&b.0));
        self.budget = Budget::new(WHOLE / 8);
        let mut best: Option<(f64, Found)> = None;
        for (_, index) in order.into_iter().take(MOST_HELPFUL) {
            let set = vec![places[index].clone()];
            let (after, verdict) = self.judge(&set, true);
            if self.budget.is_spent() || verdict == Verdict::Open {
                continue;
            }
            let size = size(after, self.config);
            if best.as_ref().is_none_or(|(least, _)| size < *least) {
                best = Some((size, (set, after)));
            }
        }
        let before = size(advice.before, self.config);
        advice.helps = best
            .filter(|(size, _)| *size < HELPS * before)
            .map(|(_, (places, after))| self.alternative(places, after, &Budget::new(WHOLE / 16)));
    }

    fn alternative(&self, places: Vec<BufferPlace>, after: Figures, budget: &Budget) -> Alternative {
        Alternative { bands: self.bands(&places, budget), places, after }
    }

    /// The network with buffers in these places, devices that want the bare pickup off.
    fn model(&self, set: &[BufferPlace]) -> Model {
        let mut model = sparing(self.input, &self.built).unwrap_or_else(|| self.built.model.clone());
        for place in set {
            put(&mut model, self.config, place);
        }
        model
    }

    /// The worst figures with buffers in these places, and what they say; where `whole` is false no further than what
    /// fails already.
    pub(crate) fn judge(&mut self, set: &[BufferPlace], whole: bool) -> (Figures, Verdict) {
        self.tried += 1;
        let this = &*self;
        this.budget.spend(passes(&this.built.model, 40));
        let model = this.model(set);
        let points = Sweep::new(vec![1000.0, 4000.0]);
        let (mut out, mut verdict) = (Figures::default(), Verdict::Kept);
        let mut graphs = Vec::new();
        for way in &this.held {
            if let Some(figures) = this.known_worst(&model, way).filter(|_| !whole) {
                return (out.worse(figures), Verdict::Broken);
            }
            let (figures, graph, says) = this.of_way(way, &model, &points);
            (out, verdict) = (out.worse(figures), verdict.max(says));
            graphs.push(graph);
            if !whole && verdict == Verdict::Broken {
                // It fails already; the rest need not be known.
                return (out, verdict);
            }
        }
        for (turn, ways) in &this.turns {
            this.budget.spend(passes(&turn.model, 40));
            let mut model = turn.model.clone();
            for place in set {
                put(&mut model, this.config, place);
            }
            for way in ways {
                let (figures, _, says) = this.of_way(way, &model, &points);
                (out, verdict) = (out.worse(figures), verdict.max(says));
            }
            if !whole && verdict == Verdict::Broken {
                return (out, verdict);
            }
        }
        for (way, graph) in this.held.iter().zip(&graphs) {
            match way.shift_of_source(&model, graph, &this.sweep, &this.budget) {
                None => verdict = verdict.max(Verdict::Open),
                Some(shift) => {
                    out.shift = out.shift.max(shift);
                    if this.config.shift_limit < shift {
                        verdict = Verdict::Broken;
                    }
                }
            }
        }
        (out, verdict)
    }

    /// The figures of the worst states known so far, where they break a limit.
    fn known_worst(&self, model: &Model, way: &Held) -> Option<Figures> {
        let worst = self.worst.borrow();
        if worst.is_empty() {
            return None;
        }
        let figures = way.figures_of(&look(model, (way.source, way.sink), &worst, &self.budget)?);
        (!self.keeps(figures)).then_some(figures)
    }

    /// One way: exactly where that can be, else by bounds where they keep the limits, else by the states that a climb finds.
    fn of_way<'m>(
        &'m self,
        way: &Held,
        model: &'m Model,
        points: &'m Sweep,
    ) -> (Figures, Graph<'m>, Verdict) {
        let (figures, graph, is_exact) = way.levels(model, points, &self.budget);
        if self.keeps(figures) {
            return (figures, graph, Verdict::Kept);
        }
        if is_exact {
            return (figures, graph, Verdict::Broken);
        }
        let share = self.budget.share(4);
        let mut worst = self.worst.borrow_mut();
        let found = climb(model, (way.source, way.sink), &worst, &share);
        self.budget.settle(&share);
        let Some(losses) = found.losses else { return (figures, graph, Verdict::Open) };
        for state in found.worst {
            if worst.len() < MOST_KEPT && !worst.contains(&state) {
                worst.push(state);
            }
        }
        let tried = way.figures_of(&losses);
        let says = match (self.keeps(tried), found.is_whole) {
            (false, _) => Verdict::Broken,
            (true, true) => Verdict::Tried,
            (true, false) => Verdict::Open,
        };
        (tried, graph, says)
    }

    fn bands(&self, set: &[BufferPlace], budget: &Budget) -> Vec<(Vec<f64>, Vec<f64>)> {
        let model = self.model(set);
        self.held
            .iter()
            .map(|way| {
                let envelope = Graph::new(&model, way.source, way.sink, &self.sweep, None, budget).solve();
                let db = |extremes: &[crate::extremes::Extreme]| {
                    extremes.iter().map(|extreme| extreme.db).collect()
                };
                (db(&envelope.upper), db(&envelope.lower))
            })
            .collect()
    }
}

/// The next set of indices in order; false after the last.
fn next_set(set: &mut [usize], of: usize) -> bool {
    let size = set.len();
    for at in (0..size).rev() {
        if set[at] < of - (size - at) {
            set[at] += 1;
            for later in at + 1..size {
                set[later] = set[later - 1] + 1;
            }
            return true;
        }
    }
    false
}

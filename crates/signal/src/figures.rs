//! The figures that limits are held against on one way, and which of them break one: the same for the search for buffers
//! and for the longest leads as for the rules.

use std::cell::RefCell;

use crate::budget::Budget;
use crate::graph::Graph;
use crate::grid::{AT_1K, AT_4K};
use crate::input::Config;
use crate::ladder::Sweep;
use crate::model::{Model, SwitchPositions};
use crate::outcome::{Figures, Limit, Way};
use crate::reached::{climb, look};
use crate::resonance;

/// Worst states that are kept for the next network.
const MOST_KEPT: usize = 32;

/// How well some figures are known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Known {
    /// They are those of all states.
    Exactly,
    /// They are those of the worst states found, which are not all.
    ByStatesTried,
    /// Only bounds are known, or less.
    Not,
}

/// A way with what it is held against.
#[derive(Clone)]
pub(crate) struct Held {
    pub(crate) source: usize,
    pub(crate) sink: usize,
    /// Whether the change of tone alone is judged.
    pub(crate) is_judged_by_tone: bool,
    /// Whether it is so wherever volume pedals stand.
    pub(crate) by_tone_anyway: bool,
    /// Level of the reference at 1 kHz and at 4 kHz, in dB.
    pub(crate) reference: [f64; 2],
    /// Its resonance in hertz.
    pub(crate) peak: Option<f64>,
}

impl Held {
    /// A way of an outcome in a network with the same sources and sinks.
    pub(crate) fn of(way: &Way, model: &Model) -> Option<Self> {
        Some(Self {
            source: model.sources.iter().position(|terminal| terminal.id == way.source)?,
            sink: model.sinks.iter().position(|terminal| terminal.id == way.sink)?,
            is_judged_by_tone: way.is_judged_by_tone(),
            by_tone_anyway: !way.is_amp || way.adds_up,
            reference: [*way.reference_db.get(AT_1K)?, *way.reference_db.get(AT_4K)?],
            peak: way.resonance.reference,
        })
    }

    /// The same with volume pedals somewhere else: turned down, the change of tone alone is judged.
    pub(crate) fn turned(&self, turned_down: bool) -> Self {
        Self { is_judged_by_tone: self.by_tone_anyway || turned_down, ..self.clone() }
    }

    /// Change at 4 kHz and loss at 1 kHz over all states; by tone, the change of that alone; and whether they are exact.
    /// `points` are 1 and 4 kHz.
    pub(crate) fn levels<'m>(
        &self,
        model: &'m Model,
        points: &'m Sweep,
        budget: &'m Budget,
    ) -> (Figures, Graph<'m>, bool) {
        let graph = Graph::new(model, self.source, self.sink, points, Some((0, 1)), budget);
        let envelope = graph.solve();
        let [one, four] = [0, 1].map(|k| [envelope.upper[k].db, envelope.lower[k].db]);
        let tone = envelope.difference.map(|pair| pair.map(|extreme| extreme.db));
        (self.figures(one[1], four, tone), graph, envelope.exact)
    }

    /// Whether the figures of a network are found exactly within a budget.
    pub(crate) fn is_within(&self, model: &Model, points: &Sweep, budget: &Budget) -> bool {
        let (_, _, is_exact) = self.levels(model, points, budget);
        is_exact && !budget.is_spent()
    }

    /// The figures of the worst states that are kept, and no others.
    pub(crate) fn levels_of_kept(
        &self,
        model: &Model,
        worst: &RefCell<Vec<SwitchPositions>>,
        budget: &Budget,
    ) -> Option<Figures> {
        Some(self.figures_of(&look(model, (self.source, self.sink), &worst.borrow(), budget)?))
    }

    /// The largest shift of the resonance by what hangs on the source alone; `None` where that is too much to follow.
    pub(crate) fn shift_by_source(&self, model: &Model, sweep: &Sweep, budget: &Budget) -> Option<f64> {
        let Some(base) = self.peak else { return Some(0.0) };
        Some(largest_shift(base, &resonance::of_source(model, (self.source, self.sink), sweep, budget)?))
    }

    /// The same, where not every state can be looked at by the worst that are found: `worst` keeps them for the next network
    /// of the same switches.
    pub(crate) fn levels_as_known<'m>(
        &self,
        model: &'m Model,
        points: &'m Sweep,
        worst: &RefCell<Vec<SwitchPositions>>,
        budget: &'m Budget,
    ) -> (Figures, Graph<'m>, Known) {
        let (figures, graph, is_exact) = self.levels(model, points, budget);
        if is_exact {
            return (figures, graph, Known::Exactly);
        }
        let ends = (self.source, self.sink);
        let share = budget.share(4);
        let mut worst = worst.borrow_mut();
        let losses = if worst.is_empty() {
            let found = climb(model, ends, &[], &share);
            worst.extend(found.worst.into_iter().take(MOST_KEPT));
            found.losses
        } else {
            look(model, ends, &worst, &share)
        };
        budget.settle(&share);
        match losses.filter(|_| !share.is_spent()) {
            Some(losses) => (self.figures_of(&losses), graph, Known::ByStatesTried),
            None => (figures, graph, Known::Not),
        }
    }

    /// The same from losses of power: the least and the largest at 1 kHz, at 4 kHz, and of 4 kHz against 1 kHz.
    pub(crate) fn figures_of(&self, losses: &[[f64; 2]; 3]) -> Figures {
        let [one, four, tone] = losses.map(|pair| pair.map(|loss| -10.0 * libm::log10(loss)));
        self.figures(one[1], four, Some(tone))
    }

    fn figures(&self, lowest_at_1k: f64, at_4k: [f64; 2], tone: Option<[f64; 2]>) -> Figures {
        let [low, high] = self.reference;
        let mut out = Figures::default();
        let changes = if self.is_judged_by_tone {
            tone.map_or([f64::INFINITY; 2], |pair| pair.map(|db| db - (high - low)))
        } else {
            out.loss_1k_db = low - lowest_at_1k;
            at_4k.map(|db| db - high)
        };
        for change in changes {
            out.change_at_4k_db = out.change_at_4k_db.max(change.abs());
        }
        out
    }

    /// The largest shift of the resonance, as a share of that of the reference; infinite where it is lost.
    pub(crate) fn shift(&self, model: &Model, graph: &Graph<'_>, sweep: &Sweep, budget: &Budget) -> f64 {
        let Some(base) = self.peak else { return 0.0 };
        largest_shift(base, &resonance::variants(model, graph, sweep, budget))
    }

    /// The same also where the graph is too large to follow, as long as what hangs on the source alone is not; else `None`.
    pub(crate) fn shift_of_source(
        &self,
        model: &Model,
        graph: &Graph<'_>,
        sweep: &Sweep,
        budget: &Budget,
    ) -> Option<f64> {
        if !graph.is_blind() || self.peak.is_none() {
            return Some(self.shift(model, graph, sweep, budget));
        }
        let variants = resonance::of_source(model, (self.source, self.sink), sweep, budget)?;
        self.peak.map(|base| largest_shift(base, &variants))
    }
}

impl Figures {
    /// The worse of each.
    pub(crate) fn worse(self, other: Self) -> Self {
        Self {
            change_at_4k_db: self.change_at_4k_db.max(other.change_at_4k_db),
            shift: self.shift.max(other.shift),
            loss_1k_db: self.loss_1k_db.max(other.loss_1k_db),
        }
    }

    /// The limits that are broken.
    pub(crate) fn broken(&self, config: &Config) -> Vec<Limit> {
        [
            (Limit::Treble, config.change_limit < self.change_at_4k_db),
            (Limit::Level, config.loss_limit < self.loss_1k_db),
            (Limit::Resonance, config.shift_limit < self.shift),
        ]
        .into_iter()
        .filter_map(|(limit, broken)| broken.then_some(limit))
        .collect()
    }
}

fn largest_shift(base: f64, variants: &[resonance::Variant]) -> f64 {
    let shift =
        |variant: &resonance::Variant| variant.hertz.map_or(f64::INFINITY, |hertz| hertz / base - 1.0);
    variants.iter().map(|variant| shift(variant).abs()).fold(0.0, f64::max)
}

//! The figures that limits are held against on one way, and which of them break one: the same for the search for buffers
//! and for the longest leads as for the rules.

use crate::budget::Budget;
use crate::graph::Graph;
use crate::grid::{AT_1K, AT_4K};
use crate::input::Config;
use crate::ladder::Sweep;
use crate::model::Model;
use crate::outcome::{Figures, Limit, Way};
use crate::resonance;

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
        let [low, high] = self.reference;
        let mut out = Figures::default();
        let changes: Vec<f64> = if self.is_judged_by_tone {
            match envelope.difference {
                Some(pair) => pair.iter().map(|extreme| extreme.db - (high - low)).collect(),
                None => vec![f64::INFINITY],
            }
        } else {
            out.loss_1k_db = low - envelope.lower[0].db;
            [&envelope.upper[1], &envelope.lower[1]].map(|extreme| extreme.db - high).into()
        };
        for change in changes {
            out.change_at_4k_db = out.change_at_4k_db.max(change.abs());
        }
        (out, graph, envelope.exact)
    }

    /// The largest shift of the resonance, as a share of that of the reference; infinite where it is lost.
    pub(crate) fn shift(&self, model: &Model, graph: &Graph<'_>, sweep: &Sweep, budget: &Budget) -> f64 {
        let Some(base) = self.peak else { return 0.0 };
        resonance::variants(model, graph, sweep, budget)
            .iter()
            .map(|variant| variant.hertz.map_or(f64::INFINITY, |hertz| (hertz / base - 1.0).abs()))
            .fold(0.0, f64::max)
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

//! The search of `crate::search` over devices on decks.

use super::room::Rooms;
use super::walk::Devices;
use crate::Config;
use crate::model::{Model, Stand};
use crate::random::Random;
use crate::search::{Kept, Plan, Worker};
use crate::watch::{Cancel, Progress};

/// The temperature at the start and at the end, in millimetres of lead.
const HEAT: (f64, f64) = (1000.0, 15.0);
/// The share of the cooling that is behind a search which begins with placements of an earlier one.
const WARM: f64 = 0.5;

/// What a search found.
#[derive(Debug, Clone)]
pub(crate) struct Found {
    /// The placements that fit, best first, one of each worker at most.
    pub(crate) kept: Vec<Kept<Vec<Stand>>>,
    /// The least wrong, when nothing fits.
    pub(crate) nearest: Vec<Stand>,
    pub(crate) moves: u64,
    pub(crate) first_fit: Option<u64>,
    pub(crate) cancelled: bool,
}

impl Found {
    /// Brings the placements that fit into their order.
    pub(crate) fn sort(&mut self) {
        self.kept.sort_by(|a, b| a.total.total_cmp(&b.total).then_with(|| a.placement.cmp(&b.placement)));
    }
}

/// Searches with the workers of the configuration, from `starts` where there are any; with `only_fit` until the first that
/// fits.
pub(crate) fn search(
    model: &Model,
    config: &Config,
    starts: &[Vec<Stand>],
    only_fit: bool,
    progress: &dyn Progress,
    cancel: &dyn Cancel,
) -> Found {
    let rooms = Rooms::new(model);
    let mut starts_of = starts.iter().cycle();
    let mut workers: Vec<Worker<Devices<'_>>> = (0..config.workers.max(1))
        .map(|number| {
            let mut random = Random::new(config.seed, number as u64);
            let guess = Devices::guess(model, &mut random, number);
            let stands = starts_of.next().cloned().unwrap_or(guess);
            Worker::new(Devices::new(model, &rooms, config.weights, stands), random)
        })
        .collect();
    let plan = Plan {
        moves: config.moves,
        until: config.until,
        threads: config.threads,
        heat: HEAT,
        behind: if starts.is_empty() { 0.0 } else { WARM },
        only_fit,
    };
    let (moves, cancelled) = crate::search::search(&mut workers, &plan, progress, cancel);
    let kept: Vec<_> = workers.iter().filter_map(|worker| worker.best.clone()).collect();
    let nearest = workers.iter().map(|worker| &worker.walk.nearest).min();
    let mut found = Found {
        kept,
        nearest: nearest.map(|(_, stands)| stands.clone()).unwrap_or_default(),
        moves,
        first_fit: workers.iter().filter_map(|worker| worker.first_fit).min(),
        cancelled,
    };
    found.sort();
    found
}

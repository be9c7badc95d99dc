//! Workers side by side: rounds of fixed length, so that the number of threads changes nothing.

use super::room::Rooms;
use super::worker::{Kept, Worker};
use crate::Config;
use crate::model::{Model, Stand};
use crate::rounds::{Rounds, side_by_side};
use crate::watch::{Progress, Report, Stop};

/// Rounds of one search.
const ROUNDS: u64 = 48;

/// What a search found.
#[derive(Debug, Clone)]
pub(crate) struct Found {
    /// The placements that fit, best first, one of each worker at most.
    pub(crate) kept: Vec<Kept>,
    /// The least wrong, when nothing fits.
    pub(crate) nearest: Vec<Stand>,
    pub(crate) moves: u64,
    pub(crate) first_fit: Option<u64>,
    pub(crate) cancelled: bool,
}

/// The share of the cooling that is behind a search which begins with placements of an earlier one.
const WARM: f64 = 0.5;

/// Searches with the workers of the configuration, from `starts` where there are any; with `only_fit` until the first that
/// fits.
pub(crate) fn search(
    model: &Model,
    config: &Config,
    starts: &[Vec<Stand>],
    only_fit: bool,
    progress: &dyn Progress,
    stop: &dyn Stop,
) -> Found {
    let rooms = Rooms::new(model);
    let count = config.workers.max(1);
    let mut workers: Vec<Worker<'_>> =
        (0..count).map(|number| Worker::new(model, &rooms, config.weights, config.seed, number)).collect();
    for (worker, start) in workers.iter_mut().zip(starts.iter().cycle()) {
        worker.begin_at(start);
    }
    let rounds = Rounds::new(config.moves, config.until, count, ROUNDS);
    let mut cancelled = false;
    let mut moves = 0;
    for round in 0..rounds.planned {
        if rounds.is_over(round) || stop.wanted() {
            cancelled = true;
            break;
        }
        let behind = if starts.is_empty() { 0.0 } else { WARM };
        let share = |round: u64| behind + (1.0 - behind) * rounds.share(round);
        side_by_side(&mut workers, config.threads, |worker| {
            worker.run(rounds.moves_each, (share(round), share(round + 1)));
        });
        moves += rounds.moves_of_round();
        exchange(&mut workers, round);
        let best =
            workers.iter().filter_map(|worker| worker.best.as_ref()).map(|best| best.total).reduce(f64::min);
        progress.round(&Report { moves, planned: config.moves, best });
        if only_fit && best.is_some() {
            break;
        }
    }
    if !only_fit {
        side_by_side(&mut workers, config.threads, Worker::polish);
    }
    let mut kept: Vec<Kept> = workers.iter().filter_map(|worker| worker.best.clone()).collect();
    kept.sort_by(|a, b| a.total.total_cmp(&b.total).then_with(|| a.stands.cmp(&b.stands)));
    let nearest = workers.iter().map(|worker| &worker.nearest).min();
    Found {
        kept,
        nearest: nearest.map(|(_, stands)| stands.clone()).unwrap_or_default(),
        moves,
        first_fit: workers.iter().filter_map(|worker| worker.first_fit).min(),
        cancelled,
    }
}

/// Workers that found nothing take over what others did; halfway each goes back to its own best.
fn exchange(workers: &mut [Worker<'_>], round: u64) {
    let best =
        workers.iter().filter_map(|worker| worker.best.as_ref()).min_by(|a, b| a.total.total_cmp(&b.total));
    if let Some(stands) = best.map(|best| best.stands.clone()) {
        for worker in workers.iter_mut().filter(|worker| worker.best.is_none()) {
            // It had its turn.
            if ROUNDS / 6 <= round {
                worker.adopt(&stands);
            }
        }
    }
    if round == ROUNDS * 3 / 4 {
        for worker in workers.iter_mut() {
            worker.back_to_best();
        }
    }
}

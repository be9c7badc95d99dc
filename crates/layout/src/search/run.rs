//! Workers side by side: rounds of fixed length, so that the number of threads changes nothing.

use super::rounds::{Rounds, side_by_side};
use super::{Walk, Worker};
use crate::watch::{Cancel, Progress, Report};

/// Rounds of one search.
const ROUNDS: u64 = 48;
/// Moves of a worker each time that what fits is insisted on, and how often at most.
const INSISTED: u64 = 2_000;
const MOST_INSISTED: usize = 100;

/// How a search goes on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plan {
    /// Moves in all.
    pub moves: u64,
    /// The moves after which it ends early.
    pub until: Option<u64>,
    /// Threads that execute the workers; they decide nothing.
    pub threads: usize,
    /// The temperature at the start and at the end.
    pub heat: (f64, f64),
    /// The share of the cooling that is behind it when it begins.
    pub behind: f64,
    /// Whether the first placement that fits suffices, as it is.
    pub only_fit: bool,
}

/// Lets the workers search; hands back the moves made, and whether it was ended early.
pub fn search<W: Walk>(
    workers: &mut [Worker<W>],
    plan: &Plan,
    progress: &dyn Progress,
    cancel: &dyn Cancel,
) -> (u64, bool) {
    let rounds = Rounds::new(plan.moves, plan.until, workers.len(), ROUNDS);
    let share = |round: u64| plan.behind + (1.0 - plan.behind) * rounds.share(round);
    let (mut moves, mut cancelled) = (0, false);
    for round in 0..rounds.planned {
        if rounds.is_over(round) || cancel.is_cancelled() {
            cancelled = true;
            break;
        }
        side_by_side(workers, plan.threads, |worker| {
            worker.run(rounds.moves_each, plan.heat, (share(round), share(round + 1)));
        });
        moves += rounds.moves_of_round();
        exchange(workers, round);
        let best =
            workers.iter().filter_map(|worker| worker.best.as_ref()).map(|best| best.total).reduce(f64::min);
        progress.round(&Report { moves, planned: plan.moves, best });
        if plan.only_fit && best.is_some() {
            break;
        }
    }
    // A short plan may end before anything fits: where that can be insisted on, it is, some moves beyond the plan.
    for _ in 0..MOST_INSISTED {
        let fits = workers.iter().any(|worker| worker.best.is_some());
        if cancelled
            || fits
            || cancel.is_cancelled()
            || !workers.iter_mut().all(|worker| worker.walk.insist())
        {
            break;
        }
        side_by_side(workers, plan.threads, |worker| worker.run(INSISTED, plan.heat, (1.0, 1.0)));
        moves += INSISTED * workers.len() as u64;
    }
    if !plan.only_fit {
        // Who ends it early waits for the best alone.
        let last = if cancelled { best_of(workers) } else { None };
        match last {
            Some(best) => workers[best].polish(),
            None if cancelled => {}
            None => side_by_side(workers, plan.threads, Worker::polish),
        }
    }
    (moves, cancelled)
}

/// The worker with the best that fits.
fn best_of<W: Walk>(workers: &[Worker<W>]) -> Option<usize> {
    let totals =
        workers.iter().enumerate().filter_map(|(place, worker)| Some((worker.best.as_ref()?.total, place)));
    totals.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, place)| place)
}

/// Workers that found nothing take over what others did; late in the plan each goes back to its own best.
fn exchange<W: Walk>(workers: &mut [Worker<W>], round: u64) {
    let best =
        workers.iter().filter_map(|worker| worker.best.as_ref()).min_by(|a, b| a.total.total_cmp(&b.total));
    // Each has its turn first.
    if ROUNDS / 6 <= round
        && let Some(placement) = best.map(|best| best.placement.clone())
    {
        workers.iter_mut().filter(|worker| worker.best.is_none()).for_each(|worker| worker.adopt(&placement));
    }
    if round == ROUNDS * 3 / 4 {
        workers.iter_mut().for_each(Worker::back_to_best);
    }
}

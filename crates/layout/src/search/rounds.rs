//! Rounds of fixed length for workers side by side.

/// How a plan of moves is cut into rounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Rounds {
    pub(crate) planned: u64,
    pub(crate) moves_each: u64,
    workers: u64,
    /// The moves after which the search ends early.
    until: Option<u64>,
}

impl Rounds {
    pub(crate) fn new(moves: u64, until: Option<u64>, workers: usize, rounds: u64) -> Self {
        let workers = workers.max(1) as u64;
        let planned = rounds.min(moves / workers).max(1);
        Self { planned, moves_each: (moves / workers / planned).max(1), workers, until }
    }

    pub(crate) fn moves_of_round(&self) -> u64 {
        self.moves_each * self.workers
    }

    /// Whether an earlier end is reached before this round.
    pub(crate) fn is_over(&self, round: u64) -> bool {
        self.until.is_some_and(|until| until <= round * self.moves_of_round())
    }

    /// The share of the plan that is done before a round.
    #[expect(clippy::cast_precision_loss, reason = "a few rounds")]
    pub(crate) fn share(&self, round: u64) -> f64 {
        round as f64 / self.planned as f64
    }
}

/// Does the work on each worker, on so many threads; the order of execution changes nothing.
pub(crate) fn side_by_side<W: Send>(workers: &mut [W], threads: usize, work: impl Fn(&mut W) + Sync) {
    let threads = threads.clamp(1, workers.len().max(1));
    if threads == 1 {
        workers.iter_mut().for_each(work);
        return;
    }
    let each = workers.len().div_ceil(threads);
    std::thread::scope(|scope| {
        for part in workers.chunks_mut(each) {
            scope.spawn(|| part.iter_mut().for_each(&work));
        }
    });
}

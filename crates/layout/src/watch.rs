//! How the outside hears of the search, and how it ends it early.

/// What is known at the end of a round.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Report {
    /// Moves made so far, all workers together.
    pub moves: u64,
    /// Moves that will be made.
    pub planned: u64,
    /// The best total so far, when something fits.
    pub best: Option<f64>,
}

/// Hears how far the search is, from the calling thread, between rounds.
pub trait Progress {
    /// A round is over.
    fn round(&self, report: &Report);
}

/// Says when the search shall end early.
pub trait Cancel {
    /// Asked between rounds; once it says yes, the best so far is handed back.
    fn is_cancelled(&self) -> bool;
}

/// Listens to nothing.
#[derive(Debug, Clone, Copy, Default)]
pub struct NoProgress;

impl Progress for NoProgress {
    fn round(&self, _: &Report) {}
}

/// Lets the search run to its end.
#[derive(Debug, Clone, Copy, Default)]
pub struct NeverCancelled;

impl Cancel for NeverCancelled {
    fn is_cancelled(&self) -> bool {
        false
    }
}

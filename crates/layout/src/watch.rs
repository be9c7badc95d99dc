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
pub trait Stop {
    /// Asked between rounds; once it says yes, the best so far is handed back.
    fn wanted(&self) -> bool;
}

/// Listens to nothing.
#[derive(Debug, Clone, Copy, Default)]
pub struct Silent;

impl Progress for Silent {
    fn round(&self, _: &Report) {}
}

/// Lets the search run to its end.
#[derive(Debug, Clone, Copy, Default)]
pub struct Never;

impl Stop for Never {
    fn wanted(&self) -> bool {
        false
    }
}

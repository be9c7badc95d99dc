//! What came of arranging.

use finding::Finding;
use layout::Outcome;

use crate::judge::Verdict;

/// A placement with the verdict on it.
#[derive(Debug, Clone)]
pub struct Arranged {
    /// What the search found; its first placement is the one that passes, and its alternatives and ways out pass too.
    /// Where none passes it is the best of the search.
    pub outcome: Outcome,
    /// The verdict on that placement; `None` where the search has none that fits by its own rules, or where it cannot be
    /// written.
    pub verdict: Option<Verdict>,
    /// The verdicts on the alternatives, in their order.
    pub alternatives: Vec<Verdict>,
    /// Why the best cannot be written, where that is so.
    pub refused: Option<String>,
    /// How many placements were judged. Those that a first look turned away do not count.
    pub judged: usize,
}

impl Arranged {
    /// Whether a placement is offered.
    pub fn fits(&self) -> bool {
        self.outcome.feasible
    }

    /// What stands in the way of the best placement, by the checks.
    pub fn bars(&self) -> &[Finding] {
        self.verdict.as_ref().map_or(&[], |verdict| &verdict.bars)
    }
}

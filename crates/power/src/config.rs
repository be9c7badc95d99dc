//! How far the search may go, and by what means.

use crate::candidate::Candidate;
use crate::thicker::Thicker;

/// What the allocation may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[expect(clippy::struct_excessive_bools, reason = "each is a means by itself, allowed or not")]
pub struct Means {
    /// Set outlets to another voltage than the document has.
    pub settings: bool,
    /// Let analogue devices share an outlet.
    pub share: bool,
    /// Join two outlets for more voltage.
    pub series: bool,
    /// Join two outlets for more current.
    pub parallel: bool,
    /// Leave a device on its own adaptor.
    pub adaptor: bool,
}

impl Means {
    /// Everything.
    pub const ALL: Self = Self { settings: true, share: true, series: true, parallel: true, adaptor: true };
}

/// How far the search may go.
#[derive(Debug, Clone, PartialEq)]
pub struct Config {
    /// Search nodes in all.
    pub nodes: u64,
    /// Search nodes for one question (one objective, one margin, one conflict).
    pub nodes_each: u64,
    /// Work for one such question, in multiplications or what takes as long: what nodes cost grows with the board.
    pub work_each: u64,
    /// Work for all objectives of one allocation together, the count of devices without a feed apart.
    pub work: u64,
    /// Work for the hunt for one conflict that is proven smallest; one that merely cannot be made smaller is told beyond it.
    pub work_conflict: u64,
    /// Work after which no further conflict is sought, and which making one smaller may take.
    pub work_conflicts: u64,
    /// Work after which no more purchases are tried.
    pub work_cures: u64,
    /// Search nodes for the shortest leads, where that is worth a proof.
    pub nodes_length: u64,
    /// How many times a set of devices may be asked whether it can be served, in the hunt for the smallest conflict.
    pub questions: u64,
    /// By what means devices may be fed.
    pub means: Means,
    /// Bricks and converters that a cure may add or put in place of another.
    pub candidates: Vec<Candidate>,
    /// Cables that supply leads could be made of.
    pub cables: Vec<Thicker>,
    /// What an adaptor for one device costs in the smallest coin, when known.
    pub adaptor_price: Option<i64>,
    /// How many bricks a cure may add or exchange.
    pub bricks: usize,
    /// How many conflicts to tell; with none there are no cures either.
    pub conflicts: usize,
    /// How many cures to give.
    pub cures: usize,
}

impl Config {
    /// What the program uses where nobody says otherwise: a proof where one is near, an answer within a second on
    /// a board of thirty devices.
    pub fn standard() -> Self {
        Self {
            nodes: 200_000,
            nodes_each: 20_000,
            work_each: 40_000_000,
            work: 120_000_000,
            work_conflict: 8_000_000,
            work_conflicts: 80_000_000,
            work_cures: 140_000_000,
            nodes_length: 200,
            questions: 400,
            means: Means::ALL,
            candidates: Vec::new(),
            cables: Vec::new(),
            adaptor_price: None,
            bricks: 2,
            conflicts: 8,
            cures: 6,
        }
    }
}

//! A small rig for single questions.

use rig::{Board, Job, Rig};

use super::rigs::{deck, pedal};

/// One deck and one device, for questions of scale and escaping.
pub(crate) fn one(tag: &str, title: &str) -> Rig {
    Rig {
        job: Job { title: "one device".into(), ..Job::default() },
        board: Board { decks: vec![deck("main", (0, 0, 0), (300, 200))], ..Board::default() },
        devices: vec![pedal(tag, title, (100, 120, 55), "main", (50, 30))],
        ..Rig::default()
    }
}

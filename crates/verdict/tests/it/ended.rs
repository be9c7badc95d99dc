//! Ended early, a search keeps the best that passed.

use std::path::PathBuf;
use std::sync::atomic::{AtomicU32, Ordering};

use layout::{Cancel, Config, NoProgress};

use crate::held::{check, input};

/// Ends at the asking of this number, as whoever presses a button does at any time.
struct At(AtomicU32, u32);

impl Cancel for At {
    fn is_cancelled(&self) -> bool {
        self.1 < self.0.fetch_add(1, Ordering::Relaxed)
    }
}

#[test]
fn wherever_it_is_ended_what_is_handed_back_passes_or_says_why() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples/church-bass-corrected");
    let job = document::read(&folder, None).expect("the example reads");
    let today = check(&job);
    let config = Config { moves: 20_000, alternatives: 0, relax: false, ..Config::standard() };
    for asked in [0, 3, 20, 47, 60, 90, 150] {
        let ended = At(AtomicU32::new(0), asked);
        let found = verdict::arrange(&job, &today, &input(&job), &config, &NoProgress, &ended);
        assert!(found.fits(), "ended at {asked}: the places of today pass, so that something does");
        assert!(found.verdict.as_ref().is_some_and(verdict::Verdict::fits), "ended at {asked}");
    }
}

//! The search for places, beside the answers: begun by a page, told step by step.

use std::sync::Arc;

use layout::{Cancel, Config, Input, Progress, Report};

use crate::arranging::{Arranged, Arranging};
use crate::bench::Bench;
use crate::read::{Opened, Read};

/// Other placements shown beside the best.
const ALTERNATIVES: usize = 3;

/// The name under which pages hear of a search, so that they ask again though the document is the same.
const CLIENT: &str = "arrange";

/// Begins a search on a job as it stands, beside the answer; its pages hear of every step.
pub(crate) fn begin(bench: &Arc<Bench>, opened: &Arc<Opened>, anew: bool) {
    let Ok(read) = &opened.read else { return };
    if !read.arranging.begin() {
        return;
    }
    let (bench, opened) = (Arc::clone(bench), Arc::clone(opened));
    tokio::task::spawn_blocking(move || {
        let Ok(read) = &opened.read else { return };
        let watch = Watch { bench: &bench, opened: &opened, arranging: &read.arranging };
        // A mistake in the engine must not leave the page waiting for ever.
        let found = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| search(read, anew, &watch)));
        read.arranging.end(found.ok());
        bench.tell(&opened.name, opened.state.version, CLIENT);
    });
}

fn search(read: &Read, anew: bool, watch: &Watch<'_>) -> Arranged {
    let catalogue = &read.job.catalogue;
    let input = Input::from_rig(&read.design.rig, &read.design.limits)
        .with_stock(catalogue.plugs())
        .with_boards(catalogue.boards());
    let config = Config { alternatives: ALTERNATIVES, ..Config::of_shop(&read.design.limits) };
    let now = layout::measure(&input, &config);
    let input = if anew { input.unplaced() } else { input };
    let found = verdict::arrange(&read.job, read.all_findings(), &input, &config, watch, watch);
    Arranged { now, found }
}

struct Watch<'a> {
    bench: &'a Bench,
    opened: &'a Opened,
    arranging: &'a Arranging,
}

impl Progress for Watch<'_> {
    fn round(&self, report: &Report) {
        if self.arranging.is_at(report) {
            self.bench.tell(&self.opened.name, self.opened.state.version, CLIENT);
        }
    }
}

impl Cancel for Watch<'_> {
    fn is_cancelled(&self) -> bool {
        self.arranging.is_stopped()
    }
}

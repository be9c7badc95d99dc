//! A search for places under way: how far it is, how it is stopped, and what it found.

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use layout::{Config, Input, Outcome, Progress, Report, Stop};

use crate::bench::{Bench, Opened, Read};

/// Other placements shown beside the best.
const ALTERNATIVES: usize = 3;

/// The name under which pages hear of a search, so that they ask again though the document is the same.
const CLIENT: &str = "arrange";

/// What a search found.
#[derive(Debug)]
pub(crate) struct Arranged {
    /// The places as the document has them, by the same terms.
    pub(crate) now: Outcome,
    /// The best that the checks let pass, its alternatives, or why nothing fits.
    pub(crate) found: verdict::Arranged,
}

/// How a search stands.
#[derive(Debug, Clone)]
pub(crate) enum Standing {
    /// Nobody has asked.
    Idle,
    /// It runs; the last it told.
    Running(Option<Report>),
    /// It is through.
    Done(Arc<Arranged>),
}

/// The search of one document.
#[derive(Debug, Default)]
pub(crate) struct Arranging {
    report: Mutex<Option<Report>>,
    running: AtomicBool,
    stop: AtomicBool,
    done: Mutex<Option<Arc<Arranged>>>,
    told: AtomicU64,
}

fn lock<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Arranging {
    /// How it stands.
    pub(crate) fn standing(&self) -> Standing {
        if self.running.load(Ordering::Acquire) {
            return Standing::Running(*lock(&self.report));
        }
        lock(&self.done).clone().map_or(Standing::Idle, Standing::Done)
    }

    /// What it found, once it is through.
    pub(crate) fn found(&self) -> Option<Arc<Arranged>> {
        lock(&self.done).clone()
    }

    /// Asks it to stop and to keep the best so far.
    pub(crate) fn stop(&self) {
        self.stop.store(true, Ordering::Release);
    }
}

/// Begins a search on a job as it stands, beside the answer; its pages hear of every step.
pub(crate) fn begin(bench: &Arc<Bench>, opened: &Arc<Opened>, anew: bool) {
    let Ok(read) = &opened.read else { return };
    if read.arranging.running.swap(true, Ordering::AcqRel) {
        return;
    }
    read.arranging.stop.store(false, Ordering::Release);
    *lock(&read.arranging.report) = None;
    let (bench, opened) = (Arc::clone(bench), Arc::clone(opened));
    tokio::task::spawn_blocking(move || {
        let Ok(read) = &opened.read else { return };
        let watch = Watch { bench: &bench, opened: &opened, arranging: &read.arranging };
        // A mistake in the engine must not leave the page waiting for ever.
        let found = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| search(read, anew, &watch)));
        if let Ok(found) = found {
            *lock(&read.arranging.done) = Some(Arc::new(found));
        }
        read.arranging.running.store(false, Ordering::Release);
        bench.tell(&opened.name, opened.state.revision, CLIENT);
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
        *lock(&self.arranging.report) = Some(*report);
        // Twenty steps are enough for the eye.
        let step = 20 * report.moves / report.planned.max(1);
        if self.arranging.told.swap(step, Ordering::AcqRel) != step {
            self.bench.tell(&self.opened.name, self.opened.state.revision, CLIENT);
        }
    }
}

impl Stop for Watch<'_> {
    fn wanted(&self) -> bool {
        self.arranging.stop.load(Ordering::Acquire)
    }
}

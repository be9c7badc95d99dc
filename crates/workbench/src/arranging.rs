//! A search for places under way: how far it is, how it is stopped, and what it found.

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use layout::{Outcome, Report};

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

    /// Begins, unless it runs already.
    pub(crate) fn begin(&self) -> bool {
        if self.running.swap(true, Ordering::AcqRel) {
            return false;
        }
        self.stop.store(false, Ordering::Release);
        *lock(&self.report) = None;
        true
    }

    /// How far it is; whether that is worth telling: twenty steps are enough for the eye.
    pub(crate) fn is_at(&self, report: &Report) -> bool {
        *lock(&self.report) = Some(*report);
        let step = 20 * report.moves / report.planned.max(1);
        self.told.swap(step, Ordering::AcqRel) != step
    }

    /// It is through; what it found, or nothing where it broke.
    pub(crate) fn end(&self, found: Option<Arranged>) {
        if let Some(found) = found {
            *lock(&self.done) = Some(Arc::new(found));
        }
        self.running.store(false, Ordering::Release);
    }

    /// Whether it is asked to stop.
    pub(crate) fn is_stopped(&self) -> bool {
        self.stop.load(Ordering::Acquire)
    }

    /// Asks it to stop and to keep the best so far.
    pub(crate) fn stop(&self) {
        self.stop.store(true, Ordering::Release);
    }
}

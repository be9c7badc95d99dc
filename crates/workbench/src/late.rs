//! What the engines say of a document: found when somebody first asks, kept as long as the document stands.
//!
//! An edit is answered before any of this is known; the page asks again for it at once.

use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};

use design::Design;
use finding::Finding;

use crate::bench::{Bench, Read};

/// What became of the leads since a revision.
#[derive(Debug)]
pub(crate) struct Changed {
    pub(crate) letter: String,
    pub(crate) leads: Vec<design::Since>,
}

/// What was found so far.
#[derive(Debug, Default)]
pub(crate) struct Late {
    findings: OnceLock<Vec<Finding>>,
    feeds: OnceLock<power::Outcome>,
    advice: OnceLock<signal::Advice>,
    advising: AtomicBool,
    buffers: OnceLock<Vec<(String, String)>>,
    laid: OnceLock<Design>,
    since: OnceLock<Option<Changed>>,
}

impl Read {
    /// The findings of all rules.
    pub(crate) fn all_findings(&self) -> &[Finding] {
        self.late.findings.get_or_init(|| checks::check(self.laid()))
    }

    /// The findings as far as they are known by now.
    pub(crate) fn findings(&self) -> &[Finding] {
        self.findings_for(true)
    }

    /// The findings for a page: those of all rules, or where the answer must come at once and the engines have not
    /// been asked yet, those that rest on what the document states.
    pub(crate) fn findings_for(&self, quick: bool) -> &[Finding] {
        if quick && !self.is_heard() { &self.findings } else { self.all_findings() }
    }

    /// Whether the engines have been asked.
    pub(crate) fn is_heard(&self) -> bool {
        self.late.findings.get().is_some()
    }

    /// The best allocation of outlets; where there is none, with cures out of the catalogue too.
    pub(crate) fn allocation(&self) -> &power::Outcome {
        self.late.feeds.get_or_init(|| {
            let outcome = self.shown().feeds();
            if outcome.status == power::Status::Impossible {
                self.design.feeds_with(&self.job.catalogue.devices(), self.prices.as_ref())
            } else {
                outcome.clone()
            }
        })
    }

    /// Where buffers would help, if that is known by now.
    pub(crate) fn advice(&self) -> Option<&signal::Advice> {
        self.late.advice.get()
    }

    /// Whether somebody must still look for buffers; says so to one asker only.
    pub(crate) fn wants_advice(&self) -> bool {
        self.late.advice.get().is_none() && !self.late.advising.swap(true, Ordering::Relaxed)
    }

    /// The design with its leads laid.
    pub(crate) fn laid(&self) -> &Design {
        self.late.laid.get_or_init(|| self.design.clone().laid())
    }

    /// The best that is known by now: with its leads laid, or with lengths estimated from straight lines.
    pub(crate) fn shown(&self) -> &Design {
        self.late.laid.get().unwrap_or(&self.design)
    }

    /// What became of the leads since the last revision that was frozen; `None` where there is none, or where it cannot
    /// be read today.
    pub(crate) fn since(&self, bench: &Bench, job: &str) -> Option<&Changed> {
        let find = || {
            let (letter, then) = bench.last_frozen(job)?;
            Some(Changed { letter, leads: design::since(then.laid(), self.laid()) })
        };
        self.late.since.get_or_init(find).as_ref()
    }

    /// The kinds of the catalogue that are buffers, by id and title.
    pub(crate) fn buffers(&self) -> &[(String, String)] {
        self.late.buffers.get_or_init(|| {
            let kinds = self.job.catalogue.devices();
            let buffers = kinds.into_iter().filter(crate::proposals::is_buffer);
            buffers.filter_map(|kind| Some((kind.kind?, kind.title))).collect()
        })
    }

    /// Looks for buffers.
    pub(crate) fn advise(&self) -> &signal::Advice {
        self.late
            .advice
            .get_or_init(|| signal::solve(&self.laid().signal_input(), &self.laid().signal_config()).advice)
    }
}

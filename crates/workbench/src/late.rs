//! What the engines say of a document: found when somebody first asks, kept as long as the document stands.
//!
//! An edit is answered before any of this is known; the page asks again for it at once.

use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};

use finding::Finding;

use crate::bench::{Bench, Read};
use crate::laid::{Routes, lay};
use crate::since::{Since, since};

/// What was found so far.
#[derive(Debug, Default)]
pub(crate) struct Late {
    findings: OnceLock<Vec<Finding>>,
    feeds: OnceLock<power::Outcome>,
    advice: OnceLock<signal::Advice>,
    advising: AtomicBool,
    buffers: OnceLock<Vec<(String, String)>>,
    routes: OnceLock<Routes>,
    since: OnceLock<Option<Since>>,
}

impl Read {
    /// The findings of all rules.
    pub(crate) fn all_findings(&self) -> &[Finding] {
        self.late.findings.get_or_init(|| checks::check(&self.design))
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
            let outcome = self.design.feeds();
            if outcome.status == power::Status::Impossible {
                self.design.feeds_with(&self.job.catalogue.devices())
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

    /// How the leads are laid.
    pub(crate) fn routes(&self) -> &Routes {
        self.late.routes.get_or_init(|| lay(&self.design))
    }

    /// The same, if it is known by now.
    pub(crate) fn known_routes(&self) -> Option<&Routes> {
        self.late.routes.get()
    }

    /// What became of the leads since the last revision that was frozen.
    pub(crate) fn since(&self, bench: &Bench, job: &str) -> Option<&Since> {
        self.late.since.get_or_init(|| since(bench, job, self)).as_ref()
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
            .get_or_init(|| signal::solve(&self.design.signal_input(), &self.design.signal_config()).advice)
    }
}

//! A document as the pages look at it: read, derived, and with what the engines say of it, which is found when somebody first
//! asks and kept for as long as the document stands.
//!
//! An edit is answered before any of that is known; the page asks again for it at once.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use design::Design;
use document::{Files, Job, Problem};
use drawing::Drawing;
use finding::Finding;
use rig::{Bypass, PortRole};
use store::DocumentState;

use crate::arranging::Arranging;
use crate::hash::hash_of;

/// A document with everything that follows from it.
#[derive(Debug)]
pub(crate) struct Read {
    pub(crate) job: Job,
    pub(crate) design: Design,
    /// What the document alone says, known with the answer to an edit.
    pub(crate) findings: Vec<Finding>,
    pub(crate) inputs: String,
    /// The shop's prices, where it has a list that can be read.
    pub(crate) prices: Option<estimate::Prices>,
    /// Plans of all decks or one, drawn when somebody first looks.
    plans: Mutex<BTreeMap<Option<String>, Arc<Drawing>>>,
    /// What the engines say.
    pub(crate) late: Late,
    /// A search for places.
    pub(crate) arranging: Arranging,
}

/// A document that cannot be read, and why.
#[derive(Debug)]
pub(crate) struct Trouble {
    pub(crate) problems: Vec<Problem>,
    pub(crate) files: Files,
    pub(crate) said: String,
}

/// A job as it stands.
#[derive(Debug)]
pub(crate) struct Opened {
    pub(crate) name: String,
    pub(crate) state: DocumentState,
    pub(crate) read: Result<Read, Trouble>,
}

/// What became of the leads since a revision.
#[derive(Debug)]
pub(crate) struct Changed {
    pub(crate) letter: String,
    pub(crate) leads: Vec<design::Since>,
}

/// What the signal engine answers beside the band.
#[derive(Debug)]
pub(crate) struct Advised {
    /// Where buffers would help.
    pub(crate) advice: signal::Advice,
    /// What is asked of each way, in the order of the outcome's ways.
    pub(crate) asked: Vec<Vec<signal::Said>>,
}

/// What was found so far.
#[derive(Debug, Default)]
pub(crate) struct Late {
    findings: OnceLock<Vec<Finding>>,
    feeds: OnceLock<power::Outcome>,
    advice: OnceLock<Advised>,
    advising: AtomicBool,
    buffers: OnceLock<Vec<(String, String)>>,
    laid: OnceLock<Design>,
    since: OnceLock<Option<Changed>>,
    first: OnceLock<measure::Answer>,
    building: OnceLock<design::Building>,
}

impl Read {
    /// A document that was read, with the shop's prices; nothing is asked of the engines yet.
    pub(crate) fn of(job: Job, prices: Option<estimate::Prices>) -> Self {
        let design = design::derive(job.rig.clone(), job.limits.clone());
        let findings = checks::check_stated(&design);
        let inputs = hash_of(job.files.0.iter().map(|file| file.text.as_str()));
        let (plans, late, arranging) = (Mutex::default(), Late::default(), Arranging::default());
        Self { job, design, findings, inputs, prices, plans, late, arranging }
    }

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
            let outcome = self.shown().allocation();
            if outcome.status == power::Status::Impossible {
                self.shown().feeds_with(
                    &self.job.catalogue.devices(),
                    &self.job.catalogue.cables(),
                    self.prices.as_ref(),
                )
            } else {
                outcome.clone()
            }
        })
    }

    /// Where buffers would help and what else is asked, if that is known by now.
    pub(crate) fn advice(&self) -> Option<&Advised> {
        self.late.advice.get()
    }

    /// Whether somebody must still look for buffers; says so to one asker only.
    pub(crate) fn wants_advice(&self) -> bool {
        self.late.advice.get().is_none() && !self.late.advising.swap(true, Ordering::Relaxed)
    }

    /// What to measure first; it takes a second or two when somebody first asks.
    pub(crate) fn first(&self) -> &measure::Answer {
        let config = measure::Config::QUICK;
        self.late.first.get_or_init(|| measure::first(&self.design.rig, &self.design.limits, config))
    }

    /// The work order, with what is worth measuring first.
    pub(crate) fn building(&self) -> &design::Building {
        self.late.building.get_or_init(|| {
            let first = self.first();
            let deciding = design::Deciding { values: first.decides.len(), minutes: first.minutes() };
            design::building_after(self.laid(), Some(deciding))
        })
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
    pub(crate) fn since(
        &self,
        last_frozen: impl FnOnce() -> Option<(String, Arc<Read>)>,
    ) -> Option<&Changed> {
        let find = || {
            let (letter, then) = last_frozen()?;
            Some(Changed { letter, leads: design::since(then.laid(), self.laid()) })
        };
        self.late.since.get_or_init(find).as_ref()
    }

    /// The kinds of the catalogue that are buffers, by id and title.
    pub(crate) fn buffers(&self) -> &[(String, String)] {
        self.late.buffers.get_or_init(|| {
            let kinds = self.job.catalogue.devices();
            let buffers = kinds.into_iter().filter(is_buffer);
            buffers.filter_map(|kind| Some((kind.kind?, kind.title))).collect()
        })
    }

    /// Looks for buffers, and answers what is asked of each way.
    pub(crate) fn advise(&self) -> &Advised {
        self.late.advice.get_or_init(|| {
            let (input, config) = (self.laid().signal_input(), self.laid().signal_config());
            let outcome = signal::solve(&input, &config);
            let answers = signal::answers(&input, &config, &outcome);
            let said = outcome.ways.iter().zip(&answers).map(|(way, answers)| signal::asked(answers, way));
            Advised { asked: said.collect(), advice: outcome.advice }
        })
    }
}

/// Whether a kind can serve as a buffer: never off, no gain of its own, one way in and one way out.
pub(crate) fn is_buffer(kind: &rig::Device) -> bool {
    let count = |role: PortRole| kind.ports.iter().filter(|port| port.role.value == Some(role)).count();
    kind.signal.bypass.value == Some(Bypass::AlwaysOn)
        && !kind.signal.passive
        && kind.signal.gain.value.is_some_and(|gain| gain.get() == 0.0)
        && (count(PortRole::In), count(PortRole::Out)) == (1, 1)
        && count(PortRole::Send) + count(PortRole::Return) == 0
}

impl Read {
    /// The plan of all decks or of one, with its leads laid.
    pub(crate) fn plan(&self, deck: Option<&str>) -> Arc<Drawing> {
        // Held while it is drawn: whoever asks meanwhile waits for the same drawing instead of making another.
        // What this lock guards is whole after every statement.
        let mut plans = self.plans.lock().unwrap_or_else(PoisonError::into_inner);
        let key = deck.map(str::to_owned);
        Arc::clone(plans.entry(key).or_insert_with(|| Arc::new(crate::pages::drawn::plan(self.laid(), deck))))
    }

    pub(crate) fn printed_from<'a>(
        &'a self,
        revisions: &'a [store::RevisionEntry],
        (record, plots): (&'a design::TestRecord, &'a [(String, Drawing)]),
        shelf: &'a design::Shelf,
        (shop, job): (&'a std::path::Path, &'a str),
    ) -> crate::papers::PrintedFrom<'a> {
        crate::papers::PrintedFrom {
            design: self.laid(),
            findings: self.all_findings(),
            inputs: &self.inputs,
            revisions,
            record,
            plots,
            shelf,
            shop,
            job,
            text: self.job.text(),
        }
    }
}

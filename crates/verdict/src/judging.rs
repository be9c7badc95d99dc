//! The checks at work on the placements of one job.

use document::Job;
use finding::{Edit, Finding};
use layout::{Alternative, Answer, Cancel, Config, Input, Judge, Outcome};
use rig::PortRef;

use crate::arranged::Arranged;
use crate::exits;
use crate::judge::{Refused, Verdict, cramped, is_likely, judge, ports_of, sketch};
use crate::made::is_short;
use crate::patience::Patience;
use crate::remedies::Fresh;

/// The rule of sharp bends.
const BEND: &str = "lead-bend";
/// Placements of one search behind its best that are looked at, at most, until one passes.
const OTHERS: usize = 5;

/// The checks at work on one job.
pub(crate) struct Judging<'a> {
    pub(crate) job: &'a Job,
    pub(crate) today: &'a [Finding],
    pub(crate) input: &'a Input,
    pub(crate) cancel: &'a dyn Cancel,
    /// How many placements were judged as whole documents.
    pub(crate) judged: usize,
    /// Made leads that the check stops today.
    pub(crate) short: usize,
    pub(crate) patience: Patience,
}

impl<'a> Judging<'a> {
    pub(crate) fn new(job: &'a Job, today: &'a [Finding], input: &'a Input, cancel: &'a dyn Cancel) -> Self {
        let short = today.iter().filter(|finding| is_short(finding)).map(|finding| finding.leads.len()).sum();
        Self { job, today, input, cancel, judged: 0, short, patience: Patience::new(job, today) }
    }
}

/// A placement that passes.
pub(crate) struct Passing {
    candidate: Outcome,
    pub(crate) verdict: Verdict,
    /// What is said of it that is not said today.
    pub(crate) fresh: Fresh,
    /// What is left of the alternatives of its search: those behind it.
    others: Vec<Alternative>,
}

impl Passing {
    /// Whether it has fewer made leads made again, those that are short today aside, or fewer new stops, or counts less, new
    /// looks as the search counts its own.
    pub(crate) fn is_better_than(&self, other: &Self, short: usize) -> bool {
        let rank = |passing: &Self| {
            let again = passing.verdict.remade.len().saturating_sub(short);
            let looks = u32::try_from(passing.fresh.looks).map_or(f64::INFINITY, f64::from);
            let candidate = &passing.candidate;
            (again, passing.fresh.stops, candidate.total + candidate.weights.looks.max(0.0) * looks)
        };
        rank(self) < rank(other)
    }

    /// Whether the checks have nothing new to say of it, and no made lead is made again.
    pub(crate) fn is_clean(&self, short: usize) -> bool {
        self.fresh.is_none() && self.verdict.remade.len() <= short
    }

    /// What was placed.
    pub(crate) fn outcome(&self) -> &Outcome {
        &self.candidate
    }
}

/// What came of the best placement of a search.
pub(crate) enum Looked {
    /// It passes, maybe with other exits.
    Passes(Box<Passing>),
    /// It does not, and these ports want more room.
    Cramped(Vec<PortRef>),
    /// It cannot be written.
    Refused,
}

impl Judging<'_> {
    pub(crate) fn judge(&mut self, edit: &Edit) -> Result<Verdict, Refused> {
        self.judged += 1;
        judge(self.job, self.today, edit)
    }

    /// Looks at the best of a search: at each lead by itself first, with other exits for those bent too sharp; the whole
    /// is judged only where that leaves none, or where no other search follows.
    pub(crate) fn look_at(&mut self, config: &Config, outcome: Outcome, is_last: bool) -> Looked {
        let Ok((candidate, still_sharp)) = self.unbent(config, outcome) else { return Looked::Refused };
        if !still_sharp.is_empty() && !is_last {
            return Looked::Cramped(still_sharp);
        }
        let Ok(verdict) = self.judge(&candidate.edit) else { return Looked::Refused };
        // Another search is worth more than other exits, as long as one follows.
        let (candidate, verdict) =
            if is_last { self.mended(config, candidate, verdict) } else { (candidate, verdict) };
        if verdict.fits() && candidate.feasible {
            return Looked::Passes(Box::new(self.passing(candidate, verdict)));
        }
        Looked::Cramped(cramped(&verdict))
    }

    fn passing(&self, candidate: Outcome, verdict: Verdict) -> Passing {
        let (fresh, others) = (Fresh::of(self.today, &verdict), candidate.alternatives.clone());
        Passing { candidate, verdict, fresh, others }
    }

    /// Judges placements beside one another; `None` when it is stopped meanwhile. What does not pass is left out.
    pub(crate) fn look_at_all(&mut self, outcomes: Vec<Outcome>) -> Option<Vec<Passing>> {
        let candidates: Vec<Outcome> = outcomes.into_iter().filter(|outcome| outcome.feasible).collect();
        let edits = candidates.iter().map(|candidate| candidate.edit.clone()).collect();
        let verdicts = self.patience.judged(edits, self.cancel)?;
        self.judged += verdicts.len();
        let passing = candidates.into_iter().zip(verdicts).filter_map(|(candidate, verdict)| {
            let verdict = verdict.ok().filter(Verdict::fits)?;
            Some(self.passing(candidate, verdict))
        });
        Some(passing.collect())
    }

    /// A placement with other exits where a lead, laid by itself, is bent so sharp that the checks would stop it; with the
    /// ports of those that no exit helps.
    fn unbent(&self, config: &Config, outcome: Outcome) -> Result<(Outcome, Vec<PortRef>), Refused> {
        let sketch = sketch(self.job, &outcome.edit)?;
        let design = &sketch.design;
        let stop = design.limits.bend_radius_stop.get();
        let sharp: Vec<&str> = sketch.sharp.iter().map(String::as_str).collect();
        let mut turns = exits::turns_of(design, &sharp, &self.job.rig, config);
        turns.retain(|turn| stop <= turn.diameters);
        let mut still = sharp;
        let mut best = outcome;
        for turn in turns {
            let turned = exits::turned(self.input, config, &best, design, std::slice::from_ref(&turn));
            if let Some(turned) = turned.filter(|turned| turned.feasible) {
                best = turned;
                still.retain(|part| *part != turn.part);
            }
        }
        Ok((best, ports_of(design, &still)))
    }

    /// A placement that does not pass, with other exits where its leads are bent too sharp once all are laid, if fewer
    /// findings stand in the way of it then.
    fn mended(&mut self, config: &Config, outcome: Outcome, verdict: Verdict) -> (Outcome, Verdict) {
        let bars = |verdict: &Verdict| -> usize {
            verdict.astray.len() + verdict.bars.iter().map(|bar| bar.leads.len().max(1)).sum::<usize>()
        };
        if verdict.fits() || self.cancel.is_cancelled() {
            return (outcome, verdict);
        }
        let turns = exits::turns(&verdict.design, &self.job.rig, config);
        if turns.is_empty() {
            return (outcome, verdict);
        }
        let turned = exits::turned(self.input, config, &outcome, &verdict.design, &turns);
        let Some(candidate) = turned.filter(|turned| turned.feasible) else { return (outcome, verdict) };
        match self.judge(&candidate.edit) {
            Ok(better) if bars(&better) < bars(&verdict) => (candidate, better),
            _ => (outcome, verdict),
        }
    }

    /// A placement that passes, with exits that spare its leads the bends that the checks would have looked at.
    pub(crate) fn eased(&mut self, config: &Config, passing: Passing) -> Passing {
        let is_bent = passing.verdict.beside.iter().any(|finding| finding.rule == BEND);
        if !is_bent || self.cancel.is_cancelled() {
            return passing;
        }
        let turns = exits::turns(&passing.verdict.design, &self.job.rig, config);
        let mut candidate: Option<Outcome> = None;
        for turn in turns {
            let now = candidate.as_ref().unwrap_or(&passing.candidate);
            let design = &passing.verdict.design;
            let turned = exits::turned(self.input, config, now, design, std::slice::from_ref(&turn));
            if let Some(turned) = turned.filter(|turned| turned.feasible) {
                candidate = Some(turned);
            }
        }
        let Some(candidate) = candidate else { return passing };
        let Ok(verdict) = self.judge(&candidate.edit) else { return passing };
        let was = &passing.verdict;
        let softer = exits::sharpness(&verdict.design) < exits::sharpness(&was.design);
        let worse = was.beside.len() < verdict.beside.len() || was.remade.len() < verdict.remade.len();
        if verdict.fits() && softer && !worse {
            let fresh = Fresh::of(self.today, &verdict);
            Passing { candidate, verdict, fresh, ..passing }
        } else {
            passing
        }
    }

    /// The verdict on what passes; `None` for what does not, most of which a first look turns away.
    fn passed(&mut self, edit: &Edit) -> Option<Verdict> {
        if !is_likely(self.job, edit).is_ok_and(|likely| likely) {
            return None;
        }
        self.judge(edit).ok().filter(Verdict::fits)
    }

    /// The first placement of a search behind its best that passes and has no made lead made again, else the one with the
    /// fewest.
    pub(crate) fn first_that_passes(&mut self, outcome: &Outcome) -> Option<Passing> {
        let others = outcome.alternatives.iter().chain(&outcome.further).map(|other| outcome.instead(other));
        let mut least: Option<Passing> = None;
        for (place, candidate) in others.take(OTHERS).enumerate() {
            if self.cancel.is_cancelled() {
                break;
            }
            if let Some(verdict) = self.passed(&candidate.edit) {
                let others = outcome.alternatives.iter().skip(place + 1).cloned().collect();
                let passing = Passing { others, ..self.passing(candidate, verdict) };
                if passing.verdict.remade.len() <= self.short {
                    return Some(passing);
                }
                if least.as_ref().is_none_or(|least| passing.is_better_than(least, self.short)) {
                    least = Some(passing);
                }
            }
        }
        least
    }

    /// Everything stays, and only what is open is chosen as it comes first: where that passes, and with fewer leads to be
    /// made again than this.
    pub(crate) fn as_it_stands(&mut self, config: &Config, fewer: usize) -> Option<Arranged> {
        let now = layout::measure(self.input, config);
        if !now.feasible || !now.placements.iter().all(|placement| stands(self.input, placement)) {
            return None;
        }
        let verdict = self.judge(&now.edit).ok().filter(Verdict::fits)?;
        (verdict.remade.len() < fewer).then(|| self.arranged(now, Some(Ok(verdict))))
    }

    /// The answer where the search has come to nothing that fits: what stands on the bench and passes, whatever the search
    /// found; else why not, and what would help where that is asked for.
    pub(crate) fn nothing_fits(&mut self, config: &Config, mut outcome: Outcome) -> Arranged {
        let plain = Config { relax: false, ..config.clone() };
        if let Some(stays) = self.as_it_stands(&plain, usize::MAX) {
            return stays;
        }
        if config.relax {
            let (input, cancel) = (self.input, self.cancel);
            outcome.relaxations = layout::relaxations(input, &plain, &outcome, self, cancel);
        }
        self.arranged(outcome, None)
    }

    /// A placement that passes, with those of the others that do.
    pub(crate) fn offered(&mut self, passing: Passing) -> Arranged {
        let Passing { candidate: mut outcome, verdict, others, .. } = passing;
        outcome.alternatives.clear();
        let mut verdicts = Vec::new();
        let mut others: Vec<Alternative> = others;
        for other in &mut others {
            other.differs = outcome.elsewhere(other);
        }
        others.retain(|other| 0 < other.differs && !self.cancel.is_cancelled());
        let edits = others.iter().map(|other| other.edit.clone()).collect();
        // Who stops it has the best, and no others.
        let judged = self.patience.judged(edits, self.cancel).unwrap_or_default();
        self.judged += judged.len();
        for (mut other, verdict) in others.into_iter().zip(judged) {
            let Some(verdict) = verdict.ok().filter(Verdict::fits) else { continue };
            other.edit = verdict.edit.clone();
            outcome.alternatives.push(other);
            verdicts.push(verdict);
        }
        Arranged { alternatives: verdicts, ..self.arranged(outcome, Some(Ok(verdict))) }
    }

    /// A placement alone with the answer on it: it is offered only where it passes.
    pub(crate) fn arranged(
        &self,
        mut outcome: Outcome,
        answer: Option<Result<Verdict, Refused>>,
    ) -> Arranged {
        outcome.feasible &= matches!(&answer, Some(Ok(verdict)) if verdict.fits());
        if !outcome.feasible {
            outcome.alternatives.clear();
            outcome.further.clear();
        }
        let (verdict, refused) = match answer {
            None => (None, None),
            Some(Ok(verdict)) => {
                outcome.edit = verdict.edit.clone();
                (Some(verdict), None)
            }
            Some(Err(refused)) => (None, Some(refused.to_string())),
        };
        Arranged { outcome, verdict, alternatives: Vec::new(), refused, judged: self.judged }
    }
}

/// What would help is judged as it would be written: board, plugs and places in one edit.
impl Judge for Judging<'_> {
    fn ask(&mut self, edit: &Edit) -> Answer {
        match is_likely(self.job, edit) {
            Err(_) => Answer::CannotBeWritten,
            Ok(false) => Answer::Fails,
            Ok(true) => match self.judge(edit) {
                Ok(verdict) if verdict.fits() => Answer::Passes(verdict.edit),
                _ => Answer::Fails,
            },
        }
    }
}

/// Whether the document has a place for the device of a placement.
fn stands(input: &Input, placement: &layout::Placement) -> bool {
    input.rig.device(&placement.device).is_some_and(|device| device.place.is_some())
}

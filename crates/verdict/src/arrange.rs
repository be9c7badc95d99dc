//! Placements that pass: the best of a search, or the next that does.

use document::Job;
use finding::{Edit, Finding};
use layout::{Alternative, Answer, Cancel, Config, Input, Judge, Outcome, Progress};
use quantity::Length;
use rig::PortRef;

use crate::exits;
use crate::judge::{Refused, Verdict, cramped, is_likely, judge};
use crate::made::is_short;

/// Placements of one search that are looked at, at most, until one passes.
const CANDIDATES: usize = 6;
/// Room kept free in front of a plug, in millimetres: none at first, since most leads find their way; where the checks stop
/// what was found, the arc of a thin cable, then that of a thick one. *Common practice, no source.*
const ELBOWS: [i64; 3] = [12, 20, 30];
/// Searches that keep such room where cables had too little, at most; after them one keeps it in front of every plug.
const WIDENED: usize = 4;
/// As much as that in front of every plug, in the searches after them.
const EVERYWHERE: [i64; 2] = [12, 20];
/// The last round of searches, the first being round zero.
const LAST: usize = WIDENED + EVERYWHERE.len();
/// What passes is good enough where it counts so much more than the best of the first search, as a share; else it is searched on.
const NEARLY: f64 = 0.01;
/// How often exits are chosen anew for softer bends, at most.
const EASED: usize = 2;
/// How often exits are chosen anew for leads that are bent too sharp, at most.
const MENDED: usize = 3;
/// A search that begins with the placements of the one before makes one move in so many.
const AGAIN: u64 = 8;

/// A placement with the verdict on it.
#[derive(Debug, Clone)]
pub struct Arranged {
    /// What the search found; its first placement is the one that passes, and its alternatives and ways out pass too.
    /// Where none passes it is the best of the search.
    pub outcome: Outcome,
    /// The verdict on that placement; `None` where the search has none that fits by its own rules, or where it cannot be
    /// written.
    pub verdict: Option<Verdict>,
    /// The verdicts on the alternatives, in their order.
    pub alternatives: Vec<Verdict>,
    /// Why the best cannot be written, where that is so.
    pub refused: Option<String>,
    /// How many placements were judged. Those that a first look turned away do not count.
    pub judged: usize,
}

impl Arranged {
    /// Whether a placement is offered.
    pub fn fits(&self) -> bool {
        self.outcome.feasible
    }

    /// What stands in the way of the best placement, by the checks.
    pub fn bars(&self) -> &[Finding] {
        self.verdict.as_ref().map_or(&[], |verdict| &verdict.bars)
    }
}

/// Arranges a job, and offers only what the checks let pass.
///
/// `today` is what they say of the job as it stands, its leads laid. The search is that of [`layout::solve`] on `input`,
/// which may be the job's rig with devices taken off the board; edits are written into the job's own text. Where the best
/// placement does not pass, the next are tried in order, then searches that go on from there and keep room in front of the
/// plugs whose cables had too little, at the end of every plug; and last the places as they are today. A made lead that no longer reaches is to be made again, which the edit
/// says too; what keeps the made leads as they are goes before what is only better.
pub fn arrange(
    job: &Job,
    today: &[Finding],
    input: &Input,
    config: &Config,
    progress: &dyn Progress,
    cancel: &dyn Cancel,
) -> Arranged {
    let short = today.iter().filter(|finding| is_short(finding)).map(|finding| finding.leads.len()).sum();
    let mut judging = Judging { job, today, cancel, judged: 0, short };
    let with_help = config.relax;
    let config = &Config { relax: false, ..config.clone() };
    let mut before: Option<Outcome> = None;
    let mut best: Option<Outcome> = None;
    let mut found: Option<Passing> = None;
    let mut elbows: Vec<(PortRef, Length)> = config.elbows.clone();
    let mut round = 0_usize;
    loop {
        let everywhere = round.checked_sub(WIDENED + 1).map(|last| Length::from_mm(EVERYWHERE[last]));
        let config = match everywhere {
            None => Config { elbows: elbows.clone(), ..config.clone() },
            Some(elbow) => Config { elbow: config.elbow.max(elbow), ..config.clone() },
        };
        let outcome = match &before {
            None => layout::solve(input, &config, progress, cancel),
            Some(before) => further(input, &config, before, progress, cancel),
        };
        if !outcome.feasible && before.is_none() {
            // What stands on the bench and passes is an answer, whatever the search found.
            if let Some(stays) = judging.as_it_stands(input, &config, usize::MAX) {
                return stays;
            }
            let mut outcome = outcome;
            if with_help {
                outcome.relaxations = layout::relaxations(input, &config, &outcome, &mut judging, cancel);
            }
            return judging.told(outcome, None);
        }
        if !outcome.feasible {
            // So much room is not to be had.
            if LAST <= round || found.is_some() || cancel.is_cancelled() {
                break;
            }
            round = (round + 1).max(WIDENED + 1);
            continue;
        }
        let least = best.get_or_insert_with(|| outcome.clone()).total;
        let keep = |passing: Passing, found: &mut Option<Passing>| {
            if found.as_ref().is_none_or(|found| passing.is_better_than(found, short)) {
                *found = Some(passing);
            }
        };
        // The best first, with other exits where that helps; what exits cannot mend wants room.
        let mut is_wider = false;
        let mut outcome = outcome;
        if let Ok(verdict) = judging.judge(&outcome.edit) {
            let (candidate, verdict) = judging.mended(input, &config, outcome.clone(), verdict);
            if candidate.feasible && verdict.fits() {
                let is_good = verdict.remade.len() <= short;
                let others = candidate.alternatives.clone();
                keep(Passing { candidate, verdict, others }, &mut found);
                if is_good {
                    break;
                }
            } else {
                is_wider = round < WIDENED && !cancel.is_cancelled() && widen(&mut elbows, cramped(&verdict));
                outcome = candidate;
            }
        }
        if let Some(passing) = judging.first_that_passes(&outcome) {
            let is_good = passing.candidate.total <= least + NEARLY * least.abs();
            keep(passing, &mut found);
            if is_good {
                break;
            }
        }
        round = if is_wider { round + 1 } else { (round + 1).max(WIDENED + 1) };
        if cancel.is_cancelled() || LAST < round || (WIDENED < round && found.is_some()) {
            break;
        }
        before = Some(outcome);
    }
    if let Some(Passing { candidate, verdict, others }) = found {
        // Made leads come before all that is only better: nobody takes them apart for it.
        if short < verdict.remade.len()
            && let Some(stays) = judging.as_it_stands(input, config, verdict.remade.len())
        {
            return stays;
        }
        let (candidate, verdict) = judging.eased(input, config, candidate, verdict);
        return judging.offered(candidate, verdict, others);
    }
    if let Some(stays) = judging.as_it_stands(input, config, usize::MAX) {
        return stays;
    }
    let best = best.unwrap_or_else(|| layout::measure(input, config));
    let verdict = judging.judge(&best.edit);
    judging.told(best, Some(verdict))
}

/// The places as they are today, only straightened, with the verdict on it. It is offered only where it passes.
pub fn straighten(job: &Job, today: &[Finding], input: &Input, config: &Config) -> Arranged {
    let mut judging = Judging { job, today, cancel: &layout::NeverCancelled, judged: 0, short: 0 };
    let outcome = layout::straightened(input, config);
    if !outcome.feasible {
        return judging.told(outcome, None);
    }
    let verdict = judging.judge(&outcome.edit);
    judging.told(outcome, Some(verdict))
}

/// A placement that passes.
struct Passing {
    candidate: Outcome,
    verdict: Verdict,
    /// What is left of the alternatives of its search: those behind it.
    others: Vec<Alternative>,
}

impl Passing {
    /// Whether it has fewer made leads made again, those that are short today aside, or counts less.
    fn is_better_than(&self, other: &Self, short: usize) -> bool {
        let again = |passing: &Self| passing.verdict.remade.len().saturating_sub(short);
        (again(self), self.candidate.total) < (again(other), other.candidate.total)
    }
}

/// Keeps room in front of the plugs at these ports, and the next more where it is kept already; says whether it could.
fn widen(elbows: &mut Vec<(PortRef, Length)>, ports: Vec<PortRef>) -> bool {
    let mut is_wider = false;
    for port in ports {
        let known = elbows.iter_mut().find(|(known, _)| *known == port);
        let least = known.as_ref().map_or(Length::ZERO, |(_, elbow)| *elbow);
        let more = ELBOWS.map(Length::from_mm).into_iter().find(|elbow| least < *elbow);
        is_wider |= more.is_some();
        match (known, more) {
            (Some((_, elbow)), Some(more)) => *elbow = more,
            (None, Some(more)) => elbows.push((port, more)),
            _ => {}
        }
    }
    is_wider
}

/// A search with more room wanted that goes on where another ended.
fn further(
    input: &Input,
    config: &Config,
    before: &Outcome,
    progress: &dyn Progress,
    cancel: &dyn Cancel,
) -> Outcome {
    let config = Config { moves: config.moves.div_ceil(AGAIN), ..config.clone() };
    let mut outcome = layout::again(input, &config, before, progress, cancel);
    outcome.moves += before.moves;
    outcome.planned += before.planned;
    outcome
}

/// The checks at work on one job.
struct Judging<'a> {
    job: &'a Job,
    today: &'a [Finding],
    cancel: &'a dyn Cancel,
    judged: usize,
    /// Made leads that the check stops today.
    short: usize,
}

impl Judging<'_> {
    fn judge(&mut self, edit: &Edit) -> Result<Verdict, Refused> {
        self.judged += 1;
        judge(self.job, self.today, edit)
    }

    /// The verdict on what passes; `None` for what does not, most of which a first look tells.
    fn passed(&mut self, edit: &Edit) -> Option<Verdict> {
        if !is_likely(self.job, edit).is_ok_and(|likely| likely) {
            return None;
        }
        self.judge(edit).ok().filter(Verdict::fits)
    }

    /// Everything stays, and only what is open is chosen as it comes first: where that passes, and with fewer leads to be
    /// made again than this.
    fn as_it_stands(&mut self, input: &Input, config: &Config, fewer: usize) -> Option<Arranged> {
        let now = layout::measure(input, config);
        if !now.feasible || !now.placements.iter().all(|placement| stands(input, placement)) {
            return None;
        }
        let verdict = self.judge(&now.edit).ok().filter(Verdict::fits)?;
        (verdict.remade.len() < fewer).then(|| self.told(now, Some(Ok(verdict))))
    }

    /// The first placement of a search behind its best that passes and has no made lead made again, else the one with the
    /// fewest.
    fn first_that_passes(&mut self, outcome: &Outcome) -> Option<Passing> {
        let others = outcome.alternatives.iter().chain(&outcome.further).map(|other| outcome.instead(other));
        let mut least: Option<Passing> = None;
        for (place, candidate) in others.take(CANDIDATES - 1).enumerate() {
            if self.cancel.is_cancelled() {
                break;
            }
            if let Some(verdict) = self.passed(&candidate.edit) {
                let others = outcome.alternatives.iter().skip(place + 1).cloned().collect();
                let passing = Passing { candidate, verdict, others };
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

    /// The best of a search that does not pass, with other exits where its leads are bent too sharp: as long as fewer
    /// findings stand in the way of it.
    fn mended(
        &mut self,
        input: &Input,
        config: &Config,
        outcome: Outcome,
        verdict: Verdict,
    ) -> (Outcome, Verdict) {
        let bars = |verdict: &Verdict| -> usize {
            verdict.astray.len() + verdict.bars.iter().map(|bar| bar.leads.len().max(1)).sum::<usize>()
        };
        let mut best = (outcome, verdict);
        for _ in 0..MENDED {
            let turns = exits::turns(&best.1.design, &self.job.rig, config);
            if best.1.fits() || turns.is_empty() || self.cancel.is_cancelled() {
                break;
            }
            let Some(candidate) = exits::turned(input, config, &best.0, &best.1, &turns) else { break };
            match self.judge(&candidate.edit) {
                Ok(verdict) if candidate.feasible && bars(&verdict) < bars(&best.1) => {
                    best = (candidate, verdict);
                }
                _ => break,
            }
        }
        best
    }

    /// A placement that passes, with exits that spare its leads sharp bends where there are such.
    fn eased(
        &mut self,
        input: &Input,
        config: &Config,
        outcome: Outcome,
        verdict: Verdict,
    ) -> (Outcome, Verdict) {
        let mut best = (outcome, verdict);
        for _ in 0..EASED {
            let turns = exits::turns(&best.1.design, &self.job.rig, config);
            if turns.is_empty() || self.cancel.is_cancelled() {
                break;
            }
            // All at once first; where that does not do, each by itself.
            let each = turns.chunks(1).filter(|_| 1 < turns.len());
            let tried = [turns.as_slice()].into_iter().chain(each);
            let mut eased = tried.filter_map(|turns| {
                let outcome = exits::turned(input, config, &best.0, &best.1, turns)?;
                let verdict = self.judge(&outcome.edit).ok().filter(Verdict::fits)?;
                let softer = exits::sharpness(&verdict.design) < exits::sharpness(&best.1.design);
                let worse = best.1.beside.len() < verdict.beside.len()
                    || best.1.remade.len() < verdict.remade.len()
                    || !outcome.feasible;
                (softer && !worse).then_some((outcome, verdict))
            });
            let Some(next) = eased.next() else { break };
            drop(eased);
            best = next;
        }
        best
    }

    /// A placement that passes, with those of the others that do.
    fn offered(&mut self, mut outcome: Outcome, verdict: Verdict, others: Vec<Alternative>) -> Arranged {
        outcome.alternatives.clear();
        let mut verdicts = Vec::new();
        for mut other in others {
            other.differs = outcome.elsewhere(&other);
            if let Some(verdict) = self.passed(&other.edit) {
                other.edit = verdict.edit.clone();
                outcome.alternatives.push(other);
                verdicts.push(verdict);
            }
        }
        Arranged { alternatives: verdicts, ..self.told(outcome, Some(Ok(verdict))) }
    }

    /// A placement alone with the answer on it: it is offered only where it passes.
    fn told(&self, mut outcome: Outcome, answer: Option<Result<Verdict, Refused>>) -> Arranged {
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

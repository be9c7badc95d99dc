//! Placements that pass: the best of a search, or the next that does.

use document::Job;
use finding::Finding;
use layout::{Alternative, Config, Input, Outcome, Progress, Relaxation, Stop};

use crate::judge::{Refused, Verdict, judge};

/// Placements of one search that are judged at most until one passes. Each has its leads laid.
const CANDIDATES: usize = 6;
/// Searches with another seed when none passes.
const AGAIN: u64 = 2;

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
    /// How many placements were judged.
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
/// placement does not pass, the next are tried in order, then a few searches with other seeds.
pub fn arrange(
    job: &Job,
    today: &[Finding],
    input: &Input,
    config: &Config,
    progress: &dyn Progress,
    stop: &dyn Stop,
) -> Arranged {
    let judge = |edit: &finding::Edit| judge(job, today, edit);
    let mut judged = 0;
    let mut first: Option<Arranged> = None;
    for again in 0..=AGAIN {
        let config = Config { seed: config.seed.wrapping_add(again), ..config.clone() };
        let outcome = layout::solve(input, &config, progress, stop);
        if !outcome.feasible {
            let none = Arranged { outcome, verdict: None, alternatives: Vec::new(), refused: None, judged };
            // Another seed would hardly help where this one found nothing.
            let mut arranged = first.unwrap_or(none);
            arranged.outcome.relaxations.retain(|relaxation| passes(relaxation, &judge));
            return arranged;
        }
        let mut offered: Option<(Outcome, Verdict, Vec<Alternative>)> = None;
        let mut queue = vec![outcome.clone()];
        let others: Vec<Alternative> = outcome.alternatives.iter().chain(&outcome.further).cloned().collect();
        queue.extend(others.iter().map(|other| outcome.instead(other)));
        for (place, candidate) in queue.into_iter().enumerate().take(CANDIDATES) {
            if stop.wanted() && first.is_some() {
                break;
            }
            judged += 1;
            match judge(&candidate.edit) {
                Ok(verdict) if verdict.fits() => {
                    // What is left of the alternatives stands behind the one that was taken.
                    let left = outcome.alternatives.iter().skip(place).cloned().collect();
                    offered = Some((candidate, verdict, left));
                    break;
                }
                answer => {
                    let barred = || barred(candidate.clone(), answer, judged);
                    first.get_or_insert_with(barred);
                }
            }
        }
        if let Some((mut outcome, verdict, left)) = offered {
            let mut verdicts = Vec::new();
            outcome.alternatives.clear();
            for mut other in left {
                judged += 1;
                other.differs = outcome.elsewhere(&other);
                if let Some(verdict) = judge(&other.edit).ok().filter(Verdict::fits) {
                    outcome.alternatives.push(other);
                    verdicts.push(verdict);
                }
            }
            return Arranged {
                outcome,
                verdict: Some(verdict),
                alternatives: verdicts,
                refused: None,
                judged,
            };
        }
        if stop.wanted() {
            break;
        }
    }
    let nothing = || {
        let mut outcome = layout::measure(input, config);
        outcome.feasible = false;
        Arranged { outcome, verdict: None, alternatives: Vec::new(), refused: None, judged }
    };
    let mut arranged = first.unwrap_or_else(nothing);
    arranged.judged = judged;
    arranged
}

/// The best placement, which does not pass.
fn barred(mut outcome: Outcome, answer: Result<Verdict, Refused>, judged: usize) -> Arranged {
    outcome.feasible = false;
    outcome.alternatives.clear();
    outcome.further.clear();
    let (verdict, refused) = match answer {
        Ok(verdict) => (Some(verdict), None),
        Err(refused) => (None, Some(refused.to_string())),
    };
    Arranged { outcome, verdict, alternatives: Vec::new(), refused, judged }
}

/// Whether a way out passes. One that an edit cannot write is told all the same: the builder carries it out by hand.
fn passes(relaxation: &Relaxation, judge: &dyn Fn(&finding::Edit) -> Result<Verdict, Refused>) -> bool {
    relaxation.edit.as_ref().is_none_or(|edit| judge(edit).is_ok_and(|verdict| verdict.fits()))
}

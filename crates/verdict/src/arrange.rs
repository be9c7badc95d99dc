//! Placements that pass: the best of a search, or the next that does.

use document::Job;
use finding::Finding;
use layout::{Cancel, Config, Input, Outcome, Progress};

use crate::arranged::Arranged;
use crate::judging::{Judging, Looked, Passing};
use crate::remedies::remedies;
use crate::trials::{Trials, widen};

/// A search that begins with the placements of the one before makes one move in so many.
const AGAIN: u64 = 8;
/// The last searches whose other placements are looked at where the best of none passes.
const LOOKED_BACK: usize = 2;

/// Arranges a job, and offers only what the checks let pass.
///
/// `today` is what they say of the job as it stands, its leads laid. The search is that of [`layout::solve`] on `input`,
/// which may be the job's rig with devices taken off the board; edits are written into the job's own text. Where the best
/// placement does not pass, searches go on from there and keep room in front of the plugs whose cables had too little, at
/// the end of every plug; then the next placements are tried in order; and last the places as they are today. A made lead
/// that no longer reaches is to be made again, which the edit says too; what keeps the made leads as they are goes before
/// what is only better.
pub fn arrange(
    job: &Job,
    today: &[Finding],
    input: &Input,
    config: &Config,
    progress: &dyn Progress,
    cancel: &dyn Cancel,
) -> Arranged {
    arrange_within(job, today, input, config, ROUNDS, (progress, cancel))
}

/// The same with fewer rounds in which a placement that passes is bettered.
pub(crate) fn arrange_within(
    job: &Job,
    today: &[Finding],
    input: &Input,
    config: &Config,
    rounds: u64,
    (progress, cancel): (&dyn Progress, &dyn Cancel),
) -> Arranged {
    let mut judging = Judging::new(job, today, input, cancel);
    let short = judging.short;
    let plain = &Config { relax: false, ..config.clone() };
    let mut trials = Trials::new(plain);
    // What the searches found, in their order; the last begins the next.
    let mut searched: Vec<Outcome> = Vec::new();
    let mut found: Option<Passing> = None;
    // Room in front of every plug in the search that came to it.
    let mut room = config.elbow;
    while let Some(trial) = trials.next() {
        if found.is_some() || cancel.is_cancelled() && !searched.is_empty() {
            break;
        }
        let outcome = match searched.last() {
            None => layout::solve(input, &trial, progress, cancel),
            Some(before) => further(input, &trial, before, progress, cancel),
        };
        if !outcome.feasible {
            // So much room is not to be had; where none is kept beyond what the plugs want, nothing fits.
            let is_barest = trial.elbow == config.elbow && trial.elbows.len() == config.elbows.len();
            if searched.is_empty() && (is_barest || outcome.proof.is_some() || cancel.is_cancelled()) {
                return judging.nothing_fits(config, outcome);
            }
            trials.no_more_here();
            continue;
        }
        let is_last = trials.is_last() || cancel.is_cancelled();
        searched.push(outcome.clone());
        match judging.look_at(&trial, outcome, is_last) {
            Looked::Passes(passing) => {
                room = trial.elbow;
                let is_good = passing.verdict.remade.len() <= short;
                if found.as_ref().is_none_or(|found| passing.is_better_than(found, short)) {
                    found = Some(*passing);
                }
                if is_good {
                    break;
                }
                trials.no_more_here();
            }
            Looked::Cramped(ports) => trials.wider_at(ports),
            Looked::Refused => trials.no_more_here(),
        }
    }
    let found = found.or_else(|| {
        let mut others = searched.iter().rev().take(LOOKED_BACK);
        others.find_map(|outcome| judging.first_that_passes(outcome))
    });
    let Some(passing) = found else {
        return judging.as_it_stands(plain, usize::MAX).unwrap_or_else(|| {
            let best = searched.into_iter().next().unwrap_or_else(|| layout::measure(input, plain));
            let verdict = judging.judge(&best.edit);
            judging.arranged(best, Some(verdict))
        });
    };
    // Made leads come before all that is only better: nobody takes them apart for it.
    if short < passing.verdict.remade.len()
        && let Some(stays) = judging.as_it_stands(plain, passing.verdict.remade.len())
    {
        return stays;
    }
    let passing = match searched.last() {
        Some(last) => {
            let config = Config { elbow: room, ..plain.clone() };
            refined(&mut judging, &config, passing, last, rounds, progress)
        }
        None => passing,
    };
    let passing = judging.eased(plain, passing);
    judging.offered(passing)
}

/// Rounds in which a placement that passes is bettered, at most; in each, two are judged beside one another.
const ROUNDS: u64 = 5;
/// Leads that are laid for it, all placements together: what keeps the time within bounds on large boards.
const LEADS: usize = 200;

/// Rounds in a row without a better one, after which there is no next.
const IDLE: u64 = 2;

/// A placement of which the checks have less to say that they do not say today, where one is found: the searches that
/// follow mind what was said of the best so far, and the other placements of the first are looked at too.
fn refined(
    judging: &mut Judging<'_>,
    plain: &Config,
    mut best: Passing,
    searched: &Outcome,
    rounds: u64,
    progress: &dyn Progress,
) -> Passing {
    let (input, cancel, short) = (judging.input, judging.cancel, judging.short);
    let mut config = plain.clone();
    let mut others =
        searched.alternatives.iter().chain(&searched.further).map(|other| searched.instead(other));
    let (mut left, mut idle) = (LEADS, 0);
    for round in 1..=rounds {
        let leads = best.verdict.design.leads.len();
        if best.is_clean(short) || left < 2 * leads || cancel.is_cancelled() {
            break;
        }
        left -= 2 * leads;
        let wanted = remedies(judging.today, &best.verdict);
        widen(&mut config.elbows, config.elbow, &wanted.wider);
        config.shorter.extend(wanted.shorter);
        config.shorter.sort();
        config.shorter.dedup();
        config.seed = plain.seed.wrapping_add(round);
        let mut found = further(input, &config, best.outcome(), progress, cancel);
        // What is to be short counts once when placements are compared; the usual weights are the measure.
        found.weights = plain.weights;
        let second = others.next().or_else(|| {
            let next = found.alternatives.first().or(found.further.first());
            next.map(|other| found.instead(other))
        });
        let Some(passing) = judging.look_at_all([found].into_iter().chain(second).collect()) else {
            break;
        };
        idle += 1;
        for passing in passing {
            if passing.is_better_than(&best, short) {
                best = passing;
                idle = 0;
            }
        }
        if IDLE <= idle {
            break;
        }
    }
    best
}

/// The places as they are today, only straightened, with the verdict on it. It is offered only where it passes.
pub fn straighten(job: &Job, today: &[Finding], input: &Input, config: &Config) -> Arranged {
    let mut judging = Judging::new(job, today, input, &layout::NeverCancelled);
    let outcome = layout::straightened(input, config);
    if !outcome.feasible {
        return judging.arranged(outcome, None);
    }
    let verdict = judging.judge(&outcome.edit);
    judging.arranged(outcome, Some(verdict))
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

//! The last few suspects: every trial is followed to its end, and the one that is done soonest comes first.

/// So many suspects are few enough.
pub(crate) const FEW: usize = 100;

/// Of more than so many suspects, only the trials that tell most in a minute are followed.
const ALL: usize = 16;
const BEST: usize = 6;

/// A share below this is none.
const NONE: f64 = 1e-9;

/// A branch that is taken so seldom is not followed further.
const SELDOM: f64 = 1e-3;

/// A trial of those that are left.
#[derive(Debug, Clone)]
pub(crate) struct TailTrial {
    /// Its place among all trials.
    pub(crate) at: usize,
    /// How long it takes.
    pub(crate) minutes: f64,
    /// For each suspect that is left, how likely a yes is.
    pub(crate) yes: Vec<f64>,
}

/// What is left, with the trials that tell something of it.
#[derive(Debug, Clone)]
pub(crate) struct Tail {
    /// The class of each suspect: those of one class are changed together.
    pub(crate) classes: Vec<usize>,
    /// The trials, the one that tells most in a minute first.
    pub(crate) trials: Vec<TailTrial>,
    /// From which share on a class counts as found.
    pub(crate) found: f64,
}

impl Tail {
    /// The trial after which, with the best one at each step behind it, the fault is found in the fewest minutes.
    pub(crate) fn best(&self, shares: &[f64]) -> Option<usize> {
        let mut best: Option<(f64, usize)> = None;
        let many = if shares.len() <= ALL { self.trials.len() } else { BEST };
        for (place, trial) in self.trials.iter().enumerate().take(many) {
            let used = vec![place];
            let Some(minutes) = self.through(trial, shares, 1.0, &used) else { continue };
            if best.is_none_or(|(least, _)| minutes + 1e-9 < least) {
                best = Some((minutes, trial.at));
            }
        }
        best.map(|(_, at)| at)
    }

    /// The minutes of a trial and of what follows either answer; nothing where it tells nothing.
    fn through(&self, trial: &TailTrial, shares: &[f64], often: f64, used: &[usize]) -> Option<f64> {
        let yes: f64 = shares.iter().zip(&trial.yes).map(|(share, yes)| share * yes).sum();
        let mut minutes = trial.minutes;
        for (is_yes, weight) in [(true, yes), (false, 1.0 - yes)] {
            if weight <= NONE {
                continue;
            }
            let after: Vec<f64> = shares
                .iter()
                .zip(&trial.yes)
                .map(|(share, yes)| share * if is_yes { *yes } else { 1.0 - yes } / weight)
                .collect();
            if after.iter().zip(shares).all(|(after, before)| (after - before).abs() < NONE) {
                return None;
            }
            minutes += weight * self.rest(&after, often * weight, used);
        }
        Some(minutes)
    }

    /// The minutes until it is found, by whatever tells most in a minute at each step.
    fn rest(&self, shares: &[f64], often: f64, used: &[usize]) -> f64 {
        if often < SELDOM || self.is_found(shares) {
            return 0.0;
        }
        let left: Vec<(usize, f64)> =
            shares.iter().copied().enumerate().filter(|(_, share)| NONE < *share).collect();
        let mut best: Option<(f64, usize)> = None;
        for (place, trial) in self.trials.iter().enumerate() {
            if used.contains(&place) {
                continue;
            }
            let (bits, _) = tells(left.iter().map(|(at, share)| (*share, trial.yes[*at])), 0.0);
            let worth = bits / trial.minutes;
            if 1e-9 < worth && best.is_none_or(|(most, _)| most + 1e-12 < worth) {
                best = Some((worth, place));
            }
        }
        let Some((_, place)) = best else { return 0.0 };
        let used: Vec<usize> = used.iter().copied().chain([place]).collect();
        self.through(&self.trials[place], shares, often, &used).unwrap_or(0.0)
    }

    fn is_found(&self, shares: &[f64]) -> bool {
        let mut sums = vec![0.0; shares.len()];
        for (class, share) in self.classes.iter().zip(shares) {
            sums[*class] += share;
        }
        sums.into_iter().any(|sum| self.found <= sum)
    }
}

/// What a trial tells, in bits, and how likely a yes is that somebody says; of each suspect its share and how likely a yes is in
/// truth. Mutual information of answer and suspect (Shannon 1948).
pub(crate) fn tells(of: impl Iterator<Item = (f64, f64)>, lie: f64) -> (f64, f64) {
    let (mut yes, mut within, mut certain) = (0.0, 0.0, 0.0);
    for (share, own) in of {
        let told = told(lie, own);
        yes += share * told;
        // Most know their answer: only who tells it may be wrong, and that is the same for all of them.
        if own <= 0.0 || 1.0 <= own {
            certain += share;
        } else {
            within += share * two(told);
        }
    }
    within += certain * two(lie);
    ((two(yes) - within).max(0.0), yes)
}

/// How likely a yes is that somebody says, when it is as likely as this in truth.
pub(crate) fn told(lie: f64, yes: f64) -> f64 {
    (1.0 - lie) * yes + lie * (1.0 - yes)
}

/// Entropy of a yes and a no, in bits (Shannon 1948).
fn two(yes: f64) -> f64 {
    entropy(yes) + entropy(1.0 - yes)
}

/// What a share adds to entropy.
pub(crate) fn entropy(share: f64) -> f64 {
    if share <= 0.0 { 0.0 } else { -share * libm::log2(share) }
}

//! The walk: what answers leave, and what to try next.

use std::sync::Arc;

use crate::history::factor;
use crate::input::Input;
use crate::kind::{Kind, Tool, TrialKind};
use crate::tail::{FEW, Tail, TailTrial, entropy, tells, told};
use crate::trials::{Complaint, Trial, suspects, trials};

/// What somebody answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Answer {
    /// Yes.
    Yes,
    /// No.
    No,
    /// Nobody is sure: the trial is not offered again, and nothing follows from it.
    NotSure,
}

impl Answer {
    /// The answer that a word is.
    pub fn of(word: &str) -> Option<Self> {
        [Self::Yes, Self::No, Self::NotSure].into_iter().find(|answer| answer.word() == word)
    }

    /// Its word in commands and addresses.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::No => "no",
            Self::NotSure => "unsure",
        }
    }
}

/// A trial with its answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    /// The trial's name, or [`CURED`] with the part that was changed.
    pub trial: String,
    /// What was answered.
    pub answer: Answer,
}

impl Given {
    /// As it is written in commands and addresses: `swap:L07=no`.
    pub fn written(&self) -> String {
        format!("{}={}", self.trial, self.answer.word())
    }
}

/// A share as a person reads it: `12 %`, `under 1 %`.
pub fn percent(share: f64) -> String {
    let share = 100.0 * share;
    if 0.0 < share && share < 0.5 { "under 1 %".to_owned() } else { format!("{share:.0} %") }
}

/// How the walk goes.
#[derive(Debug, Clone, PartialEq)]
pub struct Config {
    /// How often an answer is wrong, 0 to below a half.
    pub lie: f64,
    /// From which share on a fault counts as found.
    pub found: f64,
    /// Whether the table of odds counts; otherwise all suspects are alike.
    pub by_odds: bool,
    /// Whether minutes count; otherwise all trials are alike.
    pub by_minutes: bool,
    /// The kinds of trials that are offered; none named: all.
    pub kinds: Vec<TrialKind>,
    /// What is not at hand.
    pub without: Vec<Tool>,
}

impl Default for Config {
    /// One answer in twenty is wrong, and 19 of 20 is enough: common practice, no source. On stage nobody has a meter.
    fn default() -> Self {
        Self {
            lie: 0.05,
            found: 0.95,
            by_odds: true,
            by_minutes: true,
            kinds: Vec::new(),
            without: Vec::new(),
        }
    }
}

/// One suspect as things stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Suspect {
    /// By place among the parts.
    pub part: usize,
    /// How likely it is, 0 to 1.
    pub share: f64,
    /// Whether no answer but one that may have been wrong speaks against it.
    pub is_left: bool,
    /// Suspects of one number answer every trial alike: nothing here tells them apart.
    pub class: usize,
}

/// What to try next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Next<'a> {
    /// The trial.
    pub trial: &'a Trial,
    /// How likely a yes is.
    pub yes: f64,
    /// How many suspects a yes leaves.
    pub left_if_yes: usize,
    /// How many suspects a no leaves.
    pub left_if_no: usize,
    /// What it tells, in bits.
    pub bits: f64,
    /// How many more trials after it, about.
    pub more: usize,
}

/// Complaints, suspects, answers.
#[derive(Debug, Clone)]
pub struct Walk {
    suspects: Vec<usize>,
    ids: Vec<String>,
    prior: Vec<f64>,
    classes: Vec<usize>,
    /// Shared by the walks that are tried from here.
    trials: Arc<Vec<Trial>>,
    usable: Vec<bool>,
    /// How well each suspect explains the answers; at most 1.
    likely: Vec<f64>,
    config: Config,
    /// How many times each trial was answered, and whether it was given up.
    asked: Vec<(u32, bool)>,
    unknown: Vec<String>,
}

/// An answer that explains as much less than the best is taken as spoken against. With answers wrong one time in twenty, one
/// that does not fit makes a nineteenth.
const SPOKEN_AGAINST: f64 = 0.2;

/// How the name of the last question begins, behind which the part stands that was changed.
pub const CURED: &str = "cured:";

/// So many of the best trials are looked at one trial further.
const LOOKED_AHEAD: usize = 6;

/// What a trial tells.
#[derive(Debug, Clone, Copy)]
struct Worth {
    at: usize,
    bits: f64,
    yes: f64,
    minutes: f64,
}

/// A trial is asked again at most so many times.
const MOST_TIMES: u32 = 4;

impl Walk {
    /// The walk after these answers.
    pub fn new(input: &Input, complaint: &Complaint, config: &Config, given: &[Given]) -> Self {
        let mut walk = Self::begin(input, complaint, config);
        for one in given {
            walk.answer(one);
        }
        walk
    }

    fn begin(input: &Input, complaint: &Complaint, config: &Config) -> Self {
        let suspected = suspects(input, complaint);
        let trials = trials(input, complaint, &suspected);
        let suspects: Vec<usize> = suspected.iter().map(|one| one.part).collect();
        let usable: Vec<bool> = trials
            .iter()
            .map(|trial| {
                trial.tool.is_none_or(|tool| !config.without.contains(&tool))
                    && (config.kinds.is_empty() || config.kinds.contains(&trial.kind))
            })
            .collect();
        let kinds: Vec<Kind> = suspects.iter().map(|part| input.parts[*part].kind).collect();
        let symptom = complaint.symptom;
        let mut prior: Vec<f64> = suspected
            .iter()
            .zip(&kinds)
            .map(|(one, kind)| {
                if config.by_odds {
                    one.odds(input, symptom) * factor(*kind, symptom, &kinds, &input.history)
                } else {
                    1.0
                }
            })
            .collect();
        let sum: f64 = prior.iter().sum();
        for one in &mut prior {
            *one /= sum;
        }
        // Whoever answers every trial alike is of one class.
        let mut rows: Vec<Vec<u64>> = Vec::new();
        let mut classes = Vec::new();
        for at in 0..suspects.len() {
            let own = trials.iter().zip(&usable).filter(|(_, usable)| **usable);
            let row: Vec<u64> = own.map(|(trial, _)| trial.yes[at].to_bits()).collect();
            let class = rows.iter().position(|known| *known == row).unwrap_or_else(|| {
                rows.push(row);
                rows.len() - 1
            });
            classes.push(class);
        }
        let likely = vec![1.0; suspects.len()];
        let asked = vec![(0, false); trials.len()];
        let ids = suspects.iter().map(|part| input.parts[*part].id.clone()).collect();
        Self {
            suspects,
            ids,
            prior,
            classes,
            trials: Arc::new(trials),
            usable,
            likely,
            config: config.clone(),
            asked,
            unknown: Vec::new(),
        }
    }

    /// Takes one more answer.
    pub fn answer(&mut self, given: &Given) {
        if let Some(mended) = given.trial.strip_prefix(CURED) {
            self.mended(mended, given);
            return;
        }
        let Some(at) = self.trials.iter().position(|trial| trial.id == given.trial) else {
            self.unknown.push(given.trial.clone());
            return;
        };
        let is_yes = match given.answer {
            Answer::Yes => true,
            Answer::No => false,
            Answer::NotSure => {
                self.asked[at].1 = true;
                return;
            }
        };
        self.asked[at].0 += 1;
        for (likely, yes) in self.likely.iter_mut().zip(&self.trials[at].yes) {
            let told = told(self.config.lie, *yes);
            *likely *= if is_yes { told } else { 1.0 - told };
        }
        self.scale();
    }

    /// Whether it was cured once a part was changed, with everything that no trial tells from it.
    fn mended(&mut self, part: &str, given: &Given) {
        let Some(at) = self.ids.iter().position(|id| id == part) else {
            self.unknown.push(given.trial.clone());
            return;
        };
        let is_yes = match given.answer {
            Answer::Yes => true,
            Answer::No => false,
            Answer::NotSure => return,
        };
        let class = self.classes[at];
        for (likely, own) in self.likely.iter_mut().zip(&self.classes) {
            *likely *= if (*own == class) == is_yes { 1.0 - self.config.lie } else { self.config.lie };
        }
        self.scale();
    }

    fn scale(&mut self) {
        let best = self.likely.iter().copied().fold(0.0, f64::max);
        if 0.0 < best {
            for one in &mut self.likely {
                *one /= best;
            }
        }
    }

    /// Every suspect, most likely first.
    pub fn suspects(&self) -> Vec<Suspect> {
        let shares = self.shares();
        let mut out: Vec<Suspect> = (0..self.suspects.len())
            .map(|at| Suspect {
                part: self.suspects[at],
                share: shares[at],
                is_left: SPOKEN_AGAINST <= self.likely[at],
                class: self.classes[at],
            })
            .collect();
        out.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.part.cmp(&b.part)));
        out
    }

    /// The suspects that are left, most likely first.
    pub fn left(&self) -> Vec<Suspect> {
        self.suspects().into_iter().filter(|suspect| suspect.is_left).collect()
    }

    /// Answers to trials that this complaint does not have.
    pub fn unknown(&self) -> &[String] {
        &self.unknown
    }

    /// Every trial that this complaint has, whether it can be done with what is at hand or not.
    pub fn trials(&self) -> &[Trial] {
        &self.trials
    }

    /// What is found: suspects that nothing here tells apart and that are likely enough together, or everything that is left
    /// when there is nothing more to try; empty while there is.
    pub fn found(&self) -> Vec<Suspect> {
        match self.best_class() {
            Some((class, share)) if self.config.found <= share => {
                self.suspects().into_iter().filter(|suspect| suspect.class == class).collect()
            }
            Some(_) if self.next().is_none() => {
                self.left().into_iter().filter(|suspect| 0.0 < suspect.share).collect()
            }
            _ => Vec::new(),
        }
    }

    /// The smallest set of suspects, most likely first, that is at fault with this likelihood.
    pub fn most(&self, share: f64) -> Vec<usize> {
        let mut sum = 0.0;
        let mut out = Vec::new();
        for suspect in self.suspects() {
            if share <= sum {
                break;
            }
            sum += suspect.share;
            out.push(suspect.part);
        }
        out
    }

    /// What to try next: what tells most in a minute. `None` when nothing tells anything more, or the fault is found.
    pub fn next(&self) -> Option<Next<'_>> {
        if self.best_class().is_none_or(|(_, share)| self.config.found <= share) {
            return None;
        }
        let mut near = self.worth();
        let Worth { at, bits, yes, .. } = match self.of_few(&near) {
            Some(best) => best,
            None => {
                near.truncate(LOOKED_AHEAD);
                let mut best: Option<(f64, Worth)> = None;
                for one in near {
                    let ahead = self.ahead(&one);
                    if best.is_none_or(|(most, _)| most + 1e-12 < ahead) {
                        best = Some((ahead, one));
                    }
                }
                best?.1
            }
        };
        let after = |answer: Answer| {
            let mut walk = self.clone();
            walk.answer(&Given { trial: self.trials[at].id.clone(), answer });
            let left = walk.left().len();
            (left, walk.bits_left())
        };
        let ((left_if_yes, bits_yes), (left_if_no, bits_no)) = (after(Answer::Yes), after(Answer::No));
        let more = (yes * bits_yes + (1.0 - yes) * bits_no).ceil().max(0.0);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a few bits, not below zero"
        )]
        let more = more as usize;
        Some(Next { trial: &self.trials[at], yes, left_if_yes, left_if_no, bits, more })
    }

    /// What each trial that can be asked tells, the best first; of alike ones in the order of the trials.
    fn worth(&self) -> Vec<Worth> {
        let shares = self.shares();
        let most = if 0.0 < self.config.lie { MOST_TIMES } else { 1 };
        let mut out: Vec<Worth> = Vec::new();
        for (at, trial) in self.trials.iter().enumerate() {
            let (times, is_given_up) = self.asked[at];
            if !self.usable[at] || is_given_up || most <= times {
                continue;
            }
            let (bits, yes) = self.tells(trial, &shares);
            if 1e-6 < bits {
                let minutes = if self.config.by_minutes { trial.minutes } else { 1.0 };
                out.push(Worth { at, bits, yes, minutes });
            }
        }
        out.sort_by(|a, b| (b.bits / b.minutes).total_cmp(&(a.bits / a.minutes)).then(a.at.cmp(&b.at)));
        out
    }

    /// The best trial of few suspects: each is followed to its end, with every answer taken for true.
    fn of_few(&self, worth: &[Worth]) -> Option<Worth> {
        let shares = self.shares();
        let left: Vec<usize> =
            (0..shares.len()).filter(|at| SPOKEN_AGAINST <= self.likely[*at] && 0.0 < shares[*at]).collect();
        if left.len() < 2 || FEW < left.len() {
            return None;
        }
        let sum: f64 = left.iter().map(|at| shares[*at]).sum();
        let mut known: Vec<usize> = Vec::new();
        let classes = left
            .iter()
            .map(|at| {
                let class = self.classes[*at];
                known.iter().position(|own| *own == class).unwrap_or_else(|| {
                    known.push(class);
                    known.len() - 1
                })
            })
            .collect();
        let mut trials: Vec<TailTrial> = Vec::new();
        for one in worth {
            let yes: Vec<f64> = left.iter().map(|at| self.trials[one.at].yes[*at]).collect();
            // What tells the same and takes no longer stands before it.
            let is_known = trials.iter().any(|known| known.minutes <= one.minutes && known.yes == yes);
            if !is_known {
                trials.push(TailTrial { at: one.at, minutes: one.minutes, yes });
            }
        }
        let tail = Tail { classes, trials, found: self.config.found };
        let shares: Vec<f64> = left.iter().map(|at| shares[*at] / sum).collect();
        let best = tail.best(&shares)?;
        worth.iter().find(|one| one.at == best).copied()
    }

    /// What a trial and the best one after it tell in a minute: the best alone now and then leaves halves that nothing
    /// parts well.
    fn ahead(&self, one: &Worth) -> f64 {
        let (mut bits, mut minutes) = (one.bits, one.minutes);
        for (answer, share) in [(Answer::Yes, one.yes), (Answer::No, 1.0 - one.yes)] {
            let mut walk = self.clone();
            walk.answer(&Given { trial: self.trials[one.at].id.clone(), answer });
            if let Some(next) = walk.worth().first() {
                bits += share * next.bits;
                minutes += share * next.minutes;
            }
        }
        bits / minutes
    }

    fn shares(&self) -> Vec<f64> {
        let mut out: Vec<f64> =
            self.prior.iter().zip(&self.likely).map(|(prior, likely)| prior * likely).collect();
        let sum: f64 = out.iter().sum();
        if 0.0 < sum {
            for one in &mut out {
                *one /= sum;
            }
        }
        out
    }

    /// The likeliest class, with its share.
    fn best_class(&self) -> Option<(usize, f64)> {
        let mut best: Option<(usize, f64)> = None;
        for (class, share) in self.by_class().into_iter().enumerate() {
            if best.is_none_or(|(_, most)| most < share) {
                best = Some((class, share));
            }
        }
        best
    }

    fn by_class(&self) -> Vec<f64> {
        let mut sums = vec![0.0; self.classes.iter().max().map_or(0, |most| most + 1)];
        for (class, share) in self.classes.iter().zip(self.shares()) {
            sums[*class] += share;
        }
        sums
    }

    /// What is not known yet, in bits: the entropy over what can be told apart (Shannon 1948).
    pub fn bits_left(&self) -> f64 {
        self.by_class().into_iter().map(entropy).sum()
    }

    /// What a trial tells of the suspects, in bits, and how likely a yes is. Mutual information of answer and suspect
    /// (Shannon 1948): H(answer) − Σ share · H(answer | suspect).
    fn tells(&self, trial: &Trial, shares: &[f64]) -> (f64, f64) {
        tells(shares.iter().copied().zip(trial.yes.iter().copied()), self.config.lie)
    }
}

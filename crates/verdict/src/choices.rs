//! Placements that differ on purpose: each after something else, so that a person can tell them apart.

use document::Job;
use finding::Finding;
use layout::{Cancel, Config, Input, Outcome, Progress, Weights};

use crate::arrange::{arrange_within, straighten};
use crate::arranged::Arranged;

/// What a placement is after besides what all are after.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Aim {
    /// Few rows, even gaps, what is set once at the back.
    Tidy,
    /// As much of the board as can be left free in one piece.
    Compact,
    /// What is stepped on near the front edge, by its use.
    Easy,
    /// Short leads that cross little.
    Short,
}

impl Aim {
    /// All of them, in the order in which they are shown.
    pub const ALL: [Self; 4] = [Self::Tidy, Self::Compact, Self::Easy, Self::Short];

    /// Its name for a person.
    pub fn title(self) -> &'static str {
        match self {
            Self::Tidy => "tidy",
            Self::Compact => "compact",
            Self::Easy => "easy under the feet",
            Self::Short => "shortest leads",
        }
    }

    /// The weights by which it is searched for. *Common practice, no source*: so much that the examples show it.
    pub fn weights(self, usual: &Weights) -> Weights {
        // No aim is worth a wish of the client.
        let w = Weights { wishes: usual.wishes * 4.0, ..*usual };
        match self {
            Self::Tidy => Weights {
                lead: w.lead * 0.5,
                rows: w.rows * 4.0,
                near_misses: w.near_misses * 2.0,
                gaps: w.gaps * 12.0,
                set_and_forget: w.set_and_forget * 6.0,
                ..w
            },
            Self::Compact => Weights { free_room: w.free_room * 24.0, reach: w.reach * 0.5, ..w },
            Self::Easy => Weights {
                lead: w.lead * 0.5,
                reach: w.reach * 6.0,
                treadles: w.treadles * 6.0,
                looks: w.looks * 2.0,
                ..w
            },
            Self::Short => Weights {
                lead: w.lead * 4.0,
                crossings: w.crossings * 6.0,
                rows: w.rows * 0.5,
                reach: w.reach * 0.5,
                ..w
            },
        }
    }
}

/// One of the placements to choose from.
#[derive(Debug, Clone)]
pub struct Choice {
    /// What it is after; more than one where the same placement is the answer to them.
    pub aims: Vec<Aim>,
    /// The placement with the verdict on it, measured by the usual weights.
    pub arranged: Arranged,
    /// The devices that stand elsewhere than today.
    pub moved: Vec<String>,
}

/// Placements to choose from.
#[derive(Debug, Clone)]
pub struct Choices {
    /// Today's places, measured.
    pub now: Outcome,
    /// As it stands, only straightened.
    pub straightened: Arranged,
    /// Those that the checks let pass, in the order of [`Aim::ALL`]; no two of them are the same to the eye.
    pub choices: Vec<Choice>,
    /// The aims for which nothing passes.
    pub without: Vec<Aim>,
}

/// Devices that must stand elsewhere for two placements to be told apart.
const TOLD_APART: usize = 2;

/// Arranges a job once for each aim, and offers what the checks let pass.
pub fn choices(
    job: &Job,
    today: &[Finding],
    input: &Input,
    config: &Config,
    progress: &dyn Progress,
    cancel: &dyn Cancel,
) -> Choices {
    let now = layout::measure(input, config);
    let plain = Config { relax: false, alternatives: 0, ..config.clone() };
    let mut out = Choices {
        straightened: straighten(job, today, input, &plain),
        now,
        choices: Vec::new(),
        without: Vec::new(),
    };
    for aim in Aim::ALL {
        let mut weights = plain.weights;
        let mut same = None;
        let mut is_new = false;
        // What comes out as one before is sought once more, insisting more on the aim and by another chance.
        for again in 0..=AGAIN {
            weights = aim.weights(&weights);
            let config = Config { weights, seed: plain.seed + again, ..plain.clone() };
            let mut arranged = arrange_within(job, today, input, &config, 1, (progress, cancel));
            if !arranged.fits() {
                continue;
            }
            let outcome = &mut arranged.outcome;
            outcome.weights = plain.weights;
            outcome.total = outcome.terms.total(&plain.weights);
            let few = TOLD_APART.min(outcome.placements.len());
            let known = |known: &Choice| elsewhere(&known.arranged.outcome, outcome).len() < few;
            match out.choices.iter().position(known) {
                Some(place) => same = Some(place),
                None => {
                    let moved = elsewhere(&out.now, outcome);
                    out.choices.push(Choice { aims: vec![aim], arranged, moved });
                    is_new = true;
                    break;
                }
            }
            if cancel.is_cancelled() {
                break;
            }
        }
        match same {
            _ if is_new => {}
            Some(place) => out.choices[place].aims.push(aim),
            None => out.without.push(aim),
        }
    }
    out
}

/// How often a placement is sought again that differs.
const AGAIN: u64 = 1;

/// The devices that one placement has elsewhere than another: on another deck or side, turned, or by more than half their
/// width or depth.
fn elsewhere(one: &Outcome, other: &Outcome) -> Vec<String> {
    let differs = |(a, b): &(&layout::Placement, &layout::Placement)| {
        let plan = other.rig.device(&a.device).and_then(rig::Device::footprint);
        (&a.deck, a.under, a.quarters) != (&b.deck, b.under, b.quarters)
            || plan
                .is_some_and(|plan| plan.width < (a.x - b.x).abs() * 2 || plan.depth < (a.y - b.y).abs() * 2)
    };
    let pairs = one.placements.iter().zip(&other.placements).filter(differs);
    pairs.map(|(placement, _)| placement.device.clone()).collect()
}

//! A card for the case: a few trials as a tree, and what is left at each of its ends. For whoever has nothing but the guitar.

use crate::around::{Around, around};
use crate::input::Input;
use crate::kind::{Tool, TrialKind};
use crate::trials::Complaint;
use crate::walk::{Answer, Config, Given, Walk};

/// Trials one after the other, and what they leave.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Card {
    /// The trials, the first first, then those that follow it.
    pub steps: Vec<CardStep>,
    /// What is left where no trial follows.
    pub regions: Vec<Region>,
}

/// One trial of a card.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CardStep {
    /// The jack that the guitar is plugged into.
    pub jack: String,
    /// The lead that is pulled out of it first, if any.
    pub pulls: Option<String>,
    /// Where a yes leads.
    pub yes: Then,
    /// Where a no leads.
    pub no: Then,
}

/// Where an answer leads.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Then {
    /// To a step, by its place.
    Step(usize),
    /// To a region, by its place.
    Region(usize),
}

/// What is left at an end of a card.
#[derive(Debug, Clone, PartialEq)]
pub struct Region {
    /// The parts, most likely first.
    pub parts: Vec<usize>,
    /// The way to play tonight without any of them.
    pub tonight: Option<Around>,
}

/// The card of a complaint, at most so many trials deep.
pub fn card(input: &Input, complaint: &Complaint, deep: usize) -> Card {
    let config = Config {
        lie: 0.0,
        found: 1.0 - 1e-9,
        kinds: vec![TrialKind::Into],
        by_minutes: false,
        without: Tool::ALL.map(|(tool, ..)| tool).to_vec(),
        ..Config::default()
    };
    let mut out = Card::default();
    let first = Walk::new(input, complaint, &config, &[]);
    if first.suspects().is_empty() {
        return out;
    }
    // Breadth first: who follows the card reads on downwards.
    let mut open = std::collections::VecDeque::from([(first, 0, None::<(usize, Answer)>)]);
    while let Some((walk, depth, from)) = open.pop_front() {
        let next = walk.next().filter(|_| depth < deep);
        let then = match next {
            Some(next) => {
                let jack = next.trial.at.clone();
                let pulls = input.jacks.iter().find(|own| own.port == jack).and_then(|own| own.pulls);
                let pulls = pulls.map(|lead| input.parts[lead].id.clone());
                let at = out.steps.len();
                // Both answers lead somewhere before the card is done.
                out.steps.push(CardStep { jack, pulls, yes: Then::Step(at), no: Then::Step(at) });
                for answer in [Answer::Yes, Answer::No] {
                    let mut walk = walk.clone();
                    walk.answer(&Given { trial: next.trial.id.clone(), answer });
                    open.push_back((walk, depth + 1, Some((at, answer))));
                }
                Then::Step(at)
            }
            None => {
                let parts: Vec<usize> =
                    walk.left().iter().filter(|one| 0.0 < one.share).map(|one| one.part).collect();
                let tonight = around(input, complaint, &parts).into_iter().next();
                out.regions.push(Region { parts, tonight });
                Then::Region(out.regions.len() - 1)
            }
        };
        if let Some((step, answer)) = from {
            let step = &mut out.steps[step];
            if answer == Answer::Yes { step.yes = then } else { step.no = then }
        }
    }
    out
}

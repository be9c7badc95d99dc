//! What the guitar's sound loses on its way through the board: longer work than an edit may wait for, so it is
//! done beside the answer and told by an event.

use std::collections::BTreeMap;

use design::Design;
use signal::{Config, Input, LeadLength};

/// The worst change of all ways and switching states.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Heard {
    /// In decibels against the same guitar straight into the same amp, with its sign.
    pub(crate) change_db: f64,
    /// Where the way begins and ends.
    pub(crate) way: (String, String),
    /// The devices that are on in that state; `None` where no one state has it.
    pub(crate) on: Option<Vec<String>>,
    /// What is beyond asking, in decibels either way.
    pub(crate) limit_db: f64,
    /// How many values stand in for unknown ones.
    pub(crate) lacks: usize,
}

/// What can be said of it now.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Answer {
    /// It is being worked out.
    Working,
    /// No signal reaches anything.
    Silent,
    /// This is the worst.
    Worst(Heard),
}

impl Answer {
    /// From what was worked out.
    pub(crate) fn of(heard: Option<&Heard>) -> Self {
        heard.map_or(Self::Silent, |heard| Self::Worst(heard.clone()))
    }
}

/// What was heard of which inputs, and whether somebody is listening just now.
#[derive(Debug, Default)]
pub(crate) struct Hearing {
    pub(crate) known: BTreeMap<String, Option<Heard>>,
    pub(crate) busy: bool,
}

/// Asks the signal engine; `None` where no signal reaches anything.
pub(crate) fn hear(design: &Design) -> Option<Heard> {
    let leads = design
        .leads
        .iter()
        .map(|lead| LeadLength { from: lead.from.port.clone(), to: lead.to.port.clone(), length: lead.cut })
        .collect();
    let config = Config::default();
    let outcome = signal::solve_without_advice(&Input::new(&design.rig, leads), &config, false);
    let worst =
        outcome.ways.iter().filter(|way| way.judged().worst.change_at_4k_db.is_finite()).max_by(|a, b| {
            let change = |way: &signal::Way| way.judged().worst.change_at_4k_db.abs();
            change(a).total_cmp(&change(b))
        })?;
    Some(Heard {
        change_db: worst.judged().worst.change_at_4k_db,
        way: (worst.source.clone(), worst.sink.clone()),
        on: worst.judged().worst.state.clone(),
        limit_db: config.change_limit,
        lacks: outcome.lacks.len(),
    })
}

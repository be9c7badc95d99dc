//! What the guitar's sound loses on its way through the board: longer work than an edit may wait for, so it is told
//! when the engines have been asked.

use crate::read::Read;

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

/// What is known of it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Hearing {
    /// The engines have not been asked yet.
    ToCome,
    /// No signal reaches anything.
    Nothing,
    /// This.
    Known(Heard),
}

/// What the signal engine said, where it has been asked.
pub(crate) fn heard(read: &Read) -> Hearing {
    if !read.is_heard() {
        return Hearing::ToCome;
    }
    let outcome = read.shown().signal();
    let treble = |way: &signal::Way| way.treble().map_or(f64::NAN, |(db, _)| db);
    let ways = outcome.ways.iter().filter(|way| treble(way).is_finite());
    let Some(worst) = ways.max_by(|a, b| treble(a).abs().total_cmp(&treble(b).abs())) else {
        return Hearing::Nothing;
    };
    Hearing::Known(Heard {
        change_db: treble(worst),
        way: (worst.source.clone(), worst.sink.clone()),
        on: worst.treble().and_then(|(_, state)| state.cloned()),
        limit_db: read.design.limits.treble_change_look.get(),
        lacks: outcome.lacks.len(),
    })
}

//! Branches of one source, as several judges see them: what one lacks, and how far apart they are where they meet.

use std::collections::BTreeSet;

use design::Design;
use finding::Field;
use quantity::Decibels;
use signal::Branches;

use crate::asked::Asked;
use crate::compare::over;
use crate::words::shown;

/// A branch so far below another adds less than 1 dB to it (20·lg(1 + 10^(−20/20)) = 0.83 dB); common practice, no source.
const APART: f64 = 20.0;

/// `the direct branch and the branch through DLY`.
pub(crate) fn branches_in_words(branches: &Branches) -> String {
    branches.names().join(" and ")
}

/// Two branches that meet so far apart that the one is not heard beside the other.
pub(crate) struct Apart<'a> {
    /// Where they meet.
    pub(crate) at: &'a str,
    /// How far they are apart.
    pub(crate) found: Decibels,
    /// How far they may be.
    pub(crate) limit: Decibels,
    /// The gains that it rests on, with their figures.
    pub(crate) gains: Vec<(Field, String)>,
    /// Gains that are assumed or missing.
    pub(crate) asked: Asked,
}

/// How far two branches are apart where they meet, when that is too far.
pub(crate) fn levels_apart<'a>(design: &Design, branches: &'a Branches) -> Option<Apart<'a>> {
    let (at, found) = (branches.meets.as_ref()?, branches.apart_db.and_then(Decibels::new)?);
    let limit = Decibels::of(APART);
    if !over(found, limit) {
        return None;
    }
    let mut asked = Asked::default();
    let mut gains = Vec::new();
    for tag in branches.own.iter().flatten() {
        let Some(device) = design.rig.device(tag).filter(|device| !device.signal.passive) else {
            continue;
        };
        let own = design.rig.gain(device);
        if let Some(gain) = asked.value(own.value, own.field.clone()) {
            gains.push((own.field, shown(gain)));
        }
    }
    Some(Apart { at, found, limit, gains, asked })
}

/// Which of two branches is hardly heard, and by how much.
pub(crate) fn quiet_in_words(branches: &Branches, at: &str, found: Decibels) -> String {
    let quiet = branches.louder_db.map(|db| branches.names()[usize::from(0.0 < db)].clone());
    format!(
        "{} meet at {at} {} apart {}: {} is hardly heard",
        branches_in_words(branches),
        shown(found),
        signal::in_state_words(&branches.state),
        quiet.unwrap_or_else(|| "the quieter".to_owned())
    )
}

/// What one output alone does not carry.
pub(crate) struct Missing<'a> {
    /// The devices.
    pub(crate) devices: Vec<&'a str>,
    /// The outputs that carry them.
    pub(crate) elsewhere: Vec<&'a str>,
    /// The states in which it does not.
    pub(crate) states: Vec<&'a str>,
}

/// What is missing at an output and is there at another of the same source, over all states; `None` where nothing is.
pub(crate) fn missing_at<'a>(design: &'a Design, sink: &str) -> Option<Missing<'a>> {
    let (mut devices, mut elsewhere) = (BTreeSet::new(), BTreeSet::new());
    let mut states: Vec<&str> = Vec::new();
    for branches in &design.signal().branches {
        let Some((side, other)) = sides(branches, sink) else { continue };
        let own = &branches.own[other];
        if own.is_empty() || carries_more(branches, side) {
            continue;
        }
        devices.extend(own.iter().map(String::as_str));
        elsewhere.insert(branches.sinks[other].as_str());
        if !states.contains(&branches.state.as_str()) {
            states.push(&branches.state);
        }
    }
    if devices.is_empty() {
        return None;
    }
    Some(Missing {
        devices: devices.into_iter().collect(),
        elsewhere: elsewhere.into_iter().collect(),
        states,
    })
}

/// The side of two different outputs that is this one, and the other side.
fn sides(branches: &Branches, sink: &str) -> Option<(usize, usize)> {
    let [a, b] = &branches.sinks;
    if a == b {
        return None;
    }
    if a == sink { Some((0, 1)) } else { (b == sink).then_some((1, 0)) }
}

/// Whether this side has the more of its own: then it is the other that misses something.
fn carries_more(branches: &Branches, side: usize) -> bool {
    branches.own[1 - side].len() < branches.own[side].len()
}

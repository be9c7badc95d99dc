//! Branches that invert an odd number of times apart.

use std::collections::BTreeSet;

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::{Bypass, Device, Rig};
use signal::Branches;

use super::CUSTOM;
use crate::asked::Asked;
use crate::branches::branches_in_words;
use crate::group::{Pair, hubs_alike};
use crate::way::{Way, ways};
use crate::words::list;
use crate::{Page, Rule};

const ID: &str = "polarity";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "branches of opposite polarity",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[31],
    limits: &[],
    page: Page {
        what: "Two ways from one source to different amps or desks, or to one where they meet in a mixer: the number of \
               inverting devices on the one but not on the other, for every named state, or with everything engaged where no \
               state is named. A run whose `for` says that it is a dry feed or a listener is left out.",
        why: "Two amps of opposite polarity cancel each other's bass in the room; two branches do so in the mixer.",
        source: CUSTOM,
        example: "The dry amp has none before it, the wet amp has one inverting chorus.",
        remedy: "invert one branch, at a switch for it or in one lead to a balanced input, or add an inverting buffer",
    },
    check,
};

/// Two ways of one source to different ends.
pub(super) fn branches<'a, 'b>(ways: &'b [Way<'a>], rig: &'a Rig) -> Vec<(&'b Way<'a>, &'b Way<'a>)> {
    let ends = |way: &Way<'_>| rig.source(way.start()).is_some() && rig.sink(way.end()).is_some();
    let mut out = Vec::new();
    for (index, a) in ways.iter().enumerate().filter(|(_, way)| ends(way)) {
        for b in ways.iter().skip(index + 1).filter(|way| ends(way)) {
            if a.start() == b.start() && a.end() != b.end() {
                out.push((a, b));
            }
        }
    }
    out
}

/// The devices of one way that the other does not pass.
pub(super) fn own<'a>(rig: &'a Rig, way: &Way<'a>, other: &Way<'a>) -> Vec<&'a Device> {
    let shared: BTreeSet<&str> = other.steps.iter().map(|step| step.name).collect();
    let mut out: Vec<&Device> = Vec::new();
    for (_, device) in way.devices(rig) {
        if !shared.contains(device.tag.as_str()) && !out.iter().any(|have| have.tag == device.tag) {
            out.push(device);
        }
    }
    out
}

/// The names of the states to judge, and whether a device is on in each.
pub(super) fn states(design: &Design) -> Vec<(String, On<'_>)> {
    let outcome = design.signal();
    let whole = outcome.whole.iter().map(|one| {
        let when = if one.left_out.is_empty() {
            "with everything engaged".to_owned()
        } else {
            signal::in_state_words(&one.name)
        };
        (when, On::But(&one.left_out))
    });
    let named = design.rig.states.iter().filter(|state| outcome.answered.contains(&state.name));
    let named = named.map(|state| (format!("in state {}", state.name), On::These(&state.engaged)));
    whole.chain(named).collect()
}

/// What is on in a state.
#[derive(Debug, Clone, Copy)]
pub(super) enum On<'a> {
    /// These.
    These(&'a [String]),
    /// Everything but these.
    But(&'a [String]),
}

/// Whether a device is on.
///
/// A device that no one engages is on all the same when it is never off, so its bypass is asked for.
pub(super) fn is_on(asked: &mut Asked, device: &Device, on: On<'_>) -> bool {
    match on {
        On::But(tags) => !tags.contains(&device.tag),
        On::These(tags) => {
            tags.contains(&device.tag)
                || asked.value(device.signal.bypass, Field::device(&device.tag, "signal.bypass"))
                    == Some(Bypass::AlwaysOn)
        }
    }
}

/// The pairs of branches that meet before their sink, as the network has them: each meeting place with the devices that
/// are on the one branch only once, by the state where `worse` finds it worst.
pub(super) fn meetings(design: &Design, worse: impl Fn(&Branches, &Branches) -> bool) -> Vec<&Branches> {
    let mut out: Vec<&Branches> = Vec::new();
    for found in design.signal().branches.iter().filter(|branches| branches.meets.is_some()) {
        let same = |other: &&mut &Branches| (&other.meets, &other.source) == (&found.meets, &found.source);
        match out.iter_mut().find(same) {
            Some(other) if worse(found, other) => *other = found,
            Some(_) => {}
            None => out.push(found),
        }
    }
    out
}

/// Branches of opposite polarity that meet in one device.
fn summed(design: &Design) -> Vec<Finding> {
    let rank = |branches: &Branches| match branches.opposite {
        Some(true) => 2,
        None => 1,
        Some(false) => 0,
    };
    let mut out = Vec::new();
    for branches in meetings(design, |a, b| rank(b) < rank(a)) {
        let Some(at) = &branches.meets else { continue };
        let about = || branches.own.iter().flatten().cloned().chain([at.clone()]);
        let lacks: Vec<Field> =
            branches.lacks.iter().filter(|field| field.to_string().ends_with("inverts")).cloned().collect();
        let mut asked = Asked { lacks, ..Asked::default() };
        for tag in branches.own.iter().flatten() {
            if let Some(device) = design.rig.device(tag).filter(|device| device.signal.inverts.is_assumed()) {
                asked.value(device.signal.inverts, Field::device(tag, "signal.inverts"));
            }
        }
        let turning = branches.own.iter().flatten().filter(|tag| {
            design.rig.device(tag).is_some_and(|device| device.signal.inverts.value == Some(true))
        });
        match branches.opposite {
            Some(true) => out.push(
                turning.fold(
                    Finding::new(
                        ID,
                        Severity::Stop,
                        format!(
                            "{} meet at {at} with opposite polarity {}{}",
                            branches_in_words(branches),
                            signal::in_state_words(&branches.state),
                            branches.cancels().map_or_else(String::new, |cancels| format!(": {cancels}"))
                        ),
                    )
                    .about(about())
                    .with(Evidence::words("opposite", "alike"))
                    .assuming(asked.assumed),
                    |finding, tag| finding.at(Field::device(tag, "signal.inverts"), "inverts"),
                ),
            ),
            Some(false) => {}
            None => {
                out.extend(asked.cannot_judge(ID, &format!("the polarity of what meets at {at}"), about()));
            }
        }
    }
    out
}

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let all = ways(rig);
    let mut out = summed(design);
    let mut pairs = Vec::new();
    for (a, b) in branches(&all, rig) {
        // What a run is said to be tapped off for, it is.
        if a.run.purpose.is_some() || b.run.purpose.is_some() {
            continue;
        }
        let apart: Vec<&Device> = own(rig, a, b).into_iter().chain(own(rig, b, a)).collect();
        let about = || [a.end(), b.end()];
        let mut doubt = Asked::default();
        for (when, on) in states(design) {
            let mut asked = Asked::default();
            let mut inverting = Vec::new();
            for device in apart.iter().filter(|device| !device.signal.passive) {
                // What is known not to turn it over need not be known to be on.
                if device.signal.inverts.value != Some(false)
                    && is_on(&mut asked, device, on)
                    && asked.value(device.signal.inverts, Field::device(&device.tag, "signal.inverts"))
                        == Some(true)
                {
                    inverting.push(device.tag.as_str());
                }
            }
            let complete = asked.complete();
            doubt.lacks.extend(asked.lacks);
            if !complete || inverting.len() % 2 == 0 {
                continue;
            }
            let turns = if inverting.len() == 1 { "inverts" } else { "invert" };
            let case = Finding::new(
                ID,
                Severity::Stop,
                format!(
                    "{} and {} are of opposite polarity {when}: {} {turns}",
                    a.end(),
                    b.end(),
                    list(&inverting)
                ),
            )
            .about(about())
            .at(Field::run(&b.run.name, "stops"), "")
            .with(Evidence::words("opposite", "alike"))
            .assuming(asked.assumed);
            pairs.push(Pair { first: a.end().to_owned(), second: b.end().to_owned(), case });
            break;
        }
        out.extend(doubt.cannot_judge(
            ID,
            &format!("the polarity of {} against {}", a.end(), b.end()),
            about(),
        ));
    }
    for hub in hubs_alike(pairs) {
        out.extend(hub.told(|name, others, _| format!("{name} is of opposite polarity to {others}")));
    }
    out
}

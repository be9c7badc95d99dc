//! What hangs on one bank or brick as a whole.

use std::collections::{BTreeSet, VecDeque};

use design::Design;
use finding::{Evidence, Field, Figure, Finding, Severity};
use power::energy;
use quantity::{Milliamps, Volts, Watts};
use rig::{Device, FeedKind, Outlet};

use super::CUSTOM;
use crate::asked::{Asked, outlet_field};
use crate::compare::{Reading, above, too_much};
use crate::words::{list, shown};
use crate::{Page, Rule};

const ID: &str = "brick-load";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "load of each bank and of the brick as a whole",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[9],
    limits: &["brick_load_look", "brick_load_stop"],
    page: Page {
        what: "The currents of all outlets of a bank against the bank's limit, and the watts of all outlets against \
               what the brick gives at once. One that hangs on another brick gives no more than what it takes times its \
               efficiency, 80 % where nobody wrote that down. Bricks that feed one another in a ring are a stop.",
        why: "Every outlet is fine by itself, and the brick trips as a whole.",
        source: CUSTOM,
        example: "Five outlets at 400 mA and 9 V take 18 W from a brick of 15 W.",
        remedy: "move a device to another brick, or take a larger one",
    },
    check,
};

/// One outlet's part: what it gives now.
struct Part<'a> {
    outlet: &'a Outlet,
    devices: Vec<&'a Device>,
}

fn check(design: &Design) -> Vec<Finding> {
    let mut out = Vec::new();
    for brick in design.rig.by_tag().into_iter().filter(|device| !device.outlets.is_empty()) {
        if design.rig.own_adaptor_of(brick).is_some() {
            continue;
        }
        let parts: Vec<Part<'_>> = design
            .outlets
            .iter()
            .filter(|load| load.outlet.device == brick.tag)
            .filter_map(|load| {
                let devices = load.devices.iter().filter_map(|tag| design.rig.device(tag)).collect();
                Some(Part { outlet: brick.outlet(&load.outlet.port)?, devices })
            })
            .collect();
        if parts.is_empty() {
            continue;
        }
        for bank in &brick.banks {
            let own: Vec<&Part<'_>> =
                parts.iter().filter(|part| part.outlet.bank.as_deref() == Some(bank.name.as_str())).collect();
            if own.is_empty() {
                continue;
            }
            let mut asked = Asked::default();
            let field = Field::device(&brick.tag, "bank").below(&bank.name).below("current");
            let limit = asked.value(bank.current, field.clone());
            let sum: Milliamps = own.iter().map(|part| draw(&mut asked, part)).sum();
            let what = format!("bank {} of {}", bank.name, brick.tag);
            let devices = tags(brick, &own);
            out.extend(judge(design, asked, &what, devices, field, sum, limit));
        }
        let all: Vec<&Part<'_>> = parts.iter().collect();
        let mut asked = Asked::default();
        let field = Field::device(&brick.tag, "total");
        let limit = asked.value(brick.total, field.clone());
        let sum: Watts = all
            .iter()
            .map(|part| {
                let current = draw(&mut asked, part);
                let set = outlet_field(&rig::PortRef::new(&brick.tag, &part.outlet.name), "set");
                asked.value(part.outlet.set, set).map_or(Watts::ZERO, |volts| volts * current)
            })
            .sum();
        let what = format!("brick {}", brick.tag);
        out.extend(judge(design, asked, &what, vec![brick.tag.clone()], field, sum, limit));
        let arrives = design::feed_state(&design.rig, brick).and_then(|state| state.volts.value);
        match ring(design, brick) {
            // What a ring would give adds up to nothing: it is told once, of the first of those in it.
            Some(round) => out.extend((round[0] == brick.tag).then(|| in_a_ring(design, &round))),
            None => out.extend(intake(brick, arrives, sum)),
        }
    }
    out
}

/// The supplies of a ring that a brick is in, by its own tag and those that it hangs on, in order; `None` where it is in none.
fn ring(design: &Design, brick: &Device) -> Option<Vec<String>> {
    let on = |tag: &str| -> Vec<&str> {
        let feed = design.rig.device(tag).and_then(|device| device.feed.as_ref());
        let bricks = feed.into_iter().flat_map(|feed| &feed.outlets).map(|at| at.device.as_str());
        bricks.filter(|tag| design.rig.device(tag).is_some_and(|brick| !brick.outlets.is_empty())).collect()
    };
    // Upstream, each with the way that led there; the shortest way back is the ring.
    let mut ways = VecDeque::from([vec![brick.tag.as_str()]]);
    let mut seen = BTreeSet::new();
    while let Some(way) = ways.pop_front() {
        for next in on(way.last()?) {
            if next == brick.tag {
                let mut round: Vec<String> = way.iter().map(|tag| (*tag).to_owned()).collect();
                round.sort_by(|a, b| rig::tag_order(a, b));
                return Some(round);
            }
            if seen.insert(next) {
                ways.push_back(way.iter().copied().chain([next]).collect());
            }
        }
    }
    None
}

fn in_a_ring(design: &Design, round: &[String]) -> Finding {
    let says = match round {
        [one] => format!("brick {one} feeds itself"),
        [_, _] => format!("bricks {} feed each other", list(round)),
        _ => format!("bricks {} feed one another in a ring", list(round)),
    };
    let mut finding = Finding::new(ID, Severity::Stop, says)
        .about(round)
        .with(Evidence::words("a ring of supplies", "each hangs on what does not hang on it"));
    for tag in round.iter().filter(|tag| design.rig.device(tag).is_some_and(|brick| brick.feed.is_some())) {
        finding = finding.at(Field::device(tag, "feed.outlets"), "");
    }
    finding
}

/// A brick that hangs on another gives no more than what it takes times its efficiency: there is no share of that to look
/// at, since what it takes is printed with its margin.
fn intake(brick: &Device, arrives: Option<Volts>, sum: Watts) -> Option<Finding> {
    let takes = energy::intake(brick, arrives)?;
    let most = energy::gives(&takes);
    if !above(sum.get(), most.get()) {
        return None;
    }
    let mut assumed = Vec::new();
    if takes.efficiency_assumed {
        assumed.push(Field::device(&brick.tag, "efficiency"));
    }
    if takes.volts_assumed {
        assumed.push(Field::device(&brick.tag, "power.volts"));
    }
    // Two that round to the same figure read as if nothing were wrong.
    let (gives, can) = match (shown(sum), shown(most)) {
        (gives, can) if gives == can => (format!("{:.3} W", sum.get()), format!("{:.3} W", most.get())),
        apart => apart,
    };
    let says =
        format!("brick {} gives {gives} and can give {can} at most on what it takes itself", brick.tag);
    Some(
        Finding::new(ID, Severity::Stop, says)
            .about([&brick.tag])
            .at(Field::device(&brick.tag, "power.current"), "")
            .with(Evidence::at_most(sum, most))
            .assuming(assumed),
    )
}

/// The sum of what is known of the draws on an outlet.
fn draw(asked: &mut Asked, part: &Part<'_>) -> Milliamps {
    part.devices
        .iter()
        .map(|device| {
            let half = device.feed.as_ref().is_some_and(|feed| feed.kind == FeedKind::ParallelPair);
            let draw = asked.value(device.power.current, Field::device(&device.tag, "power.current"));
            draw.unwrap_or(Milliamps::ZERO) * if half { 0.5 } else { 1.0 }
        })
        .sum()
}

fn tags(brick: &Device, parts: &[&Part<'_>]) -> Vec<String> {
    let mut tags = vec![brick.tag.clone()];
    // Of a pair both outlets name the device.
    for device in parts.iter().flat_map(|part| &part.devices) {
        if !tags.contains(&device.tag) {
            tags.push(device.tag.clone());
        }
    }
    tags
}

fn judge<Q: Reading + Into<Figure> + std::ops::Mul<f64, Output = Q>>(
    design: &Design,
    asked: Asked,
    what: &str,
    devices: Vec<String>,
    field: Field,
    sum: Q,
    limit: Option<Q>,
) -> Option<Finding> {
    let complete = asked.complete();
    let (look, stop) = (design.limits.brick_load_look.get(), design.limits.brick_load_stop.get());
    let graded = limit.and_then(|limit| Some((limit, too_much(sum, limit * look, limit * stop)?)));
    match graded {
        Some((limit, (severity, passed))) if complete || severity == Severity::Stop => {
            let least = if complete { "" } else { "at least " };
            let feeds: Vec<&String> = devices.iter().skip(1).collect();
            let feeds = if feeds.is_empty() { String::new() } else { format!(" for {}", list(&feeds)) };
            Some(
                Finding::new(
                    ID,
                    severity,
                    format!("{what} gives {least}{} of {}{feeds}", shown(sum), shown(limit)),
                )
                .about(devices)
                .at(field, "")
                .with(Evidence::at_most(sum, passed))
                .assuming(asked.assumed),
            )
        }
        _ => asked.cannot_judge(ID, &format!("the load of {what}"), devices),
    }
}

//! Branches that come late.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Seconds;
use rig::{Class, Device};
use signal::Branches;

use super::CUSTOM;
use super::polarity::{On, branches, is_on, meetings, own, states};
use crate::asked::Asked;
use crate::branches::branches_in_words;
use crate::compare::too_much;
use crate::group::{Pair, hubs_alike};
use crate::way::{is_dry_feed, ways};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "latency";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "branches that come late",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[32],
    limits: &["latency_look", "latency_stop"],
    page: Page {
        what: "Two ways from one source to different amps or desks, or to one where they meet in a mixer: the difference \
               of the delays of their direct sound, for every named state, or with everything engaged where no state is named. An analogue device \
               without a stated delay has none.",
        why: "A difference Δt digs a first notch at 1/(2·Δt) where the two sounds meet: 1 ms at 500 Hz.",
        source: CUSTOM,
        example: "The wet amp comes 2.1 ms after the dry one through a digital reverb.",
        remedy: "let the digital device give effect sound only, or delay the other branch as much",
    },
    check,
};

/// Branches that meet in one device, one later than the other.
fn summed(design: &Design) -> Vec<Finding> {
    let apart = |branches: &Branches| branches.latency.unwrap_or(0.0);
    let (look, stop) = (design.limits.latency_look, design.limits.latency_stop);
    let mut out = Vec::new();
    for branches in meetings(design, |a, b| apart(b) < apart(a)) {
        let Some(at) = &branches.meets else { continue };
        let about = || branches.own.iter().flatten().cloned().chain([at.clone()]);
        let mut asked = Asked {
            lacks: branches
                .lacks
                .iter()
                .filter(|field| field.to_string().ends_with("latency"))
                .cloned()
                .collect(),
            ..Asked::default()
        };
        for tag in branches.own.iter().flatten() {
            if let Some(device) = design.rig.device(tag).filter(|device| device.signal.latency.is_assumed()) {
                asked.value(device.signal.latency, Field::device(tag, "signal.latency"));
            }
        }
        let Some(found) = branches.latency else {
            out.extend(asked.cannot_judge(ID, &format!("the delay of what meets at {at}"), about()));
            continue;
        };
        let found = Seconds::of(found);
        let Some((severity, passed)) = too_much(found, look, stop) else { continue };
        let cancel = branches.opposite.and_then(|_| branches.cancels());
        let cancel = cancel.map_or_else(String::new, |cancels| format!(": {cancels}"));
        let late = branches.own.iter().flatten().filter_map(|tag| {
            let latency = design.rig.device(tag)?.signal.latency.value?;
            Some((tag, latency)).filter(|(_, latency)| Seconds::ZERO < *latency)
        });
        out.push(
            late.fold(
                Finding::new(
                    ID,
                    severity,
                    format!(
                        "{} meet at {at} {} apart {}{cancel}",
                        branches_in_words(branches),
                        shown(found),
                        signal::in_state_words(&branches.state)
                    ),
                )
                .about(about())
                .with(Evidence::at_most(found, passed))
                .assuming(asked.assumed),
                |finding, (tag, latency)| finding.at(Field::device(tag, "signal.latency"), shown(latency)),
            ),
        );
    }
    out
}

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let all = ways(rig);
    let mut out = summed(design);
    let mut pairs = Vec::new();
    for (a, b) in branches(&all, rig) {
        // A dry feed comes as early as it comes; the desk delays it where it has to.
        if is_dry_feed(rig, a) || is_dry_feed(rig, b) {
            continue;
        }
        let sides = [own(rig, a, b), own(rig, b, a)];
        let about = || [a.end(), b.end()];
        let mut doubt = Asked::default();
        let mut worst: Option<(Seconds, String, Asked)> = None;
        for (when, on) in states(design) {
            let mut asked = Asked::default();
            let [one, other] = sides.each_ref().map(|devices| delay(&mut asked, devices, on));
            doubt.lacks.extend(asked.lacks.iter().cloned());
            let apart = if one < other { other - one } else { one - other };
            if asked.complete() && worst.as_ref().is_none_or(|(most, _, _)| *most < apart) {
                worst = Some((apart, when, asked));
            }
        }
        if let Some((apart, when, asked)) = worst {
            let (look, stop) = (design.limits.latency_look, design.limits.latency_stop);
            if let Some((severity, passed)) = too_much(apart, look, stop) {
                let case = Finding::new(
                    ID,
                    severity,
                    format!("{} and {} are {} apart {when}", a.end(), b.end(), shown(apart)),
                )
                .about(about())
                .at(Field::run(&b.run.name, "stops"), "")
                .with(Evidence::at_most(apart, passed))
                .assuming(asked.assumed);
                pairs.push(Pair { first: a.end().to_owned(), second: b.end().to_owned(), case });
            }
        }
        out.extend(doubt.cannot_judge(ID, &format!("the delay of {} against {}", a.end(), b.end()), about()));
    }
    for hub in hubs_alike(pairs) {
        out.extend(hub.told(|name, others, _| format!("{name} and {others} do not sound at the same time")));
    }
    out
}

fn delay(asked: &mut Asked, devices: &[&Device], on: On<'_>) -> Seconds {
    devices
        .iter()
        .filter(|device| !device.signal.passive)
        .filter_map(|device| match device.signal.latency.value {
            None if device.power.class.value == Some(Class::Analogue) => None,
            Some(latency) if latency == Seconds::ZERO => None,
            _ if !is_on(asked, device, on) => None,
            _ => asked.value(device.signal.latency, Field::device(&device.tag, "signal.latency")),
        })
        .sum()
}

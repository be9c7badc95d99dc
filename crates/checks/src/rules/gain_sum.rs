//! Gain of a whole state.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Decibels;
use rig::Purpose;

use super::CUSTOM;
use super::polarity::{On, is_on};
use crate::asked::Asked;
use crate::compare::over;
use crate::group::{Pair, hubs, worst_figure};
use crate::way::{Way, ways};
use crate::words::{list, shown};
use crate::{Page, Rule};

const ID: &str = "gain-sum";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "gain from guitar to amp in each state",
    severity: Severity::Look,
    since: "0.1",
    pains: &[24],
    limits: &["total_gain_look"],
    page: Page {
        what: "For every named state and every run that begins at a source: the sum of the largest gains of the devices \
               that are on. Without named states there is nothing to judge.",
        why: "Hum and hiss that nobody hears in the shop come up with the song's loudest state.",
        source: CUSTOM,
        example: "State solo has a fuzz of 45 dB into a drive of 30 dB.",
        remedy: "place a gate, change the order, or drop a device from the state",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let limit = design.limits.total_gain_look;
    let mut out = Vec::new();
    let mut pairs = Vec::new();
    // What only listens makes nothing louder.
    let plays =
        |way: &&Way<'_>| rig.source(way.start()).is_some() && way.run.purpose != Some(Purpose::Listener);
    for way in ways(rig).iter().filter(plays) {
        let can_be = |state: &&rig::State| design.signal().answered.contains(&state.name);
        for state in rig.states.iter().filter(can_be) {
            let mut asked = Asked::default();
            let mut sum = Decibels::ZERO;
            let (mut on, mut unknown) = (Vec::new(), Vec::new());
            for (_, device) in way.devices(rig).filter(|(_, device)| !device.signal.passive) {
                if is_on(&mut asked, device, On::These(&state.engaged)) && !on.contains(&device.tag) {
                    on.push(device.tag.clone());
                    let gain = rig.gain(device);
                    if gain.value.is_unknown() {
                        unknown.push(device.tag.clone());
                    }
                    sum += asked.value(gain.value, gain.field).unwrap_or(Decibels::ZERO);
                }
            }
            let (name, run) = (&state.name, &way.run.name);
            let about = || on.iter().cloned().chain([run.clone()]);
            if over(sum, limit) {
                let least = if asked.complete() { "" } else { "at least " };
                let case = Finding::new(
                    ID,
                    Severity::Look,
                    format!("state {name} has {least}{} of gain along run {run}: {}", shown(sum), list(&on)),
                )
                .about(about())
                .at(Field::of("state", name, "engaged"), "")
                .with(Evidence::at_most(sum, limit))
                .assuming(asked.assumed);
                pairs.push(Pair { first: format!("state {name}"), second: format!("run {run}"), case });
            } else {
                let about = if unknown.is_empty() { on.clone() } else { unknown };
                out.extend(asked.cannot_judge(ID, &format!("the gain of state {name}"), about));
            }
        }
    }
    for hub in hubs(pairs) {
        out.extend(hub.told(|name, others, cases| {
            format!("{name} has up to {} of gain: {others}", worst_figure(cases))
        }));
    }
    out
}

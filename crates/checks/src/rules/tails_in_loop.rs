//! Repeats that a loop cuts off.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::{Device, Rig};

use super::CUSTOM;
use crate::asked::Together;
use crate::{Page, Rule};

const ID: &str = "tails-in-loop";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "repeats that a loop cuts off",
    severity: Severity::Look,
    since: "0.1",
    pains: &[36],
    limits: &[],
    page: Page {
        what: "Devices whose repeats ring on after they are bypassed, standing in a loop of a switcher.",
        why: "When the loop goes out the tail is cut, and the device was bought for its tails.",
        source: CUSTOM,
        example: "The delay stands in loop 4 of the switcher.",
        remedy: "ask the player; take the device out of the loop and switch it by MIDI, or accept it",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    let mut unknown = Together::default();
    for (switcher, name, device) in in_loops(rig) {
        let tag = &device.tag;
        match device.signal.tails.value {
            Some(false) => {}
            Some(true) => out.push(
                Finding::new(
                    ID,
                    Severity::Look,
                    format!("loop {name} of {} cuts the tails of {tag}", switcher.tag),
                )
                .about([tag, &switcher.tag])
                .at(Field::device(tag, "signal.tails"), "")
                .with(Evidence::words("in a loop", "outside it")),
            ),
            None => unknown.add(tag, Field::device(tag, "signal.tails")),
        }
    }
    out.extend(unknown.finding(ID, "whether a loop cuts the tails of"));
    out
}

/// Every device that a run passes between send and return of a loop.
fn in_loops(rig: &Rig) -> Vec<(&Device, &str, &Device)> {
    let mut out = Vec::new();
    for switcher in rig.by_tag() {
        for circuit in &switcher.loops {
            for run in &rig.runs {
                let is = |port: &Option<rig::PortRef>, name: &str| {
                    port.as_ref().is_some_and(|port| port.device == switcher.tag && port.port == name)
                };
                let Some(start) = run.stops.iter().position(|stop| is(&stop.leaves, &circuit.send)) else {
                    continue;
                };
                let inside =
                    run.stops.iter().skip(start + 1).take_while(|stop| !is(&stop.arrives, &circuit.back));
                for stop in inside {
                    let port = stop.arrives.as_ref().or(stop.leaves.as_ref());
                    let device = port.and_then(|port| rig.device(&port.device));
                    out.extend(
                        device
                            .filter(|device| device.tag != switcher.tag && !device.signal.passive)
                            .map(|device| (switcher, circuit.name.as_str(), device)),
                    );
                }
            }
        }
    }
    out
}

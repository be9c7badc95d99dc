//! Too many presses in one moment of a song.

use std::collections::BTreeSet;

use design::Design;
use finding::{Evidence, Field, Figure, Finding, Severity};
use rig::{Rig, State, SwitchingWay};

use super::CUSTOM;
use crate::words::list;
use crate::{Page, Rule};

const ID: &str = "foot-presses";

/// From so many presses on a moment is a dance (common practice, no source).
const MANY: usize = 3;

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "foot presses in one moment",
    severity: Severity::Look,
    since: "0.1",
    pains: &[56],
    limits: &[],
    page: Page {
        what: "Each moment of a song: the devices that are engaged in one state and bypassed in the other. All that stand in \
               loops of one switcher count as one press, and so do all that one switch works together.",
        why: "Three presses within a beat need two feet.",
        source: CUSTOM,
        example: "From verse to solo the drive, the delay and the booster change: three presses.",
        remedy: "put the devices into loops of a switcher, or change the order of the songs' sounds",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let state = |name: &str| rig.states.iter().find(|state| state.name == name);
    let mut out = Vec::new();
    for moment in &rig.moments {
        let (Some(before), Some(after)) = (state(&moment.from), state(&moment.to)) else { continue };
        let (presses, changed) = presses(rig, before, after);
        if MANY <= presses {
            #[expect(clippy::cast_precision_loss, reason = "a handful of presses")]
            let found = Figure::new(presses as f64, "");
            out.push(
                Finding::new(
                    ID,
                    Severity::Look,
                    format!(
                        "moment {} takes {presses} presses, {} at most: {}",
                        moment.name,
                        MANY - 1,
                        list(&changed)
                    ),
                )
                .about(changed)
                .at(Field::of("moment", &moment.name, "after"), "")
                .with(Evidence::at_most(found, Figure::new(2.0, ""))),
            );
        }
    }
    out
}

/// What a foot presses.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum Pressed<'a> {
    /// The device itself.
    Device(&'a str),
    /// The switcher in whose loop it stands.
    Switcher(&'a str),
    /// A switch that works it together with others.
    Switch(&'a str),
}

/// How many presses lead from one state to the other, and the devices that change.
fn presses(rig: &Rig, before: &State, after: &State) -> (usize, Vec<String>) {
    let before: BTreeSet<&String> = before.engaged.iter().collect();
    let after: BTreeSet<&String> = after.engaged.iter().collect();
    let changed: Vec<String> = before.symmetric_difference(&after).map(|tag| (*tag).clone()).collect();
    let pressed: BTreeSet<Pressed<'_>> = changed
        .iter()
        .map(|tag| match (switcher_of(rig, tag), together(rig, tag)) {
            (Some(switcher), _) => Pressed::Switcher(switcher),
            (None, Some(switch)) => Pressed::Switch(switch),
            (None, None) => Pressed::Device(tag),
        })
        .collect();
    (pressed.len(), changed)
}

/// The switch that works a device together with others.
fn together<'a>(rig: &'a Rig, tag: &str) -> Option<&'a str> {
    let mut all = rig.switching.iter().filter(|one| one.way == SwitchingWay::Together);
    all.find(|one| one.devices.iter().any(|name| name == tag)).map(|one| one.name.as_str())
}

/// The device in whose loop this one stands.
fn switcher_of<'a>(rig: &'a Rig, tag: &str) -> Option<&'a str> {
    rig.runs.iter().find_map(|run| {
        let here =
            run.stops.iter().position(|stop| stop.arrives.as_ref().is_some_and(|port| port.device == tag))?;
        run.stops[..here].iter().rev().find_map(|stop| {
            let leaves = stop.leaves.as_ref()?;
            let switcher = rig.device(&leaves.device)?;
            switcher.loops.iter().any(|circuit| circuit.send == leaves.port).then_some(switcher.tag.as_str())
        })
    })
}

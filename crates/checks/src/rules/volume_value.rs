//! Passive volume pedals of the wrong value.

use design::Design;
use finding::{Evidence, Finding, Severity};
use rig::{Bypass, PickupKind};

use super::CUSTOM;
use crate::asked::{Asked, port_field};
use crate::compare::{over, under};
use crate::way::{source_of, ways};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "volume-value";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "passive volume pedals of the wrong value",
    severity: Severity::Look,
    since: "0.1",
    pains: &[29],
    limits: &["volume_after_buffer", "volume_after_pickup"],
    page: Page {
        what: "The input of a passive treadle against what stands before it: behind a buffer a low pot, behind a bare \
               passive pickup a high one.",
        why: "At half travel a pot gives a quarter of its value as source impedance, and the next lead takes the top away; \
              a low pot behind a pickup takes it at once.",
        source: CUSTOM,
        example: "A pot of 250 kΩ behind a buffer rolls off from 2.5 kHz into 1000 pF.",
        remedy: "take a pedal of 25 kΩ behind a buffer, of 250 kΩ or more behind the pickup, or an active one",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out: Vec<Finding> = Vec::new();
    for way in ways(rig) {
        let mut buffered =
            source_of(rig, &way).is_some_and(|source| source.pickup.kind.value == Some(PickupKind::Active));
        for (index, device) in way.devices(rig) {
            let is_pot = device.signal.passive && device.treadle.is_some();
            if !is_pot {
                buffered |= matches!(device.signal.bypass.value, Some(Bypass::Buffered | Bypass::AlwaysOn))
                    && !device.signal.passive;
                continue;
            }
            let Some(at) = way.steps[index].arrives else { continue };
            let Some(port) = rig.port(at) else { continue };
            let mut asked = Asked::default();
            let Some(pot) = asked.value(port.z, port_field(at, "z")) else {
                out.extend(asked.cannot_judge(ID, &format!("the value of {}", device.tag), [&device.tag]));
                continue;
            };
            let (passed, bound, evidence) = if buffered {
                let limit = design.limits.volume_after_buffer;
                (over(pot, limit), format!("{} at most", shown(limit)), Evidence::at_most(pot, limit))
            } else {
                let limit = design.limits.volume_after_pickup;
                (under(pot, limit), format!("{} at least", shown(limit)), Evidence::at_least(pot, limit))
            };
            if passed {
                let before = if buffered { "behind a buffer" } else { "behind the pickup" };
                out.push(
                    Finding::new(
                        ID,
                        Severity::Look,
                        format!("{} is a pot of {} {before}, {bound}", device.tag, shown(pot)),
                    )
                    .about([&device.tag])
                    .at(port_field(at, "z"), "")
                    .with(evidence)
                    .assuming(asked.assumed),
                );
            }
        }
    }
    out
}

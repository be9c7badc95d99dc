//! Passive volume pedals of the wrong value.

use design::Design;
use finding::{Evidence, Finding, Severity};
use rig::{Bypass, PickupKind, Rig};

use super::CUSTOM;
use crate::asked::{Asked, port_field};
use crate::compare::{over, under};
use crate::way::{Way, source_of, ways};
use crate::words::{list, shown};
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
               passive pickup a high one. A buffer in a loop that can be out is not always there: the pot hangs on the pickup \
               then, and wants a high value.",
        why: "At half travel a pot gives a quarter of its value as source impedance, and the next lead takes the top away; \
              a low pot behind a pickup takes it at once.",
        source: CUSTOM,
        example: "A pot of 250 kΩ behind a buffer rolls off from 2.5 kHz into 1000 pF.",
        remedy: "take a pedal of 25 kΩ behind a buffer, of 250 kΩ or more behind the pickup, or an active one",
    },
    check,
};

/// The loop of a switcher that a step of a way stands in, as `TAG.loop`.
fn loop_around(rig: &Rig, way: &Way<'_>, at: usize) -> Option<String> {
    let (before, after) = (way.steps.get(..at)?, way.steps.get(at + 1..)?);
    before.iter().find_map(|step| {
        let (device, leaves) = (rig.device(step.name)?, step.leaves?);
        let own = device.loops.iter().find(|own| own.send == leaves.port)?;
        let comes_back = |later: &&crate::way::Step<'_>| {
            later.name == step.name && later.arrives.is_some_and(|port| port.port == own.back)
        };
        after.iter().find(comes_back).map(|_| format!("{}.{}", device.tag, own.name))
    })
}

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out: Vec<Finding> = Vec::new();
    for way in ways(rig) {
        // What is a buffer only while the loop that it stands in is in.
        let mut sometimes: Vec<String> = Vec::new();
        let mut buffered =
            source_of(rig, &way).is_some_and(|source| source.pickup.kind.value == Some(PickupKind::Active));
        for (index, device) in way.devices(rig) {
            let is_pot = device.signal.passive && device.treadle.is_some();
            if !is_pot {
                let is_buffer =
                    matches!(device.signal.bypass.value, Some(Bypass::Buffered | Bypass::AlwaysOn))
                        && !device.signal.passive;
                match loop_around(rig, &way, index).filter(|_| is_buffer) {
                    Some(name) if !sometimes.contains(&name) => sometimes.push(name),
                    Some(_) => {}
                    None => buffered |= is_buffer,
                }
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
                let before = match (buffered, sometimes.as_slice()) {
                    (true, _) => "behind a buffer".to_owned(),
                    (false, []) => "behind the pickup".to_owned(),
                    (false, loops) => format!("behind the pickup with {} out", list(loops)),
                };
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

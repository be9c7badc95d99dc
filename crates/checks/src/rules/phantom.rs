//! Phantom power on outputs.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::ConnectorFamily;

use super::CUSTOM;
use crate::asked::{Asked, port_field};
use crate::group::{by_key, devices_but, together};
use crate::way::{is_wall, ways};
use crate::{Page, Rule};

const ID: &str = "phantom";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "phantom power on outputs that do not stand it",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[35],
    limits: &[],
    page: Page {
        what: "The last output before a desk input with phantom power: it must stand it, by a transformer or by its make. \
               Where it is unknown whether the desk puts it on, XLR outputs are asked about.",
        why: "48 V on an output that is not made for it hurts the output, and crackles meanwhile.",
        source: CUSTOM,
        example: "PRE.XLR goes to the desk; nobody knows whether it stands phantom power.",
        remedy: "put a transformer between, or have phantom power switched off at the desk and write it on the fault card",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    let mut cases: Vec<(&str, Finding)> = Vec::new();
    for way in ways(rig) {
        let Some(sink) = rig.sink(way.end()) else { continue };
        if sink.phantom.value == Some(false) {
            continue;
        }
        let last = way.steps.iter().rev().skip(1).find_map(|step| {
            rig.device(step.name).filter(|device| !is_wall(device)).map(|device| (step, device))
        });
        let Some((step, device)) = last else { continue };
        let Some((at, port)) = step.leaves.and_then(|at| Some((at, rig.port(at)?))) else { continue };
        let family = port.connector.as_ref().map(|connector| connector.family);
        if device.signal.transformer.value == Some(true) || port.phantom_safe.value == Some(true) {
            continue;
        }
        // Nobody fits phantom power to an ordinary jack input; only XLR is worth the question.
        let plain = family.is_some_and(|family| family != ConnectorFamily::Xlr);
        if sink.phantom.is_unknown() && plain && port.phantom_safe.is_unknown() {
            continue;
        }
        let mut asked = Asked::default();
        let on = asked.value(sink.phantom, Field::of("sink", &sink.id, "phantom"));
        let safe = asked.value(port.phantom_safe, port_field(at, "phantom_safe"));
        let devices = [&device.tag, &sink.id];
        if on == Some(true) && safe == Some(false) {
            cases.push((
                &sink.id,
                Finding::new(
                    ID,
                    Severity::Stop,
                    format!("{} puts phantom power on {at}, which does not stand it", sink.id),
                )
                .about(devices)
                .at(port_field(at, "phantom_safe"), "")
                .with(Evidence::words("phantom power", "none, or a transformer"))
                .assuming(asked.assumed),
            ));
        } else {
            out.extend(asked.cannot_judge(
                ID,
                &format!("whether {at} stands what {} puts on it", sink.id),
                devices,
            ));
        }
    }
    for (sink, cases) in by_key(cases) {
        out.extend(together(cases, |cases| {
            format!("{sink} puts phantom power on {}, which do not stand it", devices_but(cases, &[sink]))
        }));
    }
    out
}

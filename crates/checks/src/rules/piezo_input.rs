//! The first input after a passive piezo.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::PickupKind;

use super::CUSTOM;
use crate::asked::{Asked, port_field};
use crate::compare::too_little;
use crate::group::{by_key, devices_but, together};
use crate::way::{junctions, source_of, ways};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "piezo-input";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "first input after a passive piezo",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[34],
    limits: &["piezo_input_look", "piezo_input_stop"],
    page: Page {
        what: "Every input that may come first after a passive piezo, when the devices before it are bypassed.",
        why: "The element is a small capacitor: into a low input it loses its bass and sounds thin and quacky.",
        source: CUSTOM,
        example: "An element of 500 pF and its lead corner at about 200 Hz in 1 MΩ.",
        remedy: "put a preamp or buffer of 5 MΩ or more first",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let (look, stop) = (design.limits.piezo_input_look, design.limits.piezo_input_stop);
    let mut out = Vec::new();
    let mut cases: Vec<(&str, Finding)> = Vec::new();
    for way in ways(rig) {
        let Some(source) = source_of(rig, &way) else { continue };
        if source.pickup.kind.value.is_some_and(|kind| kind != PickupKind::Piezo) {
            continue;
        }
        for junction in junctions(rig, &way).iter().filter(|junction| junction.giver == 0) {
            let step = way.steps[junction.taker];
            let Some(port) = step.arrives else { continue };
            let mut asked = Asked::default();
            let kind = asked.value(source.pickup.kind, Field::of("source", &source.id, "electrics.kind"));
            let (known, field) = match (rig.sink(step.name), rig.port(port)) {
                (Some(sink), _) => (sink.z, Field::of("sink", step.name, "z")),
                (None, Some(jack)) => (jack.z, port_field(port, "z")),
                (None, None) => continue,
            };
            let z = asked.value(known, field.clone());
            let devices = [source.id.as_str(), step.name];
            let graded = z.map(|z| (z, too_little(z, look, stop)));
            match (kind, graded) {
                (_, Some((_, None))) => {}
                (Some(_), Some((z, Some((severity, passed))))) => {
                    for device in &junction.between {
                        asked.value(device.signal.bypass, Field::device(&device.tag, "signal.bypass"));
                    }
                    let what = format!("whether {} meets {} first", source.id, step.name);
                    if !asked.complete() {
                        out.extend(asked.cannot_judge(ID, &what, devices));
                        continue;
                    }
                    let off = if junction.between.is_empty() {
                        ""
                    } else {
                        ", with the devices before it bypassed"
                    };
                    let case = Finding::new(
                        ID,
                        severity,
                        format!("piezo {} meets {} at {}{off}", source.id, shown(z), step.name),
                    )
                    .about(devices)
                    .at(field, "")
                    .with(Evidence::at_least(z, passed))
                    .assuming(asked.assumed);
                    cases.push((source.id.as_str(), case));
                }
                _ if kind.is_some() => {
                    out.extend(asked.cannot_judge(
                        ID,
                        &format!("the first input after {}", source.id),
                        devices,
                    ));
                }
                // Whether it is a piezo at all decides; the input would be too low for one.
                (None, Some(_)) => {
                    out.extend(asked.cannot_judge(
                        ID,
                        &format!("the first input after {}", source.id),
                        devices,
                    ));
                }
                _ => {}
            }
        }
    }
    for (source, cases) in by_key(cases) {
        out.extend(together(cases, |cases| {
            format!("piezo {source} meets too low an input at {}", devices_but(cases, &[source]))
        }));
    }
    out
}

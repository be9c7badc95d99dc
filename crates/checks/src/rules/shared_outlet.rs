//! Devices that share one outlet.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::{Devices, Milliamps};
use rig::Class;

use super::CUSTOM;
use crate::asked::Asked;
use crate::compare::over;
use crate::words::{list, shown};
use crate::{Page, Rule};

const ID: &str = "shared-outlet";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "devices that share one outlet",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[2],
    limits: &["outlet_share_most", "shared_analogue_look", "shared_gain_look"],
    page: Page {
        what: "Outlets that feed two or more devices. A digital one among them is a stop; analogue ones together may \
               draw only a little, and none of them may have much gain. More than the settings allow on one outlet are a \
               stop.",
        why: "Clock noise of a digital device passes through the common supply into everything that shares it.",
        source: CUSTOM,
        example: "A4 (digital) and A5 hang on SUP.5.",
        remedy: "give the digital device, or the one with much gain, an isolated outlet of its own",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    for load in design.outlets.iter().filter(|load| 1 < load.devices.len()) {
        if rig.device(&load.outlet.device).and_then(|brick| brick.outlet(&load.outlet.port)).is_none() {
            continue;
        }
        let devices: Vec<_> = load.devices.iter().filter_map(|tag| rig.device(tag)).collect();
        let who = list(&load.devices);
        let about = || load.devices.iter().chain([&load.outlet.device]);
        let (count, most) = (number(load.devices.len()), design.limits.outlet_share_most);
        if most < count {
            out.push(
                Finding::new(ID, Severity::Stop, format!("outlet {} feeds {who}: {count}", load.outlet))
                    .about(about())
                    .at(Field::device(&load.devices[0], "feed"), "")
                    .with(Evidence::at_most(count, most)),
            );
        }
        let mut asked = Asked::default();
        let digital = devices.iter().find(|device| {
            asked.value(device.power.class, Field::device(&device.tag, "power.class")) == Some(Class::Digital)
        });
        if let Some(device) = digital {
            out.push(
                Finding::new(
                    ID,
                    Severity::Stop,
                    format!("{} is digital and shares outlet {}: it feeds {who}", device.tag, load.outlet),
                )
                .about(about())
                .at(Field::device(&device.tag, "feed"), "")
                .with(Evidence::words("digital, shared", "alone on its outlet"))
                .assuming(asked.assumed),
            );
            continue;
        }
        let mut sum = Milliamps::ZERO;
        let mut loudest = None;
        for device in &devices {
            if let Some(draw) = asked.value(device.power.current, Field::device(&device.tag, "power.current"))
            {
                sum += draw;
            }
            let gain = rig.gain(device);
            if let Some(gain) = asked.value(gain.value, gain.field)
                && over(gain, design.limits.shared_gain_look)
            {
                loudest = loudest.max(Some((gain, &device.tag)));
            }
        }
        let look = |message: String, evidence: Evidence| {
            Finding::new(ID, Severity::Look, message)
                .about(about())
                .at(Field::device(&devices[0].tag, "feed"), "")
                .with(evidence)
        };
        if !asked.complete() {
            out.extend(asked.clone().cannot_judge(
                ID,
                &format!("whether {who} may share outlet {}", load.outlet),
                about(),
            ));
        }
        let limit = design.limits.shared_analogue_look;
        if over(sum, limit) {
            let message = format!("{who} share outlet {} and draw {} together", load.outlet, shown(sum));
            out.push(look(message, Evidence::at_most(sum, limit)).assuming(asked.assumed.clone()));
        }
        if let Some((gain, tag)) = loudest {
            let message = format!(
                "{tag} has {} of gain and shares outlet {}: it feeds {who}",
                shown(gain),
                load.outlet
            );
            out.push(
                look(message, Evidence::at_most(gain, design.limits.shared_gain_look))
                    .assuming(asked.assumed),
            );
        }
    }
    out
}

/// A count as a figure.
fn number(count: usize) -> Devices {
    u32::try_from(count).ok().and_then(|count| Devices::new(f64::from(count))).unwrap_or_default()
}

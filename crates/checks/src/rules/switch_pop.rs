//! Switches that pop.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::Bypass;

use super::CUSTOM;
use crate::compare::over;
use crate::way::ways;
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "switch-pop";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "hard bypass that may pop before high gain",
    severity: Severity::Look,
    since: "0.1",
    pains: &[23],
    limits: &["bleed_look", "high_gain"],
    page: Page {
        what: "A device with hard bypass and known bleed resistors larger than the limit that stands before a device of high gain.",
        why: "A contact left floating charges up; stepping on it is heard as a pop, and gain makes it loud.",
        source: CUSTOM,
        example: "The booster's contacts hang on 4.7 MΩ, and 45 dB follow.",
        remedy: "fit bleed resistors of 1 MΩ at input and output",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    for way in ways(rig) {
        let devices: Vec<_> = way.devices(rig).map(|(_, device)| device).collect();
        for (index, device) in devices.iter().enumerate() {
            let Some(bleed) = device.signal.bleed.value else { continue };
            let loud = devices[index + 1..].iter().find(|later| {
                rig.gain(later).value.value.is_some_and(|gain| design.limits.high_gain <= gain)
            });
            let Some(loud) = loud.filter(|_| device.signal.bypass.value == Some(Bypass::Hard)) else {
                continue;
            };
            let limit = design.limits.bleed_look;
            if over(bleed, limit) {
                let says = format!(
                    "{} may pop: its contacts hang on {} before the gain of {}",
                    device.tag,
                    shown(bleed),
                    loud.tag
                );
                out.push(
                    Finding::new(ID, Severity::Look, says)
                        .about([&device.tag, &loud.tag])
                        .at(Field::device(&device.tag, "signal.bleed"), "")
                        .with(Evidence::at_most(bleed, limit)),
                );
            }
        }
    }
    out
}

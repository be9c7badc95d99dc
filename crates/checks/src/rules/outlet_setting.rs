//! Outlets set to what they do not have.

use design::Design;
use finding::{Evidence, Finding, Severity};
use rig::PortRef;

use super::CUSTOM;
use crate::asked::outlet_field;
use crate::words::list;
use crate::{Page, Rule};

const ID: &str = "outlet-setting";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "outlets set to a voltage they do not have",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[8],
    limits: &[],
    page: Page {
        what: "The voltage an outlet is set to must be one of those it can be set to; a look where nothing hangs on it yet.",
        why: "What is planned at 18 V cannot be built with an outlet of 9 and 12 V.",
        source: CUSTOM,
        example: "SUP.5 is set to 18 V; it has 9 V and 12 V.",
        remedy: "set it to a voltage it has, or feed the device from another outlet or a pair",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let mut out = Vec::new();
    for brick in design.rig.by_tag() {
        for outlet in &brick.outlets {
            let Some(set) = outlet.set.value else { continue };
            if outlet.settings.is_empty() || outlet.setting().is_some() {
                continue;
            }
            let has: Vec<String> = outlet.settings.iter().map(|setting| setting.volts.to_string()).collect();
            let reference = PortRef::new(&brick.tag, &outlet.name);
            let used = design.outlets.iter().any(|load| load.outlet == reference);
            let severity = if used { Severity::Stop } else { Severity::Look };
            out.push(
                Finding::new(
                    ID,
                    severity,
                    format!("outlet {reference} is set to {set}, it has {}", list(&has)),
                )
                .about([&brick.tag])
                .at(outlet_field(&reference, "set"), "")
                .with(Evidence::words(set.to_string(), list(&has))),
            );
        }
    }
    out
}

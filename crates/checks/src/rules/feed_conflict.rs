//! Devices that no choice of outlets can feed together.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use power::{Status, stated, verify};

use super::CUSTOM;
use crate::{Page, Rule};

const ID: &str = "feed-conflict";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "devices that cannot be fed together",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[1, 8],
    limits: &[],
    page: Page {
        what: "Where the stated feeds do not hold, every allocation of outlets is searched, with settings, pairs, \
               splitters, crossing leads and adaptors. Where none feeds all devices, the smallest sets of devices \
               that cannot be fed together are told. What rests on values nobody knows is told by the rules of each feed.",
        why: "Moving plugs from outlet to outlet for an evening finds the same, without the certainty.",
        source: CUSTOM,
        example: "Three devices need 300 mA or more, and only two outlets give that.",
        remedy: "add or change a brick, or let a device run on its own adaptor; `boardwright feed` tells what helps",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let input = design.power_input();
    let now = verify::verify(input, &stated(input));
    if now.breaches.is_empty() && now.unfed.is_empty() {
        return Vec::new();
    }
    let outcome = design.feeds();
    if outcome.status != Status::Impossible {
        return Vec::new();
    }
    // What the own adaptor of a device gives is the matter of the rules of supplies, and said there once.
    let is_adaptor = |tag: &String| {
        let need = input.needs.iter().find(|need| need.tag == *tag);
        let unit = need.and_then(|need| Some((need, need.adaptor.as_ref()?.unit.as_ref()?)));
        unit.is_some_and(|(need, unit)| !need.suits(unit))
    };
    let mut out = Vec::new();
    for conflict in outcome.conflicts.iter().filter(|conflict| !conflict.devices.iter().all(is_adaptor)) {
        let mut finding = Finding::new(ID, Severity::Stop, format!("no outlets for all: {}", conflict.words))
            .about(&conflict.devices)
            .with(Evidence::words("not all fed by any choice of outlets", "an outlet for each"));
        for tag in &conflict.devices {
            finding = finding.at(Field::device(tag, "power"), "");
        }
        // What feeds all but some leaves this finding as it is: it is on the Power place, not the cure of a stop.
        let cure = outcome.cures.iter().find(|cure| cure.edit.is_some() && cure.leaves.is_empty());
        if let Some((cure, edit)) = cure.and_then(|cure| Some((cure, cure.edit.clone()?))) {
            finding = finding.remedy(format!("{}; or {}", cure.name, RULE.page.remedy)).cured_by(edit);
        }
        out.push(finding);
    }
    out
}

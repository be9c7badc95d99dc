//! Devices whose positive is joined to the screen.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::Isolation;

use super::CUSTOM;
use crate::asked::{Asked, Together, outlet_field};
use crate::supply::fed;
use crate::words::list;
use crate::{Page, Rule};

const ID: &str = "positive-ground";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "devices whose positive is joined to the screen",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[5],
    limits: &[],
    page: Page {
        what: "A device with positive ground wants an isolated outlet that feeds nothing else.",
        why: "Its positive meets the negative of every other device through the signal screens: the outlet is shorted.",
        source: CUSTOM,
        example: "An old two-transistor fuzz with positive ground hangs on SUP.2, whose negative is joined to SUP.1.",
        remedy: "feed it from an isolated outlet of its own, or from a battery",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let mut out = Vec::new();
    let mut unknown = Together::default();
    for fed in fed(&design.rig).iter().filter(|fed| !fed.needs_none()) {
        let tag = &fed.device.tag;
        let ground = fed.device.power.positive_ground;
        if ground.value == Some(false) {
            continue;
        }
        let mut asked = Asked::default();
        let mut wrong = None;
        for (at, outlet) in &fed.outlets {
            let others: Vec<&String> = design
                .outlets
                .iter()
                .filter(|load| load.outlet == **at)
                .flat_map(|load| &load.devices)
                .filter(|other| *other != tag)
                .collect();
            if asked.value(outlet.isolation, outlet_field(at, "isolation")) == Some(Isolation::Joined) {
                wrong = wrong.or(Some((at, "is not isolated".to_owned())));
            } else if !others.is_empty() {
                wrong = wrong.or(Some((at, format!("also feeds {}", list(&others)))));
            }
        }
        match (ground.value, wrong) {
            (Some(_), Some((at, why))) => out.push(
                Finding::new(ID, Severity::Stop, format!("{tag} has positive ground and outlet {at} {why}"))
                    .about(fed.devices())
                    .at(Field::device(tag, "feed"), "")
                    .at(outlet_field(at, "isolation"), "")
                    .with(Evidence::words("shared or joined", "isolated and alone"))
                    .assuming(asked.assumed),
            ),
            (Some(_), None) => {
                out.extend(asked.cannot_judge(
                    ID,
                    &format!("the outlet of {tag}, which has positive ground"),
                    fed.devices(),
                ));
            }
            (None, Some(_)) => unknown.add(tag, Field::device(tag, "power.positive_ground")),
            // Nothing is wrong with the outlet as far as it is known, and a positive ground is rare.
            (None, None) => {}
        }
    }
    out.extend(unknown.finding(ID, "whether the outlet suits"));
    out
}

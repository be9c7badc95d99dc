//! Digital devices on outlets that share a negative with others.

use std::collections::BTreeSet;

use design::{Design, OutletLoad};
use finding::{Evidence, Field, Finding, Severity};
use rig::{Class, Device, Isolation, Outlet};

use super::CUSTOM;
use crate::asked::{Asked, outlet_field};
use crate::words::list;
use crate::{Page, Rule};

const ID: &str = "unisolated-outlet";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "digital devices on outlets that share a negative",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[2],
    limits: &[],
    page: Page {
        what: "Outlets of a brick whose negatives are joined, taken together: a digital device among those they feed is \
               a stop. Devices on one and the same outlet are the matter of shared-outlet.",
        why: "A common negative carries the clock noise of the digital device into the others, as one outlet would.",
        source: CUSTOM,
        example: "SUP.1 and SUP.2 have a common negative and feed A1 and A4; A4 is digital.",
        remedy: "feed the digital device from an isolated outlet",
    },
    check,
};

type Used<'a> = (&'a OutletLoad, &'a Outlet);

fn check(design: &Design) -> Vec<Finding> {
    let mut out = Vec::new();
    for brick in design.rig.by_tag().into_iter().filter(|device| !device.outlets.is_empty()) {
        let used: Vec<Used<'_>> = design
            .outlets
            .iter()
            .filter(|load| load.outlet.device == brick.tag)
            .filter_map(|load| Some((load, brick.outlet(&load.outlet.port)?)))
            .collect();
        let certain = groups(&used, false);
        let mut said: BTreeSet<String> = BTreeSet::new();
        for group in &certain {
            if let Some(finding) = judge(design, brick, group, false) {
                said.extend(finding.devices.iter().cloned());
                out.push(finding);
            }
        }
        // What would be a stop if every unknown value were the worse one.
        for group in groups(&used, true) {
            out.extend(
                judge(design, brick, &group, true)
                    .filter(|finding| !finding.devices.iter().all(|tag| said.contains(tag))),
            );
        }
    }
    out
}

/// Outlets whose negatives are joined, or may be when `doubting`.
fn groups<'a>(used: &[Used<'a>], doubting: bool) -> Vec<Vec<Used<'a>>> {
    let joined = |outlet: &Outlet| match outlet.isolation.value {
        Some(isolation) => isolation == Isolation::Joined,
        None => doubting,
    };
    let mut groups: Vec<Vec<Used<'a>>> = Vec::new();
    for one in used.iter().filter(|(_, outlet)| joined(outlet)) {
        let meets = |group: &[Used<'a>]| {
            group
                .iter()
                .any(|(_, other)| one.1.bank.is_none() || other.bank.is_none() || one.1.bank == other.bank)
        };
        let (near, far): (Vec<_>, Vec<_>) = groups.into_iter().partition(|group| meets(group));
        groups = far;
        let mut whole: Vec<Used<'a>> = near.into_iter().flatten().collect();
        whole.push(*one);
        groups.push(whole);
    }
    groups
}

fn judge(design: &Design, brick: &Device, group: &[Used<'_>], doubting: bool) -> Option<Finding> {
    let mut tags: Vec<&String> = group.iter().flat_map(|(load, _)| &load.devices).collect();
    tags.sort_by(|a, b| rig::tag_order(a, b));
    tags.dedup();
    if group.len() < 2 || tags.len() < 2 {
        return None;
    }
    let about = || tags.iter().map(|tag| tag.as_str()).chain([brick.tag.as_str()]);
    let mut asked = Asked::default();
    let mut digital = None;
    for tag in &tags {
        let class = design.rig.device(tag)?.power.class;
        if asked.value(class, Field::device(tag, "power.class")) == Some(Class::Digital) {
            digital = digital.or(Some(*tag));
        }
    }
    let outlets: Vec<String> = group.iter().map(|(load, _)| load.outlet.to_string()).collect();
    if doubting {
        if digital.is_some() {
            asked.lacks.clear();
        }
        for (load, outlet) in group {
            asked.value(outlet.isolation, outlet_field(&load.outlet, "isolation"));
        }
        let what = format!("whether {} share a negative with a digital device", list(&outlets));
        // Where all are known to be analogue there is nothing to doubt.
        let possible = digital.is_some()
            || tags.iter().any(|tag| design.rig.device(tag).is_some_and(|d| d.power.class.is_unknown()));
        return asked.cannot_judge(ID, &what, about()).filter(|_| possible);
    }
    let digital = digital?;
    let mut finding = Finding::new(
        ID,
        Severity::Stop,
        format!("{digital} is digital and shares the negative of outlets {} with {}", list(&outlets), {
            let others: Vec<&String> = tags.iter().copied().filter(|tag| *tag != digital).collect();
            list(&others)
        }),
    )
    .about(about())
    .at(Field::device(digital, "feed"), "")
    .with(Evidence::words("joined", "isolated"))
    .assuming(asked.assumed);
    for (load, _) in group {
        finding = finding.at(outlet_field(&load.outlet, "isolation"), "");
    }
    Some(finding)
}

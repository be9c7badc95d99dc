//! The voltage that arrives at a device.

use design::{Design, feed_state};
use finding::{Bound, Change, Edit, Evidence, Field, Figure, Finding, Severity};
use quantity::Window;
use rig::FeedKind;

use super::CUSTOM;
use crate::asked::{Asked, outlet_field};
use crate::compare::{above, below};
use crate::supply::{Fed, fed_by_any};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "supply-voltage";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "voltage at the device within its window",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[7, 8],
    limits: &[],
    page: Page {
        what: "The voltage of the outlet, or of a series pair together, against the voltages the device runs on.",
        why: "Too much burns a device, too little makes it sound flat or not start.",
        source: CUSTOM,
        example: "SUP.5 gives 12 V to A4, which runs on 9 V.",
        remedy: "set the outlet to a voltage in the window, or feed the device from another outlet or a series pair",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    for fed in fed_by_any(rig).iter().filter(|fed| !fed.needs_none() && !fed.outlets.is_empty()) {
        let tag = &fed.device.tag;
        // An adaptor of the wrong nature is the wrong adaptor: `supply-nature` says it, and that once.
        if fed.is_own_adaptor() && fed.outlets[0].1.nature.value != fed.device.power.nature.value {
            continue;
        }
        let Some(state) = feed_state(rig, fed.device) else { continue };
        let mut asked = Asked::default();
        let window = asked.value(fed.device.power.volts, Field::device(tag, "power.volts"));
        let counted = if fed.feed.kind == FeedKind::SeriesPair { fed.outlets.len() } else { 1 };
        for (at, outlet) in fed.outlets.iter().take(counted) {
            asked.value(outlet.set, outlet_field(at, "set"));
        }
        let (Some(window), Some(volts)) = (window, state.volts.value) else {
            out.extend(asked.cannot_judge(ID, &format!("the voltage at {tag}"), fed.devices()));
            continue;
        };
        let allowed = if above(volts.get(), window.high().get()) {
            Bound::AtMost(Figure::from(window.high()))
        } else if below(volts.get(), window.low().get()) {
            Bound::AtLeast(Figure::from(window.low()))
        } else {
            continue;
        };
        let gives = fed.verb("gives", "give");
        let mut finding = Finding::new(
            ID,
            Severity::Stop,
            format!("{} {gives} {} to {tag}, which runs on {window}", fed.outlets_words(), shown(volts)),
        )
        .about(fed.devices())
        .at(Field::device(tag, "power.volts"), "")
        .with(Evidence::Number { found: Figure::from(volts), allowed })
        .assuming(asked.assumed);
        for (at, _) in fed.outlets.iter().take(counted) {
            finding = finding.at(outlet_field(at, "set"), "");
        }
        finding.edit = setting(design, fed, window);
        out.push(finding);
    }
    out
}

/// Setting the outlet otherwise cures when it has a voltage in the window, enough current there, and
/// nothing else hangs on it.
fn setting(design: &Design, fed: &Fed<'_>, window: Window) -> Option<Edit> {
    let [(at, outlet)] = fed.outlets.as_slice() else { return None };
    let load = design.outlets.iter().find(|load| load.outlet == **at)?;
    let need = fed.device.power.current.value?;
    if load.devices.len() != 1 {
        return None;
    }
    let better = outlet.settings.iter().find(|setting| {
        window.contains(setting.volts) && setting.current.value.is_some_and(|current| need <= current)
    })?;
    Some(Edit {
        name: format!("set outlet {at} to {}", better.volts),
        changes: vec![Change::set(outlet_field(at, "set"), better.volts)],
    })
}

//! What hangs on one outlet.

use design::{Design, OutletLoad};
use finding::{Evidence, Field, Finding};
use quantity::Milliamps;
use rig::{FeedKind, Outlet};

use super::CUSTOM;
use crate::asked::Asked;
use crate::compare::too_much;
use crate::group::{by_key, devices_but, together};
use crate::supply::current_of;
use crate::words::{list, shown};
use crate::{Page, Rule};

const ID: &str = "outlet-load";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "load of each outlet",
    severity: finding::Severity::Stop,
    since: "0.1",
    pains: &[1],
    limits: &["outlet_load_look", "outlet_load_stop"],
    page: Page {
        what: "The sum of what the devices on an outlet draw against what it gives at its setting. A parallel pair \
               carries half on each outlet, a series pair all of it on both.",
        why: "An outlet over its limit whines, restarts its devices, or dies.",
        source: CUSTOM,
        example: "A4 draws 300 mA and A5 250 mA from an outlet of 500 mA.",
        remedy: "feed one of the devices from another outlet, or take an outlet that gives more",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let mut cases: Vec<(&str, Finding)> = Vec::new();
    let mut out = Vec::new();
    for load in &design.outlets {
        let Some(brick) = design.rig.device(&load.outlet.device) else { continue };
        let Some(outlet) = brick.outlet(&load.outlet.port) else { continue };
        if design.rig.own_adaptor_of(brick).is_some() {
            continue;
        }
        match judge(design, load, outlet) {
            // A brick that is planned tightly is one cause, whichever outlets it shows at.
            Some(case) if case.severity == finding::Severity::Look && !case.is_unchecked() => {
                cases.push((&brick.tag, case));
            }
            other => out.extend(other),
        }
    }
    for (brick, cases) in by_key(cases) {
        out.extend(together(cases, |cases| {
            format!("{brick} has little to spare at the outlets of {}", devices_but(cases, &[brick]))
        }));
    }
    out
}

fn judge(design: &Design, load: &OutletLoad, outlet: &Outlet) -> Option<Finding> {
    let rig = &design.rig;
    let mut asked = Asked::default();
    let limit = current_of(&mut asked, &load.outlet, outlet);
    let mut sum = Milliamps::ZERO;
    for tag in &load.devices {
        let device = rig.device(tag)?;
        let half = device.feed.as_ref().is_some_and(|feed| feed.kind == FeedKind::ParallelPair);
        if let Some(draw) = asked.value(device.power.current, Field::device(tag, "power.current")) {
            sum += draw * if half { 0.5 } else { 1.0 };
        }
    }
    let devices = || load.devices.iter().chain([&load.outlet.device]);
    let complete = asked.complete();
    let graded = limit.and_then(|limit| {
        let at = |ratio: quantity::Ratio| limit * ratio.get();
        let found = too_much(sum, at(design.limits.outlet_load_look), at(design.limits.outlet_load_stop))?;
        Some((limit, found))
    });
    match graded {
        // What is known is already too much, whatever the rest may be.
        Some((limit, (severity, passed))) if complete || severity == finding::Severity::Stop => {
            let least = if complete { "" } else { "at least " };
            let mut finding = Finding::new(
                ID,
                severity,
                format!(
                    "outlet {}: {least}{} drawn, {} given ({})",
                    load.outlet,
                    shown(sum),
                    shown(limit),
                    list(&load.devices)
                ),
            )
            .about(devices())
            .with(Evidence::at_most(sum, passed))
            .assuming(asked.assumed);
            for tag in &load.devices {
                let draw = rig.device(tag).and_then(|device| device.power.current.value);
                let label =
                    draw.map_or_else(|| "draw unknown".to_owned(), |draw| format!("draws {}", shown(draw)));
                finding = finding.at(Field::device(tag, "power.current"), label);
            }
            Some(finding)
        }
        _ => asked.cannot_judge(ID, &format!("the load of outlet {}", load.outlet), devices()),
    }
}

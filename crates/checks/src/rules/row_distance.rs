//! Rows too near each other without a step.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::geometry::{standing, switch_point};

use super::CUSTOM;
use crate::compare::{Basis, shorter};
use crate::group::{Pair, hubs_alike};
use crate::words::against;
use crate::{Page, Rule};

const ID: &str = "row-distance";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "rows too near each other without a step",
    severity: Severity::Look,
    since: "0.1",
    pains: &[43, 44],
    limits: &["row_distance_look", "row_step", "shoe_width"],
    page: Page {
        what: "The distance from front to back of two switches that one shoe covers from the side, unless the rear \
               device stands a step higher.",
        why: "A foot on its way to the rear row treads on the front one.",
        source: CUSTOM,
        example: "Two rows 100 mm apart on one level.",
        remedy: "put the rear row on a riser, or leave more room between the rows",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let (rig, limits) = (&design.rig, &design.limits);
    let shoe = rig.brief.shoe_width.value.unwrap_or(limits.shoe_width);
    let mut points = Vec::new();
    for device in rig.by_tag().into_iter().filter(|device| !device.outside) {
        let (Some(at), Some(place)) = (standing(rig, device), &device.place) else { continue };
        if place.under {
            continue;
        }
        for index in 0..device.switches.len() {
            points.extend(switch_point(rig, device, index).map(|point| (device, at.base, point)));
        }
    }
    let mut pairs = Vec::new();
    for (index, (a, low, from)) in points.iter().enumerate() {
        for (b, high, to) in points.iter().skip(index + 1) {
            let (across, along) = ((from.0 - to.0).abs(), (from.1 - to.1).abs());
            let (front, rear) = if from.1 <= to.1 { (low, high) } else { (high, low) };
            let is_row = across < along && across < shoe;
            if a.tag == b.tag
                || !is_row
                || !shorter(along, limits.row_distance_look, Basis::Measured)
                || limits.row_step <= *rear - *front
            {
                continue;
            }
            let (found, least) = against(along, limits.row_distance_look);
            let case = Finding::new(
                ID,
                Severity::Look,
                format!(
                    "foot switches of {} and {} are {found} apart from row to row without a step, {least} at least",
                    a.tag, b.tag
                ),
            )
            .about([&a.tag, &b.tag])
            .at(Field::device(&a.tag, "place"), "")
            .at(Field::device(&b.tag, "place"), "")
            .with(Evidence::at_least(along, limits.row_distance_look));
            pairs.push(Pair { first: a.tag.clone(), second: b.tag.clone(), case });
        }
    }
    let told = |name: &str, others: &str, _: &[Finding]| {
        format!("the foot switch of {name} is too near the rows of {others}, without a step")
    };
    hubs_alike(pairs).into_iter().filter_map(|hub| hub.told(told)).collect()
}

//! Foot switches too near each other.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Length;
use rig::Device;
use rig::geometry::switch_point;

use super::CUSTOM;
use crate::compare::{Basis, too_near};
use crate::group::{Pair, hubs_alike};
use crate::words::against;
use crate::{Page, Rule};

const ID: &str = "switch-distance";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "foot switches of two devices under one shoe",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[43],
    limits: &["switch_distance_look", "switch_distance_stop"],
    page: Page {
        what: "The distance of the centres of foot switches of different devices, seen from above.",
        why: "Below a shoe's half width two switches go down at once.",
        source: CUSTOM,
        example: "Two small pedals side by side put their switches 52 mm apart.",
        remedy: "move them apart, put something without a switch between, or stagger the rows",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let touched = touched(design);
    let (look, stop) = (design.limits.switch_distance_look, design.limits.switch_distance_stop);
    let mut pairs = Vec::new();
    for (index, (a, from)) in touched.iter().enumerate() {
        for (b, to) in touched.iter().skip(index + 1) {
            let nearest = from.iter().flat_map(|x| to.iter().map(move |y| square(*x, *y))).min();
            let Some(nearest) = nearest else { continue };
            let apart = root(nearest);
            let Some((severity, limit)) = too_near(apart, look, stop, Basis::Measured) else { continue };
            let (found, least) = against(apart, limit);
            let case = Finding::new(
                ID,
                severity,
                format!("foot switches of {} and {} are {found} apart, {least} at least", a.tag, b.tag),
            )
            .about([&a.tag, &b.tag])
            .at(Field::device(&a.tag, "place"), "")
            .at(Field::device(&b.tag, "place"), "")
            .with(Evidence::at_least(apart, limit));
            pairs.push(Pair { first: a.tag.clone(), second: b.tag.clone(), case });
        }
    }
    let told = |name: &str, others: &str, _: &[Finding]| {
        format!("the foot switch of {name} is too near those of {others}")
    };
    hubs_alike(pairs).into_iter().filter_map(|hub| hub.told(told)).collect()
}

/// The devices a foot works, with the centres of their switches.
fn touched(design: &Design) -> Vec<(&Device, Vec<(Length, Length)>)> {
    let rig = &design.rig;
    rig.by_tag()
        .into_iter()
        .filter(|device| !device.outside && device.place.as_ref().is_some_and(|place| !place.under))
        .map(|device| {
            let points =
                (0..device.switches.len()).filter_map(|index| switch_point(rig, device, index)).collect();
            (device, points)
        })
        .collect()
}

fn square(a: (Length, Length), b: (Length, Length)) -> i128 {
    let (dx, dy) = (i128::from((a.0 - b.0).nm()), i128::from((a.1 - b.1).nm()));
    dx * dx + dy * dy
}

/// The root of a square of nanometres, rounded down, so that what is below a limit stays below it.
fn root(square: i128) -> Length {
    Length::from_nm(i64::try_from(square.max(0).isqrt()).unwrap_or(i64::MAX))
}

//! Aerials near bricks and other radios.

use design::Design;
use finding::{Evidence, Field, Figure, Finding, Severity};
use quantity::Length;
use rig::{Device, Role};

use super::CUSTOM;
use crate::asked::Together;
use crate::compare::{Basis, shorter};
use crate::group::{Pair, hubs_alike};
use crate::space::{air, body_of};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "aerial-distance";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "aerials near bricks and other radios",
    severity: Severity::Look,
    since: "0.1",
    pains: &[22],
    limits: &["aerial_distance_look"],
    page: Page {
        what: "The air between a device with an aerial and every brick and every other device with one.",
        why: "A receiver beside a switching brick loses its signal on the larger stage.",
        source: CUSTOM,
        example: "The receiver stands 40 mm from the brick.",
        remedy: "move the receiver to a corner of the upper deck, away from metal and bricks",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let limit = design.limits.aerial_distance_look;
    let disturbs = |device: &Device| device.role == Role::Brick || device.signal.aerial.value == Some(true);
    let mut out = Vec::new();
    let mut pairs = Vec::new();
    let mut unknown = Together::default();
    for device in rig.by_tag().into_iter().filter(|device| matches!(device.role, Role::Pedal | Role::Other)) {
        if device.signal.aerial.value == Some(false) {
            continue;
        }
        let Some(body) = body_of(design, &device.tag) else { continue };
        for other in rig.by_tag().into_iter().filter(|other| other.tag != device.tag && disturbs(other)) {
            // The maker's own adaptor was made to go with its device.
            if rig.own_adaptor_of(other).is_some_and(|own| own.tag == device.tag) {
                continue;
            }
            let Some(near) = body_of(design, &other.tag) else { continue };
            let apart = air(body, near);
            if !shorter(Length::from_mm_rounded(apart), limit, Basis::Measured) {
                continue;
            }
            if device.signal.aerial.is_unknown() {
                unknown.add(&device.tag, Field::device(&device.tag, "signal.aerial"));
                continue;
            }
            let apart = Figure::new(apart, "mm");
            let case = Finding::new(
                ID,
                Severity::Look,
                format!("the aerial of {} stands {} from {}", device.tag, shown(apart.clone()), other.tag),
            )
            .about([&device.tag, &other.tag])
            .at(Field::device(&device.tag, "place"), "")
            .at(Field::device(&other.tag, "place"), "")
            .with(Evidence::at_least(apart, limit));
            pairs.push(Pair { first: device.tag.clone(), second: other.tag.clone(), case });
        }
    }
    for hub in hubs_alike(pairs) {
        out.extend(hub.told(|name, others, _| format!("{name} is too near {others} for an aerial")));
    }
    out.extend(unknown.finding(ID, "the room around an aerial of"));
    out
}

//! Coils near supplies.

use design::Design;
use finding::{Evidence, Field, Figure, Finding, Severity};
use quantity::Length;
use rig::{Device, Role};

use super::CUSTOM;
use crate::asked::Together;
use crate::compare::{Basis, above, shorter};
use crate::group::{Pair, hubs};
use crate::space::{air, body_of};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "field-distance";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "coils and high gain near supplies",
    severity: Severity::Look,
    since: "0.1",
    pains: &[18],
    limits: &["switching_distance_look", "transformer_distance_look", "high_gain"],
    page: Page {
        what: "The air between the bodies of bricks and of devices that hold a coil or have high gain. Within the \
               smaller distance it is a look with any brick; up to the larger one a note, since it matters only \
               for a brick or adaptor with a mains-frequency transformer.",
        why: "The field of a transformer hums in a wah's coil; it falls with the third power of the distance.",
        source: CUSTOM,
        example: "The wah stands 60 mm from the brick below it.",
        remedy: "move one of the two, or turn the brick in the hand and listen before it is fixed",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let (near, far) = (design.limits.switching_distance_look, design.limits.transformer_distance_look);
    let mut out = Vec::new();
    let mut pairs = Vec::new();
    let mut unknown = Together::default();
    for brick in rig.by_tag().into_iter().filter(|device| device.role == Role::Brick) {
        let Some(supply) = body_of(design, &brick.tag) else { continue };
        for device in
            rig.by_tag().into_iter().filter(|device| matches!(device.role, Role::Pedal | Role::Other))
        {
            // The maker's own adaptor was made to go with its device.
            if rig.own_adaptor_of(brick).is_some_and(|own| own.tag == device.tag) {
                continue;
            }
            let Some(body) = body_of(design, &device.tag) else { continue };
            let apart = air(supply, body);
            let (severity, limit, whose) = if shorter(Length::from_mm_rounded(apart), near, Basis::Measured) {
                (Severity::Look, near, "")
            } else if shorter(Length::from_mm_rounded(apart), far, Basis::Measured) {
                (Severity::Note, far, ", too near if that holds a transformer")
            } else {
                continue;
            };
            let Some(why) = sensitive(design, device, severity, &mut unknown) else { continue };
            let apart = Figure::new(apart, "mm");
            let case = Finding::new(
                ID,
                severity,
                format!(
                    "{} {why} and stands {} from brick {}{whose}",
                    device.tag,
                    shown(apart.clone()),
                    brick.tag
                ),
            )
            .about([&device.tag, &brick.tag])
            .at(Field::device(&device.tag, "place"), "")
            .at(Field::device(&brick.tag, "place"), "")
            .with(Evidence::at_least(apart, limit));
            pairs.push((severity, Pair { first: brick.tag.clone(), second: device.tag.clone(), case }));
        }
    }
    // What only a transformer would disturb is a note of its own beside what any brick disturbs.
    for severity in [Severity::Look, Severity::Note] {
        let (own, rest): (Vec<_>, Vec<_>) = pairs.into_iter().partition(|(known, _)| *known == severity);
        pairs = rest;
        for hub in hubs(own.into_iter().map(|(_, pair)| pair).collect()) {
            let is_brick = hub.is_first;
            out.extend(hub.told(|name, others, _| {
                if is_brick {
                    format!("brick {name} stands near {others}, which mind its field")
                } else {
                    format!("{name} minds magnetic fields and stands near bricks {others}")
                }
            }));
        }
    }
    out.extend(unknown.finding(ID, "distance from a brick of"));
    out
}

/// Why a device minds magnetic fields, if it does.
fn sensitive(
    design: &Design,
    device: &Device,
    severity: Severity,
    unknown: &mut Together,
) -> Option<&'static str> {
    let high = |gain: quantity::Decibels| above(gain.get(), design.limits.high_gain.get());
    if device.signal.coil.value == Some(true) {
        return Some("holds a coil");
    }
    let gain = design.rig.gain(device);
    if gain.value.value.is_some_and(high) {
        return Some("has high gain");
    }
    if severity == Severity::Look && !device.signal.passive {
        if device.signal.coil.is_unknown() {
            unknown.add(&device.tag, Field::device(&device.tag, "signal.coil"));
        }
        if gain.value.is_unknown() {
            unknown.add(&device.tag, gain.field);
        }
    }
    None
}

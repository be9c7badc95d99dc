//! Heavy devices on a touring rig.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};

use super::CUSTOM;
use crate::asked::Together;
use crate::compare::above;
use crate::space::is_on_board;
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "fastening";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "heavy devices on a touring rig",
    severity: Severity::Look,
    since: "0.1",
    pains: &[47],
    limits: &["fixing_mass"],
    page: Page {
        what: "On a touring rig, every heavy device that stands on a deck: hook and loop alone does not hold it. What \
               hangs in a bracket is screwed already.",
        why: "A wah of 1.5 kg comes off in the van and takes its neighbours with it.",
        source: CUSTOM,
        example: "W1 weighs 1.5 kg and the rig tours.",
        remedy: "screw it by its base or clamp it, and accept the finding with how it is held",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let limit = design.limits.fixing_mass;
    let mut out = Vec::new();
    let mut unknown = Together::default();
    if !rig.brief.touring {
        return out;
    }
    for device in rig.devices.iter().filter(|device| is_on_board(device)) {
        if device.place.as_ref().is_some_and(|place| place.under) {
            continue;
        }
        let field = Field::device(&device.tag, "mass");
        match device.mass.value {
            None => unknown.add(&device.tag, field),
            Some(mass) if above(mass.get(), limit.get()) => {
                let assumed = device.mass.is_assumed().then(|| field.clone());
                out.push(
                    Finding::new(
                        ID,
                        Severity::Look,
                        format!(
                            "{} weighs {} and the rig tours: tape alone does not hold it",
                            device.tag,
                            shown(mass)
                        ),
                    )
                    .about([&device.tag])
                    .at(field, "")
                    .with(Evidence::at_most(mass, limit))
                    .assuming(assumed),
                );
            }
            Some(_) => {}
        }
    }
    out.extend(unknown.finding(ID, "how firmly to fix"));
    out
}

//! Heat of bricks in a closed space.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use power::mains;
use quantity::{Volts, Watts};
use rig::Role;

use super::CUSTOM;
use crate::asked::{Asked, outlet_field};
use crate::compare::over;
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "brick-heat";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "heat of a brick under the deck",
    severity: Severity::Look,
    since: "0.1",
    pains: &[13],
    limits: &["brick_heat_look"],
    page: Page {
        what: "What a brick under a deck turns into heat: its load times (1 / efficiency − 1). Asked only of bricks \
               whose efficiency is written down.",
        why: "On a summer stage a brick without air switches itself off.",
        source: CUSTOM,
        example: "20 W at an efficiency of 70 % make 8.6 W of heat.",
        remedy: "give it 10 mm of air on top, put it where air passes, or spread the load over two",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    let bricks = rig.by_tag().into_iter().filter(|device| device.role == Role::Brick);
    let bricks = bricks.filter(|brick| rig.own_adaptor_of(brick).is_none());
    for brick in bricks.filter(|device| device.place.as_ref().is_some_and(|place| place.under)) {
        let Some(efficiency) = brick.efficiency.value.filter(|share| 0.0 < share.get()) else { continue };
        let mut asked = Asked::default();
        asked.value(brick.efficiency, Field::device(&brick.tag, "efficiency"));
        let mut load = Watts::ZERO;
        for outlet in design.outlets.iter().filter(|outlet| outlet.outlet.device == brick.tag) {
            let set = brick.outlet(&outlet.outlet.port).map(|outlet| outlet.set).unwrap_or_default();
            let volts = asked.value(set, outlet_field(&outlet.outlet, "set"));
            for tag in &outlet.unknown {
                asked.lack(Field::device(tag, "power.current"));
            }
            if let (Some(volts), Some(current)) = (volts, outlet.load.value) {
                load += volts * current;
            }
        }
        if !asked.complete() {
            out.extend(asked.cannot_judge(ID, &format!("the heat of {}", brick.tag), [&brick.tag]));
            continue;
        }
        let mains_volts = rig.job.mains.map_or(Volts::of(230.0), |mains| mains.volts);
        let heat = mains::taken(load, efficiency, mains::POWER_FACTOR, mains_volts).heat;
        let limit = design.limits.brick_heat_look;
        if over(heat, limit) {
            let says = format!("{} makes {} of heat under the deck", brick.tag, shown(heat));
            out.push(
                Finding::new(ID, Severity::Look, says)
                    .about([&brick.tag])
                    .at(Field::device(&brick.tag, "efficiency"), "")
                    .with(Evidence::at_most(heat, limit))
                    .assuming(asked.assumed),
            );
        }
    }
    out
}

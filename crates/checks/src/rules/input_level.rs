//! Outputs too loud for the input they feed.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Volts;

use super::CUSTOM;
use crate::asked::{Asked, port_field};
use crate::compare::above;
use crate::group::{Pair, hubs};
use crate::way::{junctions, ways};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "input-level";

/// Peaks stand 12 dB over the nominal level (common practice, no source).
const PEAK: f64 = 3.981_071_705_534_972;

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "outputs too loud for what they feed",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[30],
    limits: &[],
    page: Page {
        what: "Where the nominal level of an output is written down: its peaks, 12 dB over it, against the largest \
               input of the next device.",
        why: "A send at line level drives a pedal into clipping.",
        source: CUSTOM,
        example: "A send of +4 dBu, 1.23 V, peaks at 6.9 V; the pedal clips from 4 V.",
        remedy: "put a pad or level shifter between, or lower the send",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    let mut pairs = Vec::new();
    for way in ways(rig) {
        for junction in junctions(rig, &way) {
            let (Some(giver), Some(taker)) =
                (way.steps[junction.giver].leaves, way.steps[junction.taker].arrives)
            else {
                continue;
            };
            let (Some(from), Some(device)) = (rig.port(giver), rig.device(&taker.device)) else { continue };
            let Some(level) = from.level.value else { continue };
            let mut asked = Asked::default();
            asked.value(from.level, port_field(giver, "level"));
            let most = asked.value(device.signal.max_input, Field::device(&device.tag, "signal.max_input"));
            let devices = [&giver.device, &device.tag];
            let Some(most) = most else {
                out.extend(asked.cannot_judge(
                    ID,
                    &format!("whether {} stands the level of {}", device.tag, giver),
                    devices,
                ));
                continue;
            };
            // Nominal levels are effective values; the peak of a sine is the square root of two above.
            let peak = Volts::of(level.get() * PEAK * std::f64::consts::SQRT_2);
            if above(peak.get(), most.get()) {
                let says =
                    format!("{} peaks at {}, {} takes {}", giver, shown(peak), device.tag, shown(most));
                let case = Finding::new(ID, Severity::Stop, says)
                    .about(devices)
                    .at(Field::device(&device.tag, "signal.max_input"), "")
                    .with(Evidence::at_most(peak, most))
                    .assuming(asked.assumed);
                pairs.push(Pair { first: giver.to_string(), second: device.tag.clone(), case });
            }
        }
    }
    for hub in hubs(pairs) {
        let is_giver = hub.is_first;
        out.extend(hub.told(|name, others, _| {
            if is_giver {
                format!("{name} is too loud for {others}")
            } else {
                format!("{others} are too loud for {name}")
            }
        }));
    }
    out
}

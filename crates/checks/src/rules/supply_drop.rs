//! Voltage lost along a supply lead.

use std::collections::BTreeSet;

use design::{Design, drop_length, feed_state};
use finding::{Evidence, Field, Finding, Severity};
use power::lead_drop::{self, Grade, Loss};
use quantity::{Length, Milliamps};
use rig::geometry::EndKind;
use rig::{Feed, LeadClass};

use super::CUSTOM;
use crate::asked::Asked;
use crate::group::{by_key, leads_of, together};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "supply-drop";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "voltage lost along supply leads",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[10],
    limits: &["supply_drop_look"],
    page: Page {
        what: "Draw times resistance of both conductors of the supply lead and of its contacts. More than the share \
               of the voltage is a look; a device left further below its window than that is a stop. A lead that is not made \
               counts with its estimated length, as when feeds are chosen; where devices share an outlet the current of \
               all of them counts along the way of each.",
        why: "A long thin lead takes a tenth of a volt from a hungry device, which then sounds flat or restarts.",
        source: CUSTOM,
        example: "800 mm of 0.22 mm² at 1 A lose 0.16 V.",
        remedy: "take thicker cable, shorten the lead, or feed the device from a nearer outlet",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    let mut cases: Vec<(String, Finding)> = Vec::new();
    let supplies = design.leads.iter().filter(|lead| lead.class == LeadClass::Dc && !lead.outside);
    let sinks = supplies.flat_map(|lead| {
        let sinks = lead.ends.iter().filter(|end| end.kind == EndKind::To);
        sinks.map(move |end| (lead, &end.port))
    });
    for (lead, port) in sinks {
        let tag = &port.device;
        let Some(device) = rig.device(tag) else { continue };
        // What the maker's own lead loses the maker has reckoned with.
        if device.feed.as_ref().is_some_and(|feed| feed.kind == rig::FeedKind::Adaptor) {
            continue;
        }
        // What the rule cannot know without cable or length is asked for only where it may matter.
        let Some(feed) = device.feed.as_ref() else { continue };
        let lengths: Option<Vec<Length>> =
            feed.outlets.iter().map(|from| drop_length(rig, &design.limits, lead, from, port)).collect();
        let (Some(cable), Some(lengths)) = (&lead.cable, lengths) else { continue };
        let Some(state) = feed_state(rig, device) else { continue };
        let mut asked = Asked::default();
        let current = asked.value(device.power.current, Field::device(tag, "power.current"));
        let resistance =
            asked.value(cable.resistance_per_metre, Field::of("cable", &cable.id, "resistance_per_metre"));
        let (Some(current), Some(resistance), Some(volts)) = (current, resistance, state.volts.value) else {
            out.extend(asked.cannot_judge(ID, &format!("the drop along lead {}", lead.tag), [tag]));
            continue;
        };
        let current = current + company(design, feed, tag);
        let loops: Vec<i64> = lengths.iter().map(|long| lead_drop::loop_uohm(*long, resistance)).collect();
        let lost_pv = lead_drop::lost_pv(feed.kind, power::microamps(current), &loops);
        let drop = lead_drop::volts_from_picovolts(lost_pv);
        let arrival = lead_drop::arrives(volts, drop);
        let at = |finding: Finding| {
            finding
                .about([tag])
                .on_leads([&lead.tag])
                .at(Field::device(tag, "feed"), "")
                .assuming(asked.assumed.clone())
        };
        let limit = design.limits.supply_drop_look;
        let window = device.power.volts.value.filter(|window| window.contains(volts));
        // Without a window there is nothing to fall below.
        let low_mv = window.map_or(i64::MAX, |window| power::millivolts(window.low()));
        let (given_mv, look_ppm) = (power::millivolts(volts), power::millionths(limit));
        match (Loss { lost_pv, given_mv, low_mv, look_ppm }.grade(), window) {
            (Grade::Stop, Some(window)) => {
                let says = format!(
                    "lead {} leaves {} for {tag}, which needs {}",
                    lead.tag,
                    shown(arrival.volts),
                    shown(window.low())
                );
                let case = at(Finding::new(ID, Severity::Stop, says))
                    .with(Evidence::at_least(arrival.volts, window.low()));
                cases.push((cable.id.clone(), case));
            }
            (Grade::Look, _) => {
                let says = format!("lead {} to {tag} loses {} of {}", lead.tag, shown(drop), shown(volts));
                let case = at(Finding::new(ID, Severity::Look, says))
                    .with(Evidence::at_most(arrival.lost_share, limit));
                cases.push((cable.id.clone(), case));
            }
            _ => {}
        }
    }
    for (cable, cases) in by_key(cases) {
        out.extend(together(cases, |cases| {
            let leads: BTreeSet<&String> = cases.iter().flat_map(|case| &case.leads).collect();
            let lead = if leads.len() == 1 { "lead" } else { "leads" };
            format!("cable {cable} loses too much voltage on {lead} {}", leads_of(cases))
        }));
    }
    out
}

/// What the other devices on a single outlet draw: it comes along the same lead as far as that branches.
fn company(design: &Design, feed: &Feed, tag: &str) -> Milliamps {
    let [outlet] = feed.outlets.as_slice() else { return Milliamps::ZERO };
    let others = design.outlets.iter().filter(|load| load.outlet == *outlet).flat_map(|load| &load.devices);
    others
        .filter(|other| *other != tag)
        .filter_map(|other| design.rig.device(other)?.power.current.value)
        .sum()
}

//! Voltage lost along a supply lead.

use design::{Design, drop_length, feed_state};
use finding::{Evidence, Field, Finding, Severity};
use power::lead_drop;
use rig::LeadClass;
use rig::geometry::EndKind;

use super::CUSTOM;
use crate::asked::Asked;
use crate::compare::{below, over};
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
               of the voltage is a look; a device left further below its window than that is a stop.",
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
        let (Some(cable), Some(length)) = (&lead.cable, drop_length(rig, lead, port)) else { continue };
        let Some(state) = feed_state(rig, device) else { continue };
        let mut asked = Asked::default();
        let current = asked.value(device.power.current, Field::device(tag, "power.current"));
        let resistance =
            asked.value(cable.resistance_per_metre, Field::of("cable", &cable.id, "resistance_per_metre"));
        let (Some(current), Some(resistance), Some(volts)) = (current, resistance, state.volts.value) else {
            out.extend(asked.cannot_judge(ID, &format!("the drop along lead {}", lead.tag), [tag]));
            continue;
        };
        let drop = lead_drop::drop(current, length, resistance, lead_drop::CONTACTS);
        let (left, share) = lead_drop::arrives(volts, drop);
        let at = |finding: Finding| {
            finding
                .about([tag])
                .on_leads([&lead.tag])
                .at(Field::device(tag, "feed"), "")
                .assuming(asked.assumed.clone())
        };
        if let Some(window) = device.power.volts.value
            && window.contains(volts)
            && below(left.get(), window.low().get() * (1.0 - design.limits.supply_drop_look.get()))
        {
            let says = format!(
                "lead {} leaves {} for {tag}, which needs {}",
                lead.tag,
                shown(left),
                shown(window.low())
            );
            let case =
                at(Finding::new(ID, Severity::Stop, says)).with(Evidence::at_least(left, window.low()));
            cases.push((cable.id.clone(), case));
            continue;
        }
        let limit = design.limits.supply_drop_look;
        if over(share, limit) {
            let says = format!("lead {} to {tag} loses {} of {}", lead.tag, shown(drop), shown(volts));
            let case = at(Finding::new(ID, Severity::Look, says)).with(Evidence::at_most(share, limit));
            cases.push((cable.id.clone(), case));
        }
    }
    for (cable, cases) in by_key(cases) {
        out.extend(together(cases, |cases| {
            format!("cable {cable} loses too much voltage on leads {}", leads_of(cases))
        }));
    }
    out
}

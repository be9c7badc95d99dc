//! Signal leads along DC or mains.

use design::{Design, Lead, rests_on};
use finding::{Evidence, Field, Finding, Severity};
use quantity::Length;
use rig::LeadClass;

use super::CUSTOM;
use crate::compare::{Basis, longer, shorter};
use crate::group::{Pair, hubs};
use crate::{Page, Rule};

const ID: &str = "lead-apart";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "signal leads along DC or mains",
    severity: Severity::Look,
    since: "0.1",
    pains: &[19],
    limits: &["lead_apart_dc", "lead_apart_mains", "lead_parallel"],
    page: Page {
        what: "Every two leads that are laid and may disturb each other: how long they run side by side, nearer than \
               wanted. Crossings do not count.",
        why: "Hum and clock noise couple along the length that two leads share.",
        source: CUSTOM,
        example: "L15 lies along D06 for 125 mm, 8 mm apart.",
        remedy: "lay the one on the other side of the rail with a tie point, or turn the exit of its plug",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let mut pairs = Vec::new();
    for near in &design.routes().outcome.near {
        let (parallel, distance, wanted) = (
            Length::from_mm_rounded(near.parallel_mm),
            Length::from_mm_rounded(near.distance_mm),
            Length::from_mm_rounded(near.wanted_mm),
        );
        // Routes are computed, so they are no more exact than a tape on the finished board.
        let is_seen = shorter(distance, wanted, Basis::Measured)
            && longer(parallel, design.limits.lead_parallel, Basis::Measured);
        if !is_seen {
            continue;
        }
        let of = |id: &str| design.lead_of(id);
        let (Some(one), Some(other)) = (of(&near.one), of(&near.other)) else { continue };
        let is_supply = |lead: &Lead| lead.class.is_supply() || lead.class == LeadClass::Mains;
        let (signal, supply) = if is_supply(one) { (other, one) } else { (one, other) };
        if supply.class.is_supply() && meet_at_back(design, signal, supply, parallel) {
            continue;
        }
        let mut devices = ends(signal);
        devices.extend(ends(supply));
        devices.sort_unstable();
        devices.dedup();
        let mut finding = Finding::new(
            ID,
            Severity::Look,
            format!(
                "lead {} runs along {} for {:.0} mm, {:.0} mm apart",
                signal.tag, supply.tag, near.parallel_mm, near.distance_mm
            ),
        )
        .about(devices)
        .on_leads([&signal.tag, &supply.tag])
        .with(Evidence::at_most(
            Length::from_mm_rounded(near.parallel_mm.round()),
            design.limits.lead_parallel,
        ))
        .assuming(rests_on(design, signal).into_iter().chain(rests_on(design, supply)));
        for end in ends(signal) {
            finding = finding.at(Field::device(end, "place"), "");
        }
        pairs.push(Pair { first: signal.tag.clone(), second: supply.tag.clone(), case: finding });
    }
    let told = |name: &str, others: &str, _: &[Finding]| format!("lead {name} runs along {others}");
    hubs(pairs).into_iter().filter_map(|hub| hub.told(told)).collect()
}

/// Whether two leads of one device run beside each other no farther than along it: its own signal and supply meet there,
/// whatever the builder does.
fn meet_at_back(design: &Design, signal: &Lead, supply: &Lead, parallel: Length) -> bool {
    let sides = ends(supply).into_iter().filter(|tag| ends(signal).contains(tag)).map(|tag| {
        let size = design.rig.device(tag).and_then(|device| device.size.value);
        size.map_or(Length::ZERO, |size| size.width.max(size.depth))
    });
    sides.max().is_some_and(|side| parallel <= side + design.limits.lead_parallel)
}

fn ends(lead: &Lead) -> Vec<&str> {
    lead.ends.iter().map(|end| end.port.device.as_str()).collect()
}

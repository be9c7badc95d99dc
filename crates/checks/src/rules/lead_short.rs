//! Made leads that are too short.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Length;
use rig::{Known, LeadSpec, PlugSpec, PortRef};

use super::CUSTOM;
use crate::asked::Asked;
use crate::compare::{Basis, shorter};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "lead-short";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "made leads that are too short",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[37],
    limits: &["spare_least"],
    page: Page {
        what: "A lead that is cut already, against its way and what its plugs take up: the route it is laid on, or the \
               straight line between its two jacks while it is not laid.",
        why: "After a device has been moved, its leads may no longer reach; a lead cannot be made longer.",
        source: CUSTOM,
        example: "A1.OUT and A2.IN are now 230 mm apart; the lead between them was cut to 200 mm.",
        remedy: "make the lead again, or move the device back",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    design
        .rig
        .leads
        .iter()
        .flat_map(|spec| judge(design, spec).into_iter().chain(legs(design, spec)))
        .collect()
}

/// A lead of two ends.
fn judge(design: &Design, spec: &LeadSpec) -> Option<Finding> {
    let cut = spec.cut?;
    let lead = design.leads.iter().find(|lead| lead.from().port == spec.from && lead.to().port == spec.to)?;
    // What is cut as a plain lead and has a joint now, `lead-gone` tells.
    if lead.outside || lead.is_joined() {
        return None;
    }
    let ends = [&spec.from, &spec.to];
    let asked = asked(design, &ends);
    let name = format!("{} > {}", spec.from, spec.to);
    let Some(straight) = lead.straight.value else {
        let what = format!("whether lead {} reaches", name.replace(" > ", " to "));
        return asked.cannot_judge(ID, &what, ends.map(|end| &end.device));
    };
    let straight = straight + allowance(&lead.from().plug) + allowance(&lead.to().plug);
    let least = lead.least.value.unwrap_or(straight);
    told(design, lead, &lead.tag, cut, least, asked.assumed)
        .map(|finding| finding.about(ends.map(|end| &end.device)).at(Field::of("lead", &name, "cut"), ""))
}

/// The legs of a lead with a joint, each by itself: the joint holds them apart.
fn legs(design: &Design, spec: &LeadSpec) -> Vec<Finding> {
    let Some(lead) = design.leads.iter().find(|lead| lead.is_joined() && lead.name == spec.name()) else {
        return Vec::new();
    };
    let all: Vec<&PortRef> = lead.ends.iter().map(|end| &end.port).collect();
    let mut out = Vec::new();
    for (leg, end) in lead.ends.iter().enumerate() {
        let made = spec.legs.iter().find(|(port, _)| *port == end.port);
        let (Some((_, cut)), Some(least)) = (made, lead.legs.get(leg).and_then(|leg| leg.least.value)) else {
            continue;
        };
        let asked = asked(design, &all);
        let part = format!("{} {}", lead.tag, end.letter);
        out.extend(told(design, lead, &part, *cut, least, asked.assumed).map(|finding| {
            let field = Field::lead(&lead.name, "legs").below(&end.port.to_string());
            finding.about([&end.port.device]).at(field, "")
        }));
    }
    out
}

/// What the way between these ends rests on.
fn asked(design: &Design, ends: &[&PortRef]) -> Asked {
    let mut asked = Asked::default();
    for end in ends {
        let Some(device) = design.rig.device(&end.device) else { continue };
        let Some(port) = device.port(&end.port) else { continue };
        if device.place.is_none() {
            asked.lack(Field::device(&device.tag, "place"));
        }
        asked.value(device.size, Field::device(&device.tag, "size"));
        asked.value(port.face, crate::asked::port_field(end, "face"));
        asked.value(port.offset, crate::asked::port_field(end, "offset"));
        asked.value(port.height, crate::asked::port_field(end, "height"));
    }
    asked
}

fn allowance(plug: &PlugSpec) -> Length {
    let known: Known<Length> = plug.plug.as_ref().map(|plug| plug.allowance).unwrap_or_default();
    known.value.unwrap_or(Length::ZERO)
}

/// A stop where a lead or a leg does not reach, a look where it only just does.
fn told(
    design: &Design,
    lead: &design::Lead,
    part: &str,
    cut: Length,
    least: Length,
    assumed: Vec<Field>,
) -> Option<Finding> {
    let finding = if cut < least {
        let says = format!("lead {part} is cut to {}, at least {} is needed", shown(cut), shown(least));
        Finding::new(ID, Severity::Stop, says).with(Evidence::at_least(cut, least))
    } else if lead.laid && shorter(cut - least, design.limits.spare_least, Basis::of(&assumed)) {
        let says = format!("lead {part} has only {} to spare", shown(cut - least));
        Finding::new(ID, Severity::Look, says)
            .with(Evidence::at_least(cut - least, design.limits.spare_least))
    } else {
        return None;
    };
    Some(finding.on_leads([&lead.tag]).assuming(assumed))
}

//! Made leads that are too short.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Length;
use rig::{Known, LeadSpec, PlugSpec};

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
    design.rig.leads.iter().filter_map(|spec| judge(design, spec)).collect()
}

fn judge(design: &Design, spec: &LeadSpec) -> Option<Finding> {
    let cut = spec.cut?;
    let lead = design.leads.iter().find(|lead| lead.from().port == spec.from && lead.to().port == spec.to)?;
    if lead.outside {
        return None;
    }
    let mut asked = Asked::default();
    let ends = [&spec.from, &spec.to];
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
    let devices = [&spec.from.device, &spec.to.device];
    let name = format!("{} > {}", spec.from, spec.to);
    let Some(straight) = lead.straight.value else {
        return asked.cannot_judge(
            ID,
            &format!("whether lead {} reaches", name.replace(" > ", " to ")),
            devices,
        );
    };
    let allowance = |end: &PlugSpec| {
        let known: Known<Length> = end.plug.as_ref().map(|plug| plug.allowance).unwrap_or_default();
        known.value.unwrap_or(Length::ZERO)
    };
    let straight = straight + allowance(&lead.from().plug) + allowance(&lead.to().plug);
    let least = lead.least.value.unwrap_or(straight);
    let finding = if cut < least {
        let says = format!("lead {} is cut to {}, at least {} is needed", lead.tag, shown(cut), shown(least));
        Finding::new(ID, Severity::Stop, says).with(Evidence::at_least(cut, least))
    } else if lead.laid && shorter(cut - least, design.limits.spare_least, Basis::of(&asked.assumed)) {
        let says = format!("lead {} has only {} to spare", lead.tag, shown(cut - least));
        Finding::new(ID, Severity::Look, says)
            .with(Evidence::at_least(cut - least, design.limits.spare_least))
    } else {
        return None;
    };
    Some(
        finding
            .about(devices)
            .on_leads([&lead.tag])
            .at(Field::of("lead", &name, "cut"), "")
            .assuming(asked.assumed),
    )
}

//! Leads whose cable has fewer cores than their plugs have contacts to carry.

use design::{Design, Lead, LeadEndAt, Making};
use finding::{Evidence, Field, Finding, Severity};
use rig::{ConnectorFamily, LeadClass, LeadShape, Rig};

use super::CUSTOM;
use crate::asked::Asked;
use crate::words::list;
use crate::{Page, Rule};

const ID: &str = "lead-cores";

/// What helps an insert lead of single-core cable.
const TWIN: &str = "take cable with two cores and a screen for this lead, or lay two cables side by side from its plug to the \
                    fork: the leg of that plug is then cut twice, and nothing is soldered at the fork";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "cable with too few cores",
    severity: Severity::Stop,
    since: "0.2",
    pains: &[],
    limits: &[],
    page: Page {
        what: "Signal and control leads that are made here: the contacts of the plugs and jacks at their ends, of a lead \
               with a joint leg by leg, against the cores of their cable. One contact is on the screen. An insert lead \
               of single-core cable is a look: two cables can share its plug.",
        why: "Tip and ring on one core are one signal: a stereo output is summed, an insert closed on itself, an \
              expression pedal dead. It is found when the lead is cut and soldered.",
        source: CUSTOM,
        example: "L09 has plugs of three contacts at both ends and is to be cut from patch cable with one core.",
        remedy: "take cable with two cores and a screen for this lead, or plugs of two contacts where tip alone is meant",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let made = design.leads.iter().filter(|lead| lead.making == Making::Made);
    made.filter(|lead| matches!(lead.class, LeadClass::Signal | LeadClass::Control))
        .filter_map(|lead| of(&design.rig, lead))
        .collect()
}

fn of(rig: &Rig, lead: &Lead) -> Option<Finding> {
    let cable = lead.cable.as_ref()?;
    let wanted = cores(rig, lead)?;
    if wanted < 2 {
        return None;
    }
    let devices: Vec<&str> = lead.ends.iter().map(|end| end.port.device.as_str()).collect();
    let Some(cores) = cable.cores else {
        let mut asked = Asked::default();
        asked.lack(Field::of("cable", &cable.id, "cores"));
        return asked.cannot_judge(ID, &format!("the cores of lead {}", lead.tag), devices);
    };
    if wanted <= cores {
        return None;
    }
    let ends: Vec<String> = lead.ends.iter().map(|end| end.port.to_string()).collect();
    let has = if cores == 1 { "one core".to_owned() } else { format!("{cores} cores") };
    // Two single-core cables can share the plug of an insert lead, side by side up to the fork.
    let twin = lead.shape == LeadShape::Insert && cores == 1;
    Some(
        Finding::new(
            ID,
            if twin { Severity::Look } else { Severity::Stop },
            format!(
                "lead {} between {} carries {wanted} signals besides its screen, and its cable has {has}",
                lead.tag,
                list(&ends)
            ),
        )
        .about(devices)
        .on_leads([&lead.tag])
        .at(Field::of("lead", &lead.name, "cable"), "")
        .with(Evidence::words(has, format!("{wanted} cores and a screen")))
        .remedy(if twin { TWIN } else { RULE.page.remedy }),
    )
}

/// The most cores that a part of a lead needs: of a plain lead what both its ends have contacts for, of one with a joint
/// what each leg has at its own end. `None` where no end says.
fn cores(rig: &Rig, lead: &Lead) -> Option<u32> {
    // One jack sends on one contact and returns on another, whatever plugs are chosen.
    if lead.shape == LeadShape::Insert {
        return Some(2);
    }
    let each: Vec<u32> = lead.ends.iter().map(|end| contacts(rig, end)).collect::<Option<_>>()?;
    let contacts = if lead.is_joined() { each.into_iter().max() } else { each.into_iter().min() };
    contacts.map(|contacts| contacts.saturating_sub(1))
}

/// How many contacts of one end a lead is wired to.
fn contacts(rig: &Rig, end: &LeadEndAt) -> Option<u32> {
    if end.has_plug() {
        return end.plug.plug.as_ref()?.contacts;
    }
    let connector = rig.port(&end.port)?.connector.as_ref()?;
    let is_insert =
        rig.device(&end.port.device).is_some_and(|device| device.insert_on_jack(&end.port.port).is_some());
    match connector.family {
        // A lead soldered to a jack that sends and returns is on one of the two.
        ConnectorFamily::Jack if is_insert => Some(2),
        ConnectorFamily::Jack | ConnectorFamily::Xlr => Some(connector.contacts),
        _ => None,
    }
}

//! Leads that the document knows and nothing asks for any more.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};

use super::CUSTOM;
use crate::group::{leads_of, together};
use crate::words::{list, shown};
use crate::{Page, Rule};

const ID: &str = "lead-gone";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "leads that are gone",
    severity: Severity::Look,
    since: "0.2",
    pains: &[],
    limits: &[],
    page: Page {
        what: "Entries of leads that no run and no feed goes along: because a device was put between, a stop moved, or a \
               feed given to another outlet. One that was never issued nor made is a slip of the pen, and a stop: written \
               the wrong way round, or past a device that stands between. And leads that were cut as plain ones and have \
               got a joint since.",
        why: "A lead that is made and lies in the drawer is taken for another one with the same ends; its number must not \
              come back.",
        source: CUSTOM,
        example: "L03 from A1.OUT to A2.IN is cut to 350 mm, but nothing runs between the two since A5 stands there.",
        remedy: "use it as a spare and keep its entry, or remove the entry and write its number into `leads.retired`",
    },
    check,
};

/// The lead that an entry may mean: between the same two ports the other way round, or from one of its ports.
fn there_is(design: &Design, spec: &rig::LeadSpec) -> String {
    let ends: Vec<_> = spec.ends().collect();
    let shared = |lead: &&design::Lead| ends.iter().filter(|end| lead.ends_at(end)).count();
    // Of several the first, as leads stand in their list.
    let near = design.leads.iter().rev().filter(|lead| 0 < shared(lead)).max_by_key(shared);
    near.map(|lead| format!("; there is {}", lead.route_words())).unwrap_or_default()
}

/// The plain lead that an entry names from its far end: what flows along it comes from the other one.
fn backwards<'a>(design: &'a Design, spec: &rig::LeadSpec) -> Option<&'a design::Lead> {
    if spec.is_joined() {
        return None;
    }
    let [from, to] = spec.ends().collect::<Vec<_>>()[..] else { return None };
    let is_meant = |lead: &&design::Lead| lead.flows.iter().any(|(a, b)| a == to && b == from);
    design.leads.iter().filter(|lead| !lead.is_joined()).find(is_meant)
}

fn check(design: &Design) -> Vec<Finding> {
    let known = |name: &str| design.leads.iter().any(|lead| lead.name == name);
    let gone = design.rig.leads.iter().filter(|spec| !known(&spec.name()));
    let shrunk = design.rig.leads.iter().filter_map(|spec| lost_ends(design, spec));
    let gone: Vec<Finding> = gone
        .map(|spec| {
            let name = spec.name();
            let devices: Vec<&String> = spec.ends().map(|end| &end.device).collect();
            // Pairs and splitters are also known by an entry of some of their ends, but not by two entries.
            let whole =
                design.leads.iter().find(|lead| lead.is_joined() && spec.ends().all(|end| lead.ends_at(end)));
            if let Some(lead) = whole {
                return second(spec, lead);
            }
            let what = match (&spec.tag, spec.is_made()) {
                (Some(tag), true) => format!("lead {tag}, {name}, is made, but nothing runs there"),
                (Some(tag), false) => format!("lead {tag}, {name}, has its number, but nothing runs there"),
                (None, true) => format!("lead {name} is made, but nothing runs there"),
                (None, false) => format!("lead {name} is written, but nothing runs there"),
            };
            // An entry that never had a number was not left over: it is written for another lead than there is.
            let is_slip = spec.tag.is_none();
            let what = if is_slip { format!("{what}{}", there_is(design, spec)) } else { what };
            if let Some(lead) = backwards(design, spec) {
                return reversed(spec, lead);
            }
            let severity = match (spec.is_made(), is_slip) {
                (true, _) => Severity::Look,
                (false, true) => Severity::Stop,
                (false, false) => Severity::Note,
            };
            let finding = Finding::new(ID, severity, what)
                .about(devices)
                .with(Evidence::words("no run and no feed", "one that goes along it"))
                .on_leads(spec.tag.iter())
                .at(Field::new(["lead", &name]), "");
            if severity == Severity::Stop {
                finding.remedy("let the entry name the ends of the lead that is meant, or remove it")
            } else {
                finding
            }
        })
        .collect();
    // Numbers that one change left over are one matter.
    let (left, others): (Vec<Finding>, Vec<Finding>) =
        gone.into_iter().partition(|finding| finding.severity == Severity::Note);
    let told =
        |cases: &[Finding]| format!("leads {} have their numbers, but nothing runs there", leads_of(cases));
    let grown = design.rig.leads.iter().filter_map(|spec| joined_now(design, spec));
    others.into_iter().chain(together(left, told)).chain(shrunk).chain(grown).collect()
}

/// An entry beside the one that a lead with a joint has already: what it says is lost.
fn second(spec: &rig::LeadSpec, lead: &design::Lead) -> Finding {
    let severity = if spec.is_made() { Severity::Look } else { Severity::Stop };
    let name = spec.name();
    let own = spec.tag.as_ref().map_or_else(|| name.clone(), |tag| format!("{tag}, {name}"));
    let what = format!("lead {own} is a second entry for ends of lead {}, {}", lead.tag, lead.route_words());
    Finding::new(ID, severity, what)
        .about(lead.ends.iter().map(|end| &end.port.device))
        .on_leads(spec.tag.iter().chain([&lead.tag]))
        .with(Evidence::words("two entries", "one for each lead"))
        .remedy(format!(
            "write what it says into the entry of lead {}; a lead that is made already is a spare",
            lead.tag
        ))
        .at(Field::new(["lead", &name]), "")
}

/// An entry that is written the wrong way round: what it says would reach no lead.
fn reversed(spec: &rig::LeadSpec, lead: &design::Lead) -> Finding {
    let name = spec.name();
    let (from, to) = (spec.to.to_string(), spec.from.to_string());
    Finding::new(
        ID,
        Severity::Stop,
        format!("lead {name} is written the wrong way round: it goes {from} > {to}"),
    )
    .about(lead.ends.iter().map(|end| &end.port.device))
    .on_leads([&lead.tag])
    .with(Evidence::words(&name, format!("{from} > {to}")))
    .remedy(format!("write from = \"{from}\" and to = \"{to}\""))
    .at(Field::new(["lead", &name]), "")
}

/// A lead that was cut as a plain one and goes to more than two ends now.
fn joined_now(design: &Design, spec: &rig::LeadSpec) -> Option<Finding> {
    let cut = spec.cut.filter(|_| !spec.is_joined())?;
    let name = spec.name();
    let lead = design.leads.iter().find(|lead| lead.name == name && lead.is_joined())?;
    let new: Vec<String> = lead
        .ends
        .iter()
        .map(|end| &end.port)
        .filter(|port| spec.plug_at(port).is_none())
        .map(ToString::to_string)
        .collect();
    let what = format!(
        "lead {} is cut to {} as a plain lead, and goes to {} too now",
        lead.tag,
        shown(cut),
        list(&new)
    );
    Some(
        Finding::new(ID, Severity::Look, what)
            .about(lead.ends.iter().map(|end| &end.port.device))
            .on_leads([&lead.tag])
            .with(Evidence::words("a plain lead", "one with a joint"))
            .remedy(
                "make it again with a joint, under the same number, or give the new end a lead of its own",
            )
            .at(Field::lead(&name, "cut"), ""),
    )
}

/// Ends that are written of a lead with a joint and that it does not have.
fn lost_ends(design: &Design, spec: &rig::LeadSpec) -> Option<Finding> {
    let name = spec.name();
    let lead = design.leads.iter().find(|lead| lead.name == name)?;
    let lost: Vec<String> = spec.ends().filter(|end| !lead.ends_at(end)).map(ToString::to_string).collect();
    if lost.is_empty() {
        return None;
    }
    let severity = if spec.tag.is_some() && !spec.is_made() { Severity::Note } else { Severity::Look };
    let what = format!("lead {} is written to go to {}, and nothing runs there", lead.tag, list(&lost));
    Some(
        Finding::new(ID, severity, what)
            .about(spec.ends().map(|end| &end.device))
            .on_leads([&lead.tag])
            .with(Evidence::words("no run and no feed", "one that goes along it"))
            .remedy("take the end out of the lead; a leg that is made already is cut off or kept as a spare")
            .at(Field::new(["lead", &name]), ""),
    )
}

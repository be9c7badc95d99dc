//! Numbers of leads: issued once, so that they never move, and given anew only when that is asked for.

use std::collections::BTreeMap;

use finding::{Change, Edit, Field};
use rig::LeadClass;

use crate::{Design, Lead};

/// The address of a lead's number.
fn tag_of(name: &str) -> Field {
    Field::new(["lead", name, "tag"])
}

/// The edit that writes down the number of every lead that has none issued yet; without changes where all have.
///
/// It is made before anything leaves the program that bears the numbers: papers, a cut plan that is booked, a lead that
/// is cut.
pub fn issue(design: &Design) -> Edit {
    let open: Vec<&Lead> = design.leads.iter().filter(|lead| !lead.issued).collect();
    let changes = open.iter().map(|lead| Change::set(tag_of(&lead.name), lead.tag.as_str()));
    let count = open.len();
    Edit::new(format!("issue {count} lead number{}", if count == 1 { "" } else { "s" }), changes)
}

/// A lead that gets another number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Renumbered {
    /// The number on labels that are printed.
    pub was: String,
    /// Its new number; `None` for a lead that is gone.
    pub is: Option<String>,
    /// What it joins.
    pub joins: String,
}

/// All leads numbered from one in the order of the document, and which printed labels that makes wrong.
///
/// Numbers of leads that are gone become free again: labels that bear them still must be thrown away.
pub fn renumber(design: &Design) -> (Edit, Vec<Renumbered>) {
    let mut next: BTreeMap<LeadClass, u32> = BTreeMap::new();
    let mut changes = Vec::new();
    let mut wrong = Vec::new();
    for lead in &design.leads {
        let figure = next.entry(lead.class).or_default();
        *figure += 1;
        let tag = format!("{}{figure:02}", lead.class.letters());
        if lead.issued && lead.tag != tag {
            wrong.push(Renumbered {
                was: lead.tag.clone(),
                is: Some(tag.clone()),
                joins: lead.route_words(),
            });
        }
        if !lead.issued || lead.tag != tag {
            changes.push(Change::set(tag_of(&lead.name), tag));
        }
    }
    let gone = design
        .rig
        .leads
        .iter()
        .filter(|spec| spec.tag.is_some() && design.leads.iter().all(|lead| lead.name != spec.name()));
    for spec in gone {
        changes.push(Change::remove(tag_of(&spec.name())));
        let was = spec.tag.clone().unwrap_or_default();
        wrong.push(Renumbered { was, is: None, joins: spec.name() });
    }
    for tag in &design.rig.retired {
        wrong.push(Renumbered { was: tag.clone(), is: None, joins: "a lead that is gone".to_owned() });
    }
    if !design.rig.retired.is_empty() {
        changes.push(Change::remove(Field::new(["leads", "retired"])));
    }
    (Edit::new("number all leads anew", changes), wrong)
}

//! Numbers of leads: issued once, so that they never move, and given anew only when that is asked for.

use std::collections::BTreeMap;

use finding::{Change, Edit, Field, Value};
use rig::{LeadClass, LeadSpec, Rig};

use crate::{CutLead, Design, Lead, Shelf};

/// The address of a lead's number.
fn tag_of(name: &str) -> Field {
    Field::new(["lead", name, "tag"])
}

/// The edit that writes down the number of every lead that has none issued yet; without changes where all have.
///
/// It is made before anything leaves the program that bears the numbers: papers, a cut plan that is booked, a lead that
/// is cut.
///
/// An entry whose lead has got more ends since it was written names them from then on, so that its legs keep their letters.
/// A plain lead that has got a joint is made again: what it was cut to is told no more.
pub fn issue_edit(design: &Design) -> Edit {
    let open: Vec<&Lead> = design.leads.iter().filter(|lead| !lead.issued).collect();
    let mut changes: Vec<Change> =
        open.iter().map(|lead| Change::set(tag_of(&lead.name), lead.tag.as_str())).collect();
    let mut names = Vec::new();
    if !open.is_empty() {
        names.push(format!("issue {} lead number{}", open.len(), if open.len() == 1 { "" } else { "s" }));
    }
    for lead in &design.leads {
        let spec = design.rig.leads.iter().find(|spec| spec.name() == lead.name);
        let Some(spec) = spec.filter(|spec| lead.ends.iter().any(|end| spec.place_of(&end.port).is_none()))
        else {
            continue;
        };
        changes.extend(widened(lead, spec));
        names.push(match spec.cut {
            Some(_) => format!("{} has a joint now and is made again", lead.tag),
            None => format!("write the ends of {}", lead.tag),
        });
    }
    Edit::new(names.join("; "), changes)
}

/// What lets an entry name all ends of its lead, those that it names today first.
fn widened(lead: &Lead, spec: &LeadSpec) -> Vec<Change> {
    let name = spec.name();
    let mut out = Vec::new();
    let mut ends: Vec<String> = name.split(" + ").map(str::to_owned).collect();
    if !spec.is_joined() {
        ends = spec.ends().map(ToString::to_string).collect();
        // What is said of a plain lead by its two sides is said of one with a joint end by end.
        for (side, plug) in [("from", &spec.from_plug), ("to", &spec.to_plug)] {
            let end = if side == "from" { &spec.from } else { &spec.to }.to_string();
            let at = |key: &str| Field::lead(&name, key).below(&end);
            if let Some(kind) = &plug.plug {
                out.push(Change::set(at("plugs"), kind.id.as_str()));
            }
            if let Some(exit) = plug.exit {
                out.push(Change::set(at("exits"), exit.word()));
            }
            for key in ["plug", "exit"] {
                out.push(Change::remove(Field::lead(&name, &format!("{side}_{key}"))));
            }
        }
        out.push(Change::remove(Field::lead(&name, "cut")));
    }
    let new = lead.ends.iter().filter(|end| spec.place_of(&end.port).is_none());
    ends.extend(new.map(|end| end.port.to_string()));
    out.push(Change::rename(Field::lead(&name, ""), ends.join(" + ")));
    out
}

/// What keeps the numbers of leads that the shop has cut for a job and its document does not tell of any more: they are
/// retired, so that no other lead gets one. Without changes where there are none.
pub fn retire_edit(rig: &Rig, shelf: &Shelf) -> Edit {
    let known = |tag: &str| {
        rig.retired.iter().any(|retired| retired == tag)
            || rig.leads.iter().any(|spec| spec.tag.as_deref() == Some(tag))
    };
    let mut lost: Vec<String> = shelf.cut.iter().filter_map(CutLead::tag).map(str::to_owned).collect();
    lost.retain(|tag| !known(tag));
    lost.sort();
    lost.dedup();
    let name = format!("keep the numbers {}, which are cut", lost.join(", "));
    let changes = (!lost.is_empty()).then(|| {
        let all = rig.retired.iter().cloned().chain(lost);
        Change::set(Field::new(["leads", "retired"]), Value::list(all))
    });
    Edit::new(name, changes)
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

/// All leads numbered anew.
#[derive(Debug, Clone, PartialEq)]
pub struct Renumbering {
    /// What writes the numbers down.
    pub edit: Edit,
    /// The printed labels that it makes wrong.
    pub wrong_labels: Vec<Renumbered>,
}

/// All leads numbered from one in the order of the document, and which printed labels that makes wrong.
///
/// Numbers of leads that are gone become free again: labels that bear them still must be thrown away.
pub fn renumber(design: &Design) -> Renumbering {
    let mut next: BTreeMap<LeadClass, u32> = BTreeMap::new();
    let mut changes = Vec::new();
    let mut wrong_labels = Vec::new();
    for lead in &design.leads {
        let figure = next.entry(lead.class).or_default();
        *figure += 1;
        let tag = format!("{}{figure:02}", lead.class.letters());
        if lead.issued && lead.tag != tag {
            wrong_labels.push(Renumbered {
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
        wrong_labels.push(Renumbered { was, is: None, joins: spec.name() });
    }
    for tag in &design.rig.retired {
        wrong_labels.push(Renumbered { was: tag.clone(), is: None, joins: "a lead that is gone".to_owned() });
    }
    if !design.rig.retired.is_empty() {
        changes.push(Change::remove(Field::new(["leads", "retired"])));
    }
    Renumbering { edit: Edit::new("number all leads anew", changes), wrong_labels }
}

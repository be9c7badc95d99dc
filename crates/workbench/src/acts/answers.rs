//! What answers a finding, and what the brief asks.

use finding::Change;
use rig::{Named, Requirement, Rig};

use crate::act::{Form, Made, named};
use crate::read::Read;

pub(super) fn requirement(rig: &Rig, form: &Form) -> Made {
    let text_of = form.need("text")?.trim().to_owned();
    let mut all = rig.brief.requirements.clone();
    let id = match form.get("id").filter(|id| !id.is_empty()) {
        Some(id) => id.to_owned(),
        None => (1..=999)
            .map(|n| format!("R{n}"))
            .find(|id| all.iter().all(|other| other.id != *id))
            .unwrap_or_default(),
    };
    let name =
        if text_of.is_empty() { format!("remove requirement {id}") } else { format!("requirement {id}") };
    match all.iter_mut().find(|other| other.id == id) {
        Some(old) => old.text = text_of,
        None => all.push(Requirement { id, text: text_of, wishes: Vec::new() }),
    }
    all.retain(|requirement| !requirement.text.is_empty());
    named(name, [document::edit::requirements(&all)])
}

/// What is left of the wishes of the brief when what they name is removed; `None` where nothing of theirs is.
pub(super) fn unwished(rig: &Rig, changes: &[Change]) -> Option<Change> {
    let mut all = rig.brief.requirements.clone();
    for gone in changes.iter().filter_map(removed) {
        for requirement in &mut all {
            requirement.wishes = requirement.wishes.iter().filter_map(|wish| wish.without(gone)).collect();
        }
    }
    (all != rig.brief.requirements).then(|| document::edit::requirements(&all))
}

/// What a change removes, as far as a wish may name it.
fn removed(change: &Change) -> Option<Named<'_>> {
    let Change::Remove { field } = change else { return None };
    let parts: Vec<&str> = field.parts().iter().map(String::as_str).collect();
    Some(match parts[..] {
        ["device", tag] => Named::Device(tag),
        ["run", name] => Named::Run(name),
        ["sink", id] => Named::Sink(id),
        ["source", id] => Named::Source(id),
        ["board", "deck", name] => Named::Deck(name),
        _ => return None,
    })
}

pub(super) fn accept(text: &str, form: &Form) -> Made {
    let rule = form.need("rule")?;
    let devices = form.all("device");
    let reason = form.need("reason")?.trim();
    if reason.is_empty() {
        return Err("a reason is missing; write why you answer for it".to_owned());
    }
    let by = form.get("by").map(str::trim).filter(|by| !by.is_empty());
    document::edit::accept(text, rule, &devices, reason, by).map_err(|error| error.to_string())
}

pub(super) fn cure(read: &Read, form: &Form) -> Made {
    let (rule, mut devices) = (form.need("rule")?, form.all("device"));
    devices.sort();
    let edit = read
        .all_findings()
        .iter()
        .find(|finding| finding.rule == rule && finding.devices == devices)
        .and_then(|finding| finding.edit.clone());
    edit.ok_or_else(|| "that finding is gone, or nothing cures it in one step".to_owned())
}

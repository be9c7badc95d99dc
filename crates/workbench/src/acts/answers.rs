//! What answers a finding, and what the brief asks.

use finding::{Change, Field, Value};
use rig::Rig;

use crate::act::{Form, Made, named};
use crate::read::Read;

pub(super) fn requirement(rig: &Rig, form: &Form) -> Made {
    let text_of = form.need("text")?.trim().to_owned();
    let mut all: Vec<(String, String)> =
        rig.brief.requirements.iter().map(|r| (r.id.clone(), r.text.clone())).collect();
    let id = match form.get("id").filter(|id| !id.is_empty()) {
        Some(id) => id.to_owned(),
        None => (1..=999)
            .map(|n| format!("R{n}"))
            .find(|id| all.iter().all(|(other, _)| other != id))
            .unwrap_or_default(),
    };
    let name =
        if text_of.is_empty() { format!("remove requirement {id}") } else { format!("requirement {id}") };
    match all.iter_mut().find(|(other, _)| *other == id) {
        Some((_, old)) => old.clone_from(&text_of),
        None => all.push((id, text_of)),
    }
    all.retain(|(_, text)| !text.is_empty());
    let rows: Vec<Vec<(String, Value)>> = all
        .into_iter()
        .map(|(id, text)| vec![("id".to_owned(), id.into()), ("text".to_owned(), text.into())])
        .collect();
    named(name, [Change::set(Field::new(["brief", "requirements"]), Value::Rows(rows))])
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

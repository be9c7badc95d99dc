//! Edits that an engine proposes: feeds, cures, buffers.

use finding::{Change, Edit, Field};
use verdict::WhatIf;

use crate::act::{Form, Made, named};
use crate::acts::entered::with_unit;
use crate::read::Read;

/// The proposal a form asks for.
pub(super) fn edit(read: &Read, form: &Form) -> Made {
    match form.need("act")? {
        "hang" => hang(read, form),
        "feed-lock" => lock(read, form),
        "allocate" => allocate(read),
        "power-cure" => {
            let name = form.need("name")?;
            let cures = &read.allocation().cures;
            let cure = cures.iter().find(|cure| cure.name == name).and_then(|cure| cure.edit.clone());
            cure.ok_or_else(|| "that way out is gone; look again at what cannot be fed".to_owned())
        }
        "arranged" => arranged(read, form),
        "buffers" => {
            let places = form.need("places")?;
            let advice = &read.advise().advice;
            let found = advice.alternatives.iter().find(|set| name(&set.places) == places);
            let found = found.ok_or("that advice is gone; the path has changed")?;
            let edit = signal::fit_buffers(&read.design.rig, &read.design.signal_config(), &found.places);
            let edit = edit.ok_or("no run passes that place")?;
            match form.get("kind").filter(|kind| !kind.is_empty()) {
                None => Ok(edit),
                Some(kind) if read.buffers().iter().any(|(id, _)| id == kind) => Ok(of_kind(edit, kind)),
                Some(kind) => Err(format!("the catalogue has no buffer `{kind}`")),
            }
        }
        other => Err(format!("there is no proposal `{other}`")),
    }
}

/// The edit that a trial comes to.
pub(super) fn what_if(read: &Read, form: &Form) -> Made {
    let ask = asked(|name| form.get(name))?.ok_or("nothing is asked")?;
    verdict::what_if(&read.job, read.all_findings(), &ask)
}

/// What is asked by the fields of a form or an address; nothing where none of it is there.
pub(crate) fn asked<'a>(get: impl Fn(&str) -> Option<&'a str>) -> Result<Option<WhatIf>, String> {
    let need = |name: &str| {
        let value = get(name).map(str::trim).filter(|value| !value.is_empty());
        value.map(str::to_owned).ok_or_else(|| format!("`{name}` is missing"))
    };
    let Some(what) = get("if") else { return Ok(None) };
    Ok(Some(match what {
        "swap" => WhatIf::Swap { tag: need("tag")?, kind: need("kind")? },
        "add" => WhatIf::Add { kind: need("kind")?, after: need("after").ok() },
        "amp" => WhatIf::Amp,
        "tour" => WhatIf::Tour { country: need("country")? },
        "outlet" => WhatIf::Outlet {
            volts: with_unit(&need("volts")?, "V"),
            current: with_unit(&need("current")?, "mA"),
        },
        other => return Err(format!("nobody can try `{other}`")),
    }))
}

/// The edit with this kind for every device that it adds, in place of what the advice took for granted of them.
fn of_kind(edit: Edit, kind: &str) -> Edit {
    let mut changes: Vec<Change> = Vec::new();
    for change in edit.changes {
        match change.field().parts() {
            [list, tag, ..] if list == "device" => {
                let field = Field::device(tag, "kind");
                if changes.iter().all(|before| *before.field() != field) {
                    changes.push(Change::set(field, kind));
                }
            }
            _ => changes.push(change),
        }
    }
    Edit { changes, ..edit }
}

/// One of the placements that a search proposed, or what would make everything fit.
fn arranged(read: &Read, form: &Form) -> Made {
    let found = read.arranging.found().ok_or("that proposal is gone; the document has changed")?;
    let found = &found.found.outcome;
    let pick = form.need("pick")?;
    let numbered = |kind: &str| -> Option<usize> {
        pick.strip_prefix(kind)?.trim().parse::<usize>().ok()?.checked_sub(1)
    };
    let edit = if pick == "best" {
        found.feasible.then(|| found.edit.clone())
    } else if let Some(index) = numbered("alternative") {
        found.alternatives.get(index).map(|other| other.edit.clone())
    } else {
        numbered("relaxation").and_then(|index| found.relaxations.get(index)?.edit.clone())
    };
    let edit = edit.ok_or("there is no such proposal")?;
    if edit.changes.is_empty() {
        return Err("everything stands there already".to_owned());
    }
    Ok(edit)
}

/// Places of buffers as one text.
pub(crate) fn name(places: &[signal::BufferPlace]) -> String {
    let words: Vec<String> = places.iter().map(ToString::to_string).collect();
    words.join(" and ")
}

/// A device on another outlet, or on none.
fn hang(read: &Read, form: &Form) -> Made {
    let (tag, outlet) = (form.need("tag")?.to_owned(), form.need("outlet")?.to_owned());
    let device = read.design.rig.device(&tag).ok_or_else(|| format!("there is no device `{tag}`"))?;
    if device.feed.as_ref().is_some_and(|feed| feed.locked) {
        return Err(format!("the feed of {tag} is locked"));
    }
    if outlet.is_empty() {
        return named(format!("remove the feed of {tag}"), [Change::remove(Field::device(&tag, "feed"))]);
    }
    let moves = power::moves(read.design.power_input(), &tag);
    match moves.into_iter().find(|found| found.outlet == outlet) {
        Some(found) => found.edit.ok_or_else(|| format!("{tag} hangs on {outlet} already")),
        // What nobody can judge is written as it is asked for.
        None => named(
            format!("feed {tag} from {outlet}"),
            [Change::set(Field::device(&tag, "feed.outlets"), vec![outlet])],
        ),
    }
}

fn lock(read: &Read, form: &Form) -> Made {
    let tag = form.need("tag")?.to_owned();
    let feed = read.design.rig.device(&tag).and_then(|device| device.feed.as_ref());
    let is_locked = feed.ok_or_else(|| format!("{tag} has no feed to lock"))?.locked;
    let word = if is_locked { "unlock" } else { "lock" };
    named(
        format!("{word} the feed of {tag}"),
        [Change::set_or_remove(Field::device(&tag, "feed.locked"), (!is_locked).then_some(true))],
    )
}

fn allocate(read: &Read) -> Made {
    let outcome = read.allocation();
    let breaches = power::verify::verify(read.design.power_input(), &outcome.allocation).breaches;
    if let Some(breach) = breaches.first() {
        return Err(format!("the allocation breaks a rule, which is a bug: {}", breach.words()));
    }
    let edit = power::edits(outcome);
    if edit.changes.is_empty() {
        return Err("the feeds are the best already".to_owned());
    }
    Ok(edit)
}

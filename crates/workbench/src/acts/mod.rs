//! From what a page asks for to one named edit of a document: a file for each place.

mod answers;
mod deck;
pub(crate) mod entered;
mod gear;
mod jacks;
mod joining;
mod leads;
mod path;
pub(crate) mod proposals;
mod tying;
mod values;
mod wishes;
pub(crate) mod writing;

pub(crate) use gear::{alone, kind, kind_id};

use finding::{Change, Field};

use crate::act::{Form, Made, named};
use crate::read::Read;

/// The edit a form asks for, on this text. `read` is what the page looked at; without it (the document cannot be
/// read) only plain values can be set. Wishes of the brief go with what they name.
pub(crate) fn edit(text: &str, read: Option<&Read>, form: &Form) -> Made {
    let mut edit = asked_for(text, read, form)?;
    if let Some(read) = read {
        edit.changes.extend(answers::unwished(&read.design.rig, &edit.changes));
    }
    Ok(edit)
}

fn asked_for(text: &str, read: Option<&Read>, form: &Form) -> Made {
    let act = form.need("act")?;
    if act == "set" {
        return values::values(text, read, form);
    }
    let read = read.ok_or("the document cannot be read; mend it first")?;
    let rig = &read.design.rig;
    match act {
        "move" => deck::shift(rig, form),
        "turn" => deck::turn(rig, form),
        "lock" => deck::toggle(rig, form, "locked"),
        "under" => deck::toggle(rig, form, "under"),
        "place" => deck::place(rig, form),
        "unplace" => {
            let tag = form.need("tag")?;
            named(format!("take {tag} off the board"), [Change::remove(Field::device(tag, "place"))])
        }
        "add" => gear::add(rig, form),
        "measure" => gear::measure(rig, form),
        "paste" => gear::paste(read, form),
        "away" => {
            let tag = form.need("tag")?;
            named(format!("remove {tag}"), gear::away(rig, tag))
        }
        "rename" => {
            let (tag, to) = (form.need("tag")?, form.need("to")?.trim());
            named(format!("rename {tag} to {to}"), [Change::rename(Field::of("device", tag, ""), to)])
        }
        "kind" => gear::of_kind(rig, form),
        "run" => path::new_run(rig, form),
        "run-away" => {
            let run = form.need("run")?;
            named(format!("remove run {run}"), [Change::remove(Field::run(run, ""))])
        }
        "stops" => path::stops(rig, form),
        "end" => path::end(rig, form),
        "end-away" => {
            let (list, id) = (form.need("list")?, form.need("id")?);
            named(format!("remove {id}"), [Change::remove(Field::of(list, id, ""))])
        }
        "joint" => joining::edit(rig, form),
        "feed" => leads::feed(form),
        "lead" => leads::lead(form),
        "requirement" => answers::requirement(rig, form),
        "wish" => wishes::add(rig, form),
        "wish-away" => wishes::away(rig, form),
        "accept" => answers::accept(text, form),
        "cure" => answers::cure(read, form),
        "list" | "rows" | "named" | "row" | "row-away" | "hole" => writing::edit(rig, form),
        "jack" => jacks::add(read, form),
        "jack-away" => jacks::away(rig, form),
        "what-if" => proposals::what_if(read, form),
        "tie" | "untie" => tying::edit(read, form),
        "hang" | "feed-lock" | "allocate" | "power-cure" | "buffers" | "arranged" => {
            proposals::edit(read, form)
        }
        other => Err(format!("there is no edit `{other}`")),
    }
}

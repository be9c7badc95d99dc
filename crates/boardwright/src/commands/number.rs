//! `boardwright number`, and the issuing of numbers before anything is printed or cut.

use std::fmt::Write;

use design::{CutLead, Renumbering};

use crate::args::{Number, Rig};
use crate::loaded::{Loaded, load};
use crate::shell::{self, Outcome};
use crate::written;

pub(crate) fn run(options: &Number) -> anyhow::Result<Outcome> {
    let loaded = load(&options.rig)?;
    let mut out = String::new();
    let edit = if options.again {
        let Renumbering { edit, wrong_labels } = design::renumber(&loaded.design);
        // What is cut bears its number, in the shop's list too.
        let shelf = super::stock::shelf_for(&options.rig)?;
        let was: Vec<&str> = wrong_labels.iter().map(|label| label.was.as_str()).collect();
        let mut cut: Vec<&str> = shelf.cut.iter().filter_map(CutLead::tag).collect();
        cut.retain(|tag| was.contains(tag));
        cut.dedup();
        anyhow::ensure!(
            cut.is_empty(),
            "{} cut and booked in the shop under these numbers; take the booking back with `boardwright stock --undo`, or keep the numbers",
            match cut[..] {
                [one] => format!("{one} is"),
                _ => format!("{} are", cut.join(", ")),
            }
        );
        for label in &wrong_labels {
            let _ = match &label.is {
                Some(is) => writeln!(out, "labels {} are wrong: {} is {is}", label.was, label.joins),
                None => writeln!(out, "labels {} are to be thrown away: {}", label.was, label.joins),
            };
        }
        if wrong_labels.is_empty() {
            out.push_str("no printed label becomes wrong\n");
        }
        edit
    } else {
        for lead in &loaded.design.leads {
            let state = if lead.issued { "issued" } else { "not issued yet" };
            let _ =
                writeln!(out, "{:<5} {:<15} {state:<15} {}", lead.tag, lead.class.word(), lead.route_words());
        }
        for tag in &loaded.design.rig.retired {
            let _ = writeln!(out, "{tag:<5} {:<15} retired", "");
        }
        design::issue_edit(&loaded.design)
    };
    shell::data(&out)?;
    if options.write {
        if edit.changes.is_empty() {
            shell::say("nothing changed");
        } else {
            written::write(&options.rig, &loaded, &edit)?;
            shell::say(&format!("written: {}", edit.name));
        }
    }
    Ok(Outcome::Clean)
}

/// The job with the number of every lead issued: written into the document, so that labels stay true.
///
/// Where the document cannot be written, the numbers are those of today, and that is said.
pub(crate) fn issued(rig: &Rig, loaded: Loaded) -> anyhow::Result<Loaded> {
    let shelf = super::stock::shelf_for(rig)?;
    let loaded = put_down(rig, loaded, |loaded| design::retire_edit(&loaded.design.rig, &shelf))?;
    put_down(rig, loaded, |loaded| design::issue_edit(&loaded.design))
}

fn put_down(
    rig: &Rig,
    loaded: Loaded,
    edit: impl FnOnce(&Loaded) -> finding::Edit,
) -> anyhow::Result<Loaded> {
    let edit = edit(&loaded);
    if edit.changes.is_empty() {
        return Ok(loaded);
    }
    match written::write(rig, &loaded, &edit) {
        Ok(()) => {
            shell::say(&format!("written into the document: {}", edit.name));
            load(rig)
        }
        Err(error) => {
            shell::say(&format!("the numbers of leads could not be written down and may move: {error:#}"));
            Ok(loaded)
        }
    }
}

//! `boardwright feed`.

use power::Status;

use crate::args::{Feed, OutcomeFormat};
use crate::loaded::load;
use crate::shell::{self, Outcome};
use crate::written;

pub(crate) fn run(options: &Feed) -> anyhow::Result<Outcome> {
    let loaded = load(&options.rig)?;
    let input = loaded.design.power_input();
    // Bricks of the catalogue are looked through only where the present ones are not enough.
    let with_bricks;
    let mut outcome = loaded.design.feeds();
    if outcome.status == Status::Impossible {
        with_bricks = loaded.design.feeds_with(&loaded.job.catalogue.devices());
        outcome = &with_bricks;
    }
    // The rules judge what is shown, by code that the solver does not use.
    let breaches = power::verify::verify(&input, &outcome.allocation).breaches;
    anyhow::ensure!(
        breaches.is_empty(),
        "the allocation breaks its own rules: {breaches:?}; please report this"
    );
    let text = match options.format {
        OutcomeFormat::Json => serde_json::to_string_pretty(&power::json(outcome))? + "\n",
        OutcomeFormat::Text => power::text(outcome),
    };
    shell::data(&text)?;
    if options.write {
        let edit = power::edits(outcome);
        if edit.changes.is_empty() {
            shell::say("the document says so already");
        } else {
            written::write(&options.rig, &loaded, &edit)?;
            shell::say(&format!("written: {}", edit.name));
        }
    }
    let is_whole = outcome.status != Status::Impossible && outcome.unserved.is_empty();
    Ok(if is_whole { Outcome::Clean } else { Outcome::Stop })
}

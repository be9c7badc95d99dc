//! What was mended or lent out, for papers and for the odds of a fault.

use std::path::Path;

use document::edit::is_there;
use papers::RepairNote;

use crate::shell;

/// Repairs of a job, and what its shop has mended over all jobs; nothing where the shop has no journal.
pub(crate) fn of(shop: Option<&Path>, job: &str) -> anyhow::Result<(Vec<RepairNote>, Vec<faults::Repair>)> {
    let Some(shop) = shop.filter(|shop| is_there(&shop.join(".boardwright/journal.sqlite"))) else {
        return Ok((Vec::new(), Vec::new()));
    };
    let store = shell::open_shop(shop)?;
    let notes = store.repairs(job)?.iter().map(note).collect();
    Ok((notes, workbench::history(&store)?))
}

fn note(repair: &store::Repair) -> RepairNote {
    RepairNote {
        on: repair.on.clone(),
        part: repair.part.clone(),
        words: workbench::repair_words(repair),
        by: repair.by.clone(),
    }
}

//! What was mended or lent out, for papers and for the odds of a fault.

use papers::RepairNote;
use store::Store;

/// Repairs of a job, and what its shop has mended over all jobs; nothing where the shop has no journal.
pub(crate) fn of(store: Option<&Store>, job: &str) -> anyhow::Result<(Vec<RepairNote>, Vec<faults::Repair>)> {
    let notes = match store {
        Some(store) => store.repairs(job)?.iter().map(note).collect(),
        None => Vec::new(),
    };
    Ok((notes, history(store)?))
}

/// What a shop has mended over all its jobs.
pub(crate) fn history(store: Option<&Store>) -> anyhow::Result<Vec<faults::Repair>> {
    Ok(store.map(workbench::history).transpose()?.unwrap_or_default())
}

fn note(repair: &store::Repair) -> RepairNote {
    RepairNote {
        on: repair.on.clone(),
        part: repair.part.clone(),
        words: workbench::repair_words(repair),
        by: repair.by.clone(),
    }
}

//! Keeping what is damaged: it is moved beside its place and never overwritten.

use std::path::{Path, PathBuf};

use crate::records::JOURNAL;
use crate::{StoreError, note};

/// Moves the files of a damaged journal aside, each with the ending it has; the name that it is kept under.
pub(crate) fn journal(records: &Path) -> Result<Option<PathBuf>, StoreError> {
    let aside = free(records, "journal-damaged", ".sqlite");
    let mut is_there = false;
    for ending in ["-wal", "-shm", ""] {
        let with = |path: &Path| PathBuf::from(format!("{}{ending}", path.display()));
        let from = with(&records.join(JOURNAL));
        if from.symlink_metadata().is_ok() {
            is_there |= ending.is_empty();
            std::fs::rename(&from, with(&aside)).map_err(|error| StoreError::file(&from, error))?;
        }
    }
    let note = records.join(note::NOTE);
    if note.symlink_metadata().is_ok() {
        let to = aside.with_extension("end");
        std::fs::rename(&note, to).map_err(|error| StoreError::file(&note, error))?;
    }
    Ok(is_there.then_some(aside))
}

/// The first name that is free for something that is kept aside.
pub(crate) fn free(folder: &Path, name: &str, ending: &str) -> PathBuf {
    let name = |number: usize| folder.join(format!("{name}-{number}{ending}"));
    let number = (1..=9999).find(|number| name(*number).symlink_metadata().is_err()).unwrap_or(0);
    name(number)
}

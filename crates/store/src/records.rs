//! The folder of a shop's records: the journal holds every text of every job, so that nobody may read it who may not read
//! the documents.

use std::path::Path;

/// The folder of records within a shop folder.
pub const RECORDS: &str = ".boardwright";

/// The journal in it.
pub(crate) const JOURNAL: &str = "journal.sqlite";

/// Whether anything goes by the name of a shop's journal, whatever it is: what is no journal is then refused when it is
/// opened, and never taken for absent.
pub fn has_journal(shop: &Path) -> bool {
    shop.join(RECORDS).join(JOURNAL).symlink_metadata().is_ok()
}

/// Makes the folder of records and an empty journal where there is none, for the owner alone; for the group too where the
/// shop's folder is one that the group writes in.
pub(crate) fn make(folder: &Path) -> std::io::Result<()> {
    let records = folder.join(RECORDS);
    if records.is_dir() {
        return Ok(());
    }
    if records.symlink_metadata().is_ok() {
        let why = format!("it is not a folder; `boardwright shop repair {}` puts it right", folder.display());
        return Err(std::io::Error::new(std::io::ErrorKind::NotADirectory, why));
    }
    std::fs::create_dir_all(folder)?;
    private(folder, &records)
}

#[cfg(unix)]
fn private(folder: &Path, records: &Path) -> std::io::Result<()> {
    use std::os::unix::fs::{DirBuilderExt, OpenOptionsExt, PermissionsExt};
    let is_shared = folder.metadata()?.permissions().mode() & 0o020 != 0;
    let mode = if is_shared { 0o770 } else { 0o700 };
    match std::fs::DirBuilder::new().mode(mode).create(records) {
        // Another program makes the same folder at this moment.
        Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists && records.is_dir() => return Ok(()),
        made => made?,
    }
    let journal = records.join(JOURNAL);
    match std::fs::OpenOptions::new().write(true).create_new(true).mode(mode & 0o660).open(journal) {
        Err(error) if error.kind() != std::io::ErrorKind::AlreadyExists => Err(error),
        _ => Ok(()),
    }
}

#[cfg(not(unix))]
fn private(_: &Path, records: &Path) -> std::io::Result<()> {
    std::fs::create_dir_all(records)
}

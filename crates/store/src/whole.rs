//! Whether the shop folder is still the one that was opened, and whether a file is in it.

use std::io::{ErrorKind, Result};
use std::path::Path;

use crate::records::{JOURNAL, RECORDS};
use crate::{Store, StoreError};

/// What tells one file from another under the same name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Identity(u64, u64);

impl Identity {
    #[cfg(unix)]
    pub(crate) fn of(path: &Path) -> Result<Self> {
        use std::os::unix::fs::MetadataExt;
        let found = std::fs::metadata(path)?;
        Ok(Self(found.dev(), found.ino()))
    }

    /// Elsewhere a file that is open can be neither moved nor replaced.
    #[cfg(not(unix))]
    pub(crate) fn of(path: &Path) -> Result<Self> {
        std::fs::metadata(path).map(|_| Self(0, 0))
    }
}

impl Store {
    /// Whether the folder and its records are what was opened. A journal that was moved away would go on taking entries
    /// that nobody finds again.
    pub(crate) fn is_whole(&self) -> std::result::Result<(), StoreError> {
        let folder = self.folder();
        let journal = folder.join(RECORDS).join(JOURNAL);
        let shown = folder.display();
        let what = match Identity::of(&journal) {
            Ok(found) if found == self.identity => return Ok(()),
            Ok(_) => format!(
                "the shop folder `{shown}`, or its records, were replaced by others while it was open"
            ),
            Err(_) if !folder.exists() => {
                format!("the shop folder `{shown}` was moved, renamed or deleted while it was open")
            }
            Err(error) if error.kind() == ErrorKind::NotFound => {
                format!("the records of the shop (`{}`) were taken away while it was open", journal.display())
            }
            Err(error) => {
                format!("the records of the shop (`{}`) cannot be read: {error}", journal.display())
            }
        };
        Err(StoreError::Gone { what })
    }

    /// Whether a file that is to be written is in the shop folder, at the end of all links.
    pub(crate) fn is_inside(&self, path: &Path) -> std::result::Result<(), StoreError> {
        // What is not there yet is made in its folder.
        let there = if path.symlink_metadata().is_ok() { Some(path) } else { path.parent() };
        let Some(there) = there else { return Ok(()) };
        let end = |path: &Path| std::fs::canonicalize(path).map_err(|error| StoreError::file(path, error));
        let to = end(there)?;
        if to.starts_with(end(self.folder())?) {
            return Ok(());
        }
        Err(StoreError::Outside { path: path.to_path_buf(), to })
    }
}

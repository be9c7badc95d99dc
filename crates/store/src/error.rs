//! What can go wrong with a shop folder.

use std::path::{Path, PathBuf};

/// Why the store could not do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// A file could not be read or written.
    #[error("`{path}`: {error}")]
    File {
        /// The file.
        path: PathBuf,
        /// What the system said.
        error: std::io::Error,
    },
    /// The journal could not be read or written.
    #[error("the journal: {0}")]
    Journal(#[from] rusqlite::Error),
    /// The document was written, and then the journal could not be.
    #[error("the document is written, but the journal could not say so yet: {0}")]
    Unnoted(rusqlite::Error),
    /// There is no such job.
    #[error("the shop has no job `{0}`")]
    NoJob(String),
    /// A name that would leave the shop folder, or that no file system likes.
    #[error(
        "`{0}` cannot be the name of a job: letters, digits, points, hyphens and underscores, not beginning with a point"
    )]
    Name(String),
    /// There is a job of that name already.
    #[error("the shop has a job `{0}` already")]
    Taken(String),
    /// The edit was made against an older text than the one in force.
    #[error(
        "somebody changed the document meanwhile: this edit was made on revision {base}, today's is {now}"
    )]
    Stale {
        /// The revision it was made on.
        base: u64,
        /// The revision in force.
        now: u64,
    },
    /// There is nothing to undo or redo.
    #[error("there is nothing to {0}")]
    Nothing(&'static str),
    /// The edit itself was refused.
    #[error("{0}")]
    Refused(String),
    /// There is a revision of that letter already, or none.
    #[error("revision {0}")]
    Revision(String),
}

impl StoreError {
    pub(crate) fn file(path: &Path, error: std::io::Error) -> Self {
        Self::File { path: path.to_path_buf(), error }
    }
}

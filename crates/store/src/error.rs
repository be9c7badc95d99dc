//! What can go wrong with a shop folder.

use std::path::{Path, PathBuf};

use rusqlite::ErrorCode;

const ALLOWED: &str = "Allowed are letters a to z, digits, dots, hyphens and underscores, at most 80 of them, with a letter or digit first and no dot last; the title of a job may hold anything";

/// Why the store could not do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// A file could not be read or written.
    #[error("`{path}`: {error}{room}", room = room(.error))]
    File {
        /// The file.
        path: PathBuf,
        /// What the system said.
        error: std::io::Error,
    },
    /// The journal could not be read or written.
    #[error("the journal: {0}{hint}", hint = hint(.0))]
    Journal(#[from] rusqlite::Error),
    /// The document was written, and then the journal could not be.
    #[error("the document is written, but the journal could not say so yet: {0}")]
    Unnoted(rusqlite::Error),
    /// There is no such job.
    #[error("the shop has no job `{0}`")]
    NoJob(String),
    /// A name that no job can have.
    #[error("`{name}` cannot be the name of a job: {why}. {ALLOWED}")]
    Name {
        /// The name.
        name: String,
        /// What is wrong with it.
        why: &'static str,
    },
    /// There is a job of that name already.
    #[error("the shop has a job `{0}` already")]
    Taken(String),
    /// There was a job of that name, and the journal has its history still.
    #[error(
        "the shop keeps the history of an earlier job `{0}`, its undo and frozen revisions; take another name"
    )]
    Kept(String),
    /// The edit was made against an older text than the one in force.
    #[error(
        "the document was changed meanwhile; nothing was written. Look at it again, then repeat the edit"
    )]
    Stale {
        /// The version it was made on.
        base: u64,
        /// The version in force.
        now: u64,
    },
    /// Another program saved the document each time the edit was made.
    #[error(
        "another program saved `{path}` each of the {tries} times this edit was made; what it saved stands, the edit was not made"
    )]
    Overtaken {
        /// The document.
        path: PathBuf,
        /// How often it was tried.
        tries: usize,
    },
    /// Another program has the turn and does not give it back.
    #[error(
        "another program is writing in this shop and has kept its turn (`{path}`) for {seconds} s; nothing was written. Try again, or end that program"
    )]
    Busy {
        /// The lock.
        path: PathBuf,
        /// How long was waited.
        seconds: f64,
    },
    /// The folder, or its records, are no longer what was opened.
    #[error(
        "{what}; nothing was written. Put it back where it was, or end the program and start it anew with the folder’s present place"
    )]
    Gone {
        /// What happened.
        what: String,
    },
    /// The document is a link to a file outside of the shop.
    #[error(
        "`{path}` leads out of the shop folder, to `{to}`, and is not written; put the file itself into the shop to work on it here"
    )]
    Outside {
        /// The document.
        path: PathBuf,
        /// Where it leads.
        to: PathBuf,
    },
    /// What the journal has is not what was written into it.
    #[error(
        "the journal is damaged: {what} is not as it was written, and is not used. Nothing was written. `boardwright shop repair {shop}` rebuilds the journal and keeps the damaged file"
    )]
    Damaged {
        /// The row.
        what: String,
        /// The shop folder.
        shop: PathBuf,
    },
    /// A shop cannot be backed up into this file, or restored from it.
    #[error("`{path}`: {why}")]
    Backup {
        /// The file, or the folder to restore into.
        path: PathBuf,
        /// What is wrong, and what to do.
        why: String,
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

/// What to do where a disk is full: what is written anew is put in its place only once it is whole.
fn room(error: &std::io::Error) -> &'static str {
    match error.kind() {
        std::io::ErrorKind::StorageFull => {
            ". Nothing was written. Make room on the disk of the shop, then do it again"
        }
        _ => "",
    }
}

/// Whether an error says that the journal itself is broken.
pub(crate) fn is_damage(error: &rusqlite::Error) -> bool {
    matches!(error.sqlite_error_code(), Some(ErrorCode::NotADatabase | ErrorCode::DatabaseCorrupt))
}

/// What to do about a journal that turns out to be damaged while it is open.
fn hint(error: &rusqlite::Error) -> &'static str {
    match error.sqlite_error_code() {
        _ if is_damage(error) => {
            ". Nothing was written. End the program and start it again: it keeps the damaged journal aside and begins a new one"
        }
        Some(ErrorCode::DiskFull) => {
            ". Nothing was written. Make room on the disk of the shop, then do it again"
        }
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => {
            ". Nothing was written. Another program holds the journal: end it, or try again in a moment"
        }
        Some(ErrorCode::ReadOnly | ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => {
            ". Nothing was written. See that you may write to the folder .boardwright of the shop"
        }
        _ => "",
    }
}

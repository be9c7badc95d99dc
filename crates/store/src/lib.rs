//! The shop folder on disk: jobs, and the records that cannot be derived from them.
//!
//! Files are the truth for a design. The journal (`.boardwright/journal.sqlite`) keeps every edit by name with
//! the text before and after, so that undo and redo survive restarts, and also revisions and ticks. All of it
//! can be printed as text. Two programs may work on one shop: writes take turns by a lock file.
//!
//! The order of a write, which makes it safe against a crash at any moment: the journal's row is committed as
//! *pending*; the new text goes to a temporary file, is flushed, moved over the document, and the folder is
//! flushed; the row is marked *done*. What is found *pending* later is settled by the document's hash: the text on disk
//! decides, whatever a call answered.
//!
//! Other programs do not know the lock. So the document is compared right before its text is exchanged, and what the
//! exchange took out is compared once more: a text that another program saved in that instant goes back into the file,
//! and the edit is made anew on it or refused. Nothing that was saved is missing from both the file and the journal.

mod aside;
mod backup;
mod condition;
mod damage;
mod edit;
mod error;
mod hash;
mod history;
mod jobs;
mod names;
mod note;
mod pictures;
mod rebuild;
mod records;
mod repaired;
mod replaced;
mod revision;
mod schema;
mod seal;
mod tested;
mod ticks;
mod turn;
mod verify;
mod whole;
mod words;

pub use backup::{Backup, backup, restore};
pub use condition::{Condition, Repaired, check, repair};
pub use edit::{HistoryStep, Written};
pub use error::StoreError;
pub use history::{DocumentState, Entry, EntryKind};
pub use jobs::JobEntry;
pub use names::{STOCK, check as check_job_name, check_new as check_new_job_name};
pub use pictures::{PORTRAIT, pictures_of};
pub use records::{RECORDS, has_journal};
pub use repaired::Repair;
pub use revision::{Revision, RevisionEntry};
pub use tested::{MOST_BYTES, Reading, Recording};
pub use ticks::Tick;

use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard};
use std::time::Duration;

use document::edit::{Disk, SystemDisk};
use rusqlite::Connection;

use records::JOURNAL;
use turn::PATIENCE;
use whole::Identity;

/// A shop folder, opened.
#[derive(Debug)]
pub struct Store {
    folder: PathBuf,
    journal: Mutex<Connection>,
    disk: Box<dyn Disk>,
    /// What the journal's file was when it was opened.
    identity: Identity,
    patience: Duration,
    told: Option<String>,
}

impl Store {
    /// Opens a shop folder, makes its journal if there is none, and settles what a crash left pending.
    pub fn open(folder: &Path) -> Result<Self, StoreError> {
        Self::open_on(folder, Box::new(SystemDisk))
    }

    /// Opens a shop folder whose documents are written by the given disk.
    pub fn open_on(folder: &Path, disk: Box<dyn Disk>) -> Result<Self, StoreError> {
        Self::open_with(folder, disk, PATIENCE)
    }

    /// Opens a shop folder and says how long to wait where another program is writing.
    pub fn open_with(folder: &Path, disk: Box<dyn Disk>, patience: Duration) -> Result<Self, StoreError> {
        let records = folder.join(RECORDS);
        records::make(folder).map_err(|error| StoreError::file(&records, error))?;
        let turn = turn::take(folder, patience)?;
        let (journal, told) = damage::open(folder, &records)?;
        drop(turn);
        let identity = Identity::of(&records.join(JOURNAL))
            .map_err(|error| StoreError::file(&records.join(JOURNAL), error))?;
        let mut store = Self {
            folder: folder.to_path_buf(),
            journal: Mutex::new(journal),
            disk,
            identity,
            patience,
            told,
        };
        for late in store.settle()? {
            store.told = Some(store.told.take().map_or(late.clone(), |told| format!("{told}. {late}")));
        }
        Ok(store)
    }

    /// The folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// What the person should know of how the shop was opened: that its journal was damaged and what became of it, or that
    /// another program wrote into a text that was replaced.
    pub fn told(&self) -> Option<&str> {
        self.told.as_deref()
    }

    /// The file with a job's document.
    pub fn document(&self, job: &str) -> Result<PathBuf, StoreError> {
        self.is_whole()?;
        if job == STOCK {
            return Ok(self.folder.join("stock.toml"));
        }
        names::check(job)?;
        Ok(self.folder.join(job).join("rig.toml"))
    }

    /// Writes a file of the shop.
    fn put(&self, path: &Path, text: &str) -> Result<(), StoreError> {
        self.is_inside(path)?;
        let landed = document::edit::write_on(&*self.disk, path, text);
        landed.map(drop).map_err(|error| StoreError::file(path, error))
    }

    fn journal(&self) -> Result<MutexGuard<'_, Connection>, StoreError> {
        self.is_whole()?;
        // A thread that panicked while it held the lock left at most an open transaction, which rolled back.
        Ok(self.journal.lock().unwrap_or_else(std::sync::PoisonError::into_inner))
    }

    /// The turn to write: held until the returned file is dropped.
    fn turn(&self) -> Result<std::fs::File, StoreError> {
        self.is_whole()?;
        turn::take(&self.folder, self.patience)
    }
}

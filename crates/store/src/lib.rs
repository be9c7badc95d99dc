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

mod edit;
mod error;
mod hash;
mod history;
mod jobs;
mod revision;
mod schema;
mod ticks;

pub use edit::{Direction, Written};
pub use error::StoreError;
pub use history::{Entry, EntryKind, State};
pub use jobs::JobEntry;
pub use revision::{Revision, RevisionEntry};
pub use ticks::Tick;

use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard};

use document::edit::{Disk, SystemDisk};
use rusqlite::Connection;

/// The name under which the shop's stock of cable is journaled: no job can have it.
pub const STOCK: &str = "~stock";

/// A shop folder, opened.
#[derive(Debug)]
pub struct Store {
    folder: PathBuf,
    journal: Mutex<Connection>,
    disk: Box<dyn Disk>,
}

impl Store {
    /// Opens a shop folder, makes its journal if there is none, and settles what a crash left pending.
    pub fn open(folder: &Path) -> Result<Self, StoreError> {
        Self::open_on(folder, Box::new(SystemDisk))
    }

    /// Opens a shop folder whose documents are written by the given disk.
    pub fn open_on(folder: &Path, disk: Box<dyn Disk>) -> Result<Self, StoreError> {
        let records = folder.join(".boardwright");
        std::fs::create_dir_all(&records).map_err(|error| StoreError::file(&records, error))?;
        let journal = Connection::open(records.join("journal.sqlite"))?;
        schema::prepare(&journal)?;
        let store = Self { folder: folder.to_path_buf(), journal: Mutex::new(journal), disk };
        store.settle()?;
        Ok(store)
    }

    /// The folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// The file with a job's document.
    pub fn document(&self, job: &str) -> Result<PathBuf, StoreError> {
        if job == STOCK {
            return Ok(self.folder.join("stock.toml"));
        }
        jobs::check_name(job)?;
        Ok(self.folder.join(job).join("rig.toml"))
    }

    /// Writes a file of the shop.
    fn put(&self, path: &Path, text: &str) -> Result<(), StoreError> {
        let landed = document::edit::write_on(&*self.disk, path, text);
        landed.map(drop).map_err(|error| StoreError::file(path, error))
    }

    fn journal(&self) -> MutexGuard<'_, Connection> {
        // A thread that panicked while it held the lock left at most an open transaction, which rolled back.
        self.journal.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
    }

    /// The turn to write: held until the returned file is dropped.
    fn turn(&self) -> Result<std::fs::File, StoreError> {
        let path = self.folder.join(".boardwright/lock");
        let file = std::fs::OpenOptions::new()
            .create(true)
            .truncate(false)
            .write(true)
            .open(&path)
            .map_err(|error| StoreError::file(&path, error))?;
        file.lock().map_err(|error| StoreError::file(&path, error))?;
        Ok(file)
    }
}

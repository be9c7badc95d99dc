//! The jobs of a shop.

use crate::{Store, StoreError};

/// One job folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobEntry {
    /// Its folder's name.
    pub name: String,
}

/// Whether a name may be a job's: it never leaves the shop folder.
pub(crate) fn check_name(name: &str) -> Result<(), StoreError> {
    let fits = !name.is_empty()
        && name.len() <= 80
        && !name.starts_with('.')
        && name.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.'));
    if fits { Ok(()) } else { Err(StoreError::Name(name.to_owned())) }
}

impl Store {
    /// Every folder with a `rig.toml`, in name order.
    pub fn jobs(&self) -> Result<Vec<JobEntry>, StoreError> {
        let mut jobs = Vec::new();
        let entries =
            std::fs::read_dir(self.folder()).map_err(|error| StoreError::file(self.folder(), error))?;
        for entry in entries.flatten() {
            let name = entry.file_name().to_string_lossy().into_owned();
            if check_name(&name).is_ok() && entry.path().join("rig.toml").is_file() {
                jobs.push(JobEntry { name });
            }
        }
        jobs.sort_by(|a, b| a.name.cmp(&b.name));
        Ok(jobs)
    }

    /// Makes a job with this document.
    pub fn create(&self, job: &str, text: &str) -> Result<(), StoreError> {
        let path = self.document(job)?;
        let _turn = self.turn()?;
        if path.exists() {
            return Err(StoreError::Taken(job.to_owned()));
        }
        let folder = self.folder().join(job);
        std::fs::create_dir_all(&folder).map_err(|error| StoreError::file(&folder, error))?;
        document::edit::write_atomically(&path, text).map_err(|error| StoreError::file(&path, error))
    }
}

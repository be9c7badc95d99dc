//! The jobs of a shop.

use document::edit::Editor;
use document::format::CATALOGUE;
use finding::Edit;

use crate::{STOCK, Store, StoreError};

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
        self.put(&path, text)
    }
}

impl Store {
    /// Makes an empty stock of cable where there is none, so that it can be edited like a document under [`STOCK`].
    pub fn begin_stock(&self) -> Result<(), StoreError> {
        let path = self.document(STOCK)?;
        let _turn = self.turn()?;
        if path.exists() {
            return Ok(());
        }
        self.put(&path, document::EMPTY_STOCK)
    }

    /// A short text that changes whenever a file of the shop's settings or catalogue does.
    pub fn overlay_stamp(&self) -> String {
        let mut files = vec![self.folder().join("shop.toml")];
        if let Ok(entries) = std::fs::read_dir(self.folder().join("catalogue")) {
            files.extend(entries.flatten().map(|entry| entry.path()));
        }
        files.sort();
        let seen: Vec<String> = files
            .iter()
            .filter_map(|path| {
                let data = std::fs::metadata(path).ok()?;
                let since = data.modified().ok()?.duration_since(std::time::UNIX_EPOCH).ok()?;
                Some(format!("{}:{}", data.len(), since.as_nanos()))
            })
            .collect();
        seen.join("+")
    }

    /// Adds a kind to the shop's own catalogue, `catalogue/own.toml`; makes `shop.toml` where there is none, so
    /// that the folder counts as a shop. The edit says what the kind is, under `device` and its id.
    pub fn add_kind(&self, kind: &Edit) -> Result<(), StoreError> {
        let _turn = self.turn()?;
        let shop = self.folder().join("shop.toml");
        if !shop.exists() {
            self.put(
                &shop,
                "# What this workshop does differently. docs/limit-settings.md lists the limits.\n",
            )?;
        }
        let folder = self.folder().join("catalogue");
        std::fs::create_dir_all(&folder).map_err(|error| StoreError::file(&folder, error))?;
        let path = folder.join("own.toml");
        let before = match std::fs::read_to_string(&path) {
            Ok(text) => text,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
                "# Kinds this workshop measured.\n".to_owned()
            }
            Err(error) => return Err(StoreError::file(&path, error)),
        };
        let after = Editor::of(&CATALOGUE, &before).and_then(|editor| editor.make(kind));
        let after = after.map_err(|error| StoreError::Refused(error.to_string()))?;
        self.put(&path, &after.text())
    }
}

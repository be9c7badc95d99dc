//! The jobs of a shop.

use document::edit::{Editor, Replaced, is_there, read_plain_text, replace_on};
use document::format::CATALOGUE;
use finding::Edit;

use crate::edit::{TRIES, keep};
use crate::{STOCK, Store, StoreError, history, names};

/// Under what name texts of the shop's own catalogue are journaled, where one was overwritten.
const KINDS: &str = "~kinds";

/// One job folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobEntry {
    /// Its folder's name.
    pub name: String,
}

impl Store {
    /// Every folder with a `rig.toml`, in name order.
    pub fn jobs(&self) -> Result<Vec<JobEntry>, StoreError> {
        self.is_whole()?;
        let mut jobs = Vec::new();
        for name in self.names()? {
            // A pipe or a folder in the place of a document is a job too: its page says what is wrong with it.
            let path = self.folder().join(&name).join("rig.toml");
            if names::check(&name).is_ok() && is_there(&path) {
                jobs.push(JobEntry { name });
            }
        }
        jobs.sort_by(|a, b| a.name.cmp(&b.name));
        Ok(jobs)
    }

    fn names(&self) -> Result<Vec<String>, StoreError> {
        let there = std::fs::read_dir(self.folder());
        let there = there.map_err(|error| StoreError::file(self.folder(), error))?;
        Ok(there.flatten().map(|entry| entry.file_name().to_string_lossy().into_owned()).collect())
    }

    /// Makes a job with this document under a name made from its title: counted on where that is taken. The name.
    pub fn create_titled(&self, title: &str, text: &str) -> Result<String, StoreError> {
        let name = names::from_title(title);
        for number in 1_u32.. {
            let name = if number == 1 { name.clone() } else { format!("{name}-{number}") };
            match self.create(&name, text) {
                Err(StoreError::Taken(_) | StoreError::Kept(_)) => {}
                made => return made.map(|()| name),
            }
        }
        Err(StoreError::Taken(name))
    }

    /// Makes a job with this document.
    pub fn create(&self, job: &str, text: &str) -> Result<(), StoreError> {
        names::check_new(job)?;
        let path = self.document(job)?;
        let _turn = self.turn()?;
        // On many disks names that differ by case alone are one name.
        let alike = self.names()?.into_iter().find(|there| there != job && there.eq_ignore_ascii_case(job));
        if let Some(alike) = alike {
            return Err(StoreError::Taken(alike));
        }
        if path.symlink_metadata().is_ok() {
            return Err(StoreError::Taken(job.to_owned()));
        }
        // Undo in a new job must never bring up another client's document.
        let journal = self.journal()?;
        if history::is_known(&journal, job)? {
            return Err(StoreError::Kept(job.to_owned()));
        }
        drop(journal);
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
        if path.symlink_metadata().is_ok() {
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
        if !is_there(&shop) {
            self.put(
                &shop,
                "# What this workshop does differently. docs/limit-settings.md lists the limits.\n",
            )?;
        }
        let folder = self.folder().join("catalogue");
        std::fs::create_dir_all(&folder).map_err(|error| StoreError::file(&folder, error))?;
        let path = folder.join("own.toml");
        for _ in 0..TRIES {
            if path.symlink_metadata().is_err() {
                self.put(&path, "# Kinds this workshop measured.\n")?;
            }
            self.is_inside(&path)?;
            let before = read_plain_text(&path).map_err(|error| StoreError::file(&path, error))?;
            let after = Editor::of(&CATALOGUE, &before).and_then(|editor| editor.make(kind));
            let after = after.map_err(|error| StoreError::Refused(error.to_string()))?;
            let replaced = replace_on(&*self.disk, &path, &before, &after.text(), None);
            match replaced.map_err(|error| StoreError::file(&path, error))? {
                Replaced::Landed(_) => return Ok(()),
                Replaced::Overtaken { taken } => {
                    let journal = self.journal()?;
                    for text in taken {
                        keep(&journal, KINDS, &text)?;
                    }
                }
            }
        }
        Err(StoreError::Overtaken { path, tries: TRIES })
    }
}

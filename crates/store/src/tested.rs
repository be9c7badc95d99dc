//! What was found on the bench: answers at rows of the test sheet, and recordings of the finished board.
//!
//! Answers are never changed: another one is another row, and the last one counts. Both stand outside the document and its
//! revisions, as ticks do. A recording is a file of its job, so that any program opens it; its hash is in the journal.

use std::io::Write;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, params};
use sha2::{Digest, Sha256};

use crate::seal::{self, Subject};
use crate::{Store, StoreError, hash};

/// The folder of a job's recordings within the job's.
const TAKES: &str = "takes";

/// The longest recording that is kept, in bytes: what the reader of recordings takes.
pub const MOST_BYTES: usize = 256 * 1024 * 1024;

/// The longest name of a recording.
const LONGEST: usize = 60;

/// An answer at a row of the test sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reading {
    /// The id of the row.
    pub row: String,
    /// What was found; nothing where an answer was taken back.
    pub said: String,
    /// By whom.
    pub by: Option<String>,
    /// The day, as the caller gave it; today, in universal time, where nothing was given.
    pub on: String,
    /// The revision of the document.
    pub revision: String,
    /// What the row rested on.
    pub rests: String,
    /// Why it may stand although it does not pass.
    pub answer: Option<String>,
}

/// A recording.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Recording {
    /// Its name, which is that of its file without the ending.
    pub name: String,
    /// SHA-256 of the file.
    pub sum: String,
    /// The length of the file in bytes.
    pub bytes: u64,
    /// What somebody said it is of; `None` where nobody said.
    pub state: Option<String>,
    /// When it was kept, in universal time.
    pub at: String,
}

/// The file of a recording.
pub(crate) fn place(folder: &Path, job: &str, name: &str) -> PathBuf {
    folder.join(job).join(TAKES).join(format!("{name}.wav"))
}

/// SHA-256 of a file's bytes.
pub(crate) fn sum(bytes: &[u8]) -> String {
    hash::hex(&Sha256::digest(bytes))
}

/// A name that every system takes, from the one that a person or a machine gave the file.
fn clean(name: &str) -> String {
    let name = name.rsplit(['/', '\\']).next().unwrap_or_default();
    let stem = name.strip_suffix(".wav").or_else(|| name.strip_suffix(".WAV")).unwrap_or(name);
    let mut out = String::new();
    for letter in stem.chars() {
        if letter.is_ascii_alphanumeric() || letter == '_' {
            out.push(letter);
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
    }
    out.truncate(LONGEST);
    let out = out.trim_end_matches('-');
    if out.is_empty() { "take".to_owned() } else { out.to_owned() }
}

/// Every recording that counts, with its job.
pub(crate) fn all_recordings(journal: &Connection) -> rusqlite::Result<Vec<(String, Recording)>> {
    let mut rows = journal.prepare(
        "SELECT job, name, sum, bytes, state, at FROM recording
         WHERE id IN (SELECT max(id) FROM recording GROUP BY job, name) ORDER BY id",
    )?;
    let all = rows.query_map([], |row| {
        let bytes: i64 = row.get(3)?;
        let one = Recording {
            name: row.get(1)?,
            sum: row.get(2)?,
            bytes: u64::try_from(bytes).unwrap_or(0),
            state: row.get(4)?,
            at: row.get(5)?,
        };
        Ok((row.get(0)?, one))
    })?;
    // What was taken out again has no sum.
    Ok(all
        .collect::<rusqlite::Result<Vec<_>>>()?
        .into_iter()
        .filter(|(_, one)| !one.sum.is_empty())
        .collect())
}

impl Store {
    /// Keeps an answer.
    pub fn read_off(&self, job: &str, reading: &Reading) -> Result<(), StoreError> {
        self.document(job)?;
        let journal = self.journal()?;
        seal::write(&journal, |journal| {
            journal.execute(
                "INSERT INTO reading (job, row, said, by, on_day, revision, rests, answer)
                 VALUES (?1, ?2, ?3, ?4, coalesce(nullif(?5, ''), strftime('%Y-%m-%d', 'now')), ?6, ?7, ?8)",
                params![
                    job,
                    reading.row,
                    reading.said,
                    reading.by,
                    reading.on,
                    reading.revision,
                    reading.rests,
                    reading.answer
                ],
            )?;
            Ok(((), vec![Subject::Reading(journal.last_insert_rowid())]))
        })?;
        Ok(())
    }

    /// Every answer of a job, oldest first.
    pub fn readings(&self, job: &str) -> Result<Vec<Reading>, StoreError> {
        let journal = self.journal()?;
        let mut statement = journal.prepare_cached(
            "SELECT row, said, by, on_day, revision, rests, answer FROM reading WHERE job = ?1 ORDER BY id",
        )?;
        let rows = statement.query_map([job], |row| {
            Ok(Reading {
                row: row.get(0)?,
                said: row.get(1)?,
                by: row.get(2)?,
                on: row.get(3)?,
                revision: row.get(4)?,
                rests: row.get(5)?,
                answer: row.get(6)?,
            })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Keeps a recording as a file of its job, under the name given or one like it that is free; gives that name.
    pub fn keep_recording(
        &self,
        job: &str,
        name: &str,
        bytes: &[u8],
        state: Option<&str>,
    ) -> Result<String, StoreError> {
        let document = self.document(job)?;
        if MOST_BYTES < bytes.len() {
            return Err(StoreError::Refused(format!(
                "the recording has {} MB, at most {} are kept: cut it to the test signals",
                bytes.len() / 1_000_000,
                MOST_BYTES / 1_000_000
            )));
        }
        if document.symlink_metadata().is_err() {
            return Err(StoreError::NoJob(job.to_owned()));
        }
        let (wanted, own) = (clean(name), sum(bytes));
        let _turn = self.turn()?;
        let there = self.recordings(job)?;
        if let Some(same) = there.iter().find(|one| one.sum == own && one.state.as_deref() == state) {
            return Ok(same.name.clone());
        }
        let is_free = |name: &String| place(self.folder(), job, name).symlink_metadata().is_err();
        let numbered =
            |number: usize| if number == 1 { wanted.clone() } else { format!("{wanted}-{number}") };
        let same = there.into_iter().find(|one| one.sum == own).map(|one| one.name);
        let name = match same {
            // The same sound of another state: its file stays.
            Some(name) => name,
            None => {
                let name = (1..10_000).map(numbered).find(is_free).unwrap_or_else(|| own.clone());
                self.put_bytes(&place(self.folder(), job, &name), bytes)?;
                name
            }
        };
        let journal = self.journal()?;
        seal::write(&journal, |journal| {
            journal.execute(
                "INSERT INTO recording (job, name, sum, bytes, state) VALUES (?1, ?2, ?3, ?4, ?5)",
                params![job, name, own, i64::try_from(bytes.len()).unwrap_or(i64::MAX), state],
            )?;
            Ok(((), vec![Subject::Recording(journal.last_insert_rowid())]))
        })?;
        Ok(name)
    }

    /// Takes a recording out of the list; its file stays until somebody deletes it.
    pub fn drop_recording(&self, job: &str, name: &str) -> Result<(), StoreError> {
        self.document(job)?;
        let journal = self.journal()?;
        seal::write(&journal, |journal| {
            journal.execute(
                "INSERT INTO recording (job, name, sum, bytes, state) VALUES (?1, ?2, '', 0, NULL)",
                params![job, name],
            )?;
            Ok(((), vec![Subject::Recording(journal.last_insert_rowid())]))
        })?;
        Ok(())
    }

    /// The recordings of a job, oldest first.
    pub fn recordings(&self, job: &str) -> Result<Vec<Recording>, StoreError> {
        let journal = self.journal()?;
        Ok(all_recordings(&journal)?.into_iter().filter(|(of, _)| of == job).map(|(_, one)| one).collect())
    }

    /// The bytes of a recording.
    pub fn recording(&self, job: &str, name: &str) -> Result<Vec<u8>, StoreError> {
        self.document(job)?;
        let one = self.recordings(job)?.into_iter().find(|one| one.name == name);
        let Some(one) = one else {
            return Err(StoreError::Refused(format!("there is no recording `{name}`")));
        };
        let path = place(self.folder(), job, &one.name);
        let bytes = std::fs::read(&path).map_err(|error| StoreError::file(&path, error))?;
        if sum(&bytes) != one.sum {
            return Err(StoreError::Refused(format!(
                "`{}` is not the recording that was kept: something else wrote into it",
                path.display()
            )));
        }
        Ok(bytes)
    }

    /// Writes a new file of a job beside its place and moves it there.
    fn put_bytes(&self, path: &Path, bytes: &[u8]) -> Result<(), StoreError> {
        let failed = |error| StoreError::file(path, error);
        let Some(folder) = path.parent() else { return Ok(()) };
        // A job's folder that leads out of the shop gets none in it.
        self.is_inside(folder)?;
        std::fs::create_dir_all(folder).map_err(failed)?;
        self.is_inside(path)?;
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        // The ending with a number is the one that a backup leaves out.
        let spare = folder.join(format!(".{name}.{}.new", std::process::id()));
        let written = std::fs::File::create(&spare)
            .and_then(|mut file| file.write_all(bytes).and_then(|()| file.sync_all()))
            .and_then(|()| std::fs::rename(&spare, path));
        if written.is_err() {
            let _ = std::fs::remove_file(&spare);
        }
        written.map_err(failed)
    }
}

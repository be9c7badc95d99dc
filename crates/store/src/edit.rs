//! Reading and writing documents through the journal.

use std::path::Path;

use document::edit::Disk;
use rusqlite::{Connection, OptionalExtension, params};

use crate::history::{Entry, EntryKind, State, entries, stacks};
use crate::{Store, StoreError, hash};

/// Undo or redo.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// Take the last edit back.
    Back,
    /// Make the last edit that was taken back again.
    Forth,
}

/// What a write came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// Where the document stands now.
    pub state: State,
    /// The name of the edit made, taken back or made again.
    pub name: String,
    /// What the system could not promise, when it is written all the same.
    pub doubt: Option<String>,
}

impl Store {
    /// Where a document stands. A change made by another program becomes an entry that can be undone.
    pub fn state(&self, job: &str) -> Result<State, StoreError> {
        let path = self.document(job)?;
        let text = read(&path, job)?;
        let journal = self.journal();
        if last_hash(&journal, job)?.as_deref() == Some(hash::of(&text).as_str()) {
            return state_of(&journal, job, text);
        }
        drop(journal);
        // The text is not the one the journal knows: take the turn, so that a write in progress ends first.
        let _turn = self.turn()?;
        let text = read(&path, job)?;
        let journal = self.journal();
        adopt(&journal, job, &text)?;
        state_of(&journal, job, text)
    }

    /// Makes one named edit on the text of revision `base`.
    ///
    /// `make` gives the new text, or says why it cannot. An edit made on another revision than the one in
    /// force is refused. An edit that changes nothing leaves no entry.
    pub fn edit(
        &self,
        job: &str,
        base: u64,
        name: &str,
        make: impl FnOnce(&str) -> Result<String, String>,
    ) -> Result<Written, StoreError> {
        let path = self.document(job)?;
        let _turn = self.turn()?;
        let text = read(&path, job)?;
        let journal = self.journal();
        adopt(&journal, job, &text)?;
        let now = state_of(&journal, job, text)?;
        if now.revision != base {
            return Err(StoreError::Stale { base, now: now.revision });
        }
        let after = make(&now.text).map_err(StoreError::Refused)?;
        if after == now.text {
            return Ok(Written { state: now, name: name.to_owned(), doubt: None });
        }
        write(
            &*self.disk,
            &journal,
            &path,
            &Row { job, kind: EntryKind::Edit, name, target: None, before: &now.text, after: &after },
        )
    }

    /// Takes the last edit back or makes it again.
    pub fn step(&self, job: &str, base: Option<u64>, direction: Direction) -> Result<Written, StoreError> {
        let path = self.document(job)?;
        let _turn = self.turn()?;
        let text = read(&path, job)?;
        let journal = self.journal();
        adopt(&journal, job, &text)?;
        let list = entries(&journal, job)?;
        let now = revision(&list);
        if let Some(base) = base
            && base != now
        {
            return Err(StoreError::Stale { base, now });
        }
        let (done, undone) = stacks(&list);
        let (kind, target, column) = match direction {
            Direction::Back => (EntryKind::Undo, done.last(), "before"),
            Direction::Forth => (EntryKind::Redo, undone.last(), "after"),
        };
        let target = *target.ok_or(StoreError::Nothing(kind.word()))?;
        let (name, after): (String, String) = journal.query_row(
            &format!("SELECT name, {column} FROM entry WHERE id = ?1"),
            [target],
            |row| Ok((row.get(0)?, row.get(1)?)),
        )?;
        write(
            &*self.disk,
            &journal,
            &path,
            &Row { job, kind, name: &name, target: Some(target), before: &text, after: &after },
        )
    }

    /// Every entry of a job's journal, oldest first.
    pub fn history(&self, job: &str) -> Result<Vec<Entry>, StoreError> {
        entries(&self.journal(), job)
    }

    /// Settles what a crash left pending: the document's hash says whether the write came through.
    pub(crate) fn settle(&self) -> Result<(), StoreError> {
        let _turn = self.turn()?;
        let journal = self.journal();
        let jobs: Vec<String> = {
            let mut statement =
                journal.prepare("SELECT DISTINCT job FROM entry WHERE state = 'pending' ORDER BY job")?;
            let rows = statement.query_map([], |row| row.get(0))?;
            rows.collect::<Result<_, _>>()?
        };
        for job in jobs {
            let there = self.document(&job).ok().and_then(|path| std::fs::read_to_string(path).ok());
            settle(&journal, &job, there.as_deref())?;
        }
        drop(journal);
        self.sweep();
        Ok(())
    }

    /// Takes temporary files away that a crash left beside documents. Called while holding the turn, so none
    /// of them is being written.
    fn sweep(&self) {
        for job in self.jobs().unwrap_or_default() {
            let Ok(entries) = std::fs::read_dir(self.folder().join(&job.name)) else { continue };
            for entry in entries.flatten() {
                let name = entry.file_name().to_string_lossy().into_owned();
                let middle =
                    name.strip_prefix(".rig.toml.").and_then(|rest| rest.strip_suffix(".new")).unwrap_or("");
                if !middle.is_empty() && middle.bytes().all(|byte| byte.is_ascii_digit()) {
                    // Best effort: a file that stays does no harm.
                    let _ = std::fs::remove_file(entry.path());
                }
            }
        }
    }
}

/// One row to write.
struct Row<'a> {
    job: &'a str,
    kind: EntryKind,
    name: &'a str,
    target: Option<i64>,
    before: &'a str,
    after: &'a str,
}

fn insert(journal: &Connection, row: &Row<'_>, state: &str) -> Result<i64, StoreError> {
    journal
        .prepare_cached(
            "INSERT INTO entry (job, kind, name, target, before_hash, after_hash, before, after, state)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
        )?
        .execute(params![
            row.job,
            row.kind.word(),
            row.name,
            row.target,
            hash::of(row.before),
            hash::of(row.after),
            row.before,
            row.after,
            state
        ])?;
    Ok(journal.last_insert_rowid())
}

/// Pending row, file, done: in this order, each on disk before the next.
///
/// The answer says what is in the file: an error of the file means that it is as it was, and whatever goes wrong after
/// the file was moved is told as a doubt, or as [`StoreError::Unnoted`] where the journal could not be told.
fn write(disk: &dyn Disk, journal: &Connection, path: &Path, row: &Row<'_>) -> Result<Written, StoreError> {
    let id = insert(journal, row, "pending")?;
    let landed = match document::edit::write_on(disk, path, row.after) {
        Ok(landed) => landed,
        Err(error) => {
            // A row that stays pending is settled by what is in the file: then it is void too.
            let _ = mark(journal, id, "void");
            return Err(StoreError::file(path, error));
        }
    };
    mark(journal, id, "done").map_err(StoreError::Unnoted)?;
    let state = state_of(journal, row.job, row.after.to_owned())?;
    Ok(Written { state, name: row.name.to_owned(), doubt: landed.doubt() })
}

fn mark(journal: &Connection, id: i64, state: &str) -> rusqlite::Result<()> {
    journal.execute("UPDATE entry SET state = ?1 WHERE id = ?2", params![state, id]).map(drop)
}

/// Settles what is pending of a job: the text in its file says whether the write came through.
fn settle(journal: &Connection, job: &str, there: Option<&str>) -> Result<(), StoreError> {
    let there = there.map(hash::of);
    let pending: Vec<(i64, String)> = {
        let mut statement = journal.prepare_cached(
            "SELECT id, after_hash FROM entry WHERE job = ?1 AND state = 'pending' ORDER BY id",
        )?;
        let rows = statement.query_map([job], |row| Ok((row.get(0)?, row.get(1)?)))?;
        rows.collect::<Result<_, _>>()?
    };
    for (id, after) in pending {
        mark(journal, id, if there.as_ref() == Some(&after) { "done" } else { "void" })?;
    }
    Ok(())
}

/// Settles what is pending, and notes the text as it is on disk when the journal does not know it. Called while
/// holding the turn.
fn adopt(journal: &Connection, job: &str, text: &str) -> Result<(), StoreError> {
    settle(journal, job, Some(text))?;
    match last_text(journal, job)? {
        None => {
            insert(
                journal,
                &Row {
                    job,
                    kind: EntryKind::Begin,
                    name: "as found",
                    target: None,
                    before: text,
                    after: text,
                },
                "done",
            )?;
        }
        Some(last) if last != text => {
            let name = "changed by another program";
            insert(
                journal,
                &Row { job, kind: EntryKind::Foreign, name, target: None, before: &last, after: text },
                "done",
            )?;
        }
        Some(_) => {}
    }
    Ok(())
}

fn last_hash(journal: &Connection, job: &str) -> Result<Option<String>, StoreError> {
    last(journal, job, "after_hash")
}

fn last_text(journal: &Connection, job: &str) -> Result<Option<String>, StoreError> {
    last(journal, job, "after")
}

fn last(journal: &Connection, job: &str, column: &str) -> Result<Option<String>, StoreError> {
    let query =
        format!("SELECT {column} FROM entry WHERE job = ?1 AND state = 'done' ORDER BY id DESC LIMIT 1");
    Ok(journal.prepare_cached(&query)?.query_row([job], |row| row.get(0)).optional()?)
}

fn revision(entries: &[Entry]) -> u64 {
    u64::try_from(entries.len()).unwrap_or(u64::MAX)
}

fn state_of(journal: &Connection, job: &str, text: String) -> Result<State, StoreError> {
    let list = entries(journal, job)?;
    let (done, undone) = stacks(&list);
    let name_of = |id: Option<&i64>| {
        let id = id?;
        list.iter().find(|entry| entry.id == *id).map(|entry| entry.name.clone())
    };
    Ok(State {
        hash: hash::of(&text),
        text,
        revision: revision(&list),
        undo: name_of(done.last()),
        redo: name_of(undone.last()),
    })
}

fn read(path: &Path, job: &str) -> Result<String, StoreError> {
    match std::fs::read_to_string(path) {
        Ok(text) => Ok(text),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Err(StoreError::NoJob(job.to_owned())),
        Err(error) => Err(StoreError::file(path, error)),
    }
}

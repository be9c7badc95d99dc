//! Reading and writing documents through the journal.

use std::path::Path;

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
            return Ok(Written { state: now, name: name.to_owned() });
        }
        let state = write(
            &journal,
            &path,
            &Row { job, kind: EntryKind::Edit, name, target: None, before: &now.text, after: &after },
        )?;
        Ok(Written { state, name: name.to_owned() })
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
        let state = write(
            &journal,
            &path,
            &Row { job, kind, name: &name, target: Some(target), before: &text, after: &after },
        )?;
        Ok(Written { state, name })
    }

    /// Every entry of a job's journal, oldest first.
    pub fn history(&self, job: &str) -> Result<Vec<Entry>, StoreError> {
        entries(&self.journal(), job)
    }

    /// Settles what a crash left pending: the document's hash says whether the write came through.
    pub(crate) fn settle(&self) -> Result<(), StoreError> {
        let _turn = self.turn()?;
        let journal = self.journal();
        let pending: Vec<(i64, String, String)> = {
            let mut statement = journal
                .prepare("SELECT id, job, after_hash FROM entry WHERE state = 'pending' ORDER BY id")?;
            let rows = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?;
            rows.collect::<Result<_, _>>()?
        };
        for (id, job, after) in pending {
            let there = self.document(&job).ok().and_then(|path| std::fs::read_to_string(path).ok());
            let came_through = there.is_some_and(|text| hash::of(&text) == after);
            let state = if came_through { "done" } else { "void" };
            journal.execute("UPDATE entry SET state = ?1 WHERE id = ?2", params![state, id])?;
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
fn write(journal: &Connection, path: &Path, row: &Row<'_>) -> Result<State, StoreError> {
    let id = insert(journal, row, "pending")?;
    if let Err(error) = document::edit::write_atomically(path, row.after) {
        journal.execute("UPDATE entry SET state = 'void' WHERE id = ?1", [id])?;
        return Err(StoreError::file(path, error));
    }
    journal.execute("UPDATE entry SET state = 'done' WHERE id = ?1", [id])?;
    state_of(journal, row.job, row.after.to_owned())
}

/// Notes the text as it is on disk when the journal does not know it.
fn adopt(journal: &Connection, job: &str, text: &str) -> Result<(), StoreError> {
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

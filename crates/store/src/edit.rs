//! Reading and writing documents through the journal.

use std::path::Path;

use document::edit::{Replaced, read_plain_text, replace_on};
use rusqlite::{Connection, OptionalExtension, params};

use crate::history::{DocumentState, Entry, EntryKind, entries, stacks};
use crate::seal::{self, Subject};
use crate::{STOCK, Store, StoreError, hash, names, replaced, words};

/// Undo or redo.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HistoryStep {
    /// Take the last edit back.
    Undo,
    /// Make the last edit that was taken back again.
    Redo,
}

impl HistoryStep {
    /// The way that takes a step of this one back.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::Undo => Self::Redo,
            Self::Redo => Self::Undo,
        }
    }
}

/// What a write came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// Where the document stands now.
    pub state: DocumentState,
    /// The name of the edit made, taken back or made again.
    pub name: String,
    /// What the system could not promise, when it is written all the same.
    pub doubt: Option<String>,
}

impl Store {
    /// Where a document stands. A change made by another program becomes an entry that can be undone.
    pub fn state(&self, job: &str) -> Result<DocumentState, StoreError> {
        let path = self.document(job)?;
        let text = read(&path, job)?;
        let journal = self.journal()?;
        if last_hash(&journal, job)?.as_deref() == Some(hash::of(&text).as_str()) {
            return state_of(&journal, job, text);
        }
        drop(journal);
        // The text is not the one the journal knows: take the turn, so that a write in progress ends first.
        let _turn = self.turn()?;
        let text = read(&path, job)?;
        let journal = self.journal()?;
        adopt(&journal, job, &text)?;
        state_of(&journal, job, text)
    }

    /// Makes one named edit on the text of version `base`.
    ///
    /// `make` gives the new text, or says why it cannot. An edit made on another version than the one in
    /// force is refused, and so is one that another program overtakes by saving the document meanwhile. An edit that
    /// changes nothing leaves no entry.
    pub fn edit(
        &self,
        job: &str,
        base: u64,
        name: &str,
        make: impl FnOnce(&str) -> Result<String, String>,
    ) -> Result<Written, StoreError> {
        let mut make = Some(make);
        let mut once = |text: &str| match make.take() {
            Some(make) => make(text),
            None => Err("the edit was made already".to_owned()),
        };
        self.change(job, base, name, 1, &mut once)
    }

    /// [`Store::edit`] for an edit that can be made anew: where another program saves the document while it is made, it
    /// is made again on what was saved, a few times.
    pub fn edit_anew(
        &self,
        job: &str,
        base: u64,
        name: &str,
        mut make: impl FnMut(&str) -> Result<String, String>,
    ) -> Result<Written, StoreError> {
        self.change(job, base, name, TRIES, &mut make)
    }

    fn change(
        &self,
        job: &str,
        base: u64,
        name: &str,
        tries: usize,
        make: &mut dyn FnMut(&str) -> Result<String, String>,
    ) -> Result<Written, StoreError> {
        let path = self.document(job)?;
        let _turn = self.turn()?;
        let journal = self.journal()?;
        let mut now = found(&journal, &path, job)?;
        if now.version == base && !self.late(&journal, Some(job))?.is_empty() {
            now = found(&journal, &path, job)?;
        }
        if now.version != base {
            return Err(StoreError::Stale { base, now: now.version });
        }
        self.is_inside(&path)?;
        for _ in 0..tries {
            let after = make(&now.text).map_err(StoreError::Refused)?;
            if after == now.text {
                return Ok(Written { state: now, name: name.to_owned(), doubt: None });
            }
            let row =
                Row { job, kind: EntryKind::Edit, name, target: None, before: &now.text, after: &after };
            if let Some(written) = self.write(&journal, &path, &row)? {
                return Ok(written);
            }
            now = found(&journal, &path, job)?;
        }
        Err(match tries {
            1 => StoreError::Stale { base, now: now.version },
            _ => StoreError::Overtaken { path, tries },
        })
    }

    /// Takes the last edit back or makes it again.
    pub fn step(&self, job: &str, base: Option<u64>, step: HistoryStep) -> Result<Written, StoreError> {
        let path = self.document(job)?;
        let _turn = self.turn()?;
        let journal = self.journal()?;
        let text = read(&path, job)?;
        adopt(&journal, job, &text)?;
        let list = entries(&journal, job)?;
        let now = version(&list);
        if let Some(base) = base
            && base != now
        {
            return Err(StoreError::Stale { base, now });
        }
        if !self.late(&journal, Some(job))?.is_empty() {
            // What would be taken back now is what the other program wrote, which nobody asked for.
            return Err(StoreError::Stale { base: now, now: found(&journal, &path, job)?.version });
        }
        let (done, undone) = stacks(&list);
        let (kind, target, column) = match step {
            HistoryStep::Undo => (EntryKind::Undo, done.last(), "before"),
            HistoryStep::Redo => (EntryKind::Redo, undone.last(), "after"),
        };
        let target = *target.ok_or(StoreError::Nothing(kind.word()))?;
        self.is_inside(&path)?;
        let name: String =
            journal.query_row("SELECT name FROM entry WHERE id = ?1", [target], |row| row.get(0))?;
        let after = self.text_of(&journal, target, column)?;
        let row = Row { job, kind, name: &name, target: Some(target), before: &text, after: &after };
        match self.write(&journal, &path, &row)? {
            Some(written) => Ok(written),
            // What would be taken back now is what the other program saved, which nobody asked for.
            None => Err(StoreError::Stale { base: now, now: found(&journal, &path, job)?.version }),
        }
    }

    /// The text that a step would bring back, for who wants to know before it is taken; `None` where there is no such step,
    /// or where the document has been changed by another program since.
    pub fn peek(&self, job: &str, step: HistoryStep) -> Result<Option<String>, StoreError> {
        let text = self.state(job)?.text;
        let journal = self.journal()?;
        if last_hash(&journal, job)?.as_deref() != Some(hash::of(&text).as_str()) {
            return Ok(None);
        }
        let (done, undone) = stacks(&entries(&journal, job)?);
        let (target, column) = match step {
            HistoryStep::Undo => (done.last(), "before"),
            HistoryStep::Redo => (undone.last(), "after"),
        };
        let Some(target) = target else { return Ok(None) };
        self.text_of(&journal, *target, column).map(Some)
    }

    /// A text of an entry, when it is the one that was written: damage never gets into a document.
    fn text_of(&self, journal: &Connection, id: i64, column: &str) -> Result<String, StoreError> {
        let query = format!("SELECT {column}, {column}_hash FROM entry WHERE id = ?1");
        // What is not text in UTF-8 is not what was written.
        let found = journal.query_row(&query, [id], |row| {
            let text = row.get_ref(0)?.as_str().ok().map(str::to_owned);
            Ok((text, row.get::<_, String>(1)?))
        })?;
        match found {
            (Some(text), sum) if hash::of(&text) == sum => Ok(text),
            _ => Err(StoreError::Damaged { what: format!("entry {id}"), shop: self.folder().to_path_buf() }),
        }
    }

    /// Every entry of a job's journal, oldest first.
    pub fn history(&self, job: &str) -> Result<Vec<Entry>, StoreError> {
        entries(&*self.journal()?, job)
    }

    /// Settles what a crash left pending: the document's hash says whether the write came through.
    /// Says what another program wrote into texts that were replaced.
    pub(crate) fn settle(&self) -> Result<Vec<String>, StoreError> {
        let _turn = self.turn()?;
        let journal = self.journal()?;
        let jobs: Vec<String> = {
            let mut statement =
                journal.prepare("SELECT DISTINCT job FROM entry WHERE state = 'pending' ORDER BY job")?;
            let rows = statement.query_map([], |row| row.get(0))?;
            rows.collect::<Result<_, _>>()?
        };
        for job in jobs {
            let there = self.document(&job).ok().and_then(|path| read_plain_text(&path).ok());
            settle(&journal, &job, there.as_deref())?;
        }
        for job in self.jobs().unwrap_or_default() {
            self.sweep(&journal, &job.name)?;
        }
        self.sweep(&journal, STOCK)?;
        self.late(&journal, None)
    }

    /// Looks at what was replaced, of one document or of all: what another program wrote into it since goes into the
    /// journal, before the text that stands now. Called while holding the turn.
    fn late(&self, journal: &Connection, job: Option<&str>) -> Result<Vec<String>, StoreError> {
        let mut told = Vec::new();
        for old in replaced::all(self.folder()) {
            if job.is_some_and(|job| job != old.job) {
                continue;
            }
            if let Some(text) = old.written_since()
                && let Some(path) = names::place(self.folder(), &old.job)
            {
                keep(journal, &old.job, &text)?;
                if let Ok(now) = read(&path, &old.job) {
                    adopt(journal, &old.job, &now)?;
                }
                told.push(format!(
                    "another program wrote into the text of {} that an edit had replaced; what it wrote is in the history, one undo \
                     back",
                    words::document(&old.job)
                ));
            } else if job.is_none() {
                // Whoever holds it open may write still.
                continue;
            }
            // Best effort: a file that stays is looked at again.
            let _ = std::fs::remove_file(&old.path);
        }
        Ok(told)
    }

    /// Takes temporary files away that a crash left beside a document. Called while holding the turn, so none of them
    /// is being written. One that holds what another program saved in the instant of an edit goes into the journal
    /// first.
    fn sweep(&self, journal: &Connection, job: &str) -> Result<(), StoreError> {
        let path = self.document(job)?;
        let path = std::fs::canonicalize(&path).unwrap_or(path);
        let (Some(folder), Some(document)) = (path.parent(), path.file_name()) else { return Ok(()) };
        let begin = format!(".{}.", document.to_string_lossy());
        let Ok(there) = std::fs::read_dir(folder) else { return Ok(()) };
        for entry in there.flatten() {
            let name = entry.file_name().to_string_lossy().into_owned();
            let middle = name.strip_prefix(&begin).and_then(|rest| rest.strip_suffix(".new")).unwrap_or("");
            if middle.is_empty() || !middle.bytes().all(|byte| byte.is_ascii_digit()) {
                continue;
            }
            if let Ok(text) = read_plain_text(&entry.path())
                && !is_known(journal, job, &text)?
            {
                keep(journal, job, &text)?;
                if let Ok(now) = read(&path, job) {
                    adopt(journal, job, &now)?;
                }
            }
            // Best effort: a file that stays does no harm.
            let _ = std::fs::remove_file(entry.path());
        }
        Ok(())
    }

    /// Pending row, file, done: in this order, each on disk before the next.
    ///
    /// The answer says what is in the file: an error of the file means that it is as it was, and whatever goes wrong after
    /// the file was moved is told as a doubt, or as [`StoreError::Unnoted`] where the journal could not be told.
    /// `None` where another program saved the document meanwhile: what it saved is in the file or in the journal.
    fn write(&self, journal: &Connection, path: &Path, row: &Row<'_>) -> Result<Option<Written>, StoreError> {
        let id = insert(journal, row, "pending")?;
        let aside = replaced::place(self.folder(), row.job, row.before);
        let landed = match replace_on(&*self.disk, path, row.before, row.after, aside.as_deref()) {
            Ok(Replaced::Landed(landed)) => landed,
            Ok(Replaced::Overtaken { taken }) => {
                mark(journal, id, "void")?;
                for text in taken {
                    keep(journal, row.job, &text)?;
                }
                return Ok(None);
            }
            Err(error) => {
                // A row that stays pending is settled by what is in the file: then it is void too.
                let _ = mark(journal, id, "void");
                return Err(StoreError::file(path, error));
            }
        };
        mark(journal, id, "done").map_err(StoreError::Unnoted)?;
        let state = state_of(journal, row.job, row.after.to_owned())?;
        Ok(Some(Written { state, name: row.name.to_owned(), doubt: landed.doubt() }))
    }
}

/// How often an edit is made anew on what another program saved meanwhile.
pub(crate) const TRIES: usize = 4;

/// One row to write.
struct Row<'a> {
    job: &'a str,
    kind: EntryKind,
    name: &'a str,
    target: Option<i64>,
    before: &'a str,
    after: &'a str,
}

fn insert(journal: &Connection, row: &Row<'_>, state: &str) -> rusqlite::Result<i64> {
    seal::write(journal, |journal| {
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
        let id = journal.last_insert_rowid();
        Ok((id, vec![Subject::Entry(id)]))
    })
}

/// The document as it stands now, with what another program did to it noted. Called while holding the turn.
fn found(journal: &Connection, path: &Path, job: &str) -> Result<DocumentState, StoreError> {
    let text = read(path, job)?;
    adopt(journal, job, &text)?;
    state_of(journal, job, text)
}

/// Whether a text is in the journal, or the beginning of one whose writing was cut short.
fn is_known(journal: &Connection, job: &str, text: &str) -> Result<bool, StoreError> {
    Ok(journal.query_row(
        "SELECT EXISTS (SELECT 1 FROM entry WHERE job = ?1 AND
            (before = ?2 OR substr(after, 1, length(?2)) = ?2))",
        [job, text],
        |row| row.get(0),
    )?)
}

fn mark(journal: &Connection, id: i64, state: &str) -> rusqlite::Result<()> {
    seal::write(journal, |journal| {
        journal.prepare_cached("UPDATE entry SET state = ?1 WHERE id = ?2")?.execute(params![state, id])?;
        Ok(((), vec![Subject::Entry(id)]))
    })
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
        Some(last) if last != text => keep(journal, job, text)?,
        Some(_) => {}
    }
    Ok(())
}

/// Notes a text that another program saved. Called while holding the turn.
pub(crate) fn keep(journal: &Connection, job: &str, text: &str) -> Result<(), StoreError> {
    let before = last_text(journal, job)?.unwrap_or_default();
    let name = "changed by another program";
    let row = Row { job, kind: EntryKind::Foreign, name, target: None, before: &before, after: text };
    insert(journal, &row, "done")?;
    Ok(())
}

fn last_hash(journal: &Connection, job: &str) -> Result<Option<String>, StoreError> {
    last(journal, job, "after_hash")
}

pub(crate) fn last_text(journal: &Connection, job: &str) -> Result<Option<String>, StoreError> {
    last(journal, job, "after")
}

fn last(journal: &Connection, job: &str, column: &str) -> Result<Option<String>, StoreError> {
    let query =
        format!("SELECT {column} FROM entry WHERE job = ?1 AND state = 'done' ORDER BY id DESC LIMIT 1");
    Ok(journal.prepare_cached(&query)?.query_row([job], |row| row.get(0)).optional()?)
}

fn version(entries: &[Entry]) -> u64 {
    u64::try_from(entries.len()).unwrap_or(u64::MAX)
}

fn state_of(journal: &Connection, job: &str, text: String) -> Result<DocumentState, StoreError> {
    let list = entries(journal, job)?;
    let (done, undone) = stacks(&list);
    let name_of = |id: Option<&i64>| {
        let id = id?;
        list.iter().find(|entry| entry.id == *id).map(|entry| entry.name.clone())
    };
    Ok(DocumentState {
        hash: hash::of(&text),
        text,
        version: version(&list),
        undo: name_of(done.last()),
        redo: name_of(undone.last()),
    })
}

fn read(path: &Path, job: &str) -> Result<String, StoreError> {
    match read_plain_text(path) {
        Ok(text) => Ok(text),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Err(StoreError::NoJob(job.to_owned())),
        Err(error) => Err(StoreError::file(path, error)),
    }
}

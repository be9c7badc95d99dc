//! A new journal from what can still be read of a damaged one and from the documents on disk.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use document::edit::read_plain_text;
use rusqlite::types::Value;
use rusqlite::{Connection, OpenFlags, Transaction, TransactionBehavior, params, params_from_iter};

use crate::history::EntryKind;
use crate::records::JOURNAL;
use crate::seal::{self, Subject};
use crate::verify::named;
use crate::{StoreError, aside, hash, names, note, schema, words};

/// What came of rebuilding.
#[derive(Debug)]
pub(crate) struct Rebuilt {
    /// The new journal.
    pub(crate) journal: Connection,
    /// Where the damaged file is kept; `None` where there was none.
    pub(crate) aside: Option<PathBuf>,
    /// Entries that are in the new journal.
    pub(crate) entries: usize,
    /// Frozen revisions in it.
    pub(crate) revisions: usize,
    /// Ticks in it.
    pub(crate) ticks: usize,
    /// Answers of test sheets and recordings in it.
    pub(crate) tested: usize,
    /// What was readable and is not carried over, because it is not what was written.
    pub(crate) left: Vec<String>,
    /// How many rows have a record and could not be read.
    pub(crate) unread: usize,
    /// Places where entries are missing: before which entry, of which job. Undo passes each in one step.
    pub(crate) gaps: Vec<String>,
}

impl Rebuilt {
    /// Rows of the damaged journal that are in the new one.
    pub(crate) fn carried(&self) -> usize {
        self.entries + self.revisions + self.ticks + self.tested
    }
}

/// The new journal while it is made.
const NEW: &str = "journal-new.sqlite";

/// Makes a new journal of what can be read of the damaged one, then keeps that aside. Called while holding the turn.
pub(crate) fn rebuild(folder: &Path, records: &Path) -> Result<Rebuilt, StoreError> {
    let (new, path) = (records.join(NEW), records.join(JOURNAL));
    remove(&new);
    let (mut left, mut unread) = (Vec::new(), 0);
    let (entries, gaps, revisions, ticks, tested, end) = {
        let journal = Connection::open(&new)?;
        schema::prepare(&journal)?;
        let old = open_old(&path);
        // One transaction: a row at a time would wait for the disk each time. Where it fails, nothing is in it.
        let all = Transaction::new_unchecked(&journal, TransactionBehavior::Immediate)?;
        let (mut carried, mut gaps, mut revisions, mut ticks, mut tested) = (0, Vec::new(), 0, 0, 0);
        if let Some(old) = &old {
            let entries = entries(old);
            unread = listed(old).iter().filter(|id| !entries.contains_key(id)).count();
            (carried, gaps) = Lines::new(folder, &all, &mut left).carry(entries)?;
            revisions = copy(old, &all, "revision", &mut left)?;
            copy(old, &all, "revision_price", &mut left)?;
            ticks = copy(old, &all, "tick", &mut left)?;
            tested = copy(old, &all, "reading", &mut left)? + copy(old, &all, "recording", &mut left)?;
            copy(old, &all, "repair", &mut left)?;
        }
        for subject in seal::subjects(&all)? {
            seal::append(&all, &subject)?;
        }
        all.commit()?;
        schema::is_sealed(&journal)?;
        let end = seal::end(&journal)?;
        // Closed, it is one file.
        journal.close().map_err(|(_, error)| error)?;
        (carried, gaps, revisions, ticks, tested, end)
    };
    let aside = aside::journal(records)?;
    std::fs::rename(&new, &path).map_err(|error| StoreError::file(&path, error))?;
    if let Some((id, chain)) = end {
        note::renew(records, id, &chain);
    }
    let journal = Connection::open(&path)?;
    schema::prepare(&journal)?;
    Ok(Rebuilt { journal, aside, entries, revisions, ticks, tested, left, unread, gaps })
}

/// Ends a rebuilding that was cut short after the damaged journal was kept aside. Called while holding the turn.
pub(crate) fn finish(records: &Path) {
    let (new, path) = (records.join(NEW), records.join(JOURNAL));
    if path.symlink_metadata().is_err() && new.symlink_metadata().is_ok() {
        // Where it cannot be moved the journal is begun anew.
        let _ = std::fs::rename(new, path);
    } else {
        remove(&new);
    }
}

/// Removes a journal that was never finished, with what the database library put beside it.
fn remove(new: &Path) {
    for ending in ["", "-wal", "-shm"] {
        let _ = std::fs::remove_file(format!("{}{ending}", new.display()));
    }
}

/// Opens a damaged journal, as far as it can be read at all.
fn open_old(aside: &Path) -> Option<Connection> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let is_file = aside.metadata().is_ok_and(|found| found.is_file());
    is_file.then(|| Connection::open_with_flags(aside, flags).ok()).flatten()
}

/// An entry of the damaged journal.
struct Old {
    id: i64,
    job: String,
    kind: String,
    name: String,
    target: Option<i64>,
    before: String,
    after: String,
    state: String,
    at: String,
    /// Whether both texts are those that their hashes were made of.
    is_true: bool,
}

/// Every row of a table that can be read, by number. Reading ends at the first page that is damaged; so it is read from
/// both ends.
fn rows<T>(
    old: &Connection,
    query: &str,
    key: &str,
    take: impl Fn(&rusqlite::Row<'_>) -> rusqlite::Result<(i64, T)>,
) -> BTreeMap<i64, T> {
    let mut all = BTreeMap::new();
    for order in ["ASC", "DESC"] {
        let Ok(mut statement) = old.prepare(&format!("{query} NOT INDEXED ORDER BY {key} {order}")) else {
            continue;
        };
        let Ok(mut rows) = statement.query([]) else { continue };
        while let Ok(Some(row)) = rows.next() {
            // A value of another kind than was written is damage too.
            if let Ok((id, row)) = take(row) {
                all.entry(id).or_insert(row);
            }
        }
    }
    all
}

fn entries(old: &Connection) -> BTreeMap<i64, Old> {
    let query =
        "SELECT id, job, kind, name, target, before, after, state, at, before_hash, after_hash FROM entry";
    rows(old, query, "id", |row| {
        let (before, after): (String, String) = (row.get(5)?, row.get(6)?);
        // Where the records cannot be read the texts vouch for themselves.
        let is_true = hash::of(&before) == row.get::<_, String>(9)?
            && hash::of(&after) == row.get::<_, String>(10)?
            && seal::agrees(old, &Subject::Entry(row.get(0)?)).unwrap_or(true);
        let old = Old {
            id: row.get(0)?,
            job: row.get(1)?,
            kind: row.get(2)?,
            name: row.get(3)?,
            target: row.get(4)?,
            before,
            after,
            state: row.get(7)?,
            at: row.get(8)?,
            is_true,
        };
        Ok((old.id, old))
    })
}

/// The numbers of all entries that a readable record tells of.
fn listed(old: &Connection) -> BTreeSet<i64> {
    let records = rows(old, "SELECT id, subject FROM seal", "id", |row| {
        Ok((row.get(0)?, Subject::of(&row.get::<_, String>(1)?)))
    });
    let entry = |subject| match subject {
        Some(Subject::Entry(id)) => Some(id),
        _ => None,
    };
    records.into_values().filter_map(entry).collect()
}

/// Where one job stands while its entries are carried over.
#[derive(Default)]
struct Line {
    last: Option<String>,
    /// Old numbers of what undo would take back and redo make again; `None` for what fills a gap.
    done: Vec<Option<i64>>,
    undone: Vec<Option<i64>>,
}

struct Lines<'a> {
    folder: &'a Path,
    journal: &'a Connection,
    of: BTreeMap<String, Line>,
    /// New numbers of old entries.
    numbers: BTreeMap<i64, i64>,
    gaps: Vec<String>,
    left: &'a mut Vec<String>,
}

impl<'a> Lines<'a> {
    fn new(folder: &'a Path, journal: &'a Connection, left: &'a mut Vec<String>) -> Self {
        Self { folder, journal, of: BTreeMap::new(), numbers: BTreeMap::new(), gaps: Vec::new(), left }
    }

    /// Carries every entry over that is as it was written. Where one is missing, what it changed becomes one entry
    /// that can be undone, so that each text still follows from the one before it.
    fn carry(mut self, entries: BTreeMap<i64, Old>) -> Result<(usize, Vec<String>), StoreError> {
        let mut carried = 0;
        let known = ["begin", "edit", "undo", "redo", "foreign"];
        for mut old in entries.into_values() {
            if !old.is_true || !known.contains(&old.kind.as_str()) {
                self.left.push(format!(
                    "entry {} (“{}”, {}): it is not as it was written",
                    old.id,
                    old.name,
                    words::document(&old.job)
                ));
                continue;
            }
            if old.state == "pending" {
                let there = names::place(self.folder, &old.job).and_then(|path| read_plain_text(&path).ok());
                let came = there.as_ref() == Some(&old.after);
                if came { "done" } else { "void" }.clone_into(&mut old.state);
            }
            if old.state == "done" {
                self.follow(&mut old)?;
            } else {
                "void".clone_into(&mut old.state);
            }
            self.insert(&old)?;
            carried += 1;
        }
        Ok((carried, self.gaps))
    }

    /// Lets an entry follow from the one before it in its job.
    fn follow(&mut self, old: &mut Old) -> Result<(), StoreError> {
        let mut line = self.of.remove(&old.job).unwrap_or_default();
        let kind = EntryKind::of(&old.kind);
        let first = matches!(kind, EntryKind::Begin) || (kind == EntryKind::Foreign && old.before.is_empty());
        match &line.last {
            Some(last) if *last == old.before => {}
            None if first => {}
            last => {
                let name = match last {
                    Some(_) => "changes whose entries were lost in the damaged journal",
                    None => "as found in the damaged journal",
                };
                let kind = if last.is_some() { EntryKind::Foreign } else { EntryKind::Begin };
                let filled = Old {
                    id: 0,
                    job: old.job.clone(),
                    kind: kind.word().to_owned(),
                    name: name.to_owned(),
                    target: None,
                    before: last.clone().unwrap_or_else(|| old.before.clone()),
                    after: old.before.clone(),
                    state: "done".to_owned(),
                    at: old.at.clone(),
                    is_true: true,
                };
                self.gaps.push(format!(
                    "before entry {} (“{}”, {})",
                    old.id,
                    old.name,
                    words::document(&old.job)
                ));
                self.insert(&filled)?;
                if kind == EntryKind::Foreign {
                    line.done.push(None);
                    line.undone.clear();
                }
            }
        }
        // An undo or redo of an entry that is not there any more is a change like any other.
        let pops = |stack: &[Option<i64>]| old.target.is_some() && stack.last() == Some(&old.target);
        let foreign = match kind {
            EntryKind::Undo => !pops(&line.done),
            EntryKind::Redo => !pops(&line.undone),
            EntryKind::Begin => line.last.is_some(),
            EntryKind::Edit | EntryKind::Foreign => false,
        };
        let kind = if foreign { EntryKind::Foreign } else { kind };
        match kind {
            EntryKind::Begin => {}
            EntryKind::Edit | EntryKind::Foreign => {
                line.done.push(Some(old.id));
                line.undone.clear();
            }
            EntryKind::Undo => line.undone.extend(line.done.pop()),
            EntryKind::Redo => line.done.extend(line.undone.pop()),
        }
        if foreign {
            old.name = format!("{} of “{}”", old.kind, old.name);
            old.target = None;
        }
        kind.word().clone_into(&mut old.kind);
        line.last = Some(old.after.clone());
        self.of.insert(old.job.clone(), line);
        Ok(())
    }

    fn insert(&mut self, old: &Old) -> Result<(), StoreError> {
        let target = old.target.and_then(|target| self.numbers.get(&target).copied());
        self.journal
            .prepare_cached(
                "INSERT INTO entry (job, kind, name, target, before_hash, after_hash, before, after, state, at)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
            )?
            .execute(params![
                old.job,
                old.kind,
                old.name,
                target,
                hash::of(&old.before),
                hash::of(&old.after),
                old.before,
                old.after,
                old.state,
                old.at
            ])?;
        self.numbers.insert(old.id, self.journal.last_insert_rowid());
        Ok(())
    }
}

/// Copies the rows of a table that are as they were written; their number.
fn copy(
    old: &Connection,
    journal: &Connection,
    table: &str,
    left: &mut Vec<String>,
) -> Result<usize, StoreError> {
    let key = match table {
        "tick" => "step",
        "reading" => "row",
        "recording" => "name",
        "repair" => "part",
        _ => "letter",
    };
    let columns = columns(journal, table)?;
    let list = columns.join(", ");
    let found = rows(old, &format!("SELECT rowid, job, {key}, {list} FROM {table}"), "rowid", |row| {
        let id = row.get(0)?;
        let name: (String, String) = (row.get(1)?, row.get(2)?);
        let values: rusqlite::Result<Vec<Value>> =
            (0..columns.len()).map(|index| row.get(index + 3)).collect();
        Ok((id, (name, values?)))
    });
    let marks = vec!["?"; columns.len()].join(", ");
    let mut to = journal.prepare(&format!("INSERT OR IGNORE INTO {table} ({list}) VALUES ({marks})"))?;
    let (mut copied, mut told) = (0, BTreeSet::new());
    for (id, ((job, what), values)) in found {
        let subject = match table {
            "revision" => Subject::Revision(job, what),
            "revision_price" => Subject::Price(job, what),
            "reading" => Subject::Reading(id),
            "recording" => Subject::Recording(id),
            "repair" => Subject::Repair(id),
            _ => Subject::Tick(job, what),
        };
        // Where the records cannot be read nobody can say that it was changed.
        if seal::agrees(old, &subject).unwrap_or(true) {
            copied += to.execute(params_from_iter(values))?;
        } else if told.insert(subject.text()) {
            left.push(format!("{}: it is not as it was written", named(old, &subject).0));
        }
    }
    Ok(copied)
}

fn columns(journal: &Connection, table: &str) -> rusqlite::Result<Vec<String>> {
    let mut statement = journal.prepare("SELECT name FROM pragma_table_info(?1)")?;
    statement.query_map([table], |row| row.get(0))?.collect()
}

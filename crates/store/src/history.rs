//! What was done to a document, and what can be undone.

use rusqlite::Connection;

use crate::StoreError;

/// What kind of entry a row is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EntryKind {
    /// The document as it was first met.
    Begin,
    /// An edit made here.
    Edit,
    /// An edit was taken back.
    Undo,
    /// An edit that was taken back was made again.
    Redo,
    /// Another program changed the document.
    Foreign,
}

impl EntryKind {
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Begin => "begin",
            Self::Edit => "edit",
            Self::Undo => "undo",
            Self::Redo => "redo",
            Self::Foreign => "foreign",
        }
    }

    pub(crate) fn of(word: &str) -> Self {
        match word {
            "begin" => Self::Begin,
            "undo" => Self::Undo,
            "redo" => Self::Redo,
            "foreign" => Self::Foreign,
            _ => Self::Edit,
        }
    }
}

/// One entry of the journal, without its texts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Its number in the journal.
    pub id: i64,
    /// What kind.
    pub kind: EntryKind,
    /// What it did, in one line.
    pub name: String,
    /// When, in universal time.
    pub at: String,
    /// The entry that an undo or redo is about.
    pub target: Option<i64>,
}

/// Where a document stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DocumentState {
    /// The document's text.
    pub text: String,
    /// Its hash.
    pub hash: String,
    /// Counts the entries of the journal: two states with one version have one text.
    pub version: u64,
    /// The name of the edit that undo would take back.
    pub undo: Option<String>,
    /// The name of the edit that redo would make again.
    pub redo: Option<String>,
}

/// Whether the journal has anything of a job: entries or frozen revisions.
pub(crate) fn is_known(journal: &Connection, job: &str) -> Result<bool, StoreError> {
    let query = "SELECT EXISTS (SELECT 1 FROM entry WHERE job = ?1) OR EXISTS (SELECT 1 FROM revision WHERE job = ?1)";
    Ok(journal.query_row(query, [job], |row| row.get(0))?)
}

/// The entries that stand, oldest first.
pub(crate) fn entries(journal: &Connection, job: &str) -> Result<Vec<Entry>, StoreError> {
    let mut statement = journal.prepare_cached(
        "SELECT id, kind, name, at, target FROM entry WHERE job = ?1 AND state = 'done' ORDER BY id",
    )?;
    let rows = statement.query_map([job], |row| {
        Ok(Entry {
            id: row.get(0)?,
            kind: EntryKind::of(&row.get::<_, String>(1)?),
            name: row.get(2)?,
            at: row.get(3)?,
            target: row.get(4)?,
        })
    })?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// The entries that undo would take back (last first to go) and that redo would make again.
pub(crate) fn stacks(entries: &[Entry]) -> (Vec<i64>, Vec<i64>) {
    let mut done = Vec::new();
    let mut undone: Vec<i64> = Vec::new();
    for entry in entries {
        match entry.kind {
            EntryKind::Begin => {}
            EntryKind::Edit | EntryKind::Foreign => {
                done.push(entry.id);
                undone.clear();
            }
            EntryKind::Undo => undone.extend(done.pop()),
            EntryKind::Redo => done.extend(undone.pop()),
        }
    }
    (done, undone)
}

//! Seals: what was written in the journal is chained record by record, so that damage shows.
//!
//! Every row that is written or changed gets a record in the table `seal`: whose it is, the digest of the row, and a link:
//! the hash of the record before it, the subject and the digest. A row that was changed, taken out or put in by anything but
//! this program does not fit its record, and a record that was taken out leaves the next one without its link. What
//! happens to the end of the chain shows in the note beside the journal (`note.rs`). It is a guard against damage and not
//! against forgers: whoever may write the journal can compute every hash anew.

use rusqlite::types::ValueRef;
use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior, params};
use sha2::{Digest, Sha256};

use crate::{hash, note};

/// Whose record it is.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Subject {
    /// An entry, by its number.
    Entry(i64),
    /// A frozen revision: job and letter.
    Revision(String, String),
    /// The price file of one: job and letter.
    Price(String, String),
    /// A tick: job and step.
    Tick(String, String),
    /// An answer of the test sheet, by its number.
    Reading(i64),
    /// A recording, by its number.
    Recording(i64),
    /// A repair, by its number.
    Repair(i64),
}

/// The columns of an entry that its digest covers: its texts are in it by their hashes, so that a look at the chain does
/// not read them all.
const ENTRY: &str = "job, kind, name, target, before_hash, after_hash, state, at";
const REVISION: &str = "why, by, text, kinds, settings, program, at";
const TICK: &str = "done, by, at";
const READING: &str = "job, row, said, by, on_day, revision, rests, answer, at";
const RECORDING: &str = "job, name, sum, bytes, state, at";
const REPAIR: &str = "job, part, kind, symptom, found, did, lent, by, on_day, back, at";

impl Subject {
    /// As it stands in the table.
    pub(crate) fn text(&self) -> String {
        match self {
            Self::Entry(id) => format!("entry/{id}"),
            Self::Revision(job, letter) => format!("revision/{job}/{letter}"),
            Self::Price(job, letter) => format!("price/{job}/{letter}"),
            Self::Tick(job, step) => format!("tick/{job}/{step}"),
            Self::Reading(id) => format!("reading/{id}"),
            Self::Recording(id) => format!("recording/{id}"),
            Self::Repair(id) => format!("repair/{id}"),
        }
    }

    /// The subject of a text in the table; `None` for a text that this program never wrote. No name of a job has a slash.
    pub(crate) fn of(text: &str) -> Option<Self> {
        let (kind, rest) = text.split_once('/')?;
        let by_number: Option<fn(i64) -> Self> = match kind {
            "entry" => Some(Self::Entry),
            "reading" => Some(Self::Reading),
            "recording" => Some(Self::Recording),
            "repair" => Some(Self::Repair),
            _ => None,
        };
        if let Some(make) = by_number {
            return rest.parse().ok().map(make);
        }
        let (job, what) = rest.split_once('/').map(|(job, what)| (job.to_owned(), what.to_owned()))?;
        match kind {
            "revision" => Some(Self::Revision(job, what)),
            "price" => Some(Self::Price(job, what)),
            "tick" => Some(Self::Tick(job, what)),
            _ => None,
        }
    }

    /// The digest of its row as it is now; `None` where there is no such row.
    pub(crate) fn digest(&self, journal: &Connection) -> rusqlite::Result<Option<String>> {
        let pair = |columns: &str, table: &str, key: &str, (job, what): (&String, &String)| {
            let query = format!("SELECT {columns} FROM {table} WHERE job = ?1 AND {key} = ?2");
            journal.prepare_cached(&query)?.query_row([job, what], digest).optional()
        };
        let number = |columns: &str, table: &str, id: &i64| {
            let query = format!("SELECT {columns} FROM {table} WHERE id = ?1");
            journal.prepare_cached(&query)?.query_row([id], digest).optional()
        };
        match self {
            Self::Entry(id) => number(ENTRY, "entry", id),
            Self::Reading(id) => number(READING, "reading", id),
            Self::Recording(id) => number(RECORDING, "recording", id),
            Self::Repair(id) => number(REPAIR, "repair", id),
            Self::Revision(job, letter) => pair(REVISION, "revision", "letter", (job, letter)),
            Self::Price(job, letter) => pair("text", "revision_price", "letter", (job, letter)),
            Self::Tick(job, step) => pair(TICK, "tick", "step", (job, step)),
        }
    }
}

/// The digest of the values of a row, each with its kind and length before it.
fn digest(row: &rusqlite::Row<'_>) -> rusqlite::Result<String> {
    let mut sum = Sha256::new();
    let mut put = |kind: u8, bytes: &[u8]| {
        sum.update([kind]);
        sum.update(u64::try_from(bytes.len()).unwrap_or(u64::MAX).to_be_bytes());
        sum.update(bytes);
    };
    for index in 0..row.as_ref().column_count() {
        match row.get_ref(index)? {
            ValueRef::Null => put(0, &[]),
            ValueRef::Integer(number) => put(1, &number.to_be_bytes()),
            ValueRef::Real(number) => put(2, &number.to_be_bytes()),
            ValueRef::Text(text) => put(3, text),
            ValueRef::Blob(bytes) => put(4, bytes),
        }
    }
    Ok(hash::hex(&sum.finalize()))
}

/// The link of a record to the one before it.
pub(crate) fn link(before: &str, subject: &str, digest: &str) -> String {
    let mut sum = Sha256::new();
    for part in [before, subject, digest] {
        sum.update(u64::try_from(part.len()).unwrap_or(u64::MAX).to_be_bytes());
        sum.update(part.as_bytes());
    }
    hash::hex(&sum.finalize())
}

/// The last record: its number and its link.
pub(crate) fn end(journal: &Connection) -> rusqlite::Result<Option<(i64, String)>> {
    journal
        .prepare_cached("SELECT id, chain FROM seal ORDER BY id DESC LIMIT 1")?
        .query_row([], |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()
}

/// Adds the record of a row as it is now. Called in a transaction that began as one that writes.
pub(crate) fn append(journal: &Connection, subject: &Subject) -> rusqlite::Result<()> {
    let Some(digest) = subject.digest(journal)? else { return Ok(()) };
    let (last, before) = end(journal)?.unwrap_or((0, String::new()));
    let subject = subject.text();
    let chain = link(&before, &subject, &digest);
    journal
        .prepare_cached("INSERT INTO seal (id, subject, digest, chain) VALUES (?1, ?2, ?3, ?4)")?
        .execute(params![last + 1, subject, digest, chain])
        .map(drop)
}

/// Writes rows and their records in one step, then notes the end of the chain beside the journal. `act` gives what it
/// found and whose rows it wrote.
pub(crate) fn write<T>(
    journal: &Connection,
    act: impl FnOnce(&Connection) -> rusqlite::Result<(T, Vec<Subject>)>,
) -> rusqlite::Result<T> {
    let all = Transaction::new_unchecked(journal, TransactionBehavior::Immediate)?;
    let (value, subjects) = act(&all)?;
    for subject in &subjects {
        append(&all, subject)?;
    }
    let end = if subjects.is_empty() { None } else { end(&all)? };
    all.commit()?;
    if let Some((id, chain)) = end {
        note::add(journal, id, &chain);
    }
    Ok(value)
}

/// Whether a row is as its last record has it; a row that has none is not judged.
pub(crate) fn agrees(journal: &Connection, subject: &Subject) -> rusqlite::Result<bool> {
    let sealed: Option<String> = journal
        .prepare_cached("SELECT digest FROM seal WHERE subject = ?1 ORDER BY id DESC LIMIT 1")?
        .query_row([subject.text()], |row| row.get(0))
        .optional()?;
    Ok(sealed.is_none_or(|sealed| subject.digest(journal).is_ok_and(|now| now.as_ref() == Some(&sealed))))
}

/// Makes the subject of a row from its job and what tells it from others of that job.
type Make = fn(String, String) -> Subject;

/// Every row that the journal has, in the order of its tables.
pub(crate) fn subjects(journal: &Connection) -> rusqlite::Result<Vec<Subject>> {
    let mut all = Vec::new();
    let mut ids = journal.prepare("SELECT id FROM entry NOT INDEXED ORDER BY id")?;
    for id in ids.query_map([], |row| row.get(0))? {
        all.push(Subject::Entry(id?));
    }
    for (table, key, make) in [
        ("revision", "letter", Subject::Revision as Make),
        ("revision_price", "letter", Subject::Price),
        ("tick", "step", Subject::Tick),
    ] {
        let mut rows =
            journal.prepare(&format!("SELECT job, {key} FROM {table} NOT INDEXED ORDER BY rowid"))?;
        for row in rows.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))? {
            let (job, what) = row?;
            all.push(make(job, what));
        }
    }
    for (table, make) in [
        ("reading", Subject::Reading as fn(i64) -> Subject),
        ("recording", Subject::Recording),
        ("repair", Subject::Repair),
    ] {
        // A journal of before there was such a thing, looked at and not opened, has no such table.
        let is_there = "SELECT EXISTS (SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = ?1)";
        if !journal.query_row(is_there, [table], |row| row.get::<_, bool>(0))? {
            continue;
        }
        let mut rows = journal.prepare(&format!("SELECT id FROM {table} NOT INDEXED ORDER BY id"))?;
        for id in rows.query_map([], |row| row.get(0))? {
            all.push(make(id?));
        }
    }
    Ok(all)
}

/// Adds a record for every row: of a journal that was made before there were records, and of one that was rebuilt.
pub(crate) fn all(journal: &Connection) -> rusqlite::Result<()> {
    write(journal, |journal| Ok(((), subjects(journal)?)))
}

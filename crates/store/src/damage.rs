//! A journal that cannot be read: kept aside, told, and begun anew with what can still be read of it.

use std::path::{Path, PathBuf};

use rusqlite::types::Value;
use rusqlite::{Connection, ErrorCode, OpenFlags, params_from_iter};

use crate::records::JOURNAL;
use crate::{StoreError, schema};

/// Opens the journal in the folder of records; says what became of one that was damaged. Called while holding the turn.
pub(crate) fn open(records: &Path) -> Result<(Connection, Option<String>), StoreError> {
    let path = records.join(JOURNAL);
    match path.metadata() {
        Ok(found) if !found.is_file() => return fresh(records, "it is not a plain file"),
        _ => {}
    }
    match sound(&path) {
        Ok(journal) => Ok((journal, None)),
        Err(error) if is_damage(&error) => fresh(records, &error.to_string()),
        Err(error) => Err(error.into()),
    }
}

/// A journal that can be opened and whose pages hang together.
fn sound(path: &Path) -> rusqlite::Result<Connection> {
    let journal = Connection::open(path)?;
    schema::prepare(&journal)?;
    let said: String = journal.query_row("PRAGMA quick_check(1)", [], |row| row.get(0))?;
    if said == "ok" {
        return Ok(journal);
    }
    let code = rusqlite::ffi::Error::new(rusqlite::ffi::SQLITE_CORRUPT);
    Err(rusqlite::Error::SqliteFailure(code, Some(said)))
}

/// Whether an error says that the journal itself is broken.
pub(crate) fn is_damage(error: &rusqlite::Error) -> bool {
    matches!(error.sqlite_error_code(), Some(ErrorCode::NotADatabase | ErrorCode::DatabaseCorrupt))
}

/// Moves the damaged journal aside with its helper files and begins a new one.
fn fresh(records: &Path, why: &str) -> Result<(Connection, Option<String>), StoreError> {
    let aside = free(records);
    for ending in ["-wal", "-shm", ""] {
        let with = |path: &Path| PathBuf::from(format!("{}{ending}", path.display()));
        let from = with(&records.join(JOURNAL));
        if from.symlink_metadata().is_ok() {
            std::fs::rename(&from, with(&aside)).map_err(|error| StoreError::file(&from, error))?;
        }
    }
    let journal = Connection::open(records.join(JOURNAL))?;
    schema::prepare(&journal)?;
    let saved = salvage(&aside, &journal);
    let rest = if saved == 0 {
        "undo, frozen revisions and ticks of before are in that file alone".to_owned()
    } else {
        format!(
            "{saved} of its rows could be read and are in the new one; what else it held of undo, frozen revisions and ticks is in that file alone"
        )
    };
    let told = format!(
        "the shop’s journal was damaged ({why}); it is kept as `{}` and a new one was begun. Every document is as it was; {rest}",
        aside.display()
    );
    Ok((journal, Some(told)))
}

/// The first name that is free for a damaged journal.
fn free(records: &Path) -> PathBuf {
    let name = |number: usize| records.join(format!("journal-damaged-{number}.sqlite"));
    let number = (1..=9999).find(|number| name(*number).symlink_metadata().is_err()).unwrap_or(0);
    name(number)
}

/// Copies every row that can still be read; gives their number.
fn salvage(aside: &Path, journal: &Connection) -> usize {
    let is_file = aside.metadata().is_ok_and(|found| found.is_file());
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let Some(old) = is_file.then(|| Connection::open_with_flags(aside, flags).ok()).flatten() else {
        return 0;
    };
    // One transaction: a row at a time would wait for the disk each time. Where it fails, nothing was copied.
    let Ok(all) = journal.unchecked_transaction() else { return 0 };
    let copied =
        ["entry", "revision", "revision_price", "tick"].iter().map(|table| copy(&old, journal, table)).sum();
    if all.commit().is_ok() { copied } else { 0 }
}

fn copy(old: &Connection, journal: &Connection, table: &str) -> usize {
    let Ok(columns) = columns(journal, table) else { return 0 };
    let marks = vec!["?"; columns.len()].join(", ");
    let list = columns.join(", ");
    let Ok(mut from) = old.prepare(&format!("SELECT {list} FROM {table} NOT INDEXED")) else { return 0 };
    let Ok(mut to) = journal.prepare(&format!("INSERT OR IGNORE INTO {table} ({list}) VALUES ({marks})"))
    else {
        return 0;
    };
    let Ok(mut rows) = from.query([]) else { return 0 };
    let mut copied = 0;
    // Reading ends at the first page that is damaged.
    while let Ok(Some(row)) = rows.next() {
        let values: rusqlite::Result<Vec<Value>> = (0..columns.len()).map(|index| row.get(index)).collect();
        let Ok(values) = values else { continue };
        copied += to.execute(params_from_iter(values)).unwrap_or(0);
    }
    copied
}

fn columns(journal: &Connection, table: &str) -> rusqlite::Result<Vec<String>> {
    let mut statement = journal.prepare("SELECT name FROM pragma_table_info(?1)")?;
    statement.query_map([table], |row| row.get(0))?.collect()
}

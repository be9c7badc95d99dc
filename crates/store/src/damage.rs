//! A journal that is damaged: one that can be read is opened and told, one that cannot is kept aside and rebuilt.

use std::path::Path;

use rusqlite::Connection;

use crate::error::is_damage;
use crate::records::JOURNAL;
use crate::verify::{Flaw, Look, verify};
use crate::{StoreError, note, rebuild, schema, seal};

/// Opens the journal in the folder of records; says what is wrong with one that is damaged. Called while holding the turn.
pub(crate) fn open(folder: &Path, records: &Path) -> Result<(Connection, Option<String>), StoreError> {
    rebuild::finish(records);
    let path = records.join(JOURNAL);
    match path.metadata() {
        Ok(found) if !found.is_file() => return anew(folder, records, "it is not a plain file"),
        _ => {}
    }
    match sound(&path, records) {
        Ok((journal, flaws)) => {
            let told = told(folder, &flaws);
            Ok((journal, told))
        }
        Err(error) if is_damage(&error) => anew(folder, records, &error.to_string()),
        Err(error) => Err(error.into()),
    }
}

/// A journal that can be opened and whose pages hang together, and what in it is not as it was written.
fn sound(path: &Path, records: &Path) -> rusqlite::Result<(Connection, Vec<Flaw>)> {
    let journal = Connection::open(path)?;
    schema::prepare(&journal)?;
    hangs_together(&journal, "PRAGMA quick_check(1)")?;
    if schema::version(&journal)? < schema::SEALED {
        // Made before there were records, or empty: from here on what is in it is sealed.
        seal::all(&journal)?;
        schema::is_sealed(&journal)?;
    }
    let flaws = verify(&journal, records, Look::Chain)?;
    if flaws.is_empty()
        && let Ok(Some(note)) = note::read(records)
    {
        note::shorten(records, &note);
    }
    Ok((journal, flaws))
}

/// Asks the library whether the pages of a journal hang together.
pub(crate) fn hangs_together(journal: &Connection, question: &str) -> rusqlite::Result<()> {
    let said: String = journal.query_row(question, [], |row| row.get(0))?;
    if said == "ok" {
        return Ok(());
    }
    let code = rusqlite::ffi::Error::new(rusqlite::ffi::SQLITE_CORRUPT);
    // It is shown in one line.
    let said = said.trim_start_matches("*** in database main ***").trim().replace('\n', "; ");
    Err(rusqlite::Error::SqliteFailure(code, Some(said)))
}

/// What to tell of a journal that works and is not whole.
fn told(folder: &Path, flaws: &[Flaw]) -> Option<String> {
    let first = flaws.first()?;
    let more = match flaws.len() - 1 {
        0 => String::new(),
        more => format!(", and {more} more"),
    };
    let shop = folder.display();
    Some(format!(
        "the shop’s journal is damaged: {first}{more}. Every document is as it was and work can go on; `boardwright shop \
         check {shop}` lists what is wrong, `boardwright shop repair {shop}` puts it right and keeps the damaged file"
    ))
}

/// Keeps a journal that cannot be read aside and begins a new one with what is left of it.
fn anew(folder: &Path, records: &Path, why: &str) -> Result<(Connection, Option<String>), StoreError> {
    let rebuilt = rebuild::rebuild(folder, records)?;
    let saved = rebuilt.carried();
    let rest = if saved == 0 {
        "undo, frozen revisions and ticks of before are in that file alone".to_owned()
    } else {
        format!(
            "{saved} of its rows could be read and are in the new one; what else it held of undo, frozen revisions and ticks is in that file alone"
        )
    };
    let told = format!(
        "the shop’s journal was damaged ({why}); it is kept as `{}` and a new one was begun. Every document is as it was; {rest}",
        rebuilt.aside.as_deref().unwrap_or(records).display()
    );
    Ok((rebuilt.journal, Some(told)))
}

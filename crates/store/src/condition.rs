//! Looking a shop folder through, and putting its journal right.

use std::collections::BTreeSet;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use document::edit::read_plain_text;
use rusqlite::{Connection, OpenFlags};

use crate::aside::free;
use crate::damage::hangs_together;
use crate::records::{JOURNAL, RECORDS};
use crate::turn::{self, PATIENCE};
use crate::verify::{Flaw, Look, verify};
use crate::{STOCK, Store, StoreError, edit, names, note, rebuild, replaced, schema, seal};

/// What was found in a shop folder, one sentence each.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub struct Condition {
    /// What is well.
    pub well: Vec<String>,
    /// What is not, each with what to do.
    pub wrong: Vec<String>,
    /// What is worth knowing and no damage.
    pub notes: Vec<String>,
}

/// What became of a repair, one sentence each.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub struct Repaired {
    /// What was wrong.
    pub found: Vec<String>,
    /// What was done.
    pub done: Vec<String>,
    /// What is lost, and what is only in the damaged file.
    pub lost: Vec<String>,
}

/// Looks a shop folder through and changes nothing.
///
/// # Errors
///
/// The folder is none, or another program keeps its turn.
pub fn check(folder: &Path) -> Result<Condition, StoreError> {
    is_folder(folder)?;
    let mut found = Condition::default();
    let records = folder.join(RECORDS);
    let repair = format!("`boardwright shop repair {}`", folder.display());
    match records.metadata() {
        Err(error) if error.kind() == ErrorKind::NotFound => {
            found.notes.push("there is no journal: no document was edited here yet".to_owned());
        }
        Err(error) => return Err(StoreError::file(&records, error)),
        Ok(there) if !there.is_dir() => {
            found.wrong.push(format!(
                "`{}` is not a folder, so there is no journal; {repair} puts it right",
                records.display()
            ));
        }
        Ok(_) => {
            let lock = records.join("lock");
            let _turn = if lock.metadata().is_ok_and(|there| !there.is_file()) {
                found.wrong.push(format!(
                    "`{}` is not a plain file, so nothing can be written; {repair} puts it right",
                    lock.display()
                ));
                None
            } else {
                held(turn::take(folder, PATIENCE), &mut found.notes)?
            };
            journal(folder, &records, &repair, &mut found);
            recordings(folder, &records, &mut found);
            kept_aside(&records, &mut found.notes);
            for late in replaced::all(folder).iter().filter(|old| old.written_since().is_some()) {
                found.notes.push(format!(
                    "another program wrote into the text of {} that an edit had replaced; what it wrote goes into the history when the \
                     shop is opened next",
                    crate::words::document(&late.job)
                ));
            }
        }
    }
    own_files(folder, &mut found);
    Ok(found)
}

/// The turn, so that nothing changes while one looks. In a folder that cannot be written one looks without it.
fn held(
    turn: Result<std::fs::File, StoreError>,
    notes: &mut Vec<String>,
) -> Result<Option<std::fs::File>, StoreError> {
    match turn {
        Ok(turn) => Ok(Some(turn)),
        Err(error @ StoreError::Busy { .. }) => Err(error),
        Err(error) => {
            notes.push(format!("looked at without waiting for other programs: {error}"));
            Ok(None)
        }
    }
}

pub(crate) fn is_folder(folder: &Path) -> Result<(), StoreError> {
    let there = folder.metadata().map_err(|error| StoreError::file(folder, error))?;
    if there.is_dir() {
        return Ok(());
    }
    let why = "it is not a folder; a shop is a folder of jobs";
    Err(StoreError::file(folder, std::io::Error::new(ErrorKind::NotADirectory, why)))
}

fn read_only(path: &Path) -> rusqlite::Result<Connection> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let journal = Connection::open_with_flags(path, flags)?;
    journal.busy_timeout(PATIENCE)?;
    Ok(journal)
}

/// What is wrong with the journal; nothing where it is well.
enum Journal {
    Well(Connection),
    /// It is made before there were records of what was written.
    Old(Connection),
    /// It can be read, and is not what was written.
    Flawed(Connection, Vec<Flaw>),
    /// It cannot be read.
    Unreadable(String),
    /// Nothing was ever written.
    Empty,
}

fn look(records: &Path) -> Journal {
    let path = records.join(JOURNAL);
    let note = note::read(records);
    let is_noted = !matches!(note, Ok(None));
    match path.metadata() {
        Ok(there) if !there.is_file() => return Journal::Unreadable("it is not a plain file".to_owned()),
        Ok(there) if there.len() == 0 && !is_noted => return Journal::Empty,
        Ok(_) => {}
        Err(error) if error.kind() == ErrorKind::NotFound => {
            return Journal::Unreadable("it is missing".to_owned());
        }
        Err(error) => return Journal::Unreadable(error.to_string()),
    }
    let seen = read_only(&path).and_then(|journal| {
        hangs_together(&journal, "PRAGMA integrity_check(1)")?;
        let tables = "SELECT count(*) FROM sqlite_master WHERE name IN ('entry', 'revision', 'revision_price', 'tick', 'reading', 'recording')";
        let tables: i64 = journal.query_row(tables, [], |row| row.get(0))?;
        if tables == 0 {
            let known = note.ok().flatten().and_then(|note| note.ends.iter().map(|(id, _)| *id).max());
            return Ok((journal, vec![Flaw::EndLost { known: known.unwrap_or(0), there: 0 }]));
        }
        if schema::version(&journal)? < schema::SEALED {
            let flaws = crate::verify::wrong_texts(&journal)?;
            return Ok((journal, flaws));
        }
        let flaws = verify(&journal, records, Look::Texts)?;
        Ok((journal, flaws))
    });
    match seen {
        Err(error) => Journal::Unreadable(error.to_string()),
        Ok((journal, flaws)) if !flaws.is_empty() => Journal::Flawed(journal, flaws),
        Ok((journal, _)) if schema::version(&journal).is_ok_and(|version| version < schema::SEALED) => {
            Journal::Old(journal)
        }
        Ok((journal, _)) => Journal::Well(journal),
    }
}

fn journal(folder: &Path, records: &Path, repair: &str, found: &mut Condition) {
    let journal = match look(records) {
        Journal::Empty => {
            found.notes.push("the journal is empty: no document was edited here yet".to_owned());
            return;
        }
        Journal::Unreadable(why) => {
            found.wrong.push(format!("the journal cannot be read ({why}); {repair} rebuilds it"));
            return;
        }
        Journal::Flawed(journal, flaws) => {
            found.wrong.extend(flaws.iter().map(|flaw| format!("the journal: {flaw}")));
            found.notes.push(format!("{repair} rebuilds the journal and keeps the damaged file"));
            journal
        }
        Journal::Old(journal) => {
            found.notes.push(
                "the journal was made before there were records of what was written; they are added when the shop is opened next"
                    .to_owned(),
            );
            if let Some(counts) = counts(&journal) {
                found.well.push(format!("the journal can be read to its end: {counts}"));
            }
            journal
        }
        Journal::Well(journal) => {
            if let Some(counts) = counts(&journal) {
                found.well.push(format!(
                    "the journal is what was written: {counts}; every record follows from the one before it, every text is the one \
                     it was"
                ));
            }
            journal
        }
    };
    documents(folder, &journal, found);
}

fn counts(journal: &Connection) -> Option<String> {
    let count = |what: &str| -> Option<i64> {
        journal.query_row(&format!("SELECT count({what}"), [], |row| row.get(0)).ok()
    };
    // A journal of before there was a test record has no such tables.
    let tested = count("*) FROM reading").unwrap_or(0) + count("*) FROM recording").unwrap_or(0);
    Some(format!(
        "{} of {}, {}, {}{}",
        crate::words::count(count("*) FROM entry WHERE state = 'done'")?, "entry", "entries"),
        crate::words::count(count("DISTINCT job) FROM entry")?, "document", "documents"),
        crate::words::count(count("*) FROM revision")?, "frozen revision", "frozen revisions"),
        crate::words::count(count("*) FROM tick WHERE done")?, "tick", "ticks"),
        tested_words(tested)
    ))
}

/// `, 12 answers of test sheets and recordings`; nothing where there are none.
fn tested_words(count: impl TryInto<i64>) -> String {
    let count = count.try_into().unwrap_or(i64::MAX);
    if count == 0 {
        return String::new();
    }
    format!(", {}", crate::words::count(count, "test result or recording", "test results and recordings"))
}

/// Whether every document is where the journal has it.
fn documents(folder: &Path, journal: &Connection, found: &mut Condition) {
    let mut known: BTreeSet<String> = BTreeSet::new();
    if let Ok(mut jobs) = journal.prepare("SELECT DISTINCT job FROM entry")
        && let Ok(jobs) = jobs.query_map([], |row| row.get::<_, String>(0))
    {
        known.extend(jobs.flatten());
    }
    let (mut same, all) = (0, on_disk(folder));
    for job in &all {
        let Some(text) = names::place(folder, job).and_then(|path| read_plain_text(&path).ok()) else {
            continue;
        };
        match edit::last_text(journal, job) {
            Ok(Some(last)) if last == text => same += 1,
            Ok(Some(_)) => found.notes.push(format!(
                "{} was changed outside of the program since; that becomes an entry when it is opened next",
                crate::words::document(job)
            )),
            Ok(None) => {
                found.notes.push(format!("{} has no history yet", crate::words::document(job)));
            }
            // What is wrong with the journal is said already.
            Err(_) => {}
        }
    }
    if 0 < same {
        let same = crate::words::count(same, "document is", "documents are");
        found.well.push(format!("{same} as the journal has them last"));
    }
    for job in known.iter().filter(|job| !all.contains(*job) && names::check(job).is_ok()) {
        found.notes.push(format!("job `{job}` is not in the folder any more; its history is kept"));
    }
}

/// Every document of a shop folder by the name it is journaled under.
pub(crate) fn on_disk(folder: &Path) -> BTreeSet<String> {
    let mut all = BTreeSet::new();
    for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        if names::check(&name).is_ok() && entry.path().join("rig.toml").symlink_metadata().is_ok() {
            all.insert(name);
        }
    }
    if folder.join("stock.toml").symlink_metadata().is_ok() {
        all.insert(STOCK.to_owned());
    }
    all
}

/// Whether every file that the program reads in a shop folder is a plain one.
fn own_files(folder: &Path, found: &mut Condition) {
    let mut files: Vec<PathBuf> = ["shop.toml", "prices.toml"].map(|name| folder.join(name)).to_vec();
    files.extend(on_disk(folder).iter().filter_map(|job| names::place(folder, job)));
    let catalogue = folder.join("catalogue");
    match catalogue.metadata() {
        Ok(there) if !there.is_dir() => {
            found.wrong.push(format!("`{}` is not a folder; move it away", catalogue.display()));
        }
        Ok(_) => {
            let kinds =
                std::fs::read_dir(&catalogue).into_iter().flatten().flatten().map(|entry| entry.path());
            files.extend(kinds.filter(|path| path.extension().is_some_and(|ending| ending == "toml")));
        }
        Err(_) => {}
    }
    files.sort();
    let mut read = 0;
    for path in files.iter().filter(|path| path.symlink_metadata().is_ok()) {
        match read_plain_text(path) {
            Ok(_) => read += 1,
            Err(error) => {
                found.wrong.push(format!(
                    "`{}` cannot be read: {error}; move it away or put it right",
                    path.display()
                ));
            }
        }
    }
    if 0 < read {
        found.well.push(crate::words::count(
            read,
            "file of the shop can be read",
            "files of the shop can be read",
        ));
    }
}

/// Whether every recording is the one that was kept.
fn recordings(folder: &Path, records: &Path, found: &mut Condition) {
    let Ok(journal) = read_only(&records.join(JOURNAL)) else { return };
    let Ok(all) = crate::tested::all_recordings(&journal) else { return };
    let mut well = 0;
    for (job, one) in &all {
        let path = crate::tested::place(folder, job, &one.name);
        match std::fs::read(&path) {
            Ok(bytes) if crate::tested::sum(&bytes) == one.sum => well += 1,
            Ok(_) => found.wrong.push(format!(
                "`{}` is not the recording that was kept; put it back from a backup, or record again",
                path.display()
            )),
            Err(error) => found.wrong.push(format!(
                "`{}`, a recording, cannot be read: {error}; put it back from a backup, or record again",
                path.display()
            )),
        }
    }
    if 0 < well {
        found.well.push(crate::words::count(
            well,
            "recording is as it was kept",
            "recordings are as they were kept",
        ));
    }
}

fn kept_aside(records: &Path, notes: &mut Vec<String>) {
    let mut kept: Vec<String> = std::fs::read_dir(records)
        .into_iter()
        .flatten()
        .flatten()
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .filter(|name| name.starts_with("journal-damaged-") && name.ends_with(".sqlite"))
        .collect();
    kept.sort();
    notes.extend(kept.iter().map(|name| format!("`{RECORDS}/{name}` is kept from an earlier damage")));
}

const ALL_LOST: &str = "all undo, frozen revisions and ticks of before";

/// Puts the journal of a shop right: what is damaged is kept aside, and a new journal is made of what can be read of it and
/// of the documents. `None` where nothing is wrong with it.
///
/// # Errors
///
/// The folder is none, another program keeps its turn, or a file could not be written.
pub fn repair(folder: &Path) -> Result<Option<Repaired>, StoreError> {
    is_folder(folder)?;
    let mut repaired = Repaired::default();
    let records = folder.join(RECORDS);
    // What stands where a folder and a file of the program belong goes aside first.
    for (path, name, is_right) in [
        (
            records.clone(),
            format!("{RECORDS}-damaged"),
            std::fs::Metadata::is_dir as fn(&std::fs::Metadata) -> bool,
        ),
        (records.join("lock"), "lock-damaged".to_owned(), std::fs::Metadata::is_file),
    ] {
        let Some(parent) = path.parent() else { continue };
        if path.metadata().is_ok_and(|there| !is_right(&there)) {
            let to = free(parent, &name, "");
            std::fs::rename(&path, &to).map_err(|error| StoreError::file(&path, error))?;
            repaired.found.push(format!("`{}` was not what belongs there", path.display()));
            repaired.done.push(format!("it is kept as `{}`", to.display()));
        }
    }
    if !repaired.done.is_empty() && !records.is_dir() {
        repaired.lost.push(ALL_LOST.to_owned());
    }
    if records.is_dir() {
        let turn = turn::take(folder, PATIENCE)?;
        rebuild::finish(&records);
        put_right(folder, &records, &mut repaired)?;
        drop(turn);
    }
    if repaired.done.is_empty() {
        return Ok(None);
    }
    let store = Store::open(folder)?;
    let mut begun = Vec::new();
    for job in on_disk(folder) {
        let is_new = !store.history(&job).is_ok_and(|all| !all.is_empty());
        match store.state(&job) {
            Ok(_) if is_new => begun.push(crate::words::document(&job)),
            Ok(_) => {}
            Err(error) => repaired.found.push(format!("{}: {error}", crate::words::document(&job))),
        }
    }
    if !begun.is_empty() {
        repaired
            .done
            .push(format!("the history begins with the text that is on the disk, of {}", begun.join(", ")));
    }
    Ok(Some(repaired))
}

fn put_right(folder: &Path, records: &Path, repaired: &mut Repaired) -> Result<(), StoreError> {
    let flaws = match look(records) {
        Journal::Well(_) | Journal::Old(_) | Journal::Empty => return Ok(()),
        Journal::Unreadable(why) => {
            repaired.found.push(format!("the journal could not be read: {why}"));
            Vec::new()
        }
        Journal::Flawed(journal, flaws) => {
            repaired.found.extend(flaws.iter().map(|flaw| format!("the journal: {flaw}")));
            if flaws.iter().all(|flaw| matches!(flaw, Flaw::NoNote | Flaw::Note(_))) {
                return note_anew(records, &journal, repaired);
            }
            flaws
        }
    };
    let rebuilt = rebuild::rebuild(folder, records)?;
    if let Some(aside) = &rebuilt.aside {
        repaired.done.push(format!("the damaged journal is kept as `{}`", aside.display()));
    }
    repaired.done.push(format!(
        "a new journal was made with what could be read: {}, {}, {}{}",
        crate::words::count(rebuilt.entries, "entry", "entries"),
        crate::words::count(rebuilt.revisions, "frozen revision", "frozen revisions"),
        crate::words::count(rebuilt.ticks, "tick", "ticks"),
        tested_words(rebuilt.tested)
    ));
    for flaw in &flaws {
        match flaw {
            // Of a journal that was emptied everything is lost, which is said below.
            Flaw::EndLost { known, there } if 0 < *there => repaired.lost.push(format!(
                "{} at the end of the journal; what they changed in a document is in the document, and undo takes it back in one step",
                crate::words::count(known - there, "record", "records")
            )),
            Flaw::Missing(what) => repaired.lost.push(what.0.clone()),
            _ => {}
        }
    }
    // What a readable journal lacks is among the flaws.
    if flaws.is_empty() && 0 < rebuilt.unread {
        repaired.lost.push(format!(
            "{} that could not be read",
            crate::words::count(rebuilt.unread, "entry", "entries")
        ));
    }
    repaired.lost.extend(rebuilt.left.iter().map(|what| format!("{what}; it is in the damaged file alone")));
    repaired
        .lost
        .extend(rebuilt.gaps.iter().map(|gap| format!("what was done {gap}; undo passes it in one step")));
    if rebuilt.carried() == 0 {
        let but = if rebuilt.aside.is_some() { ", but for what the damaged file holds" } else { "" };
        repaired.lost.push(format!("{ALL_LOST}{but}"));
    }
    Ok(())
}

/// The journal is well and its note is not.
fn note_anew(records: &Path, journal: &Connection, repaired: &mut Repaired) -> Result<(), StoreError> {
    let path = records.join(note::NOTE);
    if path.symlink_metadata().is_ok() {
        let to = free(records, "journal-end-damaged", "");
        std::fs::rename(&path, &to).map_err(|error| StoreError::file(&path, error))?;
        repaired.done.push(format!("the note is kept as `{}`", to.display()));
    }
    if let Some((id, chain)) = seal::end(journal)? {
        note::renew(records, id, &chain);
    }
    repaired.done.push(
        "the note of the journal’s end was made anew from the journal, which is left as it is".to_owned(),
    );
    Ok(())
}

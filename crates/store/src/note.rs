//! The note beside the journal: how far its chain went. A journal that was emptied, went back to an older state or lost its
//! write-ahead log is sound in itself; the note knows of records that it does not have any more.
//!
//! One line for each step, `NUMBER LINK`, added after the step was committed. The note may lag behind the journal, after a
//! crash or on a full disk, and that is no damage; it never goes ahead of it.

use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

use document::edit::read_plain;
use rusqlite::Connection;

/// The note in the folder of records.
pub(crate) const NOTE: &str = "journal.end";

/// Lines from which on the note is made short again.
const LONG: usize = 1000;

/// What the note says.
#[derive(Debug, Default, PartialEq, Eq)]
pub(crate) struct Note {
    /// Numbers and links of records.
    pub(crate) ends: Vec<(i64, String)>,
    /// Whether it holds anything that this program did not write.
    pub(crate) is_damaged: bool,
}

fn path_of(journal: &Connection) -> Option<PathBuf> {
    journal.path().filter(|path| !path.is_empty()).map(|path| Path::new(path).with_file_name(NOTE))
}

/// Adds the end of the chain. Best effort: a note that lags behind is no damage.
pub(crate) fn add(journal: &Connection, id: i64, chain: &str) {
    let Some(path) = path_of(journal) else { return };
    if path.symlink_metadata().is_ok_and(|found| !found.is_file()) {
        return;
    }
    let Ok(mut file) = options(&path).append(true).create(true).open(&path) else { return };
    // In one call, so that two programs never mix their lines.
    let _ = file.write_all(format!("{id} {chain}\n").as_bytes());
}

/// As private as the journal beside it.
fn options(path: &Path) -> std::fs::OpenOptions {
    let mut options = std::fs::OpenOptions::new();
    #[cfg(unix)]
    {
        use std::os::unix::fs::{OpenOptionsExt, PermissionsExt};
        let journal = path.with_file_name(crate::records::JOURNAL);
        let mode = journal.metadata().map_or(0o600, |found| found.permissions().mode());
        options.mode(mode & 0o660);
    }
    #[cfg(not(unix))]
    let _ = path;
    options
}

/// Reads the note in a folder of records; `None` where there is none, or an empty one.
pub(crate) fn read(records: &Path) -> std::io::Result<Option<Note>> {
    let bytes = match read_plain(&records.join(NOTE)) {
        Ok(bytes) => bytes,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(error),
    };
    let mut note = Note::default();
    // A last line without its end was cut short by a crash.
    let whole = bytes.iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1);
    for line in bytes[..whole].split(|byte| *byte == b'\n').filter(|line| !line.is_empty()) {
        match std::str::from_utf8(line).ok().and_then(end) {
            Some(end) => note.ends.push(end),
            None => note.is_damaged = true,
        }
    }
    Ok(if note == Note::default() { None } else { Some(note) })
}

fn end(line: &str) -> Option<(i64, String)> {
    let (id, chain) = line.split_once(' ')?;
    let is_link = chain.len() == 64 && chain.bytes().all(|byte| byte.is_ascii_hexdigit());
    is_link.then(|| id.parse().ok().map(|id| (id, chain.to_owned())))?
}

/// Makes a long note short. Called while holding the turn, of a journal that is well.
pub(crate) fn shorten(records: &Path, note: &Note) {
    if note.ends.len() <= LONG {
        return;
    }
    if let Some((id, chain)) = note.ends.iter().max() {
        renew(records, *id, chain);
    }
}

/// Begins the note anew. Best effort, as adding to it.
pub(crate) fn renew(records: &Path, id: i64, chain: &str) {
    let (path, spare) = (records.join(NOTE), records.join("journal.end.new"));
    let written = options(&path)
        .write(true)
        .create(true)
        .truncate(true)
        .open(&spare)
        .and_then(|mut file| file.write_all(format!("{id} {chain}\n").as_bytes()));
    if written.is_ok() {
        let _ = std::fs::rename(&spare, &path);
    }
}

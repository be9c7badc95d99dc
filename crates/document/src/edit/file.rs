//! Writing a file so that it is either the old one or the new one, never half of each.

use std::io::{Error, ErrorKind, Result, Write};
use std::path::Path;

/// What became of a new text.
#[derive(Debug)]
#[must_use]
pub enum Landed {
    /// It stands in the file, and the system says that it will stand there after a power cut too.
    Surely,
    /// It stands in the file, but the system could not say that it is on the disk: a power cut now may bring the old
    /// text back.
    Unconfirmed(Error),
}

impl Landed {
    /// What to tell the person, when there is something to tell.
    pub fn doubt(&self) -> Option<String> {
        match self {
            Self::Surely => None,
            Self::Unconfirmed(error) => {
                Some(format!("written, but the system did not confirm that it is on the disk: {error}"))
            }
        }
    }
}

/// The few calls by which a text comes onto a disk.
pub trait Disk: std::fmt::Debug + Send + Sync {
    /// Makes a file, or empties the one that is there, writes the text and flushes it to the disk.
    fn write(&self, path: &Path, text: &str) -> Result<()>;
    /// Moves a file over another.
    fn rename(&self, from: &Path, to: &Path) -> Result<()>;
    /// Flushes a folder's list of files to the disk.
    fn flush_folder(&self, folder: &Path) -> Result<()>;
}

/// The disk of the system.
#[derive(Debug, Clone, Copy, Default)]
pub struct SystemDisk;

impl Disk for SystemDisk {
    fn write(&self, path: &Path, text: &str) -> Result<()> {
        let mut file = std::fs::File::create(path)?;
        file.write_all(text.as_bytes())?;
        file.sync_all()
    }

    fn rename(&self, from: &Path, to: &Path) -> Result<()> {
        std::fs::rename(from, to)
    }

    fn flush_folder(&self, folder: &Path) -> Result<()> {
        std::fs::File::open(folder)?.sync_all()
    }
}

/// Writes a temporary file beside the target, flushes it to disk, moves it over the target, and flushes the
/// folder.
///
/// # Errors
///
/// The target is as it was. From the move on, what happens is no error any more: the new text stands in the file,
/// and [`Landed`] says how surely.
pub fn write_atomically(path: &Path, text: &str) -> Result<Landed> {
    write_on(&SystemDisk, path, text)
}

/// [`write_atomically`] on a disk that is given.
///
/// # Errors
///
/// As there.
pub fn write_on(disk: &dyn Disk, path: &Path, text: &str) -> Result<Landed> {
    let folder = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let temporary = folder.join(format!(".{name}.{}.new", std::process::id()));
    let moved = disk.write(&temporary, text).and_then(|()| disk.rename(&temporary, path));
    if let Err(error) = moved {
        // A disk across a network may answer with a failure after it has moved the file. The temporary file tells: it
        // is gone only when it was moved.
        let is_gone = matches!(temporary.symlink_metadata(), Err(gone) if gone.kind() == ErrorKind::NotFound);
        if is_gone && std::fs::read(path).is_ok_and(|there| there == text.as_bytes()) {
            return Ok(Landed::Unconfirmed(error));
        }
        // Best effort: the target is untouched, only the temporary file may be left.
        let _ = std::fs::remove_file(&temporary);
        return Err(error);
    }
    Ok(match disk.flush_folder(folder) {
        Ok(()) => Landed::Surely,
        Err(error) => Landed::Unconfirmed(error),
    })
}

//! Writing a file so that it is either the old one or the new one, never half of each.

use std::io::{Error, ErrorKind, Result, Write};
use std::path::{Path, PathBuf};

use super::permissions;
use super::plain::{must_be_plain, read_plain};

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
    /// Makes a new file with the permissions and the owner of `like`, where that is there, writes the text and flushes
    /// it to the disk.
    fn write(&self, path: &Path, text: &str, like: &Path) -> Result<()>;
    /// Moves a file over another.
    fn rename(&self, from: &Path, to: &Path) -> Result<()>;
    /// Exchanges two files in one step: what stood under either name stands under the other.
    ///
    /// # Errors
    ///
    /// [`ErrorKind::Unsupported`] where the system has no such step; nothing has changed then.
    fn swap(&self, a: &Path, b: &Path) -> Result<()>;
    /// Flushes a folder's list of files to the disk.
    fn flush_folder(&self, folder: &Path) -> Result<()>;
}

/// The disk of the system.
#[derive(Debug, Clone, Copy, Default)]
pub struct SystemDisk;

impl Disk for SystemDisk {
    fn write(&self, path: &Path, text: &str, like: &Path) -> Result<()> {
        if let Err(error) = std::fs::remove_file(path)
            && error.kind() != ErrorKind::NotFound
        {
            return Err(error);
        }
        let mut file = permissions::make(path, like)?;
        file.write_all(text.as_bytes())?;
        file.sync_all()
    }

    fn rename(&self, from: &Path, to: &Path) -> Result<()> {
        std::fs::rename(from, to)
    }

    #[cfg(any(target_os = "linux", target_os = "android", target_vendor = "apple"))]
    fn swap(&self, a: &Path, b: &Path) -> Result<()> {
        use rustix::fs::{CWD, RenameFlags, renameat_with};
        use rustix::io::Errno;
        renameat_with(CWD, a, CWD, b, RenameFlags::EXCHANGE).map_err(|error| match error {
            // Said by file systems and kernels that do not know the flag.
            Errno::INVAL | Errno::NOSYS | Errno::NOTSUP => Error::from(ErrorKind::Unsupported),
            other => other.into(),
        })
    }

    #[cfg(not(any(target_os = "linux", target_os = "android", target_vendor = "apple")))]
    fn swap(&self, _: &Path, _: &Path) -> Result<()> {
        Err(ErrorKind::Unsupported.into())
    }

    fn flush_folder(&self, folder: &Path) -> Result<()> {
        std::fs::File::open(folder)?.sync_all()
    }
}

/// Writes a temporary file beside the target, flushes it to disk, moves it over the target, and flushes the
/// folder. A link is written through; permissions and owner stay.
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
    let path = &target(path)?;
    let temporary = &beside(path);
    let moved = disk.write(temporary, text, path).and_then(|()| disk.rename(temporary, path));
    if let Err(error) = moved {
        // A disk across a network may answer with a failure after it has moved the file. The temporary file tells: it
        // is gone only when it was moved.
        let is_gone = matches!(temporary.symlink_metadata(), Err(gone) if gone.kind() == ErrorKind::NotFound);
        if is_gone && holds(path, text) {
            return Ok(Landed::Unconfirmed(error));
        }
        // Best effort: the target is untouched, only the temporary file may be left.
        let _ = std::fs::remove_file(temporary);
        return Err(error);
    }
    Ok(flushed(disk, path))
}

/// Where a text that is written to this path comes to stand: at the end of a link, in a plain file that may be
/// written.
pub(super) fn target(path: &Path) -> Result<PathBuf> {
    let is_link = path.symlink_metadata().is_ok_and(|found| found.is_symlink());
    let path = if is_link { std::fs::canonicalize(path)? } else { path.to_path_buf() };
    match std::fs::metadata(&path) {
        Ok(found) => {
            must_be_plain(&found)?;
            if found.permissions().readonly() {
                let why = "the file is marked as read-only; it stays as it is";
                return Err(Error::new(ErrorKind::PermissionDenied, why));
            }
        }
        Err(error) if error.kind() == ErrorKind::NotFound => {}
        Err(error) => return Err(error),
    }
    Ok(path)
}

/// The temporary file beside a target. One program writes it at a time.
pub(super) fn beside(path: &Path) -> PathBuf {
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    path.with_file_name(format!(".{name}.{}.new", std::process::id()))
}

pub(super) fn holds(path: &Path, text: &str) -> bool {
    read_plain(path).is_ok_and(|there| there == text.as_bytes())
}

pub(super) fn flushed(disk: &dyn Disk, path: &Path) -> Landed {
    let folder = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    match disk.flush_folder(folder) {
        Ok(()) => Landed::Surely,
        Err(error) => Landed::Unconfirmed(error),
    }
}

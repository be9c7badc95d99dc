//! Reading files that somebody else may have put there.

use std::fs::{FileType, Metadata};
use std::io::{Error, ErrorKind, Result};
use std::path::Path;

/// Reads a file after a look at what it is: opening a pipe would wait for a writer that may never come.
///
/// # Errors
///
/// What the system says, or that it is not a plain file and what it is instead.
pub fn read_plain(path: &Path) -> Result<Vec<u8>> {
    must_be_plain(&std::fs::metadata(path)?)?;
    std::fs::read(path)
}

/// Whether anything goes by this name, whatever it is: what is no plain file is then refused when it is read, and never
/// taken for absent.
pub fn is_there(path: &Path) -> bool {
    path.symlink_metadata().is_ok()
}

/// [`read_plain`] for text in UTF-8.
///
/// # Errors
///
/// As there, and where it is not UTF-8.
pub fn read_plain_text(path: &Path) -> Result<String> {
    String::from_utf8(read_plain(path)?)
        .map_err(|_| Error::new(ErrorKind::InvalidData, "it is not text in UTF-8"))
}

pub(super) fn must_be_plain(found: &Metadata) -> Result<()> {
    if found.is_file() {
        return Ok(());
    }
    let what = word(found.file_type());
    Err(Error::new(ErrorKind::InvalidInput, format!("it is {what}; a plain file is wanted there")))
}

#[cfg(unix)]
fn word(kind: FileType) -> &'static str {
    use std::os::unix::fs::FileTypeExt;
    if kind.is_dir() {
        "a folder"
    } else if kind.is_fifo() {
        "a pipe"
    } else if kind.is_socket() {
        "a socket"
    } else {
        "a device"
    }
}

#[cfg(not(unix))]
fn word(kind: FileType) -> &'static str {
    if kind.is_dir() { "a folder" } else { "not a plain file" }
}

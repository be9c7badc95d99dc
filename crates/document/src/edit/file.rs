//! Writing a file so that it is either the old one or the new one, never half of each.

use std::io::Write;
use std::path::Path;

/// Writes a temporary file beside the target, flushes it to disk, moves it over the target, and flushes the
/// folder.
pub fn write_atomically(path: &Path, text: &str) -> std::io::Result<()> {
    let folder = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let temporary = folder.join(format!(".{name}.{}.new", std::process::id()));
    let written = (|| {
        let mut file = std::fs::File::create(&temporary)?;
        file.write_all(text.as_bytes())?;
        file.sync_all()?;
        std::fs::rename(&temporary, path)?;
        std::fs::File::open(folder)?.sync_all()
    })();
    if written.is_err() {
        // Best effort: the target is untouched, only the temporary file may be left.
        let _ = std::fs::remove_file(&temporary);
    }
    written
}

//! A shop in one file, and back again.
//!
//! The file is a ZIP archive that any program for such files opens: the shop folder under `shop/`, the journal as it was at
//! one moment, and `SHA256SUMS` with the hash of every file. Documents, settings and journal are taken while holding the
//! turn, so that no edit is half in it; what else lies in the folder is taken after.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{BufWriter, ErrorKind, Read, Write};
use std::path::{Component, Path, PathBuf};

use document::edit::read_plain;
use sha2::{Digest, Sha256};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipArchive, ZipWriter};

use crate::condition::{is_folder, on_disk};
use crate::note::NOTE;
use crate::records::{JOURNAL, RECORDS};
use crate::replaced::REPLACED;
use crate::{Store, StoreError, hash, names};

/// The folder of the shop in the archive.
const SHOP: &str = "shop/";

/// The list of hashes, as `sha256sum` writes and checks it.
const SUMS: &str = "SHA256SUMS";

/// What a backup holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Backup {
    /// Files in it.
    pub files: usize,
    /// Their length in bytes.
    pub bytes: u64,
    /// What of the shop folder is not in it, and why.
    pub left_out: Vec<String>,
    /// What is wrong with the shop that was taken as it is.
    pub told: Option<String>,
}

fn wrong(path: &Path, why: impl std::fmt::Display) -> StoreError {
    StoreError::Backup { path: path.to_path_buf(), why: why.to_string() }
}

/// Writes a shop into one new file and reads it back. A file that is there is never written over.
///
/// # Errors
///
/// The shop cannot be opened, or a file of it not be read; the new file is there already or in the shop, or cannot be
/// written. Nothing is left of it then.
pub fn backup(folder: &Path, file: &Path) -> Result<Backup, StoreError> {
    is_folder(folder)?;
    if file.symlink_metadata().is_ok() {
        return Err(wrong(file, "it is there already and is not written over; name a new file"));
    }
    let parent = file.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let end = |path: &Path| std::fs::canonicalize(path).map_err(|error| StoreError::file(path, error));
    if end(parent)?.starts_with(end(folder)?) {
        return Err(wrong(
            file,
            "it would be in the shop folder itself; name a place outside, best on another disk",
        ));
    }
    let store = Store::open(folder)?;
    // The name is taken from here on; what is written becomes visible under it when it is whole.
    private(file).map_err(|error| StoreError::file(file, error))?;
    let spare = PathBuf::from(format!("{}.part", file.display()));
    let made = write(&store, &spare).and_then(|made| {
        every_sum(&spare)?;
        std::fs::rename(&spare, file).map_err(|error| StoreError::file(file, error))?;
        Ok(made)
    });
    if made.is_err() {
        // Both are ours, and neither is a backup.
        for path in [&spare, file] {
            let _ = std::fs::remove_file(path);
        }
    }
    made
}

/// A new file that its owner alone reads: it holds what the documents and the journal hold.
fn private(path: &Path) -> std::io::Result<File> {
    let mut options = std::fs::OpenOptions::new();
    options.read(true).write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options.open(path)
}

/// An archive that is being written, with the hashes of what is in it.
struct Archive {
    out: ZipWriter<BufWriter<File>>,
    sums: BTreeMap<String, String>,
    bytes: u64,
}

impl Archive {
    fn add(&mut self, name: &str, mode: u32, from: &mut dyn Read) -> std::io::Result<()> {
        let options = options().unix_permissions(mode);
        self.out.start_file(format!("{SHOP}{name}"), options)?;
        let mut sum = Sha256::new();
        let mut part = vec![0; 64 * 1024];
        loop {
            let length = from.read(&mut part)?;
            if length == 0 {
                break;
            }
            sum.update(&part[..length]);
            self.out.write_all(&part[..length])?;
            self.bytes += u64::try_from(length).unwrap_or(u64::MAX);
        }
        self.sums.insert(name.to_owned(), hash::hex(&sum.finalize()));
        Ok(())
    }
}

/// Stored as it is; every file bears the first day that the format knows, so that the same shop gives the same bytes.
fn options() -> SimpleFileOptions {
    SimpleFileOptions::default()
        .compression_method(CompressionMethod::Stored)
        .last_modified_time(DateTime::default())
        .large_file(true)
}

fn write(store: &Store, spare: &Path) -> Result<Backup, StoreError> {
    let folder = store.folder();
    let records = folder.join(RECORDS);
    // What other programs saved becomes part of the history first; a document that cannot be read is taken as it is.
    for job in on_disk(folder) {
        let _ = store.state(&job);
    }
    let out = private(spare).map_err(|error| StoreError::file(spare, error))?;
    let mut archive = Archive { out: ZipWriter::new(BufWriter::new(out)), sums: BTreeMap::new(), bytes: 0 };
    let mut taken: BTreeMap<String, (u32, Vec<u8>)> = BTreeMap::new();
    {
        let _turn = store.turn()?;
        // The note first: it never goes ahead of the journal.
        if let Ok(bytes) = read_plain(&records.join(NOTE)) {
            taken.insert(format!("{RECORDS}/{NOTE}"), (0o600, bytes));
        }
        taken.insert(format!("{RECORDS}/{JOURNAL}"), (0o600, snapshot(store, spare)?));
        for path in own(folder) {
            let Some(name) = name_of(folder, &path) else { continue };
            let mode = mode_of(&path);
            let bytes = read_plain(&path).map_err(|error| StoreError::file(&path, error))?;
            taken.insert(name, (mode, bytes));
        }
    }
    let failed = |error| StoreError::file(spare, error);
    for (name, (mode, bytes)) in &taken {
        archive.add(name, *mode, &mut bytes.as_slice()).map_err(failed)?;
    }
    let mut left_out = Vec::new();
    let mut others = Vec::new();
    walk(folder, folder, &mut others, &mut left_out)?;
    for path in others {
        match name_of(folder, &path) {
            Some(name) if taken.contains_key(&name) => {}
            Some(name) => {
                let mut from = File::open(&path).map_err(|error| StoreError::file(&path, error))?;
                archive
                    .add(&name, mode_of(&path), &mut from)
                    .map_err(|error| StoreError::file(&path, error))?;
            }
            None => left_out.push(format!("`{}`: its name is not text in UTF-8", path.display())),
        }
    }
    let (files, bytes) = (archive.sums.len(), archive.bytes);
    finish(archive).map_err(failed)?;
    Ok(Backup { files, bytes, left_out, told: store.told().map(str::to_owned) })
}

fn finish(mut archive: Archive) -> std::io::Result<()> {
    let line = |out: String, (name, sum): (&String, &String)| out + sum + "  " + SHOP + name + "\n";
    let sums = archive.sums.iter().fold(String::new(), line);
    archive.out.start_file(SUMS, options().unix_permissions(0o600))?;
    archive.out.write_all(sums.as_bytes())?;
    let mut out = archive.out.finish()?;
    out.flush()?;
    out.into_inner().map_err(std::io::IntoInnerError::into_error)?.sync_all()
}

/// The journal as it is at one moment, in one piece.
fn snapshot(store: &Store, spare: &Path) -> Result<Vec<u8>, StoreError> {
    let path = PathBuf::from(format!("{}.journal", spare.display()));
    // The library writes into an empty file that is there, so that nobody else reads it.
    private(&path).map_err(|error| StoreError::file(&path, error))?;
    let bytes = store
        .journal()
        .and_then(|journal| {
            let to = path.to_str().ok_or_else(|| wrong(&path, "its name is not text in UTF-8"))?;
            Ok(journal.execute("VACUUM INTO ?1", [to])?)
        })
        .and_then(|_| std::fs::read(&path).map_err(|error| StoreError::file(&path, error)));
    let _ = std::fs::remove_file(&path);
    bytes
}

/// The files that the program reads and writes, at the end of links.
fn own(folder: &Path) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> =
        on_disk(folder).iter().filter_map(|job| names::place(folder, job)).collect();
    files.extend(["shop.toml", "prices.toml"].map(|name| folder.join(name)));
    let kinds = std::fs::read_dir(folder.join("catalogue")).into_iter().flatten().flatten();
    files.extend(kinds.map(|entry| entry.path()));
    // What is no plain file is told when the folder is walked.
    files.retain(|path| path.metadata().is_ok_and(|found| found.is_file()));
    files
}

/// Every plain file of a folder that is not the program's own passing one.
fn walk(
    shop: &Path,
    folder: &Path,
    files: &mut Vec<PathBuf>,
    left_out: &mut Vec<String>,
) -> Result<(), StoreError> {
    let there = std::fs::read_dir(folder).map_err(|error| StoreError::file(folder, error))?;
    let mut there: Vec<PathBuf> = there.flatten().map(|entry| entry.path()).collect();
    there.sort();
    for path in there {
        if is_passing(shop, &path) {
            continue;
        }
        let is_link = path.symlink_metadata().is_ok_and(|found| found.is_symlink());
        match path.metadata() {
            Ok(found) if found.is_file() => files.push(path),
            Ok(found) if found.is_dir() && !is_link => walk(shop, &path, files, left_out)?,
            Ok(found) if found.is_dir() => {
                left_out.push(format!("`{}`: it is a link to a folder", path.display()));
            }
            Ok(_) => left_out.push(format!("`{}`: it is not a plain file", path.display())),
            Err(error) => left_out.push(format!("`{}`: {error}", path.display())),
        }
    }
    Ok(())
}

/// Whether a file is there for a moment only, or is taken in another way.
fn is_passing(shop: &Path, path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    if path.parent() == Some(shop.join(RECORDS).as_path()) {
        // The journal, what the database library puts beside it, its note, and what edits replaced.
        return name == "lock"
            || name == REPLACED
            || name.starts_with("journal.")
            || name.starts_with("journal-new.");
    }
    // Being written beside its document at this moment.
    name.strip_prefix('.')
        .and_then(|name| name.strip_suffix(".new"))
        .and_then(|name| name.rsplit_once('.'))
        .is_some_and(|(_, number)| !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit()))
}

fn name_of(shop: &Path, path: &Path) -> Option<String> {
    let inside = path.strip_prefix(shop).ok()?;
    let parts: Option<Vec<&str>> = inside.components().map(|part| part.as_os_str().to_str()).collect();
    parts.map(|parts| parts.join("/"))
}

#[cfg(unix)]
fn mode_of(path: &Path) -> u32 {
    use std::os::unix::fs::PermissionsExt;
    path.metadata().map_or(0o600, |found| found.permissions().mode() & 0o777)
}

#[cfg(not(unix))]
fn mode_of(_: &Path) -> u32 {
    0o644
}

/// Opens a backup: the archive, and the hashes of the files that it must hold, by name.
fn open(file: &Path) -> Result<(ZipArchive<File>, BTreeMap<String, String>), StoreError> {
    // A look at what it is: a pipe would be waited for.
    let found = file.metadata().map_err(|error| StoreError::file(file, error))?;
    let none = "it is not a backup of a shop";
    if !found.is_file() {
        return Err(wrong(file, none));
    }
    let archive = File::open(file).map_err(|error| StoreError::file(file, error))?;
    let mut archive = ZipArchive::new(archive).map_err(|error| wrong(file, format!("{none}: {error}")))?;
    let mut sums = String::new();
    archive
        .by_name(SUMS)
        .map_err(|_| wrong(file, format!("{none}: it has no list `{SUMS}`")))?
        .read_to_string(&mut sums)
        .map_err(|error| StoreError::file(file, error))?;
    let mut all = BTreeMap::new();
    for line in sums.lines() {
        let (sum, name) =
            line.split_once("  ").ok_or_else(|| wrong(file, format!("{none}: a line of `{SUMS}`")))?;
        let inside = name.strip_prefix(SHOP).filter(|inside| is_inside(inside));
        let Some(inside) = inside else {
            return Err(wrong(file, format!("`{name}` would leave the folder; nothing was written")));
        };
        all.insert(inside.to_owned(), sum.to_owned());
    }
    if archive.len() != all.len() + 1 {
        return Err(wrong(
            file,
            format!("it holds files that `{SUMS}` does not list, or lacks some that it does"),
        ));
    }
    Ok((archive, all))
}

fn is_inside(name: &str) -> bool {
    !name.is_empty()
        && !name.contains(['\\', ':', '\0'])
        && Path::new(name).components().all(|part| matches!(part, Component::Normal(_)))
}

/// Reads every file of a backup and compares its hash; `put` gets each.
fn each(
    file: &Path,
    mut put: impl FnMut(&str, u32, &mut dyn Read) -> Result<(), StoreError>,
) -> Result<usize, StoreError> {
    let (mut archive, sums) = open(file)?;
    for (name, sum) in &sums {
        let mut entry = archive
            .by_name(&format!("{SHOP}{name}"))
            .map_err(|error| wrong(file, format!("`{name}` cannot be read: {error}")))?;
        let mode = entry.unix_mode().unwrap_or(0o600) & 0o777;
        let mut summed = Summed { inner: &mut entry, sum: Sha256::new() };
        put(name, mode, &mut summed)?;
        if hash::hex(&summed.sum.finalize()) != *sum {
            return Err(wrong(file, format!("`{name}` in it is damaged: it is not what was backed up")));
        }
    }
    Ok(sums.len())
}

struct Summed<'a> {
    inner: &'a mut dyn Read,
    sum: Sha256,
}

impl Read for Summed<'_> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        let length = self.inner.read(into)?;
        self.sum.update(&into[..length]);
        Ok(length)
    }
}

fn every_sum(file: &Path) -> Result<(), StoreError> {
    each(file, |_, _, from| {
        std::io::copy(from, &mut std::io::sink()).map(drop).map_err(|error| StoreError::file(file, error))
    })
    .map(drop)
}

/// Makes a shop folder of a backup; the number of files. The folder is a new one, or an empty one that is there.
///
/// # Errors
///
/// The file is no backup or is damaged; the folder is there and holds something; a file cannot be written. Nothing is left
/// in the folder's place then.
pub fn restore(file: &Path, folder: &Path) -> Result<usize, StoreError> {
    match std::fs::read_dir(folder).map(|mut there| there.next().is_none()) {
        Ok(true) => {}
        Ok(false) => {
            return Err(wrong(
                folder,
                "it is there and not empty, and nothing is written over; name a new folder",
            ));
        }
        Err(error) if error.kind() == ErrorKind::NotFound => {}
        Err(error) => return Err(StoreError::file(folder, error)),
    }
    every_sum(file)?;
    let name =
        folder.file_name().ok_or_else(|| wrong(folder, "it has no name"))?.to_string_lossy().into_owned();
    let spare = folder.with_file_name(format!(".{name}.{}.part", std::process::id()));
    std::fs::create_dir(&spare).map_err(|error| StoreError::file(&spare, error))?;
    let restored = each(file, |name, mode, from| {
        let path = spare.join(name);
        place(&spare, &path, mode, from).map_err(|error| StoreError::file(&path, error))
    })
    .and_then(|files| {
        // An empty folder makes way; one that is not empty any more stays, and nothing is restored.
        match std::fs::remove_dir(folder) {
            Err(error) if error.kind() != ErrorKind::NotFound => return Err(StoreError::file(folder, error)),
            _ => {}
        }
        std::fs::rename(&spare, folder).map_err(|error| StoreError::file(folder, error))?;
        Ok(files)
    });
    if restored.is_err() {
        let _ = std::fs::remove_dir_all(&spare);
    }
    restored
}

/// Writes one file of a backup.
fn place(shop: &Path, path: &Path, mode: u32, from: &mut dyn Read) -> std::io::Result<()> {
    if let Some(folder) = path.parent() {
        std::fs::create_dir_all(folder)?;
        #[cfg(unix)]
        if folder == shop.join(RECORDS) {
            use std::os::unix::fs::PermissionsExt;
            std::fs::set_permissions(folder, std::fs::Permissions::from_mode(0o700))?;
        }
        #[cfg(not(unix))]
        let _ = shop;
    }
    let mut to = private(path)?;
    std::io::copy(from, &mut to)?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        to.set_permissions(std::fs::Permissions::from_mode(mode))?;
    }
    #[cfg(not(unix))]
    let _ = mode;
    to.sync_all()
}

//! What an edit replaced: kept for a while, because another program may still hold it open and write into it.
//!
//! A program that opened a document before an edit and writes after it writes into the file that was exchanged, which has
//! no name in the job's folder any more. So that file is moved among the records, one for each document, under a name with
//! the hash of what it held. At the next edit of the document, and when the shop is opened, it is looked at: what was
//! written into it goes into the journal.

use std::path::{Path, PathBuf};

use document::edit::read_plain_text;

use crate::hash;
use crate::records::RECORDS;

/// The folder among the records.
pub(crate) const REPLACED: &str = "replaced";

/// A file that was replaced.
pub(crate) struct Replaced {
    pub(crate) path: PathBuf,
    pub(crate) job: String,
    /// The hash of what it held.
    sum: String,
}

impl Replaced {
    /// What was written into it since; `None` where nothing was, or nothing that is text.
    pub(crate) fn written_since(&self) -> Option<String> {
        read_plain_text(&self.path).ok().filter(|text| hash::of(text) != self.sum)
    }
}

/// Where the text that a document holds now goes when it is replaced. `None` where there is no room for it among the
/// records; then nothing is kept.
pub(crate) fn place(shop: &Path, job: &str, before: &str) -> Option<PathBuf> {
    let folder = shop.join(RECORDS).join(REPLACED);
    match std::fs::create_dir(&folder) {
        Err(error) if error.kind() != std::io::ErrorKind::AlreadyExists => None,
        _ => Some(folder.join(format!("{job}={}", hash::of(before)))),
    }
}

/// Every file that is kept, in name order.
pub(crate) fn all(shop: &Path) -> Vec<Replaced> {
    let there = std::fs::read_dir(shop.join(RECORDS).join(REPLACED)).into_iter().flatten().flatten();
    let mut all: Vec<Replaced> = there
        .filter_map(|entry| {
            let name = entry.file_name().into_string().ok()?;
            let (job, sum) = name.rsplit_once('=')?;
            Some(Replaced { path: entry.path(), job: job.to_owned(), sum: sum.to_owned() })
        })
        .collect();
    all.sort_by(|a, b| a.path.cmp(&b.path));
    all
}

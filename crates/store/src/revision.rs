//! Revisions: a document frozen under a letter, with all it was computed from.

use rusqlite::{Connection, OptionalExtension, params};

use crate::seal::{self, Subject};
use crate::verify::named;
use crate::{Store, StoreError};

/// What a revision freezes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Revision {
    /// The document.
    pub text: String,
    /// The catalogue kinds used, as text.
    pub kinds: String,
    /// The settings in force, as text.
    pub settings: String,
    /// Version of the program.
    pub program: String,
}

/// A revision in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RevisionEntry {
    /// Its letter.
    pub letter: String,
    /// Why it was made.
    pub why: String,
    /// Who agreed.
    pub by: Option<String>,
    /// When, in universal time.
    pub at: String,
}

impl Store {
    /// Freezes a revision. A letter is used once.
    pub fn freeze(
        &self,
        job: &str,
        letter: &str,
        why: &str,
        by: Option<&str>,
        frozen: &Revision,
    ) -> Result<(), StoreError> {
        self.document(job)?;
        let journal = self.journal()?;
        let added = seal::write(&journal, |journal| {
            let added = journal.execute(
                "INSERT OR IGNORE INTO revision (job, letter, why, by, text, kinds, settings, program)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
                params![job, letter, why, by, frozen.text, frozen.kinds, frozen.settings, frozen.program],
            )?;
            let subject = Subject::Revision(job.to_owned(), letter.to_owned());
            Ok((added, if added == 0 { Vec::new() } else { vec![subject] }))
        })?;
        if added == 0 { Err(StoreError::Revision(format!("{letter} is there already"))) } else { Ok(()) }
    }

    /// Keeps the price file that a frozen revision was priced with, so that its figures never change on paper. A text that
    /// is there stays.
    pub fn freeze_prices(&self, job: &str, letter: &str, text: &str) -> Result<(), StoreError> {
        self.revision(job, letter)?;
        let journal = self.journal()?;
        seal::write(&journal, |journal| {
            let added = journal.execute(
                "INSERT OR IGNORE INTO revision_price (job, letter, text) VALUES (?1, ?2, ?3)",
                params![job, letter, text],
            )?;
            let subject = Subject::Price(job.to_owned(), letter.to_owned());
            Ok(((), if added == 0 { Vec::new() } else { vec![subject] }))
        })?;
        Ok(())
    }

    /// The price file of a frozen revision; `None` where it was frozen without one.
    pub fn revision_prices(&self, job: &str, letter: &str) -> Result<Option<String>, StoreError> {
        let journal = self.journal()?;
        self.is_as_written(&journal, &Subject::Price(job.to_owned(), letter.to_owned()))?;
        Ok(journal
            .prepare_cached("SELECT text FROM revision_price WHERE job = ?1 AND letter = ?2")?
            .query_row([job, letter], |row| row.get(0))
            .optional()?)
    }

    /// The revisions of a job, oldest first.
    pub fn revisions(&self, job: &str) -> Result<Vec<RevisionEntry>, StoreError> {
        let journal = self.journal()?;
        let mut statement = journal
            .prepare_cached("SELECT letter, why, by, at FROM revision WHERE job = ?1 ORDER BY rowid")?;
        let rows = statement.query_map([job], |row| {
            Ok(RevisionEntry { letter: row.get(0)?, why: row.get(1)?, by: row.get(2)?, at: row.get(3)? })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// What a revision froze.
    pub fn revision(&self, job: &str, letter: &str) -> Result<Revision, StoreError> {
        let journal = self.journal()?;
        self.is_as_written(&journal, &Subject::Revision(job.to_owned(), letter.to_owned()))?;
        let found = journal
            .prepare_cached(
                "SELECT text, kinds, settings, program FROM revision WHERE job = ?1 AND letter = ?2",
            )?
            .query_row([job, letter], |row| {
                Ok(Revision {
                    text: row.get(0)?,
                    kinds: row.get(1)?,
                    settings: row.get(2)?,
                    program: row.get(3)?,
                })
            })
            .optional()?;
        found.ok_or_else(|| StoreError::Revision(format!("{letter} is not there")))
    }

    /// What was frozen is agreed with somebody: what damage made of it is not shown for it.
    fn is_as_written(&self, journal: &Connection, subject: &Subject) -> Result<(), StoreError> {
        if seal::agrees(journal, subject)? {
            return Ok(());
        }
        let what = named(journal, subject).0;
        Err(StoreError::Damaged { what, shop: self.folder().to_path_buf() })
    }
}

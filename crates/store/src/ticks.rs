//! Ticks of the work order. They stand outside the document and its revisions.

use rusqlite::params;

use crate::seal::{self, Subject};
use crate::{Store, StoreError};

/// A step that was ticked, or whose tick was taken away.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tick {
    /// The step's id.
    pub step: String,
    /// Whether it is done.
    pub done: bool,
    /// Who ticked.
    pub by: Option<String>,
    /// When, in universal time.
    pub at: String,
}

impl Store {
    /// Sets or takes away a tick.
    pub fn tick(&self, job: &str, step: &str, done: bool, by: Option<&str>) -> Result<(), StoreError> {
        self.document(job)?;
        let journal = self.journal()?;
        seal::write(&journal, |journal| {
            journal.execute(
                "INSERT INTO tick (job, step, done, by) VALUES (?1, ?2, ?3, ?4)
                 ON CONFLICT (job, step) DO UPDATE SET done = excluded.done, by = excluded.by, at = strftime('%Y-%m-%dT%H:%M:%SZ', 'now')",
                params![job, step, done, by],
            )?;
            Ok(((), vec![Subject::Tick(job.to_owned(), step.to_owned())]))
        })?;
        Ok(())
    }

    /// The ticks of a job, by step.
    pub fn ticks(&self, job: &str) -> Result<Vec<Tick>, StoreError> {
        let journal = self.journal()?;
        let mut statement =
            journal.prepare_cached("SELECT step, done, by, at FROM tick WHERE job = ?1 ORDER BY step")?;
        let rows = statement.query_map([job], |row| {
            Ok(Tick { step: row.get(0)?, done: row.get(1)?, by: row.get(2)?, at: row.get(3)? })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}

//! What was mended or lent out after the handover. It stands outside the document and its revisions, as ticks do.
//!
//! An entry is never changed: another one may take it back.

use rusqlite::params;

use crate::seal::{self, Subject};
use crate::{Store, StoreError};

/// A repair or a loan.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Repair {
    /// Its number in the journal; 0 before it is there.
    pub id: i64,
    /// What was at fault, as the board knows it: `L07`, `D5.IN`, `D5`.
    pub part: String,
    /// What that is, in a word of whoever looks for faults; empty where nothing was mended.
    pub kind: String,
    /// What was heard, in one of their words.
    pub symptom: Option<String>,
    /// What was found.
    pub found: String,
    /// What was done.
    pub did: String,
    /// What was lent meanwhile, or where the device is.
    pub lent: Option<String>,
    /// By whom.
    pub by: Option<String>,
    /// The day; today, in universal time, where nothing is given.
    pub on: String,
}

impl Store {
    /// Writes a repair down; gives its number.
    pub fn mend(&self, job: &str, repair: &Repair) -> Result<i64, StoreError> {
        self.document(job)?;
        let journal = self.journal()?;
        let id = seal::write(&journal, |journal| {
            journal.execute(
                "INSERT INTO repair (job, part, kind, symptom, found, did, lent, by, on_day)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, coalesce(nullif(?9, ''), strftime('%Y-%m-%d', 'now')))",
                params![
                    job,
                    repair.part,
                    repair.kind,
                    repair.symptom,
                    repair.found,
                    repair.did,
                    repair.lent,
                    repair.by,
                    repair.on
                ],
            )?;
            let id = journal.last_insert_rowid();
            Ok((id, vec![Subject::Repair(id)]))
        })?;
        Ok(id)
    }

    /// Takes a repair of a job back. One that is not there, or was taken back, is no error.
    pub fn unmend(&self, job: &str, id: i64) -> Result<(), StoreError> {
        let Some(own) = self.repairs(job)?.into_iter().find(|own| own.id == id) else { return Ok(()) };
        let journal = self.journal()?;
        seal::write(&journal, |journal| {
            journal.execute(
                "INSERT INTO repair (job, part, kind, found, did, on_day, back)
                 VALUES (?1, ?2, '', '', '', strftime('%Y-%m-%d', 'now'), ?3)",
                params![job, own.part, id],
            )?;
            Ok(((), vec![Subject::Repair(journal.last_insert_rowid())]))
        })?;
        Ok(())
    }

    /// The repairs of a job that stand, by day and then as they were written.
    pub fn repairs(&self, job: &str) -> Result<Vec<Repair>, StoreError> {
        let journal = self.journal()?;
        let mut statement = journal.prepare_cached(
            "SELECT id, part, kind, symptom, found, did, lent, by, on_day FROM repair
             WHERE job = ?1 AND back IS NULL
               AND id NOT IN (SELECT back FROM repair WHERE job = ?1 AND back IS NOT NULL)
             ORDER BY on_day, id",
        )?;
        let rows = statement.query_map([job], |row| {
            Ok(Repair {
                id: row.get(0)?,
                part: row.get(1)?,
                kind: row.get(2)?,
                symptom: row.get(3)?,
                found: row.get(4)?,
                did: row.get(5)?,
                lent: row.get(6)?,
                by: row.get(7)?,
                on: row.get(8)?,
            })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// How many parts of each kind this shop has mended, over all its jobs.
    pub fn mended(&self) -> Result<Vec<(String, u32)>, StoreError> {
        let journal = self.journal()?;
        let mut statement = journal.prepare_cached(
            "SELECT kind, count(*) FROM repair
             WHERE back IS NULL AND kind <> '' AND id NOT IN (SELECT back FROM repair WHERE back IS NOT NULL)
             GROUP BY kind ORDER BY kind",
        )?;
        let rows = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}

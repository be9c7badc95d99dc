//! The journal's tables.

use rusqlite::Connection;

/// Makes the tables that are missing. Write-ahead logging with full flushing: a row that was committed is on disk.
pub(crate) fn prepare(journal: &Connection) -> rusqlite::Result<()> {
    journal.busy_timeout(std::time::Duration::from_millis(2500))?;
    journal.pragma_update(None, "journal_mode", "WAL")?;
    journal.pragma_update(None, "synchronous", "FULL")?;
    journal.execute_batch(
        "CREATE TABLE IF NOT EXISTS entry (
            id INTEGER PRIMARY KEY,
            job TEXT NOT NULL,
            kind TEXT NOT NULL CHECK (kind IN ('edit', 'undo', 'redo', 'foreign', 'begin')),
            name TEXT NOT NULL,
            target INTEGER,
            before_hash TEXT NOT NULL,
            after_hash TEXT NOT NULL,
            before TEXT NOT NULL,
            after TEXT NOT NULL,
            state TEXT NOT NULL CHECK (state IN ('pending', 'done', 'void')),
            at TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%SZ', 'now'))
        );
        CREATE INDEX IF NOT EXISTS entry_by_job ON entry (job, id);
        -- Holds all that a list of entries shows, so that their texts are not read for it.
        CREATE INDEX IF NOT EXISTS entry_list ON entry (job, state, id, kind, name, at, target);
        CREATE TABLE IF NOT EXISTS revision (
            job TEXT NOT NULL,
            letter TEXT NOT NULL,
            why TEXT NOT NULL,
            by TEXT,
            text TEXT NOT NULL,
            kinds TEXT NOT NULL,
            settings TEXT NOT NULL,
            program TEXT NOT NULL,
            at TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%SZ', 'now')),
            PRIMARY KEY (job, letter)
        );
        -- The shop's price file as it was when a revision was frozen; none for revisions made without one.
        CREATE TABLE IF NOT EXISTS revision_price (
            job TEXT NOT NULL,
            letter TEXT NOT NULL,
            text TEXT NOT NULL,
            PRIMARY KEY (job, letter)
        );
        CREATE TABLE IF NOT EXISTS tick (
            job TEXT NOT NULL,
            step TEXT NOT NULL,
            done INTEGER NOT NULL,
            by TEXT,
            at TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%SZ', 'now')),
            PRIMARY KEY (job, step)
        );
        -- What was found at rows of the test sheet, one row for each answer; the last one counts.
        CREATE TABLE IF NOT EXISTS reading (
            id INTEGER PRIMARY KEY,
            job TEXT NOT NULL,
            row TEXT NOT NULL,
            said TEXT NOT NULL,
            by TEXT,
            on_day TEXT NOT NULL,
            revision TEXT NOT NULL,
            rests TEXT NOT NULL,
            answer TEXT,
            at TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%SZ', 'now'))
        );
        CREATE INDEX IF NOT EXISTS reading_by_job ON reading (job, id);
        -- Recordings of the finished board: the sound is in a file of the job, its hash is here. The last of a name counts.
        CREATE TABLE IF NOT EXISTS recording (
            id INTEGER PRIMARY KEY,
            job TEXT NOT NULL,
            name TEXT NOT NULL,
            sum TEXT NOT NULL,
            bytes INTEGER NOT NULL,
            state TEXT,
            at TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%SZ', 'now'))
        );
        CREATE INDEX IF NOT EXISTS recording_by_job ON recording (job, id);
        -- What was mended or lent out after the handover; a later row may take an earlier one back.
        CREATE TABLE IF NOT EXISTS repair (
            id INTEGER PRIMARY KEY,
            job TEXT NOT NULL,
            part TEXT NOT NULL,
            kind TEXT NOT NULL,
            symptom TEXT,
            found TEXT NOT NULL,
            did TEXT NOT NULL,
            lent TEXT,
            by TEXT,
            on_day TEXT NOT NULL,
            back INTEGER,
            at TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%SZ', 'now'))
        );
        CREATE INDEX IF NOT EXISTS repair_by_job ON repair (job, id);
        -- Chained records of what was written: see seal.rs.
        CREATE TABLE IF NOT EXISTS seal (
            id INTEGER PRIMARY KEY,
            subject TEXT NOT NULL,
            digest TEXT NOT NULL,
            chain TEXT NOT NULL
        );
        CREATE INDEX IF NOT EXISTS seal_by_subject ON seal (subject, id);",
    )
}

/// The version of a journal whose rows have their records.
pub(crate) const SEALED: i64 = 1;

/// The version of the journal: 0 before there were records of what was written.
pub(crate) fn version(journal: &Connection) -> rusqlite::Result<i64> {
    journal.query_row("PRAGMA user_version", [], |row| row.get(0))
}

/// Marks a journal whose rows all have their records.
pub(crate) fn is_sealed(journal: &Connection) -> rusqlite::Result<()> {
    journal.pragma_update(None, "user_version", SEALED)
}

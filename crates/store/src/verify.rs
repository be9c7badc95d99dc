//! Whether a journal that can be read is what was written into it.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::path::Path;

use rusqlite::Connection;

use crate::note::{self, NOTE};
use crate::seal::{self, Subject};
use crate::{hash, words};

/// One thing that is not as it was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Flaw {
    /// Records that the note knows and the journal does not have any more.
    EndLost {
        /// The number of the last record that the note knows.
        known: i64,
        /// The number of the last one that both agree on.
        there: i64,
    },
    /// Records that do not follow from the one before them.
    Broken(Vec<i64>),
    /// A row that is not as its record has it.
    Changed(Named),
    /// A row that has a record and is not there.
    Missing(Named),
    /// A row that something else put in.
    Strange(Named),
    /// A text of an entry that is not the one its hash was made of.
    Text(Named),
    /// The note cannot be read, or something else wrote in it.
    Note(String),
    /// There is no note, though there are records.
    NoNote,
}

/// A row, in words that a person can find it by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Named(pub(crate) String);

impl fmt::Display for Flaw {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::EndLost { known, there: 0 } => {
                write!(
                    f,
                    "it was emptied or begun anew: none of the {known} records that `{NOTE}` knows of is in it"
                )
            }
            Self::EndLost { known, there } => write!(
                f,
                "its end is lost: `{NOTE}` knows of {known} records, and the journal has the first {there} of them"
            ),
            Self::Broken(ids) if ids.len() == 1 => {
                write!(
                    f,
                    "record {} does not follow from the one before it: something was taken out or changed",
                    ids[0]
                )
            }
            Self::Broken(ids) => write!(
                f,
                "{} records, from {} on, do not follow from those before them: something was taken out or changed",
                ids.len(),
                ids[0]
            ),
            Self::Changed(Named(what)) => write!(f, "{what} is not as it was written"),
            Self::Missing(Named(what)) => write!(f, "{what} was taken out"),
            Self::Strange(Named(what)) => write!(f, "{what} was put in by another program"),
            Self::Text(Named(what)) => write!(f, "the text before or after {what} is not as it was written"),
            Self::Note(why) => write!(f, "`{NOTE}`, the note of its end, cannot be trusted: {why}"),
            Self::NoNote => {
                write!(
                    f,
                    "`{NOTE}`, the note of its end, is missing: nobody can say whether its last records are there"
                )
            }
        }
    }
}

/// How closely to look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Look {
    /// At the chain, and at every row by its hashes.
    Chain,
    /// At every text too.
    Texts,
}

/// What of a journal is not as it was written; nothing where all is well.
pub(crate) fn verify(journal: &Connection, records: &Path, look: Look) -> rusqlite::Result<Vec<Flaw>> {
    // The note first: it never goes ahead of the journal, and another program may be writing.
    let note = note::read(records);
    let journal = &journal.unchecked_transaction()?;
    let mut flaws = Vec::new();
    let (links, sealed, broken) = chain(journal)?;
    match note {
        Err(error) => flaws.push(Flaw::Note(error.to_string())),
        Ok(None) if links.is_empty() => {}
        Ok(None) => flaws.push(Flaw::NoNote),
        Ok(Some(note)) => {
            if note.is_damaged {
                flaws.push(Flaw::Note("it holds lines that this program did not write".to_owned()));
            }
            flaws.extend(end_lost(&note.ends, &links, !broken.is_empty()));
        }
    }
    if !broken.is_empty() {
        flaws.push(Flaw::Broken(broken));
    }
    let mut seen = BTreeSet::new();
    for subject in seal::subjects(journal)? {
        let text = subject.text();
        match sealed.get(&text) {
            None => flaws.push(Flaw::Strange(named(journal, &subject))),
            Some(digest) if subject.digest(journal)?.as_ref() != Some(digest) => {
                flaws.push(Flaw::Changed(named(journal, &subject)));
            }
            Some(_) => {}
        }
        seen.insert(text);
    }
    for text in sealed.keys().filter(|text| !seen.contains(*text)) {
        let what = Subject::of(text).map_or_else(|| Named(text.clone()), |subject| named(journal, &subject));
        flaws.push(Flaw::Missing(what));
    }
    if look == Look::Texts {
        texts(journal, &mut flaws)?;
    }
    Ok(flaws)
}

/// What the note knows and the journal does not have. Where records were taken out before one that both agree on, the break
/// in the chain says it already.
fn end_lost(ends: &[(i64, String)], links: &BTreeMap<i64, String>, is_broken: bool) -> Option<Flaw> {
    let agrees = |end: &&(i64, String)| links.get(&end.0) == Some(&end.1);
    let gone: BTreeSet<i64> = ends.iter().filter(|end| !agrees(end)).map(|(id, _)| *id).collect();
    let (first, known) = (*gone.first()?, *gone.last()?);
    let there = ends.iter().filter(agrees).map(|(id, _)| *id);
    if is_broken && there.clone().any(|id| known < id) {
        return None;
    }
    Some(Flaw::EndLost { known, there: there.filter(|id| *id < first).max().unwrap_or(0) })
}

/// The links by number, the last digest of each subject, and the numbers that do not follow.
type Chain = (BTreeMap<i64, String>, BTreeMap<String, String>, Vec<i64>);

fn chain(journal: &Connection) -> rusqlite::Result<Chain> {
    let (mut links, mut sealed, mut broken) = (BTreeMap::new(), BTreeMap::new(), Vec::new());
    let mut before = (0_i64, String::new());
    let mut rows = journal.prepare("SELECT id, subject, digest, chain FROM seal NOT INDEXED ORDER BY id")?;
    let mut rows = rows.query([])?;
    while let Some(row) = rows.next()? {
        let (id, subject, digest): (i64, String, String) = (row.get(0)?, row.get(1)?, row.get(2)?);
        let link: String = row.get(3)?;
        if id != before.0 + 1 || link != seal::link(&before.1, &subject, &digest) {
            broken.push(id);
        }
        links.insert(id, link.clone());
        sealed.insert(subject, digest);
        before = (id, link);
    }
    Ok((links, sealed, broken))
}

/// The texts that are not the ones their hashes were made of.
pub(crate) fn wrong_texts(journal: &Connection) -> rusqlite::Result<Vec<Flaw>> {
    let mut flaws = Vec::new();
    texts(journal, &mut flaws)?;
    Ok(flaws)
}

fn texts(journal: &Connection, flaws: &mut Vec<Flaw>) -> rusqlite::Result<()> {
    let mut rows = journal
        .prepare("SELECT id, before, after, before_hash, after_hash FROM entry NOT INDEXED ORDER BY id")?;
    let mut rows = rows.query([])?;
    while let Some(row) = rows.next()? {
        let is_one = |text: usize, sum: usize| -> rusqlite::Result<bool> {
            let sum = row.get_ref(sum)?;
            // A text that is no text any more is not the one that was written.
            Ok(row
                .get_ref(text)?
                .as_str()
                .is_ok_and(|text| sum.as_str().is_ok_and(|sum| hash::of(text) == sum)))
        };
        if !is_one(1, 3)? || !is_one(2, 4)? {
            flaws.push(Flaw::Text(named(journal, &Subject::Entry(row.get(0)?))));
        }
    }
    Ok(())
}

/// What a person calls a row.
pub(crate) fn named(journal: &Connection, subject: &Subject) -> Named {
    let of = words::document;
    Named(match subject {
        Subject::Entry(id) => {
            let query = "SELECT job, name FROM entry WHERE id = ?1";
            let found: Option<(String, String)> =
                journal.query_row(query, [id], |row| Ok((row.get(0)?, row.get(1)?))).ok();
            match found {
                Some((job, name)) => format!("entry {id} (“{name}”, {})", of(&job)),
                None => format!("entry {id}"),
            }
        }
        Subject::Revision(job, letter) => format!("revision {letter} of {}", of(job)),
        Subject::Price(job, letter) => format!("the price file of revision {letter} of {}", of(job)),
        Subject::Tick(job, step) => format!("the tick of step {step} of {}", of(job)),
        Subject::Reading(id) => {
            let query = "SELECT job, row FROM reading WHERE id = ?1";
            let found: rusqlite::Result<(String, String)> =
                journal.query_row(query, [id], |row| Ok((row.get(0)?, row.get(1)?)));
            match found {
                Ok((job, row)) => format!("the answer at row {row} of the test sheet of {}", of(&job)),
                Err(_) => format!("answer {id} of a test sheet"),
            }
        }
        Subject::Repair(id) => {
            let query = "SELECT job, part FROM repair WHERE id = ?1";
            let found: rusqlite::Result<(String, String)> =
                journal.query_row(query, [id], |row| Ok((row.get(0)?, row.get(1)?)));
            match found {
                Ok((job, part)) => format!("the repair of {part} of {}", of(&job)),
                Err(_) => format!("repair {id}"),
            }
        }
        Subject::Recording(id) => {
            let query = "SELECT job, name FROM recording WHERE id = ?1";
            let found: rusqlite::Result<(String, String)> =
                journal.query_row(query, [id], |row| Ok((row.get(0)?, row.get(1)?)));
            match found {
                Ok((job, name)) => format!("the note of recording {name} of {}", of(&job)),
                Err(_) => format!("the note of recording {id}"),
            }
        }
    })
}

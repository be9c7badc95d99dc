//! The test record of a job: its sheet with what the journal has of it.

use design::{Design, Kept, TestRecord};
use store::{Reading, Store, StoreError};

/// The sheet of a job with what was found at its rows.
pub fn record(store: &Store, job: &str, design: &Design) -> Result<TestRecord, StoreError> {
    let repairs = store.repairs(job)?;
    let mut kept: Vec<Kept> = store.readings(job)?.into_iter().map(kept).collect();
    // What was measured of a part before it was mended was measured of another one.
    for one in &mut kept {
        let later = repairs
            .iter()
            .rev()
            .find(|repair| !repair.did.is_empty() && one.on < repair.on && is_about(&one.row, &repair.part));
        if let Some(repair) = later {
            one.rests.push_str(&format!(
                "what {} was before it was mended on {}\tanother\n",
                repair.part, repair.on
            ));
        }
    }
    Ok(TestRecord::new(design, &kept))
}

fn kept(reading: Reading) -> Kept {
    let Reading { row, said, by, on, revision, rests, answer } = reading;
    Kept { row, said, by, on, revision, rests, answer }
}

/// An answer that a person gives.
#[derive(Debug, Clone, Copy, Default)]
pub struct Given<'a> {
    /// What was found, as it was typed.
    pub said: &'a str,
    /// By whom.
    pub by: Option<&'a str>,
    /// The day; today where none is given.
    pub on: Option<&'a str>,
    /// Why it may stand although it does not pass.
    pub answer: Option<&'a str>,
}

/// Reads an answer, keeps it, and gives how it stands. Nothing is kept of what cannot be read.
///
/// # Errors
/// There is no such row, the answer cannot be read, or the journal cannot be written.
pub fn keep(
    store: &Store,
    job: &str,
    design: &Design,
    row: &str,
    given: Given<'_>,
) -> Result<TestRecord, StoreError> {
    let refused = |why: String| StoreError::Refused(why);
    let mut rows = design::test_rows(design);
    if row.starts_with("recorded-") {
        rows.extend(design::recorded_rows(design));
    }
    let Some(own) = rows.iter().find(|own| own.line.id == row) else {
        return Err(refused(format!("the test sheet has no row `{row}`; `boardwright test` lists them")));
    };
    if given.answer.is_some() && given.by.is_none() {
        return Err(refused("whoever answers for a row is named with it".to_owned()));
    }
    // An empty answer takes back what was said.
    let said = if given.said.trim().is_empty() {
        String::new()
    } else {
        own.written(&own.read(given.said).map_err(refused)?)
    };
    let reading = Reading {
        row: row.to_owned(),
        said,
        by: plain(given.by),
        on: day(given.on)?,
        revision: design.rig.job.revision.clone().unwrap_or_default(),
        rests: own.rests_text(),
        answer: plain(given.answer),
    };
    store.read_off(job, &reading)?;
    record(store, job, design)
}

/// Writes what recordings say into their rows: every value that is another one than what is kept, or that was kept of other leads
/// or devices.
///
/// # Errors
/// The journal cannot be read or written.
pub(crate) fn fill(
    store: &Store,
    job: &str,
    design: &Design,
    said: &[(String, String)],
    by: Option<&str>,
) -> Result<(), StoreError> {
    let rows = design::recorded_rows(design);
    let kept = store.readings(job)?;
    for (id, said) in said {
        let Some(row) = rows.iter().find(|row| row.line.id == *id) else { continue };
        let rests = row.rests_text();
        let last = kept.iter().rev().find(|one| one.row == *id);
        if last.is_some_and(|one| one.said == *said && one.rests == rests) {
            continue;
        }
        let reading = Reading {
            row: id.clone(),
            said: said.clone(),
            by: plain(by),
            on: String::new(),
            revision: design.rig.job.revision.clone().unwrap_or_default(),
            rests,
            answer: None,
        };
        store.read_off(job, &reading)?;
    }
    Ok(())
}

/// Takes back what was said at rows, where something was.
///
/// # Errors
/// The journal cannot be read or written.
pub(crate) fn take_back(
    store: &Store,
    job: &str,
    design: &Design,
    rows: &[String],
    by: Option<&str>,
) -> Result<(), StoreError> {
    let kept = store.readings(job)?;
    for row in rows {
        let last = kept.iter().rev().find(|one| one.row == *row);
        if last.is_some_and(|one| !one.said.is_empty()) {
            let given = Given { by, ..Given::default() };
            keep(store, job, design, row, given)?;
        }
    }
    Ok(())
}

/// Signs the sheet as it stands.
///
/// # Errors
/// A row is due, or fails and nobody answers for it; nobody is named; or the journal cannot be written.
pub fn sign(
    store: &Store,
    job: &str,
    design: &Design,
    by: &str,
    on: Option<&str>,
) -> Result<TestRecord, StoreError> {
    let now = record(store, job, design)?;
    let open: Vec<&str> =
        now.rows.iter().filter(|one| !one.state.is_settled()).map(|one| one.row.line.id.as_str()).collect();
    let by = plain(Some(by)).ok_or_else(|| StoreError::Refused("whoever signs is named".to_owned()))?;
    if !open.is_empty() {
        let some = open.iter().take(5).copied().collect::<Vec<_>>().join(", ");
        let more = if 5 < open.len() { format!(" and {} more", open.len() - 5) } else { String::new() };
        return Err(StoreError::Refused(format!(
            "not signed: {some}{more} {} due or failed; measure, or answer for what does not pass",
            if open.len() == 1 { "is" } else { "are" }
        )));
    }
    let reading = Reading {
        row: design::SIGNATURE.to_owned(),
        said: "signed".to_owned(),
        by: Some(by),
        on: day(on)?,
        revision: design.rig.job.revision.clone().unwrap_or_default(),
        rests: now.signs(),
        answer: None,
    };
    store.read_off(job, &reading)?;
    record(store, job, design)
}

/// One line of text, or none.
pub(crate) fn plain(text: Option<&str>) -> Option<String> {
    let text: Vec<&str> = text?.split_whitespace().collect();
    let text: String = text.join(" ").chars().take(200).collect();
    (!text.is_empty()).then_some(text)
}

/// A day as `2026-05-14`; nothing for today.
pub(crate) fn day(text: Option<&str>) -> Result<String, StoreError> {
    let Some(text) = text.map(str::trim).filter(|text| !text.is_empty()) else { return Ok(String::new()) };
    // As a document writes it, and no other way: the journal is sorted by it.
    let is_day = crate::acts::entered::date(text).is_ok_and(|day| day == text);
    if is_day {
        Ok(text.to_owned())
    } else {
        Err(StoreError::Refused(format!("`{text}` is no day: write it as 2026-05-14")))
    }
}

/// Whether a row of the test sheet is about a part: `pf:L07` is about `L07`, `outlet:SUP.3` about `SUP.3` and `SUP`.
fn is_about(row: &str, part: &str) -> bool {
    let mut of = row.split([':', ' ', '+', '>']).skip(1);
    of.any(|own| own == part || own.strip_prefix(part).is_some_and(|rest| rest.starts_with('.')))
}

#[cfg(test)]
mod tests {
    use super::is_about;

    #[test]
    fn a_row_is_about_its_part_and_no_other() {
        assert!(
            is_about("pf:L07", "L07") && is_about("outlet:SUP.3", "SUP") && is_about("outlet:SUP.3", "SUP.3")
        );
        assert!(
            !is_about("pf:L07", "L0")
                && !is_about("outlet:SUP.3", "SUP.1")
                && !is_about("whole:shake", "L07")
        );
    }
}

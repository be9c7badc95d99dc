//! What was mended or lent out, and what that says of the odds in this shop.

use design::Design;
use store::{Repair, Store, StoreError};

use crate::tested::{day, plain};

/// What this shop has mended over all its jobs, as the engine for faults weighs it.
///
/// # Errors
/// The journal cannot be read.
pub fn history(store: &Store) -> Result<Vec<faults::Repair>, StoreError> {
    let all = store.mended()?;
    Ok(faults::Repair::counted(all.iter().map(|(kind, count)| (kind.as_str(), *count))))
}

/// A repair as a person says it.
#[derive(Debug, Clone, Copy, Default)]
pub struct Said<'a> {
    /// What was at fault: `L07`, `D5.IN`, `D5`.
    pub part: &'a str,
    /// What was heard, in a word of [`faults::Symptom`].
    pub symptom: Option<&'a str>,
    /// What was found.
    pub found: Option<&'a str>,
    /// What was done.
    pub did: Option<&'a str>,
    /// What was lent meanwhile, or where the device is.
    pub lent: Option<&'a str>,
    /// By whom.
    pub by: Option<&'a str>,
    /// The day; today where none is given.
    pub on: Option<&'a str>,
}

/// The parts of a board that can be at fault, each by its id and what a person calls it.
pub(crate) fn parts(design: &Design) -> Vec<(String, String)> {
    design.fault_input(None, None).parts.into_iter().map(|part| (part.id, part.title)).collect()
}

/// What was found and done, and what was lent, in words.
pub fn words(repair: &Repair) -> String {
    let lent = repair.lent.as_ref().map(|lent| format!("lent: {lent}"));
    let said = [Some(repair.found.clone()), Some(repair.did.clone()), lent];
    said.into_iter().flatten().filter(|text| !text.is_empty()).collect::<Vec<_>>().join("; ")
}

/// The parts that a refusal names, at most.
const NAMED: usize = 12;

/// What a part that the board has not is answered with: those of its device first.
fn unknown(wanted: &str, parts: &[faults::Part]) -> String {
    let device = wanted.split('.').next().unwrap_or_default();
    let is_near = |part: &&faults::Part| part.id.split('.').next() == Some(device);
    let mut near: Vec<&str> = parts.iter().filter(is_near).map(|part| part.id.as_str()).collect();
    if near.is_empty() {
        near = parts.iter().map(|part| part.id.as_str()).collect();
    }
    let more = near.len().saturating_sub(NAMED);
    near.truncate(NAMED);
    let more = if more == 0 { String::new() } else { format!(" and {more} more") };
    format!("this board has no {wanted} that can be at fault; it has {}{more}", near.join(", "))
}

/// Writes a repair down; gives its number.
///
/// # Errors
/// The board has no such part, nothing was done and nothing lent, the day is none, or the journal cannot be written.
pub fn mend(store: &Store, job: &str, design: &Design, said: Said<'_>) -> Result<i64, StoreError> {
    let refused = |why: String| StoreError::Refused(why);
    let wanted = said.part.trim();
    let parts = design.fault_input(None, None).parts;
    let part = parts.iter().find(|part| part.id == wanted).ok_or_else(|| refused(unknown(wanted, &parts)))?;
    if let Some(word) = said.symptom.filter(|word| faults::Symptom::of(word).is_none()) {
        return Err(refused(format!("there is no symptom `{word}`")));
    }
    let (did, lent) = (plain(said.did), plain(said.lent));
    if did.is_none() && lent.is_none() {
        return Err(refused("say what was done, or what was lent".to_owned()));
    }
    let repair = Repair {
        id: 0,
        part: part.id.clone(),
        // A loan by itself says nothing of what breaks.
        kind: if did.is_some() { part.kind.word().to_owned() } else { String::new() },
        symptom: said.symptom.map(str::to_owned),
        found: plain(said.found).unwrap_or_default(),
        did: did.unwrap_or_default(),
        lent,
        by: plain(said.by),
        on: day(said.on)?,
    };
    store.mend(job, &repair)
}

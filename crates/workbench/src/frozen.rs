//! The prices of a day on which a revision was frozen: no figure on paper changes without a new revision.

use estimate::Prices;
use store::{RevisionEntry, Store};

/// The newest revision of a job that was frozen as its document is now, letter for letter.
///
/// # Errors
/// The journal cannot be read.
pub fn frozen_as(store: &Store, job: &str, text: &str) -> Result<Option<RevisionEntry>, String> {
    let told = |error: store::StoreError| error.to_string();
    for entry in store.revisions(job).map_err(told)?.into_iter().rev() {
        if store.revision(job, &entry.letter).map_err(told)?.text == text {
            return Ok(Some(entry));
        }
    }
    Ok(None)
}

/// The prices of the day on which a revision was frozen; nothing where the shop had none.
///
/// # Errors
/// The journal cannot be read, or what it keeps are no prices.
pub fn frozen_prices(store: &Store, job: &str, letter: &str) -> Result<Option<Prices>, String> {
    let text = store.revision_prices(job, letter).map_err(|error| error.to_string())?;
    let read = text.map(|text| document::read_prices(&format!("prices of revision {letter}"), &text));
    read.transpose().map_err(|error| error.to_string())
}

//! How counts and documents are called.

use crate::names::STOCK;

/// A count with its noun.
pub(crate) fn count(number: impl TryInto<i64>, one: &str, more: &str) -> String {
    match number.try_into().unwrap_or(i64::MAX) {
        0 => format!("no {more}"),
        1 => format!("1 {one}"),
        number => format!("{number} {more}"),
    }
}

/// The document of a name in the journal.
pub(crate) fn document(job: &str) -> String {
    if job == STOCK { "the stock".to_owned() } else { format!("job `{job}`") }
}

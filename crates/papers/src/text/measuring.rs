//! Words of the measuring sheet.

pub(crate) const MEASURING: &str = "Measuring sheet";
pub(crate) const DECIDES: &str = "decides";
pub(crate) const WHERE: &str = "where";
pub(crate) const TOOL: &str = "tool";
pub(crate) const TAKES: &str = "takes";
pub(crate) const ASSUMED_NOW: &str = "assumed";
pub(crate) const MAY_BE: &str = "may be";
pub(crate) const SAYS: &str = "says then";
pub(crate) const NOT_KNOWN: &str = "not known";

/// `12 mm to 16 mm`.
pub(crate) fn from_to([low, high]: &[String; 2]) -> String {
    format!("{low} to {high}")
}

/// `assumed 14 mm`.
pub(crate) fn assumed_to_be(value: &str) -> String {
    format!("assumed {value}")
}

/// What is said now and would not be then.
pub(crate) fn no_longer(says: &str) -> String {
    format!("no longer: {says}")
}

/// What the search left out.
pub(crate) fn not_all_tried(words: &str) -> String {
    format!("Not all was tried: {words}.")
}

/// What is not on the page.
pub(crate) fn more_to_measure(count: usize) -> String {
    let more = if count == 1 { "1 more decides".to_owned() } else { format!("{count} more decide") };
    format!(
        "{more}, for less a minute: put these into the job and print the sheet again, or read them in measuring-sheet.csv."
    )
}

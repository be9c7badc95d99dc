//! Numbers of leads are written down before anything leaves the bench that bears them.

use crate::bench::Bench;
use crate::error::Refusal;

/// Issues the numbers of all leads of a job, as one entry of its journal; nothing where all are issued or the document
/// cannot be read.
pub(crate) fn issue(bench: &Bench, job: &str) -> Result<(), Refusal> {
    let opened = bench.look(job)?;
    let Ok(read) = &opened.read else { return Ok(()) };
    let edit = design::issue(&read.design);
    if edit.changes.is_empty() {
        return Ok(());
    }
    bench.store.edit_anew(job, opened.state.revision, &edit.name, |text| {
        document::edit::apply(text, &edit).map_err(|error| error.to_string())
    })?;
    Ok(())
}

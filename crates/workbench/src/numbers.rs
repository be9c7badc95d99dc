//! Numbers of leads are written down before anything leaves the bench that bears them.

use finding::Edit;

use crate::bench::Bench;
use crate::error::Refusal;
use crate::read::Read;

/// Issues the numbers of all leads of a job, as one entry of its journal; nothing where all are issued or the document
/// cannot be read.
pub(crate) fn issue(bench: &Bench, job: &str) -> Result<(), Refusal> {
    // A stock that cannot be read is told where it is asked for.
    let shelf = crate::stock::shelf_of(bench.store.folder(), job).unwrap_or_default();
    write(bench, job, |read| design::retire_edit(&read.design.rig, &shelf))?;
    write(bench, job, |read| design::issue_edit(&read.design))
}

fn write(bench: &Bench, job: &str, edit: impl FnOnce(&Read) -> Edit) -> Result<(), Refusal> {
    let opened = bench.look(job)?;
    let Ok(read) = &opened.read else { return Ok(()) };
    let edit = edit(read);
    if edit.changes.is_empty() {
        return Ok(());
    }
    bench.store.edit_anew(job, opened.state.version, &edit.name, |text| {
        document::edit::apply(text, &edit).map_err(|error| error.to_string())
    })?;
    Ok(())
}

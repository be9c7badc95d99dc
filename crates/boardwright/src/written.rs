//! Writing a document from the command line: through the shop's journal where the job lies in a shop.

use anyhow::{bail, ensure};
use store::Store;

use crate::args::Rig;
use crate::loaded::{Loaded, document_path};

/// Writes a new text of the job's document under the name of an edit.
///
/// A shop is a folder with a journal, or the one that was named. There the edit is journaled and can be undone in the
/// workbench; elsewhere the file is replaced in one step.
pub(crate) fn write(rig: &Rig, loaded: &Loaded, name: &str, after: &str) -> anyhow::Result<()> {
    let path = document_path(rig)?;
    let Some(folder) = path.parent() else { bail!("`{}` lies in no folder", path.display()) };
    let around = folder.parent().filter(|shop| shop.join(".boardwright/journal.sqlite").is_file());
    let shop = rig.shop.as_deref().filter(|shop| Some(*shop) == folder.parent()).or(around);
    let job = folder.file_name().and_then(|name| name.to_str());
    let (Some(shop), Some(job)) = (shop, job.filter(|_| path.ends_with("rig.toml"))) else {
        document::edit::write_atomically(&path, after)?;
        return Ok(());
    };
    let store = Store::open(shop)?;
    let state = store.state(job)?;
    ensure!(
        state.text == loaded.job.text(),
        "`{}` was changed meanwhile; nothing is written",
        path.display()
    );
    store.edit(job, state.revision, name, |_| Ok(after.to_owned()))?;
    Ok(())
}

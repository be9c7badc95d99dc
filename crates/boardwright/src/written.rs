//! Writing a document from the command line: through the shop's journal where the job lies in a shop.

use std::io::Write;
use std::path::Path;

use anyhow::{Context, bail, ensure};
use finding::Edit;

use crate::args::Rig;
use crate::loaded::{Loaded, document_path};
use crate::shell;

/// Writes a file in one step, and says what the system could not promise of it.
pub(crate) fn file(path: &Path, text: &str) -> anyhow::Result<()> {
    let landed = document::edit::write_atomically(path, text)
        .with_context(|| format!("cannot write `{}`", path.display()))?;
    if let Some(doubt) = landed.doubt() {
        shell::say(&format!("{}: {doubt}", path.display()));
    }
    Ok(())
}

/// Writes a file of a folder in one step: what was there stays until all of the new is on the disk.
pub(crate) fn bytes(folder: &Path, name: &str, bytes: &[u8]) -> anyhow::Result<()> {
    let spare = folder.join(format!(".{name}.new"));
    let written = std::fs::File::create(&spare)
        .and_then(|mut file| file.write_all(bytes).and_then(|()| file.sync_all()))
        .and_then(|()| std::fs::rename(&spare, folder.join(name)));
    if written.is_err() {
        // What is half written is of no use to anybody; the one before stands.
        let _ = std::fs::remove_file(&spare);
    }
    written.with_context(|| format!("cannot write `{name}`; what was there before stands"))
}

/// Makes an edit on the job's document and writes it.
///
/// A shop is a folder with a journal, or the one that was named. There the edit is journaled and can be undone in the
/// workbench; elsewhere the file is replaced in one step. A remark that what it stood with left behind is said.
pub(crate) fn write(rig: &Rig, loaded: &Loaded, edit: &Edit) -> anyhow::Result<()> {
    let after = document::edit::apply(loaded.job.text(), edit)?;
    let displaced = document::edit::displaced(loaded.job.text(), &after);
    put(rig, loaded, edit, after)?;
    for remark in displaced {
        shell::say(&format!("a remark is kept at the end of its list: {remark}"));
    }
    Ok(())
}

fn put(rig: &Rig, loaded: &Loaded, edit: &Edit, after: String) -> anyhow::Result<()> {
    let path = document_path(rig)?;
    let Some(folder) = path.parent() else { bail!("`{}` lies in no folder", path.display()) };
    let around = folder.parent().filter(|shop| store::has_journal(shop));
    let shop = rig.shop.as_deref().filter(|shop| Some(*shop) == folder.parent()).or(around);
    let job = folder.file_name().and_then(|name| name.to_str());
    let (Some(shop), Some(job)) = (shop, job.filter(|_| path.ends_with("rig.toml"))) else {
        return file(&path, &after);
    };
    let store = shell::open_shop(shop)?;
    let state = store.state(job)?;
    ensure!(
        state.text == loaded.job.text(),
        "`{}` was changed meanwhile; nothing is written",
        path.display()
    );
    let written = store.edit(job, state.version, &edit.name, |_| Ok(after))?;
    if let Some(doubt) = written.doubt {
        shell::say(&doubt);
    }
    Ok(())
}

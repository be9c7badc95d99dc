//! `boardwright new`.

use std::path::Path;

use anyhow::{Context, bail};
use finding::{Change, Edit, Field};
use include_dir::{Dir, include_dir};

use crate::args::New;
use crate::shell::{self, Outcome};
use crate::written;

/// The examples, embedded.
pub(crate) static EXAMPLES: Dir = include_dir!("$CARGO_MANIFEST_DIR/../../examples");
/// A job with nothing in it yet.
pub(crate) const BLANK: &str = include_str!("../../templates/blank.toml");

pub(crate) fn run(options: &New) -> anyhow::Result<Outcome> {
    let path = options.dir.join("rig.toml");
    if path.exists() {
        bail!("`{}` is there already; nothing was written", path.display());
    }
    named(&options.dir)?;
    let mut text = match &options.from {
        Some(name) => example(name)?,
        None => BLANK.to_owned(),
    };
    if let Some(title) = &options.title {
        let title = Change::set(Field::new(["job", "title"]), title);
        text = document::edit::apply(&text, &Edit::new("", [title]))?;
    }
    std::fs::create_dir_all(&options.dir)
        .with_context(|| format!("cannot make `{}`", options.dir.display()))?;
    written::file(&path, &text)?;
    shell::say(&format!("made {}", path.display()));
    Ok(Outcome::Clean)
}

/// A job in a shop has a name that the shop can keep: what else is in the parent says that it is one.
fn named(dir: &Path) -> anyhow::Result<()> {
    let Some(name) = dir.file_name().map(|name| name.to_string_lossy().into_owned()) else { return Ok(()) };
    let shop = dir.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let own = [store::RECORDS, "shop.toml", "prices.toml", "stock.toml", "catalogue"];
    let is_shop = || own.iter().any(|own| shop.join(own).exists());
    let has_job = || {
        let entries = std::fs::read_dir(shop).into_iter().flatten().flatten();
        entries.map(|entry| entry.path().join("rig.toml")).any(|rig| rig.exists())
    };
    if is_shop() || has_job() || name.eq_ignore_ascii_case("catalogue") {
        store::check_new_job_name(&name)?;
        let alike = std::fs::read_dir(shop).into_iter().flatten().flatten();
        let mut names = alike.map(|entry| entry.file_name().to_string_lossy().into_owned());
        if let Some(alike) = names.find(|there| *there != name && there.eq_ignore_ascii_case(&name)) {
            bail!("there is a job `{alike}` already; on many disks the two are one folder");
        }
    }
    Ok(())
}

pub(crate) fn example(name: &str) -> anyhow::Result<String> {
    let found = EXAMPLES.get_file(format!("{name}/rig.toml")).and_then(|file| file.contents_utf8());
    let Some(text) = found else {
        let mut names: Vec<String> = EXAMPLES.dirs().map(|dir| dir.path().display().to_string()).collect();
        names.sort();
        bail!("there is no example `{name}`; there are {}", names.join(", "));
    };
    Ok(text.to_owned())
}

//! `boardwright new`.

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

pub(crate) fn example(name: &str) -> anyhow::Result<String> {
    let found = EXAMPLES.get_file(format!("{name}/rig.toml")).and_then(|file| file.contents_utf8());
    let Some(text) = found else {
        let mut names: Vec<String> = EXAMPLES.dirs().map(|dir| dir.path().display().to_string()).collect();
        names.sort();
        bail!("there is no example `{name}`; there are {}", names.join(", "));
    };
    Ok(text.to_owned())
}

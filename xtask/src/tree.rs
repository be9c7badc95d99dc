//! The files of the project, as git would commit them.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context as _, Result, bail};

use crate::process;

/// The folder that holds the workspace: the parent of this crate's folder when cargo started us, else
/// the first folder upwards that has an `xtask` in it.
pub fn root() -> Result<PathBuf> {
    if let Some(folder) = std::env::var_os("CARGO_MANIFEST_DIR")
        && let Some(parent) = Path::new(&folder).parent()
        && parent.join("xtask/Cargo.toml").is_file()
    {
        return Ok(parent.to_path_buf());
    }
    let here = std::env::current_dir().context("the current folder cannot be read")?;
    match here.ancestors().find(|folder| folder.join("xtask/Cargo.toml").is_file()) {
        Some(folder) => Ok(folder.to_path_buf()),
        None => bail!("this is not inside the project: no folder upwards has xtask/Cargo.toml"),
    }
}

/// The files of the project: those that git tracks and those it would add, that are on disk.
///
/// Paths are relative to the root, with `/` between folders, sorted.
#[derive(Debug)]
pub struct Tree {
    root: PathBuf,
    files: Vec<String>,
}

impl Tree {
    /// Lists the files below `root`.
    pub fn open(root: &Path) -> Result<Self> {
        let listing = process::stdout(
            Command::new("git")
                // A checkout that belongs to another user of the machine is still readable.
                .args(["-c", "safe.directory=*"])
                .args(["ls-files", "-z", "--cached", "--others", "--exclude-standard"])
                .current_dir(root),
        )
        .context("the files are listed by git, in a git checkout")?;
        let listing = String::from_utf8(listing).context("a file name is not UTF-8")?;
        let mut files: Vec<String> = listing
            .split('\0')
            .filter(|path| !path.is_empty() && root.join(path).is_file())
            .map(str::to_owned)
            .collect();
        files.sort();
        files.dedup();
        Ok(Self { root: root.to_path_buf(), files })
    }

    /// The folder that the paths are relative to.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// Every file, sorted.
    pub fn files(&self) -> &[String] {
        &self.files
    }

    /// Whether the path is a file of the project, or a folder with such a file in it.
    pub fn has(&self, path: &str) -> bool {
        holds(&self.files, path)
    }

    /// The bytes of a file.
    pub fn bytes(&self, path: &str) -> Result<Vec<u8>> {
        std::fs::read(self.root.join(path)).with_context(|| format!("{path} cannot be read"))
    }

    /// The text of a file; bytes that are not UTF-8 are replaced.
    pub fn text(&self, path: &str) -> Result<String> {
        Ok(String::from_utf8_lossy(&self.bytes(path)?).into_owned())
    }

    /// Path and text of every file whose name ends in one of the extensions.
    pub fn texts(&self, extensions: &[&str]) -> Result<Vec<(&str, String)>> {
        self.files
            .iter()
            .filter(|path| {
                Path::new(path)
                    .extension()
                    .is_some_and(|found| extensions.iter().any(|wanted| found == *wanted))
            })
            .map(|path| Ok((path.as_str(), self.text(path)?)))
            .collect()
    }
}

/// Whether a path is one of the files or a folder above one of them.
pub(crate) fn holds(files: &[String], path: &str) -> bool {
    let path = path.trim_end_matches('/');
    files
        .iter()
        .any(|file| file.strip_prefix(path).is_some_and(|rest| rest.is_empty() || rest.starts_with('/')))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn folders_are_held_as_well_as_files() {
        let files = ["crates/rig/src/lib.rs".to_owned(), "README.md".to_owned()];
        for path in ["README.md", "crates", "crates/", "crates/rig/src", "crates/rig/src/lib.rs"] {
            assert!(holds(&files, path), "{path}");
        }
        for path in ["READ", "crates/ri", "rig"] {
            assert!(!holds(&files, path), "{path}");
        }
    }

    #[test]
    fn the_tree_lists_this_file() {
        let tree = Tree::open(&root().unwrap()).unwrap();
        assert!(tree.has("xtask/src/tree.rs"));
        assert!(!tree.has("target"));
    }
}

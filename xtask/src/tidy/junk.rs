//! No left-overs of editors, builds and tests, no archives, no heavy files.

use anyhow::Result;

use super::{Project, Remark};

/// Endings that nothing in the project has a use for.
const ENDINGS: &[(&str, &str)] = &[
    ("~", "an editor's copy"),
    (".swp", "an editor's swap file"),
    (".swo", "an editor's swap file"),
    (".bak", "an editor's copy"),
    (".orig", "a left-over of a merge"),
    (".rej", "a left-over of a merge"),
    (".tmp", "a temporary file"),
    (".log", "a log"),
    (".snap.new", "a snapshot that nobody has read"),
    (".pending-snap", "a snapshot that nobody has read"),
    (".ds_store", "a file manager's notes"),
    ("thumbs.db", "a file manager's notes"),
    (".zip", "an archive"),
    (".tar", "an archive"),
    (".gz", "an archive"),
    (".tgz", "an archive"),
    (".bz2", "an archive"),
    (".xz", "an archive"),
    (".zst", "an archive"),
    (".7z", "an archive"),
    (".rar", "an archive"),
    (".jar", "an archive"),
    (".o", "a build's output"),
    (".a", "a build's output"),
    (".so", "a build's output"),
    (".dll", "a build's output"),
    (".dylib", "a build's output"),
    (".exe", "a build's output"),
    (".rlib", "a build's output"),
    (".rmeta", "a build's output"),
    (".pyc", "a build's output"),
    (".class", "a build's output"),
];

/// Endings of files that are rightly not text.
const NOT_TEXT: &[&str] = &[".png", ".jpg", ".webp", ".ico", ".woff2", ".ttf", ".otf", ".wav", ".flac"];

/// More than this, in bytes, is heavy.
const HEAVY: usize = 1_000_000;

/// Heavy files that are here on purpose, each with its reason.
const HEAVY_ON_PURPOSE: &[(&str, &str)] = &[];

pub(super) fn check(project: &Project) -> Result<Vec<Remark>> {
    let mut remarks = Vec::new();
    for path in project.tree.files() {
        remarks.extend(judge(path, &project.tree.bytes(path)?));
    }
    for (path, reason) in HEAVY_ON_PURPOSE {
        if !project.tree.has(path) {
            let what = format!("`{path}` is listed as heavy ({reason}) but is not in the tree");
            remarks.push(Remark::new("xtask/src/tidy/junk.rs", 1, what, "files that are there"));
        }
    }
    Ok(remarks)
}

fn judge(path: &str, bytes: &[u8]) -> Option<Remark> {
    let name = path.rsplit('/').next().unwrap_or(path).to_lowercase();
    if let Some((_, kind)) = ENDINGS.iter().find(|(ending, _)| name.ends_with(ending)) {
        return Some(Remark::new(path, 1, *kind, "only what a person wrote or the program generates"));
    }
    if bytes.len() > HEAVY && !HEAVY_ON_PURPOSE.iter().any(|(listed, _)| *listed == path) {
        let what = format!("a file of {} bytes", bytes.len());
        return Some(Remark::new(
            path,
            1,
            what,
            format!("{HEAVY} bytes, or a line with a reason in HEAVY_ON_PURPOSE"),
        ));
    }
    if bytes.contains(&0) && !NOT_TEXT.iter().any(|ending| name.ends_with(ending)) {
        let what = "a file that is not text";
        return Some(Remark::new(path, 1, what, format!("text, or one of {}", NOT_TEXT.join(" "))));
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fires() {
        for path in
            ["src/.lib.rs.swp", "notes.md~", "data (1).zip", "a/.DS_Store", "tests/x.snap.new", "core.o"]
        {
            assert!(judge(path, b"").is_some(), "{path}");
        }
        assert!(judge("table.csv", &vec![b' '; HEAVY + 1]).is_some());
        assert!(judge("program", b"\x7fELF\0").is_some());
    }

    #[test]
    fn silent() {
        for path in ["src/lib.rs", "docs/go.md", "tests/x.snap", "Cargo.lock", ".gitignore"] {
            assert_eq!(judge(path, b"text"), None, "{path}");
        }
        assert_eq!(judge("table.csv", &vec![b' '; HEAVY]), None);
        assert_eq!(judge("picture.png", b"\x89PNG\0"), None);
    }
}

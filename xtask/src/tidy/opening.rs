//! Each Rust file opens with a sentence about the module.

use anyhow::Result;

use super::{Project, Remark};

pub(super) fn check(project: &Project) -> Result<Vec<Remark>> {
    Ok(project.tree.texts(&["rs"])?.iter().filter_map(|(path, text)| judge(path, text)).collect())
}

fn judge(path: &str, text: &str) -> Option<Remark> {
    let first = text.lines().next().unwrap_or_default();
    let sentence = first.strip_prefix("//!").map(str::trim);
    sentence.is_none_or(str::is_empty).then(|| {
        Remark::new(path, 1, "the file does not open with a sentence", "a first line `//! What this is.`")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fires() {
        for text in ["use std::fmt;\n", "", "//!\n", "// Not a doc.\n", "\n//! Late.\n"] {
            assert!(judge("a.rs", text).is_some(), "{text:?}");
        }
    }

    #[test]
    fn silent() {
        assert_eq!(judge("a.rs", "//! What this is.\n\nuse std::fmt;\n"), None);
    }
}

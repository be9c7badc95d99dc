//! A long Rust file says at its top why it is one.

use anyhow::Result;

use super::{Project, Remark};

/// More lines than this are long.
const LONG: usize = 800;

/// How the reason begins.
const REASON: &str = "//! Long because ";

pub(super) fn check(project: &Project) -> Result<Vec<Remark>> {
    Ok(project.tree.texts(&["rs"])?.iter().filter_map(|(path, text)| judge(path, text)).collect())
}

fn judge(path: &str, text: &str) -> Option<Remark> {
    let lines = text.lines().count();
    let explained = text
        .lines()
        .take_while(|line| line.starts_with("//!"))
        .any(|line| line.strip_prefix(REASON).is_some_and(|reason| !reason.trim().is_empty()));
    (lines > LONG && !explained).then(|| {
        let allowed = format!("{LONG} lines, or a line `{REASON}…` in the opening comment");
        Remark::new(path, 1, format!("a file of {lines} lines"), allowed)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(opening: &str, lines: usize) -> String {
        format!("{opening}\n{}", "x\n".repeat(lines - opening.lines().count()))
    }

    #[test]
    fn fires() {
        assert!(judge("a.rs", &file("//! A.", LONG + 1)).is_some());
        assert!(judge("a.rs", &file("//! A.\n//! Long because ", LONG + 1)).is_some());
        assert!(judge("a.rs", &file("//! A.\n\n//! Long because late.", LONG + 1)).is_some());
    }

    #[test]
    fn silent() {
        assert_eq!(judge("a.rs", &file("//! A.", LONG)), None);
        assert_eq!(judge("a.rs", &file("//! A.\n//!\n//! Long because it is one table.", LONG + 1)), None);
    }
}

//! Refusals that hold: tests that are skipped or expect a panic, sleeping, lints switched off by the crate.

use anyhow::Result;

use super::{Project, Remark};

/// The file that has to name what is refused.
const OWN_FILE: &str = "xtask/src/tidy/refusals.rs";

/// What is refused, and what is allowed.
const REFUSED: &[(&str, &str)] = &[
    ("#[ignore", "a test that runs"),
    ("#[should_panic", "a test of the value or the error that is returned"),
    ("thread::sleep", "waiting for the event itself"),
    ("#![allow", "`#[expect(…, reason = \"…\")]` at the line"),
    ("#![expect", "`#[expect(…, reason = \"…\")]` at the line"),
];

pub(super) fn check(project: &Project) -> Result<Vec<Remark>> {
    let texts = project.tree.texts(&["rs"])?;
    Ok(texts
        .iter()
        .filter(|(path, _)| *path != OWN_FILE)
        .flat_map(|(path, text)| judge(path, text))
        .collect())
}

fn judge(path: &str, text: &str) -> Vec<Remark> {
    let mut remarks = Vec::new();
    for (index, line) in text.lines().enumerate() {
        // Prose may speak of them.
        if line.trim_start().starts_with("//") {
            continue;
        }
        for (refused, allowed) in REFUSED.iter().filter(|(refused, _)| line.contains(refused)) {
            remarks.push(Remark::new(path, index + 1, format!("`{refused}`"), *allowed));
        }
    }
    remarks
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fires() {
        for line in [
            "#[ignore]",
            "    #[ignore = \"slow\"]",
            "#[should_panic(expected = \"x\")]",
            "std::thread::sleep(wait);",
            "#![allow(dead_code)]",
            "#![expect(dead_code, reason = \"x\")]",
        ] {
            let remarks = judge("a.rs", &format!("//! A.\n{line}\n"));
            assert_eq!(remarks.len(), 1, "{line}");
            assert_eq!(remarks[0].line, 2);
        }
    }

    #[test]
    fn silent() {
        for line in
            ["#[test]", "// no thread::sleep here", "#[expect(dead_code, reason = \"x\")]", "ignore(x);"]
        {
            assert!(judge("a.rs", line).is_empty(), "{line}");
        }
    }
}

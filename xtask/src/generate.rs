//! `cargo xtask generate`: the files that the program itself produces.
//!
//! Each is printed by the hidden command `boardwright generate NAME`, so that a page, a schema or a picture
//! comes from the same tables and functions that the program works with.

use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result, bail};
use serde_json::Value;

use crate::{console, process};

/// What the producer calls the file, and where it stands.
const FILES: &[(&str, &str)] = &[
    ("rules", "docs/rules.md"),
    ("rig-file", "docs/rig-file.md"),
    ("rig-schema", "docs/schema/rig-1.schema.json"),
    ("findings-schema", "docs/schema/findings-2.schema.json"),
    ("leads-schema", "docs/schema/leads-1.schema.json"),
    ("feed-schema", "docs/schema/feed-1.schema.json"),
    ("fault-schema", "docs/schema/fault-1.schema.json"),
    ("signal-schema", "docs/schema/signal-1.schema.json"),
    ("arrange-schema", "docs/schema/arrange-1.schema.json"),
    ("choices-schema", "docs/schema/choices-1.schema.json"),
    ("boards-schema", "docs/schema/boards-1.schema.json"),
    ("change-schema", "docs/schema/change-1.schema.json"),
    ("quote-schema", "docs/schema/quote-1.schema.json"),
    ("band-schema", "docs/schema/band-1.schema.json"),
    ("measure-schema", "docs/schema/measure-1.schema.json"),
    ("kinds-schema", "docs/schema/kinds-1.schema.json"),
    ("orders-schema", "docs/schema/orders-1.schema.json"),
    ("photo-schema", "docs/schema/photo-1.schema.json"),
    ("manifest-schema", "docs/schema/manifest-1.schema.json"),
    ("take-schema", "docs/schema/take-1.schema.json"),
    ("takes-schema", "docs/schema/takes-1.schema.json"),
    ("test-schema", "docs/schema/test-1.schema.json"),
    ("resolved-schema", "docs/schema/resolved-1.schema.json"),
    ("limits", "docs/limit-settings.md"),
    ("pains", "docs/pains.md"),
    ("drawing", "docs/pictures/layout.svg"),
    ("arranged", "docs/arranged.md"),
    ("hand-baritone-ambient", "docs/pictures/hand-baritone-ambient.svg"),
    ("arranged-baritone-ambient", "docs/pictures/arranged-baritone-ambient.svg"),
    ("hand-cabin-board", "docs/pictures/hand-cabin-board.svg"),
    ("arranged-cabin-board", "docs/pictures/arranged-cabin-board.svg"),
    ("hand-church-bass", "docs/pictures/hand-church-bass.svg"),
    ("arranged-church-bass", "docs/pictures/arranged-church-bass.svg"),
    ("hand-session-two-deck", "docs/pictures/hand-session-two-deck.svg"),
    ("arranged-session-two-deck", "docs/pictures/arranged-session-two-deck.svg"),
    ("hand-theatre-pit", "docs/pictures/hand-theatre-pit.svg"),
    ("arranged-theatre-pit", "docs/pictures/arranged-theatre-pit.svg"),
    ("hand-two-voice-acoustic", "docs/pictures/hand-two-voice-acoustic.svg"),
    ("arranged-two-voice-acoustic", "docs/pictures/arranged-two-voice-acoustic.svg"),
    ("hand-wet-dry-touring", "docs/pictures/hand-wet-dry-touring.svg"),
    ("arranged-wet-dry-touring", "docs/pictures/arranged-wet-dry-touring.svg"),
];

/// Whether to mend stale files or to name them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mode {
    /// Write what differs.
    Write,
    /// Touch nothing, and fail with the names of the stale files.
    Check,
}

/// Produces every generated file.
pub fn run(root: &Path, mode: Mode) -> Result<()> {
    let program = build(root)?;
    let mut stale = Vec::new();
    for (name, path) in FILES {
        let fresh =
            process::stdout(std::process::Command::new(&program).args(["generate", name]).current_dir(root))
                .with_context(|| format!("{path} cannot be produced"))?;
        if fresh.is_empty() {
            bail!("{path} cannot be produced: `boardwright generate {name}` printed nothing");
        }
        let file = root.join(path);
        let Some(difference) = difference(std::fs::read(&file).ok().as_deref(), &fresh) else { continue };
        match mode {
            Mode::Check => stale.push(format!("{path}:{difference}")),
            Mode::Write => {
                write(&file, &fresh)?;
                console::say(&format!("wrote {path}"));
            }
        }
    }
    if stale.is_empty() {
        console::say(&format!("{} generated files are fresh", FILES.len()));
        return Ok(());
    }
    for line in &stale {
        console::print(line);
    }
    bail!("{} generated files are stale; `cargo xtask generate` writes them", stale.len())
}

fn write(file: &Path, content: &[u8]) -> Result<()> {
    let folder = file.parent().context("a generated file stands in a folder")?;
    std::fs::create_dir_all(folder).with_context(|| format!("cannot make {}", folder.display()))?;
    std::fs::write(file, content).with_context(|| format!("cannot write {}", file.display()))
}

/// Line and reason, if what is on disk is not what was produced.
fn difference(on_disk: Option<&[u8]>, fresh: &[u8]) -> Option<String> {
    let Some(on_disk) = on_disk else { return Some("1: stale, it does not exist".to_owned()) };
    if on_disk == fresh {
        return None;
    }
    let same = on_disk.split(|byte| *byte == b'\n').zip(fresh.split(|byte| *byte == b'\n'));
    let line = 1 + same.take_while(|(old, new)| old == new).count();
    Some(format!("{line}: stale, it differs from what the program produces from this line on"))
}

/// Builds the program and tells where it is.
///
/// The whole workspace is built with its tests, as `cargo test --workspace` does: a build of the one
/// package would pick other features for the typesetter's crates and compile them a second time.
pub(crate) fn build(root: &Path) -> Result<PathBuf> {
    let messages = process::stdout(&mut process::cargo(
        root,
        &["build", "--quiet", "--workspace", "--bins", "--tests", "--message-format=json-render-diagnostics"],
    ))?;
    executable(&String::from_utf8_lossy(&messages)).context("cargo built no program named boardwright")
}

/// The program's path in cargo's messages.
pub(crate) fn executable(messages: &str) -> Option<PathBuf> {
    messages.lines().filter_map(|line| serde_json::from_str::<Value>(line).ok()).find(|message| {
        message["reason"] == "compiler-artifact"
            && message["target"]["name"] == "boardwright"
            && message["target"]["kind"][0] == "bin"
            && message["profile"]["test"] == false
    })?["executable"]
        .as_str()
        .map(PathBuf::from)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_bytes_are_fresh() {
        assert_eq!(difference(Some(b"a\nb\n"), b"a\nb\n"), None);
    }

    #[test]
    fn the_first_line_that_differs_is_named() {
        assert!(difference(Some(b"a\nb\n"), b"a\nc\n").unwrap().starts_with("2: stale"));
        assert!(difference(Some(b"a\n"), b"a\nb\n").unwrap().starts_with("2: stale"));
        assert!(difference(None, b"a\n").unwrap().contains("does not exist"));
    }

    #[test]
    fn the_program_is_found_among_the_messages() {
        let messages = r#"{"reason":"build-script-executed"}
{"reason":"compiler-artifact","target":{"name":"boardwright","kind":["bin"]},"profile":{"test":true},"executable":"deps/boardwright-1"}
{"reason":"compiler-artifact","target":{"name":"boardwright","kind":["bin"]},"profile":{"test":false},"executable":"debug/boardwright"}"#;
        assert_eq!(executable(messages), Some(PathBuf::from("debug/boardwright")));
        assert_eq!(executable("not json"), None);
    }

    #[test]
    fn no_two_producers_write_one_file() {
        let mut paths: Vec<_> = FILES.iter().map(|(_, path)| path).collect();
        paths.sort();
        paths.dedup();
        assert_eq!(paths.len(), FILES.len());
    }
}

//! `boardwright measure`, and what `check` says of values that nobody knows.

use crate::commands::{boardwright, out, path};
use crate::jobs::example;

#[test]
fn what_decides_is_told_with_its_tool_and_its_minutes() {
    let folder = example("cabin-board");
    let text = out(&boardwright(&["measure", path(&folder)]));
    let first = text.lines().next().expect("a summary");
    assert!(
        first.contains(" values decide; ") && first.ends_with(" change nothing that is judged."),
        "{first}"
    );
    assert!(text.contains("height of the knobs of A4: 18 mm assumed"), "{text}");
    assert!(text.contains("calliper, 20 s"), "{text}");
    // The same bytes each time.
    assert_eq!(text, out(&boardwright(&["measure", path(&folder)])));
}

#[test]
fn what_waits_for_values_is_one_line_unless_all_is_asked_for() {
    let folder = tempfile::tempdir().expect("a folder");
    let device = |tag: &str| format!("[[device]]\ntag = \"{tag}\"\nkind = \"compact-66x122x50\"\n");
    let stops = "[[run]]\nname = \"main\"\nstops = [\"guitar\", \"A1\", \"A2\", \"A3\", \"amp\"]\n";
    let ends = "[source.guitar]\ntitle = \"guitar\"\n[sink.amp]\ntitle = \"amp\"\n";
    let text = format!(
        "format = 1\n[job]\ntitle = \"t\"\n[board]\nkind = \"flat-560x330\"\n{ends}{}{}{}{stops}",
        device("A1"),
        device("A2"),
        device("A3")
    );
    std::fs::write(folder.path().join("rig.toml"), text).expect("written");
    let short = out(&boardwright(&["check", path(folder.path())]));
    assert!(short.contains(" checks wait for ") && short.contains("boardwright measure"), "{short}");
    assert!(!short.contains("not checked:"), "{short}");
    let all = out(&boardwright(&["check", path(folder.path()), "--all"]));
    assert!(3 < all.matches("not checked:").count() && !all.contains(" checks wait for "), "{all}");
    // Who reads lines or JSON gets each.
    let lines = out(&boardwright(&["check", path(folder.path()), "--format", "line"]));
    assert!(3 < lines.matches("not checked:").count(), "{lines}");
}

#[test]
fn the_measuring_sheet_is_one_page_however_much_decides() {
    for name in ["cabin-board", "wet-dry-touring", "two-voice-acoustic"] {
        let out = tempfile::tempdir().expect("a folder");
        boardwright(&["papers", path(&example(name)), "--only", "measuring", "--out", path(out.path())]);
        let manifest = std::fs::read_to_string(out.path().join("manifest.json")).expect("a manifest");
        let manifest: serde_json::Value = serde_json::from_str(&manifest).expect("JSON");
        let files = manifest["files"].as_array().expect("files");
        let sheet = files.iter().find(|file| file["file"] == "measuring.pdf").expect("the sheet");
        assert_eq!(sheet["pages"], 1, "{name}: {manifest:#}");
        // Every value that decides is in the table of values, with a blank for what was found.
        let table = std::fs::read_to_string(out.path().join("measuring-sheet.csv")).expect("a table");
        let listed = decide(&example(name));
        assert_eq!(table.lines().count(), listed + 1, "{name}: {table}");
    }
}

/// How many values `measure` lists.
fn decide(folder: &std::path::Path) -> usize {
    let text = out(&boardwright(&["measure", path(folder)]));
    let count = text.split(' ').next().and_then(|count| count.parse().ok());
    count.unwrap_or_else(|| panic!("{text}"))
}

#[test]
fn of_what_nobody_knows_nothing_is_said_no_longer() {
    for name in ["two-voice-acoustic", "church-bass"] {
        let text = out(&boardwright(&["measure", path(&example(name))]));
        let lines: Vec<&str> = text.lines().collect();
        let unknown = lines.windows(2).filter(|pair| pair[0].contains(": not known, may be "));
        let told: Vec<&str> = unknown.map(|pair| pair[1]).collect();
        assert!(!told.is_empty(), "{name}: {text}");
        assert!(told.iter().all(|line| !line.contains("no longer")), "{name}: {told:?}");
    }
}

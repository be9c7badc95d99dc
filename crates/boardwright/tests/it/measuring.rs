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

/// A picture of even colour, as JPEG.
fn picture(width: usize, height: usize) -> Vec<u8> {
    // Some grain: a file of one colour has fewer bytes than any photograph.
    let rgb = (0..width * height * 3).map(|at| u8::try_from(at * 7919 % 251).expect("a byte")).collect();
    pictures::jpeg(&photo::Picture::new(width, height, rgb).expect("a picture"), 4000).expect("a file")
}

#[test]
fn photographs_that_the_shop_keeps_are_on_the_intake_sheet_and_in_the_players_book() {
    let shop = tempfile::tempdir().expect("a folder");
    let job = shop.path().join("cabin");
    std::fs::create_dir(&job).expect("a job");
    std::fs::copy(example("cabin-board").join("rig.toml"), job.join("rig.toml")).expect("copied");
    std::fs::write(shop.path().join("shop.toml"), "").expect("settings");
    let kept = shop.path().join("pictures/compact-42x93x52");
    std::fs::create_dir_all(&kept).expect("a folder");
    let photographs = |name: &str| {
        let out = tempfile::tempdir().expect("a folder");
        let only = ["papers", path(&job), "--only", "brief", "--only", "handover", "--out", path(out.path())];
        boardwright(&only);
        let pdf = std::fs::read(out.path().join(name)).expect("a paper");
        pdf.windows(9).filter(|nine| nine == b"DCTDecode").count()
    };
    assert_eq!((photographs("brief.pdf"), photographs("handover.pdf")), (0, 0));
    // Two devices are of that kind, and both are shown; the typesetter keeps what is the same once.
    std::fs::write(kept.join("device.jpg"), picture(260, 500)).expect("written");
    assert_eq!((photographs("brief.pdf"), photographs("handover.pdf")), (1, 1));
    // What is no picture takes no paper away.
    std::fs::write(kept.join("device.jpg"), b"\xff\xd8\xff\xe0 no picture at all").expect("written");
    assert_eq!((photographs("brief.pdf"), photographs("handover.pdf")), (0, 0));
    // The whole picture from above stands in.
    std::fs::write(kept.join("above.jpg"), picture(900, 700)).expect("written");
    assert_eq!(photographs("brief.pdf"), 1);
}

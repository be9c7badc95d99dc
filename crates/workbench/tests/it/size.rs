//! The script stays small.

use std::collections::BTreeSet;
use std::path::Path;

/// The modules that a place begins with: Test has its own, and those after the first come only where they are wanted.
const BEGINNINGS: [&[&str]; 5] = [
    &["main.js"],
    &["main.js", "deck.js", "panel.js"],
    &["main.js", "power.js"],
    &["main.js", "photo.js"],
    &["test.js"],
];

/// A module and all that it asks for.
fn loaded(folder: &Path, name: &str, all: &mut BTreeSet<String>) {
    if !all.insert(name.to_owned()) {
        return;
    }
    let text = std::fs::read_to_string(folder.join(name)).expect("a module");
    for import in text.lines().filter(|line| line.starts_with("import ")) {
        let other =
            import.rsplit("\"./").next().and_then(|rest| rest.split('"').next()).expect("a module of ours");
        loaded(folder, other, all);
    }
}

#[test]
fn all_script_that_a_page_loads_is_under_sixty_kilobytes() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("static");
    let mut every = BTreeSet::new();
    for place in BEGINNINGS {
        let mut all = BTreeSet::new();
        for name in place {
            loaded(&folder, name, &mut all);
        }
        let bytes: u64 = all.iter().map(|name| folder.join(name).metadata().expect("a file").len()).sum();
        assert!(5_000 < bytes && bytes < 60_000, "{place:?}: {bytes} bytes");
        every.extend(all);
    }
    // What comes only where it is wanted is loaded nowhere else.
    let mut always = BTreeSet::new();
    loaded(&folder, "main.js", &mut always);
    for late in ["deck.js", "panel.js", "power.js", "photo.js"] {
        assert!(!always.contains(late), "{late}");
    }
    // Nothing is embedded that no page loads.
    let files =
        std::fs::read_dir(folder).expect("the folder").map(|entry| entry.expect("an entry").file_name());
    let scripts = files
        .map(|name| name.to_string_lossy().into_owned())
        .filter(|name| Path::new(name).extension().is_some_and(|ending| ending == "js"));
    assert_eq!(scripts.collect::<BTreeSet<_>>(), every);
}

//! The script stays small.

use std::collections::BTreeMap;
use std::path::Path;

/// Scripts that are loaded only where they are wanted, by the place that wants them.
const PLACES: &[(&str, &[&str])] = &[
    ("deck and panel", &["deck.js", "panel.js"]),
    ("gear from a photo", &["photo.js"]),
    ("all others", &[]),
];

#[test]
fn what_a_place_loads_of_script_is_under_sixty_kilobytes() {
    // All that the program embeds.
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("static");
    let files = std::fs::read_dir(folder).expect("the folder").map(|entry| entry.expect("an entry").path());
    let scripts: BTreeMap<String, String> = files
        .filter(|path| path.extension().is_some_and(|extension| extension == "js"))
        .map(|path| {
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            (name, std::fs::read_to_string(&path).expect("a script"))
        })
        .collect();
    let apart: Vec<&str> = PLACES.iter().flat_map(|(_, names)| names.iter().copied()).collect();
    let always: usize =
        scripts.iter().filter(|(name, _)| !apart.contains(&name.as_str())).map(|(_, text)| text.len()).sum();
    assert!(5_000 < always, "{always} bytes");
    for (place, names) in PLACES {
        let bytes = always + names.iter().map(|name| scripts[*name].len()).sum::<usize>();
        assert!(bytes < 60_000, "{place}: {bytes} bytes");
    }
    // What every place loads imports none of them for good.
    for (name, text) in scripts.iter().filter(|(name, _)| !apart.contains(&name.as_str())) {
        for other in &apart {
            assert!(!text.contains(&format!("from \"./{other}\"")), "{name} loads {other} everywhere");
        }
    }
}

//! The script stays small.

use std::path::Path;

#[test]
fn all_script_together_is_under_sixty_kilobytes() {
    // All that the program embeds.
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("static");
    let files = std::fs::read_dir(folder).expect("the folder").map(|entry| entry.expect("an entry").path());
    let scripts = files.filter(|path| path.extension().is_some_and(|extension| extension == "js"));
    let bytes: u64 = scripts.map(|path| path.metadata().expect("a file").len()).sum();
    assert!(5_000 < bytes && bytes < 60_000, "{bytes} bytes");
}

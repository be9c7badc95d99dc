//! Documents of earlier programs: each example as it was first written, many additions to the format ago.
//!
//! The format's number has been 1 all along, so that there is nothing to migrate: what it once took it must take for ever. A
//! change that would refuse one of these needs the number 2 and a migration.

use std::path::Path;

use document::read_text;

use crate::refusals::told;

#[test]
fn the_examples_as_they_were_first_written_are_still_read() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/format-1");
    let mut names = Vec::new();
    for entry in std::fs::read_dir(&folder).expect("the folder") {
        let path = entry.expect("an entry").path();
        let text = std::fs::read_to_string(&path).expect("a document");
        let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
        let job = read_text(&name, &text, None).unwrap_or_else(|error| panic!("{}", told(&error)));
        // Every row arrives.
        assert_eq!(job.rig.devices.len(), text.matches("\n[[device]]").count(), "{name}");
        assert_eq!(job.rig.runs.len(), text.matches("\n[[run]]").count(), "{name}");
        names.push(name);
    }
    assert_eq!(names.len(), 14, "{names:?}");
}

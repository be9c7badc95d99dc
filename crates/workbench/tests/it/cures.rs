//! Ways out of an impossible rig, on the text: each cure, applied, feeds every device.

use std::path::Path;

use document::edit::apply;
use power::{Status, stated, verify::verify};

fn example(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name).join("rig.toml");
    std::fs::read_to_string(path).expect("example")
}

fn read(text: &str) -> (document::Job, design::Design) {
    let job = document::read_text("rig.toml", text, None).unwrap_or_else(|error| panic!("{error:?}"));
    let design = design::derive(job.rig.clone(), job.limits.clone());
    (job, design)
}

/// The cures of a document that cannot be fed, checked one by one; gives their names.
fn cured(text: &str) -> Vec<String> {
    let (job, design) = read(text);
    let outcome = design.feeds_with(&job.catalogue.devices());
    assert_eq!(outcome.status, Status::Impossible);
    assert!(!outcome.conflicts.is_empty());
    for cure in &outcome.cures {
        let Some(edit) = &cure.edit else { continue };
        let after = apply(text, edit).unwrap_or_else(|error| panic!("{}: {error}", cure.name));
        let (_, design) = read(&after);
        let input = design.power_input();
        let verdict = verify(&input, &stated(&input));
        assert_eq!(verdict.breaches, [], "{}", cure.name);
        assert_eq!(verdict.unfed, Vec::<String>::new(), "{}", cure.name);
    }
    outcome.cures.iter().filter(|cure| cure.edit.is_some()).map(|cure| cure.name.clone()).collect()
}

#[test]
fn the_cabin_board_is_cured_by_each_way_out() {
    let names = cured(&example("cabin-board"));
    assert!(!names.is_empty(), "an impossible rig has a way out that can be pressed");
}

#[test]
fn a_lock_in_the_way_is_a_way_out() {
    // Two digital devices of 300 mA and one outlet that gives it, locked to a small one.
    let text = example("cabin-board-corrected");
    let (_, design) = read(&text);
    assert_ne!(design.feeds().status, Status::Impossible);
    let text =
        text.replace("feed = { outlets = [\"SUP.1\"]", "feed = { locked = true, outlets = [\"SUP.5\"]");
    let names = cured(&text);
    assert!(names.iter().any(|name| name.contains("unlock the feed of A1")), "{names:?}");
}

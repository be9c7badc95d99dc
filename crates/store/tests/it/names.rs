//! What a job may be called.

use store::{STOCK, StoreError};

use crate::{TEXT, shop};

#[test]
fn names_that_collide_with_anything_are_refused_and_say_why() {
    let (folder, store) = shop();
    let cases = [
        ("~stock", "not every disk takes"),
        (STOCK, "not every disk takes"),
        ("~kinds", "not every disk takes"),
        ("catalogue", "keeps that name"),
        ("Catalogue", "keeps that name"),
        ("papers", "keeps that name"),
        ("CON", "Windows"),
        ("con", "Windows"),
        ("nul.txt", "Windows"),
        ("Aux.a.b", "Windows"),
        ("LPT1", "Windows"),
        ("com9.old", "Windows"),
        ("x.", "ends with a dot"),
        ("-rf", "begin with a letter"),
        ("_x", "begin with a letter"),
        ("shop.toml", "own files"),
        ("stock.TOML", "own files"),
        ("board.toml", "own files"),
        (&"a".repeat(81), "too long"),
        ("Ärger", "not every disk takes"),
    ];
    for (name, why) in cases {
        let refused = store.create(name, TEXT).expect_err(name);
        assert!(matches!(refused, StoreError::Name { .. }), "{name}: {refused:?}");
        let said = refused.to_string();
        assert!(said.contains(why) && said.contains("Allowed are letters"), "{name}: {said}");
    }
    let there: Vec<_> =
        std::fs::read_dir(folder.path()).expect("folder").flatten().map(|entry| entry.file_name()).collect();
    assert_eq!(there.len(), 2, "the job and the records alone: {there:?}");
    for name in ["a", "0", "console", "lpt10", "com", "2026-03_lamp.b", "toml", &"a".repeat(80)] {
        store.create(name, TEXT).unwrap_or_else(|error| panic!("{name}: {error}"));
    }
}

#[test]
fn names_that_differ_by_case_alone_are_one_name() {
    let (folder, store) = shop();
    for name in ["Ferry", "FERRY"] {
        let refused = store.create(name, TEXT);
        assert!(matches!(&refused, Err(StoreError::Taken(there)) if there == "ferry"), "{refused:?}");
    }
    // A folder without a document has its name too.
    std::fs::create_dir(folder.path().join("photos")).expect("a folder");
    assert!(matches!(store.create("Photos", TEXT), Err(StoreError::Taken(_))));
    store.create("photos", TEXT).expect("a job in the folder that is there");
}

#[test]
fn a_job_that_has_such_a_name_already_can_still_be_opened() {
    let (folder, store) = shop();
    std::fs::create_dir(folder.path().join("aux")).expect("a folder");
    std::fs::write(folder.path().join("aux/rig.toml"), TEXT).expect("a document");
    assert_eq!(store.jobs().expect("jobs").len(), 2);
    assert_eq!(store.state("aux").expect("opens").text, TEXT);
}

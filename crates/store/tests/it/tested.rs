//! Answers of the test sheet and recordings are kept as everything else is: in order, sealed, repaired, backed up.

use rusqlite::Connection;
use store::{Reading, Repair, Store, StoreError};

use crate::shop;

fn reading(row: &str, said: &str) -> Reading {
    Reading {
        row: row.to_owned(),
        said: said.to_owned(),
        by: Some("O. Fenlo".to_owned()),
        on: "2026-05-14".to_owned(),
        revision: "C".to_owned(),
        rests: "L07\tcut 620 mm\n".to_owned(),
        answer: None,
    }
}

#[test]
fn answers_stay_in_their_order_and_survive_a_restart() {
    let (folder, store) = shop();
    for said in ["47 pF", "49 pF", ""] {
        store.read_off("ferry", &reading("pf:L07", said)).expect("kept");
    }
    drop(store);
    let store = Store::open(folder.path()).expect("opens");
    let all = store.readings("ferry").expect("read");
    assert_eq!(all.iter().map(|one| one.said.as_str()).collect::<Vec<_>>(), ["47 pF", "49 pF", ""]);
    assert_eq!(all[0], reading("pf:L07", "47 pF"));
    assert!(matches!(store.read_off("../x", &reading("a", "b")), Err(StoreError::Name { .. })));
}

#[test]
fn a_recording_is_a_file_of_its_job_and_never_written_over() {
    let (folder, store) = shop();
    let name = store.keep_recording("ferry", "../My solo 1.WAV", b"one", Some("solo")).expect("kept");
    assert_eq!(name, "My-solo-1");
    assert_eq!(std::fs::read(folder.path().join("ferry/takes/My-solo-1.wav")).expect("there"), b"one");
    assert_eq!(store.keep_recording("ferry", "My solo 1.wav", b"two", None).expect("kept"), "My-solo-1-2");
    // The same sound twice is one recording.
    assert_eq!(store.keep_recording("ferry", "again.wav", b"one", Some("solo")).expect("kept"), "My-solo-1");
    assert_eq!(store.recordings("ferry").expect("listed").len(), 2);
    assert_eq!(store.recording("ferry", "My-solo-1-2").expect("read"), b"two");
    store.drop_recording("ferry", "My-solo-1-2").expect("dropped");
    assert_eq!(store.recordings("ferry").expect("listed").len(), 1);
    assert!(folder.path().join("ferry/takes/My-solo-1-2.wav").exists(), "a file is nobody's to delete");
    std::fs::write(folder.path().join("ferry/takes/My-solo-1.wav"), b"other").expect("written");
    let refused = store.recording("ferry", "My-solo-1").expect_err("it is not what was kept");
    assert!(refused.to_string().contains("is not the recording that was kept"), "{refused}");
    drop(store);
    let found = store::check(folder.path()).expect("looked through");
    assert!(found.wrong.iter().any(|line| line.contains("My-solo-1.wav")), "{found:?}");
}

#[test]
fn a_changed_answer_shows_and_a_repair_keeps_the_others() {
    let (folder, store) = shop();
    for row in ["ohm:L01", "ohm:L02", "ohm:L03"] {
        store.read_off("ferry", &reading(row, "0.12 Ω")).expect("kept");
    }
    store.keep_recording("ferry", "s1.wav", b"sound", None).expect("kept");
    drop(store);
    assert_eq!(store::check(folder.path()).expect("looked through").wrong, Vec::<String>::new());
    let db = Connection::open(folder.path().join(".boardwright/journal.sqlite")).expect("journal");
    db.execute("UPDATE reading SET said = '0.01 Ω' WHERE row = 'ohm:L02'", []).expect("done");
    db.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).expect("one file");
    drop(db);
    let found = store::check(folder.path()).expect("looked through");
    assert!(found.wrong.iter().any(|line| line.contains("row ohm:L02")), "{found:?}");
    let repaired = store::repair(folder.path()).expect("repaired").expect("something was wrong");
    assert!(repaired.lost.iter().any(|line| line.contains("row ohm:L02")), "{repaired:?}");
    let store = Store::open(folder.path()).expect("opens");
    let rows: Vec<String> = store.readings("ferry").expect("read").into_iter().map(|one| one.row).collect();
    assert_eq!(rows, ["ohm:L01", "ohm:L03"]);
    assert_eq!(store.recording("ferry", "s1").expect("read"), b"sound");
    drop(store);
    assert_eq!(store::check(folder.path()).expect("looked through").wrong, Vec::<String>::new());
}

#[test]
fn a_shop_of_before_there_was_a_test_record_is_well_and_opens() {
    let (folder, store) = shop();
    drop(store);
    let db = Connection::open(folder.path().join(".boardwright/journal.sqlite")).expect("journal");
    db.execute_batch("DROP TABLE reading; DROP TABLE recording;").expect("done");
    db.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).expect("one file");
    drop(db);
    assert_eq!(store::check(folder.path()).expect("looked through").wrong, Vec::<String>::new());
    let store = Store::open(folder.path()).expect("opens");
    store.read_off("ferry", &reading("ohm:L01", "0.1 Ω")).expect("kept");
}

#[test]
fn a_backup_has_answers_and_recordings() {
    let (folder, store) = shop();
    store.read_off("ferry", &reading("ohm:L01", "0.1 Ω")).expect("kept");
    store.keep_recording("ferry", "s1.wav", &[3; 7_000], Some("all off")).expect("kept");
    drop(store);
    let outer = tempfile::tempdir().expect("a folder");
    let (file, back) = (outer.path().join("shop.zip"), outer.path().join("back"));
    store::backup(folder.path(), &file).expect("backed up");
    store::restore(&file, &back).expect("restored");
    let store = Store::open(&back).expect("opens");
    assert_eq!(store.readings("ferry").expect("read").len(), 1);
    assert_eq!(store.recording("ferry", "s1").expect("read"), [3; 7_000]);
    assert_eq!(store.recordings("ferry").expect("listed")[0].state.as_deref(), Some("all off"));
}

fn repair(part: &str, kind: &str, on: &str) -> Repair {
    Repair {
        part: part.to_owned(),
        kind: kind.to_owned(),
        symptom: Some("dead".to_owned()),
        found: "core off at the plug".to_owned(),
        did: "soldered again".to_owned(),
        by: Some("O. Fenlo".to_owned()),
        on: on.to_owned(),
        ..Repair::default()
    }
}

#[test]
fn repairs_stand_by_their_day_count_for_the_shop_and_can_be_taken_back() {
    let (folder, store) = shop();
    store.mend("ferry", &repair("L07", "lead", "2026-05-14")).expect("kept");
    let wrong = store.mend("ferry", &repair("D5.IN", "jack", "2026-03-01")).expect("kept");
    store.mend("ferry", &repair("L02", "lead", "2026-06-01")).expect("kept");
    let parts = |store: &Store| -> Vec<String> {
        store.repairs("ferry").expect("listed").into_iter().map(|one| one.part).collect()
    };
    assert_eq!(parts(&store), ["D5.IN", "L07", "L02"]);
    assert_eq!(store.mended().expect("counted"), [("jack".to_owned(), 1), ("lead".to_owned(), 2)]);
    store.unmend("ferry", wrong).expect("taken back");
    store.unmend("ferry", wrong).expect("twice is once");
    // A loan by itself is no repair of anything.
    store
        .mend("ferry", &Repair { lent: Some("the spare".to_owned()), ..repair("D5", "", "") })
        .expect("kept");
    drop(store);
    let store = Store::open(folder.path()).expect("opens");
    assert_eq!(parts(&store).len(), 3);
    assert_eq!(store.mended().expect("counted"), [("lead".to_owned(), 2)]);
    let today = &store.repairs("ferry").expect("listed")[2];
    assert!(today.on.len() == 10 && "2026-06-01" < today.on.as_str(), "{today:?}");
    assert!(matches!(store.mend("../x", &repair("a", "lead", "")), Err(StoreError::Name { .. })));
    drop(store);
    // Each has its record: one that somebody changes shows, and mending the journal leaves it out and keeps the others.
    assert!(store::check(folder.path()).expect("looked through").wrong.is_empty());
    let journal = Connection::open(folder.path().join(".boardwright/journal.sqlite")).expect("opens");
    journal.execute("UPDATE repair SET did = 'nothing' WHERE part = 'L02'", []).expect("changed");
    drop(journal);
    let found = store::check(folder.path()).expect("looked through");
    assert!(found.wrong.iter().any(|line| line.contains("the repair of L02")), "{found:?}");
    store::repair(folder.path()).expect("repaired");
    let store = Store::open(folder.path()).expect("opens");
    assert_eq!(parts(&store), ["L07", "D5"]);
}

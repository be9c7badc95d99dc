//! A journal that cannot be read is kept aside and told, and the work goes on.

use std::path::{Path, PathBuf};

use store::{HistoryStep, Revision, Store};

use crate::{TEXT, document, retitle, shop};

fn journal(folder: &Path) -> PathBuf {
    folder.join(".boardwright/journal.sqlite")
}

fn aside(folder: &Path, number: usize) -> PathBuf {
    folder.join(format!(".boardwright/journal-damaged-{number}.sqlite"))
}

#[test]
fn a_journal_that_is_none_is_kept_aside_and_a_new_one_begun() {
    let (folder, store) = shop();
    retitle(&store, "a");
    drop(store);
    let before = document(folder.path());
    for number in 1..=2 {
        std::fs::write(journal(folder.path()), format!("not a journal, {number}\n").repeat(400))
            .expect("damaged");
        let store = Store::open(folder.path()).expect("opens all the same");
        let told = store.told().expect("says so").to_owned();
        assert!(told.contains("damaged") && told.contains(&format!("journal-damaged-{number}")), "{told}");
        let kept = std::fs::read_to_string(aside(folder.path(), number)).expect("kept");
        assert!(kept.starts_with(&format!("not a journal, {number}")));
        assert_eq!(store.state("ferry").expect("state").text, before, "the document is as it was");
        retitle(&store, &format!("after {number}"));
        store.step("ferry", None, HistoryStep::Undo).expect("undo works");
        drop(store);
        assert_eq!(Store::open(folder.path()).expect("opens").told(), None, "told once");
    }
}

#[test]
fn what_can_still_be_read_of_a_damaged_journal_is_in_the_new_one() {
    let (folder, store) = shop();
    let frozen = Revision { text: TEXT.into(), kinds: "k".into(), settings: "s".into(), program: "p".into() };
    store.freeze("ferry", "A", "for approval", None, &frozen).expect("frozen");
    store.tick("ferry", "panel-1", true, None).expect("ticked");
    for number in 0..40 {
        retitle(&store, &format!("{number} {}", "long ".repeat(200)));
    }
    drop(store);
    let db = rusqlite::Connection::open(journal(folder.path())).expect("journal");
    db.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).expect("one file");
    let pages: usize = db.query_row("PRAGMA page_count", [], |row| row.get(0)).expect("pages");
    let size: usize = db.query_row("PRAGMA page_size", [], |row| row.get(0)).expect("size");
    drop(db);
    let mut bytes = std::fs::read(journal(folder.path())).expect("bytes");
    let from = pages / 2 * size;
    bytes[from..from + 8 * size].fill(0xA5);
    std::fs::write(journal(folder.path()), bytes).expect("damaged");
    let store = Store::open(folder.path()).expect("opens");
    let told = store.told().expect("says so");
    assert!(told.contains("rows could be read"), "{told}");
    assert_eq!(store.revision("ferry", "A").expect("there"), frozen);
    assert_eq!(store.ticks("ferry").expect("ticks").len(), 1);
    let entries = store.history("ferry").expect("history").len();
    assert!((2..=41).contains(&entries), "{entries}");
    assert!(document(folder.path()).contains("39 long"));
}

#[test]
fn a_sound_journal_is_left_alone() {
    let (folder, store) = shop();
    retitle(&store, "a");
    drop(store);
    let store = Store::open(folder.path()).expect("opens");
    assert_eq!(store.told(), None);
    assert!(!aside(folder.path(), 1).exists());
    assert_eq!(store.history("ferry").expect("history").len(), 2);
}

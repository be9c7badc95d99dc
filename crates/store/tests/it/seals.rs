//! Damage to a journal is noticed whatever it was, the shop opens all the same, and a repair brings back what can be read.

use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use rusqlite::Connection;
use store::{HistoryStep, Revision, Store, StoreError};
use tempfile::TempDir;

use crate::{TEXT, document, retitle, shop};

fn journal(folder: &Path) -> PathBuf {
    folder.join(".boardwright/journal.sqlite")
}

fn beside(folder: &Path, ending: &str) -> PathBuf {
    PathBuf::from(format!("{}{ending}", journal(folder).display()))
}

/// A shop with four edits, one of them taken back, a frozen revision and two ticks: made once, copied for each case.
fn worked() -> TempDir {
    static MADE: OnceLock<TempDir> = OnceLock::new();
    let made = MADE.get_or_init(make);
    let copy = tempfile::tempdir().expect("a folder");
    for folder in ["ferry", ".boardwright"] {
        std::fs::create_dir(copy.path().join(folder)).expect("a folder");
        for entry in std::fs::read_dir(made.path().join(folder)).expect("there").flatten() {
            if entry.path().is_dir() {
                continue;
            }
            let to = copy.path().join(folder).join(entry.file_name());
            std::fs::copy(entry.path(), to).expect("copied");
        }
    }
    copy
}

fn make() -> TempDir {
    let (folder, store) = shop();
    for title in ["a", "b", "c", "d"] {
        retitle(&store, title);
    }
    store.step("ferry", None, HistoryStep::Undo).expect("undo");
    let frozen = Revision { text: TEXT.into(), kinds: "k".into(), settings: "s".into(), program: "p".into() };
    store.freeze("ferry", "A", "for approval", None, &frozen).expect("frozen");
    store.freeze_prices("ferry", "A", "currency = \"EUR\"\n").expect("kept");
    for step in ["panel-1", "panel-2"] {
        store.tick("ferry", step, true, None).expect("ticked");
    }
    folder
}

fn sql(folder: &Path, acts: &str) {
    let db = Connection::open(journal(folder)).expect("journal");
    db.execute_batch(acts).expect("done");
    db.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).expect("one file");
}

/// Brings the journal back to what it was before the last two edits, as a lost write-ahead log does.
fn older(folder: &Path) {
    let copy = folder.join("older.sqlite");
    std::fs::copy(journal(folder), &copy).expect("copied");
    let store = Store::open(folder).expect("opens");
    for title in ["e", "f"] {
        retitle(&store, title);
    }
    drop(store);
    std::fs::rename(copy, journal(folder)).expect("put back");
}

struct Case {
    name: &'static str,
    damage: fn(&Path),
    /// What the check says of it.
    said: &'static str,
    /// Whether the opening rebuilds it at once, because nothing can be read or written otherwise.
    at_once: bool,
    /// What undo names after the repair.
    undo: Option<&'static str>,
    /// Whether the frozen revision is there after the repair.
    frozen: bool,
}

const LOST: &str = "changes whose entries were lost in the damaged journal";

const CASES: &[Case] = &[
    Case {
        name: "emptied",
        damage: |folder| std::fs::write(journal(folder), "").expect("emptied"),
        said: "emptied or begun anew",
        at_once: false,
        undo: None,
        frozen: false,
    },
    Case {
        name: "deleted",
        damage: |folder| std::fs::remove_file(journal(folder)).expect("deleted"),
        said: "it is missing",
        at_once: false,
        undo: None,
        frozen: false,
    },
    Case {
        name: "an older state",
        damage: older,
        said: "its end is lost",
        at_once: false,
        undo: Some("changed by another program"),
        frozen: true,
    },
    Case {
        name: "a text changed in place",
        damage: |folder| {
            sql(folder, "UPDATE entry SET after = replace(after, 'b', 'x') WHERE name = 'call it b'");
        },
        said: "the text before or after entry 3 (“call it b”, job `ferry`)",
        at_once: false,
        undo: Some("call it c"),
        frozen: true,
    },
    Case {
        name: "a text and its hash changed",
        damage: |folder| {
            sql(
                folder,
                "UPDATE entry SET after = 'x', after_hash = '2d711642b726b04401627ca9fbac32f5c8530fb1903cc4db02258717921a4881' WHERE name = 'call it b'",
            );
        },
        said: "entry 3 (“call it b”, job `ferry`) is not as it was written",
        at_once: false,
        undo: Some("call it c"),
        frozen: true,
    },
    Case {
        name: "an entry taken out of the middle",
        damage: |folder| sql(folder, "DELETE FROM entry WHERE name = 'call it b'"),
        said: "entry 3 was taken out",
        at_once: false,
        undo: Some("call it c"),
        frozen: true,
    },
    Case {
        name: "an entry and its records taken out",
        damage: |folder| {
            sql(folder, "DELETE FROM entry WHERE id = 3; DELETE FROM seal WHERE subject = 'entry/3'");
        },
        said: "record 6 does not follow from the one before it",
        at_once: false,
        undo: Some("call it c"),
        frozen: true,
    },
    Case {
        name: "the last entries and their records taken out",
        damage: |folder| {
            sql(
                folder,
                "DELETE FROM entry WHERE 4 < id; DELETE FROM seal WHERE subject IN ('entry/5', 'entry/6')",
            );
        },
        said: "does not follow from the one before it",
        at_once: false,
        undo: Some("call it c"),
        frozen: true,
    },
    Case {
        name: "an undo forgotten",
        damage: |folder| sql(folder, "UPDATE entry SET state = 'void' WHERE kind = 'undo'"),
        said: "entry 6 (“call it d”, job `ferry`) is not as it was written",
        at_once: false,
        undo: Some("changed by another program"),
        frozen: true,
    },
    Case {
        name: "an entry put in",
        damage: |folder| {
            sql(folder, "INSERT INTO tick (job, step, done) VALUES ('ferry', 'mains-1', 1)");
        },
        said: "the tick of step mains-1 of job `ferry` was put in by another program",
        at_once: false,
        undo: Some("call it c"),
        frozen: true,
    },
    Case {
        name: "a frozen revision changed",
        damage: |folder| sql(folder, "UPDATE revision SET text = 'x'"),
        said: "revision A of job `ferry` is not as it was written",
        at_once: false,
        undo: Some("call it c"),
        frozen: false,
    },
    Case {
        name: "the table of records taken out",
        damage: |folder| sql(folder, "DROP TABLE seal"),
        said: "no such table: seal",
        at_once: false,
        undo: Some("call it c"),
        frozen: true,
    },
    Case {
        name: "another file in its place",
        damage: |folder| std::fs::write(journal(folder), "not a journal\n".repeat(900)).expect("written"),
        said: "file is not a database",
        at_once: true,
        undo: None,
        frozen: false,
    },
    Case {
        name: "a folder in its place",
        damage: |folder| {
            std::fs::remove_file(journal(folder)).expect("removed");
            std::fs::create_dir(journal(folder)).expect("a folder");
        },
        said: "it is not a plain file",
        at_once: true,
        undo: None,
        frozen: false,
    },
    Case {
        name: "cut in half",
        damage: |folder| {
            let file = std::fs::OpenOptions::new().write(true).open(journal(folder)).expect("opens");
            let half = file.metadata().expect("there").len() / 2;
            file.set_len(half).expect("cut");
        },
        said: "the journal cannot be read",
        at_once: true,
        undo: None,
        frozen: false,
    },
    Case {
        name: "its note emptied",
        damage: |folder| std::fs::write(folder.join(".boardwright/journal.end"), "").expect("emptied"),
        said: "`journal.end`, the note of its end, is missing",
        at_once: false,
        undo: Some("call it c"),
        frozen: true,
    },
    Case {
        name: "its note overwritten",
        damage: |folder| {
            std::fs::write(folder.join(".boardwright/journal.end"), "once upon a time\n").expect("written");
        },
        said: "it holds lines that this program did not write",
        at_once: false,
        undo: Some("call it c"),
        frozen: true,
    },
];

#[test]
fn damage_is_noticed_and_repaired_and_no_document_changes() {
    for case in CASES {
        let name = case.name;
        let folder = worked();
        let folder = folder.path();
        let clean = store::check(folder).expect("looked at");
        assert_eq!(clean.wrong, Vec::<String>::new(), "{name}: well before");
        (case.damage)(folder);
        let before = document(folder);
        let found = store::check(folder).expect("looked at");
        assert!(found.wrong.iter().any(|wrong| wrong.contains(case.said)), "{name}: {found:#?}");
        assert_eq!(store::check(folder).expect("looked at"), found, "{name}: looking changes nothing");
        let repaired = store::repair(folder).expect("repaired").unwrap_or_else(|| panic!("{name}: repaired"));
        assert!(!repaired.found.is_empty() && !repaired.done.is_empty(), "{name}: {repaired:#?}");
        let after = store::check(folder).expect("looked at");
        assert_eq!(after.wrong, Vec::<String>::new(), "{name}: well after {repaired:#?}");
        assert_eq!(store::repair(folder).expect("looked at"), None, "{name}: nothing more to repair");
        assert_eq!(document(folder), before, "{name}: the document is as it was");
        let store = Store::open(folder).expect("opens");
        assert_eq!(store.told(), None, "{name}");
        assert_eq!(store.state("ferry").expect("state").undo.as_deref(), case.undo, "{name}: {repaired:#?}");
        assert_eq!(store.revision("ferry", "A").is_ok(), case.frozen, "{name}");
        retitle(&store, "after");
        store.step("ferry", None, HistoryStep::Undo).expect("undo works");
        assert_eq!(document(folder), before, "{name}");
        // Undo to the beginning never brings up a text that was not there.
        while store.step("ferry", None, HistoryStep::Undo).is_ok() {
            let text = document(folder);
            assert!(["t", "a", "b", "c", "d"].iter().any(|title| text == titled(title)), "{name}: {text}");
        }
    }
}

fn titled(title: &str) -> String {
    if title == "t" { TEXT.to_owned() } else { format!("format = 1\njob = {{ title = \"{title}\" }}\n") }
}

#[test]
fn a_damaged_journal_opens_and_says_what_to_do() {
    for case in CASES {
        let name = case.name;
        let folder = worked();
        (case.damage)(folder.path());
        let before = document(folder.path());
        // What only a look at every text finds is found by the check and where the text would be used.
        let is_text = case.said.starts_with("the text before");
        let store = Store::open(folder.path()).unwrap_or_else(|error| panic!("{name}: {error}"));
        let told = store.told().unwrap_or_default();
        assert_eq!(told.is_empty(), is_text, "{name}: {told}");
        assert!(is_text || case.at_once || told.contains("boardwright shop repair"), "{name}: {told}");
        assert!(!case.at_once || told.contains("journal-damaged-1.sqlite"), "{name}: {told}");
        assert_eq!(store.state("ferry").expect("state").text, before, "{name}");
        retitle(&store, "goes on");
        store.step("ferry", None, HistoryStep::Undo).expect("undo");
        assert_eq!(document(folder.path()), before, "{name}");
        drop(store);
        // It is told again until it is repaired; what was rebuilt at once needs no repair.
        let again = store::check(folder.path()).expect("looked at");
        let is_gone = case.at_once || name.starts_with("its note emptied");
        assert_eq!(again.wrong.is_empty(), is_gone, "{name}: {again:#?}");
    }
}

#[test]
fn a_text_that_was_changed_never_gets_into_a_document() {
    let folder = worked();
    sql(
        folder.path(),
        "UPDATE entry SET before = 'x' WHERE name = 'call it c'; UPDATE revision SET kinds = 'x'",
    );
    let store = Store::open(folder.path()).expect("opens");
    let before = document(folder.path());
    let refused = store.step("ferry", None, HistoryStep::Undo);
    let Err(error @ StoreError::Damaged { .. }) = refused else { panic!("{refused:?}") };
    assert!(error.to_string().contains("boardwright shop repair"), "{error}");
    assert!(matches!(store.revision("ferry", "A"), Err(StoreError::Damaged { .. })));
    assert_eq!(document(folder.path()), before);
}

#[test]
fn a_lost_write_ahead_log_is_noticed() {
    let folder = worked();
    let store = Store::open(folder.path()).expect("opens");
    retitle(&store, "e");
    // As after a power cut: nobody closed the journal, and its log is gone.
    for (from, ending) in [(journal(folder.path()), ""), (beside(folder.path(), "-wal"), "-wal")] {
        let to = folder.path().join(format!("kept{ending}"));
        std::fs::copy(from, to).expect("copied");
    }
    drop(store);
    for log in ["", "not a log, whatever stands here. ".repeat(200).as_str()] {
        for ending in ["-wal", "-shm"] {
            std::fs::remove_file(beside(folder.path(), ending)).ok();
        }
        std::fs::copy(folder.path().join("kept"), journal(folder.path())).expect("put back");
        if !log.is_empty() {
            std::fs::write(beside(folder.path(), "-wal"), log).expect("overwritten");
        }
        let found = store::check(folder.path()).expect("looked at");
        assert!(found.wrong.iter().any(|wrong| wrong.contains("its end is lost")), "{found:#?}");
        let store = Store::open(folder.path()).expect("opens");
        assert!(store.told().expect("told").contains("its end is lost"));
    }
    // With its log nothing is wrong.
    std::fs::remove_file(beside(folder.path(), "-shm")).ok();
    std::fs::copy(folder.path().join("kept"), journal(folder.path())).expect("put back");
    std::fs::copy(folder.path().join("kept-wal"), beside(folder.path(), "-wal")).expect("put back");
    assert_eq!(store::check(folder.path()).expect("looked at").wrong, Vec::<String>::new());
}

#[test]
fn a_journal_of_before_gets_its_records_and_loses_nothing() {
    let folder = worked();
    let rows = |folder: &Path| -> Vec<String> {
        let db = Connection::open(journal(folder)).expect("journal");
        let mut all = Vec::new();
        for table in ["entry", "revision", "revision_price", "tick"] {
            let mut statement = db.prepare(&format!("SELECT * FROM {table}")).expect("rows");
            let columns = statement.column_count();
            let found = statement.query_map([], |row| {
                (0..columns)
                    .map(|index| Ok(format!("{:?}", row.get_ref(index)?)))
                    .collect::<Result<Vec<_>, _>>()
            });
            all.extend(found.expect("rows").map(|row| row.expect("a row").join("|")));
        }
        all
    };
    sql(folder.path(), "DROP TABLE seal; PRAGMA user_version = 0");
    std::fs::remove_file(folder.path().join(".boardwright/journal.end")).expect("removed");
    let before = rows(folder.path());
    assert_eq!(store::check(folder.path()).expect("looked at").wrong, Vec::<String>::new());
    let store = Store::open(folder.path()).expect("opens");
    assert_eq!(store.told(), None);
    assert_eq!(store.state("ferry").expect("state").redo.as_deref(), Some("call it d"));
    drop(store);
    assert_eq!(rows(folder.path()), before);
    assert_eq!(before.len(), 10, "six entries, a revision, its prices, two ticks");
    assert_eq!(store::check(folder.path()).expect("looked at").wrong, Vec::<String>::new());
    sql(folder.path(), "DELETE FROM entry WHERE id = 6");
    assert!(!store::check(folder.path()).expect("looked at").wrong.is_empty());
}

#[test]
fn a_gap_is_passed_in_one_step() {
    let folder = worked();
    sql(folder.path(), "DELETE FROM entry WHERE name IN ('call it b') OR kind = 'undo'");
    let repaired = store::repair(folder.path()).expect("repaired").expect("something");
    assert!(repaired.lost.iter().any(|lost| lost.contains("before entry 4 (“call it c”")), "{repaired:#?}");
    let store = Store::open(folder.path()).expect("opens");
    let mut names = Vec::new();
    while let Ok(back) = store.step("ferry", None, HistoryStep::Undo) {
        names.push((back.name, back.state.text));
    }
    let expected = [
        ("changed by another program", "d"),
        ("call it d", "c"),
        ("call it c", "b"),
        (LOST, "a"),
        ("call it a", "t"),
    ];
    assert_eq!(names.len(), expected.len(), "{names:#?}");
    for ((name, text), (wanted, title)) in names.iter().zip(expected) {
        assert_eq!((name.as_str(), text.as_str()), (wanted, titled(title).as_str()));
    }
}

#[test]
fn a_note_that_lags_or_was_cut_short_is_no_damage_and_a_long_one_is_made_short() {
    let folder = worked();
    let note = folder.path().join(".boardwright/journal.end");
    let whole = std::fs::read_to_string(&note).expect("note");
    for cut in [whole.len() - 3, whole.len() / 2] {
        std::fs::write(&note, &whole[..cut]).expect("cut");
        assert_eq!(store::check(folder.path()).expect("looked at").wrong, Vec::<String>::new());
    }
    let last = whole.lines().last().expect("a line");
    std::fs::write(&note, format!("{last}\n").repeat(1200)).expect("written");
    assert_eq!(Store::open(folder.path()).expect("opens").told(), None);
    assert_eq!(std::fs::read_to_string(&note).expect("note"), format!("{last}\n"));
}

#[test]
fn what_stands_in_the_place_of_records_or_lock_is_kept_aside() {
    for (place, kept) in
        [(".boardwright", ".boardwright-damaged-1"), (".boardwright/lock", ".boardwright/lock-damaged-1")]
    {
        let folder = worked();
        let path = folder.path().join(place);
        if path.is_dir() {
            std::fs::remove_dir_all(&path).expect("gone");
            std::fs::write(&path, "not a folder").expect("written");
        } else {
            std::fs::remove_file(&path).expect("gone");
            std::fs::create_dir(&path).expect("a folder");
        }
        assert!(!store::check(folder.path()).expect("looked at").wrong.is_empty(), "{place}");
        let error = Store::open(folder.path()).expect_err("cannot work");
        assert!(error.to_string().contains("boardwright shop repair"), "{place}: {error}");
        store::repair(folder.path()).expect("repaired").expect("something");
        assert!(folder.path().join(kept).exists(), "{place}");
        assert_eq!(store::check(folder.path()).expect("looked at").wrong, Vec::<String>::new(), "{place}");
    }
}

#[test]
fn entries_on_a_damaged_page_are_counted_as_lost() {
    let (folder, store) = shop();
    for number in 0..30 {
        retitle(&store, &format!("{number} {}", "long ".repeat(200)));
    }
    drop(store);
    sql(folder.path(), "");
    let mut bytes = std::fs::read(journal(folder.path())).expect("bytes");
    // A page of the table of entries: one that holds a whole text, all of it.
    let text = "title = \"14 long"; // The name of the entry stands in an index too.
    let at = bytes.windows(text.len()).position(|part| part == text.as_bytes()).expect("a text in it");
    let page = at / 4096 * 4096;
    bytes[page..page + 4096].fill(0xA5);
    std::fs::write(journal(folder.path()), bytes).expect("damaged");
    let before = document(folder.path());
    let repaired = store::repair(folder.path()).expect("repaired").expect("something");
    assert!(repaired.lost.iter().any(|lost| lost.contains("could not be read")), "{repaired:#?}");
    assert_eq!(store::check(folder.path()).expect("looked at").wrong, Vec::<String>::new());
    assert_eq!(document(folder.path()), before);
}

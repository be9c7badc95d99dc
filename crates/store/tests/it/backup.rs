//! A backup is one whole file that gives the shop back; nothing is ever written over.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use store::{HistoryStep, Revision, Store, StoreError};
use tempfile::TempDir;

use crate::{TEXT, document, retitle};

/// A shop with two jobs, stock, settings, a catalogue of its own and a recording, and some history.
fn worked() -> (TempDir, PathBuf) {
    let outer = tempfile::tempdir().expect("a folder");
    let folder = outer.path().join("shop");
    let store = Store::open(&folder).expect("opens");
    for job in ["ferry", "barge"] {
        store.create(job, TEXT).expect("a job");
    }
    store.begin_stock().expect("stock");
    for title in ["a", "b", "c"] {
        retitle(&store, title);
    }
    store.step("ferry", None, HistoryStep::Undo).expect("undo");
    let frozen = Revision { text: TEXT.into(), kinds: "k".into(), settings: "s".into(), program: "p".into() };
    store.freeze("ferry", "A", "for approval", None, &frozen).expect("frozen");
    store.tick("ferry", "panel-1", true, None).expect("ticked");
    std::fs::create_dir_all(folder.join("catalogue")).expect("a folder");
    std::fs::write(folder.join("catalogue/own.toml"), "# ours\n").expect("written");
    std::fs::write(folder.join("shop.toml"), "name = \"Tolvik\"\n").expect("written");
    std::fs::create_dir_all(folder.join("ferry/takes")).expect("a folder");
    std::fs::write(folder.join("ferry/takes/1.wav"), vec![7; 200_000]).expect("written");
    (outer, folder)
}

/// Every file but the program's records, by name.
fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut all = BTreeMap::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(at) = folders.pop() {
        for entry in std::fs::read_dir(&at).expect("there").flatten() {
            let path = entry.path();
            if entry.file_name() == ".boardwright" {
                continue;
            }
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(folder).expect("inside").to_path_buf();
                all.insert(name, std::fs::read(path).expect("read"));
            }
        }
    }
    all
}

#[test]
fn a_backup_gives_the_shop_back_to_the_byte_with_its_history() {
    let (outer, folder) = worked();
    let (file, back) = (outer.path().join("shop.zip"), outer.path().join("back"));
    let made = store::backup(&folder, &file).expect("backed up");
    assert_eq!((made.left_out.as_slice(), made.told.as_deref()), ([].as_slice(), None));
    let before = files(&folder);
    assert_eq!(before.len(), 6);
    assert_eq!(made.files, before.len() + 2, "and the journal with its note");
    // What happens after is not in it.
    let store = Store::open(&folder).expect("opens");
    retitle(&store, "later");
    assert_eq!(store::restore(&file, &back).expect("restored"), made.files);
    assert_eq!(files(&back), before);
    assert_eq!(store::check(&back).expect("looked at").wrong, Vec::<String>::new());
    let store = Store::open(&back).expect("opens");
    assert_eq!(store.told(), None);
    let state = store.state("ferry").expect("state");
    assert_eq!((state.undo.as_deref(), state.redo.as_deref()), (Some("call it b"), Some("call it c")));
    store.step("ferry", None, HistoryStep::Redo).expect("redo");
    assert!(document(&back).contains("\"c\""));
    for _ in 0..3 {
        store.step("ferry", None, HistoryStep::Undo).expect("undo");
    }
    assert_eq!(document(&back), TEXT);
    assert_eq!(store.revision("ferry", "A").expect("there").text, TEXT);
    assert_eq!(store.ticks("ferry").expect("ticks").len(), 1);
}

#[test]
fn the_same_shop_gives_the_same_bytes() {
    let (outer, folder) = worked();
    let (one, two) = (outer.path().join("1.zip"), outer.path().join("2.zip"));
    store::backup(&folder, &one).expect("backed up");
    store::backup(&folder, &two).expect("backed up");
    assert_eq!(std::fs::read(one).expect("one"), std::fs::read(two).expect("two"));
}

#[test]
fn nothing_is_written_over() {
    let (outer, folder) = worked();
    let file = outer.path().join("shop.zip");
    store::backup(&folder, &file).expect("backed up");
    let bytes = std::fs::read(&file).expect("bytes");
    let error = store::backup(&folder, &file).expect_err("there already").to_string();
    assert!(error.contains("not written over"), "{error}");
    let error = store::restore(&file, &folder).expect_err("not empty").to_string();
    assert!(error.contains("name a new folder"), "{error}");
    let error = store::backup(&folder, &folder.join("ferry/shop.zip")).expect_err("in itself").to_string();
    assert!(error.contains("outside"), "{error}");
    assert_eq!(std::fs::read(&file).expect("bytes"), bytes);
    let empty = outer.path().join("empty");
    std::fs::create_dir(&empty).expect("a folder");
    store::restore(&file, &empty).expect("an empty folder is taken");
    let left: Vec<String> = std::fs::read_dir(outer.path())
        .expect("there")
        .flatten()
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .filter(|name| !["shop", "shop.zip", "empty"].contains(&name.as_str()))
        .collect();
    assert_eq!(left, Vec::<String>::new(), "nothing is left behind");
}

#[test]
fn a_backup_that_is_damaged_or_none_is_refused_and_nothing_is_restored() {
    let (outer, folder) = worked();
    let file = outer.path().join("shop.zip");
    store::backup(&folder, &file).expect("backed up");
    let bytes = std::fs::read(&file).expect("bytes");
    let at = bytes.windows(5).position(|part| part == b"title").expect("a document is stored as it is");
    let mut flipped = bytes.clone();
    flipped[at] ^= 1;
    let renamed = b"shop/catalogue/own.toml";
    let mut leaving = bytes.clone();
    while let Some(at) = leaving.windows(renamed.len()).position(|part| part == renamed) {
        leaving[at..at + renamed.len()].copy_from_slice(b"shop/../logue/own.toml0");
    }
    for (name, bytes) in [
        ("flipped", flipped.as_slice()),
        ("cut", &bytes[..bytes.len() / 2]),
        ("empty", &[]),
        ("text", b"not a backup"),
        ("leaving", &leaving),
    ] {
        let (broken, back) = (outer.path().join(name), outer.path().join("back"));
        std::fs::write(&broken, bytes).expect("written");
        let error = store::restore(&broken, &back).expect_err(name);
        assert!(matches!(error, StoreError::Backup { .. } | StoreError::File { .. }), "{name}: {error}");
        assert!(!back.exists() && !outer.path().join("logue").exists(), "{name}");
    }
    let hidden = std::fs::read_dir(outer.path()).expect("there").flatten();
    let hidden: Vec<_> =
        hidden.filter(|entry| entry.file_name().to_string_lossy().starts_with('.')).collect();
    assert!(hidden.is_empty(), "{hidden:?}");
}

#[test]
fn while_edits_go_on_a_backup_is_of_one_moment() {
    let (outer, folder) = worked();
    let ends = Arc::new(AtomicBool::new(false));
    let writer = {
        let (folder, ends) = (folder.clone(), Arc::clone(&ends));
        std::thread::spawn(move || {
            let store = Store::open(&folder).expect("opens");
            let mut number = 0;
            while !ends.load(Ordering::SeqCst) {
                number += 1;
                retitle(&store, &format!("edit {number}"));
                store.tick("ferry", "panel-1", number % 2 == 0, None).expect("ticked");
            }
            number
        })
    };
    for number in 0..4 {
        let (file, back) =
            (outer.path().join(format!("{number}.zip")), outer.path().join(format!("back-{number}")));
        store::backup(&folder, &file).expect("backed up");
        store::restore(&file, &back).expect("restored");
        let found = store::check(&back).expect("looked at");
        assert_eq!(found.wrong, Vec::<String>::new());
        assert!(
            !found.notes.iter().any(|note| note.contains("outside")),
            "document and journal agree: {found:#?}"
        );
        let store = Store::open(&back).expect("opens");
        assert_eq!(store.told(), None);
        store.step("ferry", None, HistoryStep::Undo).expect("undo");
    }
    ends.store(true, Ordering::SeqCst);
    assert!(0 < writer.join().expect("ends"));
}

#[test]
fn a_damaged_shop_is_backed_up_as_it_is_and_told() {
    let (outer, folder) = worked();
    let db = rusqlite::Connection::open(folder.join(".boardwright/journal.sqlite")).expect("journal");
    db.execute_batch("DELETE FROM entry WHERE name = 'call it b'").expect("damaged");
    drop(db);
    let (file, back) = (outer.path().join("shop.zip"), outer.path().join("back"));
    let made = store::backup(&folder, &file).expect("backed up");
    assert!(made.told.expect("told").contains("was taken out"));
    store::restore(&file, &back).expect("restored");
    assert!(!store::check(&back).expect("looked at").wrong.is_empty(), "the damage is still to be seen");
}

#[cfg(unix)]
#[test]
fn what_is_private_stays_private_and_what_is_no_file_is_told() {
    use std::os::unix::fs::PermissionsExt;
    let mode = |path: &Path| path.metadata().expect("there").permissions().mode() & 0o777;
    let (outer, folder) = worked();
    std::fs::set_permissions(folder.join("ferry/rig.toml"), std::fs::Permissions::from_mode(0o600))
        .expect("set");
    rustix::fs::mknodat(
        rustix::fs::CWD,
        folder.join("ferry/pipe"),
        rustix::fs::FileType::Fifo,
        0o600.into(),
        0,
    )
    .expect("a pipe");
    std::os::unix::fs::symlink(&folder, folder.join("ferry/round")).expect("a link");
    let (file, back) = (outer.path().join("shop.zip"), outer.path().join("back"));
    let made = store::backup(&folder, &file).expect("backed up");
    assert_eq!(made.left_out.len(), 2, "{:?}", made.left_out);
    assert_eq!(mode(&file), 0o600);
    store::restore(&file, &back).expect("restored");
    assert_eq!(mode(&back.join("ferry/rig.toml")), 0o600);
    assert_eq!(mode(&back.join(".boardwright")), 0o700);
}

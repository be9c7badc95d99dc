//! Another program saves the document in the very instant of an edit: nothing it saved is missing from both the file and
//! the journal. The instants are hooks in the disk, so that they come every time.

use std::io::{ErrorKind, Result};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use document::edit::{Disk, SystemDisk};
use rusqlite::Connection;
use store::{EntryKind, HistoryStep, Store, StoreError};
use tempfile::TempDir;

use crate::{TEXT, document};

/// What another program does at one of the disk's calls.
#[derive(Debug, Clone)]
enum Act {
    Save(String),
    TakeAway,
    Nothing,
}

/// A disk whose exchanges are each preceded by an act of another program.
#[derive(Debug, Default)]
struct Shared {
    at_write: Mutex<Vec<Act>>,
    at_swap: Mutex<Vec<Act>>,
    exchanges: bool,
}

fn act(acts: &Mutex<Vec<Act>>, path: &Path) {
    let mut acts = acts.lock().expect("acts");
    if acts.is_empty() {
        return;
    }
    match acts.remove(0) {
        // As editors save: another file, moved over the document.
        Act::Save(text) => {
            let other = path.with_extension("other");
            std::fs::write(&other, text).expect("written");
            std::fs::rename(&other, path).expect("moved");
        }
        Act::TakeAway => std::fs::remove_file(path).expect("taken away"),
        Act::Nothing => {}
    }
}

#[derive(Debug)]
struct Hooked(Arc<Shared>);

impl Disk for Hooked {
    fn write(&self, path: &Path, text: &str, like: &Path) -> Result<()> {
        SystemDisk.write(path, text, like)?;
        act(&self.0.at_write, like);
        Ok(())
    }

    fn rename(&self, from: &Path, to: &Path) -> Result<()> {
        SystemDisk.rename(from, to)
    }

    fn swap(&self, a: &Path, b: &Path) -> Result<()> {
        if !self.0.exchanges {
            return Err(ErrorKind::Unsupported.into());
        }
        act(&self.0.at_swap, b);
        SystemDisk.swap(a, b)
    }

    fn flush_folder(&self, folder: &Path) -> Result<()> {
        SystemDisk.flush_folder(folder)
    }
}

fn shop(exchanges: bool) -> (TempDir, Arc<Shared>, Store) {
    let folder = tempfile::tempdir().expect("a folder");
    let disk = Arc::new(Shared { exchanges, ..Shared::default() });
    let store = Store::open_on(folder.path(), Box::new(Hooked(Arc::clone(&disk)))).expect("opens");
    store.create("ferry", TEXT).expect("a job");
    store.state("ferry").expect("noticed");
    (folder, disk, store)
}

fn save(number: usize) -> String {
    format!("{TEXT}# saved {number}\n")
}

/// Every text in the journal and the one in the file.
fn everywhere(folder: &Path) -> Vec<String> {
    let journal = Connection::open(folder.join(".boardwright/journal.sqlite")).expect("journal");
    let mut statement =
        journal.prepare("SELECT before FROM entry UNION SELECT after FROM entry").expect("query");
    let texts = statement.query_map([], |row| row.get(0)).expect("rows");
    let mut all: Vec<String> = texts.map(|text| text.expect("text")).collect();
    all.push(document(folder));
    all
}

fn retitled(text: &str) -> String {
    text.replace("\"t\"", "\"ours\"")
}

#[test]
fn an_edit_is_made_anew_on_what_was_saved_while_it_was_made() {
    for (at_swap, exchanges) in [(false, true), (false, false), (true, true)] {
        for saves in 0..=3 {
            let (folder, disk, store) = shop(exchanges);
            let base = store.state("ferry").expect("state").version;
            let acts = (1..=saves).map(|number| Act::Save(save(number)));
            // Bringing back is an exchange too, and nobody saves in that one here.
            let acts: Vec<Act> =
                if at_swap { acts.flat_map(|act| [act, Act::Nothing]).collect() } else { acts.collect() };
            *if at_swap { &disk.at_swap } else { &disk.at_write }.lock().expect("acts") = acts;
            let mut seen = Vec::new();
            let made = store.edit_anew("ferry", base, "retitle", |text| {
                seen.push(text.to_owned());
                Ok(retitled(text))
            });
            let case = format!("{saves} saves, at the exchange: {at_swap}, exchanging: {exchanges}");
            let made = made.unwrap_or_else(|error| panic!("{case}: {error}"));
            let last = if saves == 0 { TEXT.to_owned() } else { save(saves) };
            assert_eq!(document(folder.path()), retitled(&last), "{case}");
            assert_eq!(made.state.text, retitled(&last), "{case}");
            assert_eq!(seen.len(), saves + 1, "{case}: made on each text once");
            for number in 1..=saves {
                assert!(everywhere(folder.path()).contains(&save(number)), "{case}: save {number}");
            }
            // Taken back, what the other program saved stands again.
            store.step("ferry", None, HistoryStep::Undo).expect("undo");
            assert_eq!(document(folder.path()), last, "{case}");
        }
    }
}

#[test]
fn whoever_is_overtaken_again_and_again_is_refused_with_the_reason() {
    for at_swap in [false, true] {
        let (folder, disk, store) = shop(true);
        let base = store.state("ferry").expect("state").version;
        let acts: Vec<Act> = (1..=40).map(|number| Act::Save(save(number))).collect();
        *if at_swap { &disk.at_swap } else { &disk.at_write }.lock().expect("acts") = acts;
        let refused = store.edit_anew("ferry", base, "retitle", |text| Ok(retitled(text)));
        let Err(StoreError::Overtaken { path, tries: 4 }) = &refused else { panic!("{refused:?}") };
        assert!(path.ends_with("ferry/rig.toml"));
        disk.at_write.lock().expect("acts").clear();
        let left = std::mem::take(&mut *disk.at_swap.lock().expect("acts")).len();
        let all = everywhere(folder.path());
        let saved = if at_swap { 40 - left } else { 4 };
        for number in 1..=saved {
            assert!(all.contains(&save(number)), "save {number} of {saved}, at the exchange: {at_swap}");
        }
        assert!(!document(folder.path()).contains("ours"), "the edit was not made");
        assert_eq!(std::fs::read_dir(folder.path().join("ferry")).expect("folder").count(), 1);
    }
}

#[test]
fn an_edit_that_cannot_be_made_anew_is_refused_as_stale() {
    let (folder, disk, store) = shop(true);
    let base = store.state("ferry").expect("state").version;
    *disk.at_swap.lock().expect("acts") = vec![Act::Save(save(1))];
    let refused = store.edit("ferry", base, "retitle", |text| Ok(retitled(text)));
    assert!(matches!(refused, Err(StoreError::Stale { .. })), "{refused:?}");
    assert_eq!(document(folder.path()), save(1));
    // Nor does an undo take back what nobody has seen.
    let base = store.state("ferry").expect("state").version;
    *disk.at_swap.lock().expect("acts") = vec![Act::Save(save(2))];
    let refused = store.step("ferry", Some(base), HistoryStep::Undo);
    assert!(matches!(refused, Err(StoreError::Stale { .. })), "{refused:?}");
    assert_eq!(document(folder.path()), save(2));
    let kinds: Vec<EntryKind> =
        store.history("ferry").expect("history").iter().map(|entry| entry.kind).collect();
    assert_eq!(kinds, [EntryKind::Begin, EntryKind::Foreign, EntryKind::Foreign]);
}

#[test]
fn a_document_taken_away_in_the_instant_of_an_edit_is_not_made_anew() {
    let (folder, disk, store) = shop(true);
    let base = store.state("ferry").expect("state").version;
    *disk.at_write.lock().expect("acts") = vec![Act::TakeAway];
    let refused = store.edit_anew("ferry", base, "retitle", |text| Ok(retitled(text)));
    assert!(matches!(refused, Err(StoreError::NoJob(_))), "{refused:?}");
    assert_eq!(std::fs::read_dir(folder.path().join("ferry")).expect("folder").count(), 0);
    assert!(everywhere_but_file(folder.path()).contains(&TEXT.to_owned()), "its text is in the journal");
}

fn everywhere_but_file(folder: &Path) -> Vec<String> {
    std::fs::write(folder.join("ferry/rig.toml"), "").expect("written");
    everywhere(folder)
}

#[test]
fn what_a_crash_left_in_the_spare_file_is_kept_when_another_program_saved_it() {
    let spare = |folder: &Path| -> PathBuf { folder.join("ferry/.rig.toml.4711.new") };
    for (text, kept) in [(save(1), true), (TEXT.to_owned(), false), ("format = 1\njob".to_owned(), false)] {
        let (folder, _, store) = shop(true);
        drop(store);
        std::fs::write(spare(folder.path()), &text).expect("written");
        let store = Store::open(folder.path()).expect("opens");
        assert!(!spare(folder.path()).exists());
        assert_eq!(document(folder.path()), TEXT, "the document stays");
        assert_eq!(store.state("ferry").expect("state").text, TEXT);
        let foreign =
            store.history("ferry").expect("history").iter().any(|entry| entry.kind == EntryKind::Foreign);
        assert_eq!(foreign, kept, "{text:?}");
        assert_eq!(everywhere(folder.path()).contains(&save(1)), kept);
    }
}

/// A program that opened the document before an edit and goes on writing after it.
fn opened(folder: &Path) -> std::fs::File {
    std::fs::OpenOptions::new().write(true).open(folder.join("ferry/rig.toml")).expect("opens")
}

fn write_late(file: &mut std::fs::File, text: &str) {
    use std::io::Write;
    file.set_len(0).expect("emptied");
    file.write_all(text.as_bytes()).expect("written");
}

#[test]
fn what_is_written_through_an_open_handle_after_an_edit_is_in_the_history() {
    for exchanges in [true, false] {
        for reopens in [true, false] {
            let case = format!("exchanging: {exchanges}, opened again: {reopens}");
            let (folder, _disk, store) = shop(exchanges);
            let base = store.state("ferry").expect("state").version;
            let mut file = opened(folder.path());
            store.edit("ferry", base, "retitle", |text| Ok(retitled(text))).expect("edits");
            write_late(&mut file, &save(1));
            let found = store::check(folder.path()).expect("looked at");
            assert_eq!(found.wrong, Vec::<String>::new(), "{case}");
            assert!(found.notes.iter().any(|note| note.contains("had replaced")), "{case}: {found:#?}");
            let store = if reopens {
                drop(store);
                let store = Store::open(folder.path()).expect("opens");
                assert!(store.told().expect("told").contains("one undo back"), "{case}");
                store
            } else {
                // The next edit finds it, and is refused: what it was made on is not all there is.
                let base = store.state("ferry").expect("state").version;
                let refused = store.edit("ferry", base, "again", |text| Ok(format!("{text}# ours\n")));
                assert!(matches!(refused, Err(StoreError::Stale { .. })), "{case}: {refused:?}");
                store
            };
            assert_eq!(document(folder.path()), retitled(TEXT), "{case}: the edit stands");
            assert!(everywhere(folder.path()).contains(&save(1)), "{case}");
            store.step("ferry", None, HistoryStep::Undo).expect("undo");
            assert_eq!(document(folder.path()), save(1), "{case}");
            drop(store);
            assert_eq!(Store::open(folder.path()).expect("opens").told(), None, "{case}: told once");
        }
    }
}

#[test]
fn nothing_of_what_was_replaced_is_left_but_the_last_of_each_document() {
    let (folder, _disk, store) = shop(true);
    for number in 0..5 {
        let base = store.state("ferry").expect("state").version;
        store.edit("ferry", base, "e", |_| Ok(save(number))).expect("edits");
    }
    let kept = std::fs::read_dir(folder.path().join(".boardwright/replaced")).expect("there").count();
    assert_eq!(kept, 1);
    let left = std::fs::read_dir(folder.path().join("ferry")).expect("there").count();
    assert_eq!(left, 1, "nothing beside the document");
}

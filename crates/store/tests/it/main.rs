//! The shop folder: what survives, what is refused.

mod backup;
mod damage;
mod faults;
mod names;
mod outside;
mod places;
mod seals;
mod tested;

use std::path::Path;
use std::sync::Arc;

use proptest::prelude::*;
use store::{EntryKind, HistoryStep, Revision, Store, StoreError};
use tempfile::TempDir;

const TEXT: &str = "format = 1\njob = { title = \"t\" }\n";

fn shop() -> (TempDir, Store) {
    let folder = tempfile::tempdir().expect("a folder");
    let store = Store::open(folder.path()).expect("opens");
    store.create("ferry", TEXT).expect("a job");
    (folder, store)
}

fn retitle(store: &Store, title: &str) -> u64 {
    let base = store.state("ferry").expect("state").version;
    let text = format!("format = 1\njob = {{ title = \"{title}\" }}\n");
    store.edit("ferry", base, &format!("call it {title}"), |_| Ok(text)).expect("edits").state.version
}

fn document(folder: &Path) -> String {
    std::fs::read_to_string(folder.join("ferry/rig.toml")).expect("the document")
}

#[test]
fn undo_and_redo_survive_a_restart() {
    let (folder, store) = shop();
    retitle(&store, "a");
    retitle(&store, "b");
    drop(store);
    let store = Store::open(folder.path()).expect("opens again");
    let back = store.step("ferry", None, HistoryStep::Undo).expect("undo");
    assert_eq!(back.name, "call it b");
    assert!(document(folder.path()).contains("\"a\""));
    drop(store);
    let store = Store::open(folder.path()).expect("opens a third time");
    let state = store.state("ferry").expect("state");
    assert_eq!((state.undo.as_deref(), state.redo.as_deref()), (Some("call it a"), Some("call it b")));
    store.step("ferry", None, HistoryStep::Redo).expect("redo");
    assert!(document(folder.path()).contains("\"b\""));
    assert!(matches!(store.step("ferry", None, HistoryStep::Redo), Err(StoreError::Nothing("redo"))));
}

#[test]
fn an_edit_on_an_older_revision_is_refused() {
    let (folder, store) = shop();
    let base = store.state("ferry").expect("state").version;
    retitle(&store, "a");
    let stale = store.edit("ferry", base, "late", |_| Ok(String::new()));
    assert!(matches!(stale, Err(StoreError::Stale { .. })), "{stale:?}");
    assert!(document(folder.path()).contains("\"a\""), "nothing was written");
}

#[test]
fn another_programs_change_is_one_entry_that_can_be_undone() {
    let (folder, store) = shop();
    retitle(&store, "a");
    let base = store.state("ferry").expect("state").version;
    std::fs::write(folder.path().join("ferry/rig.toml"), TEXT.replace("\"t\"", "\"by hand\""))
        .expect("written");
    let refused = store.edit("ferry", base, "blind", |_| Ok(String::new()));
    assert!(matches!(refused, Err(StoreError::Stale { .. })), "never overwritten blindly: {refused:?}");
    let state = store.state("ferry").expect("state");
    assert_eq!(state.undo.as_deref(), Some("changed by another program"));
    store.step("ferry", None, HistoryStep::Undo).expect("undo");
    assert!(document(folder.path()).contains("\"a\""));
    store.step("ferry", None, HistoryStep::Redo).expect("redo");
    assert!(document(folder.path()).contains("by hand"));
}

#[test]
fn an_edit_that_changes_nothing_leaves_no_entry() {
    let (_folder, store) = shop();
    let state = store.state("ferry").expect("state");
    let same = store.edit("ferry", state.version, "nothing", |text| Ok(text.to_owned())).expect("accepted");
    assert_eq!(same.state.version, state.version);
    let refused = store.edit("ferry", state.version, "no", |_| Err("it does not suit".to_owned()));
    assert!(matches!(refused, Err(StoreError::Refused(why)) if why == "it does not suit"));
}

#[test]
fn what_a_crash_left_pending_is_settled_by_the_hash() {
    for (on_disk, kept) in [("after", true), ("before", false)] {
        let (folder, store) = shop();
        retitle(&store, "before");
        drop(store);
        let after = TEXT.replace("\"t\"", "\"after\"");
        let journal =
            rusqlite::Connection::open(folder.path().join(".boardwright/journal.sqlite")).expect("journal");
        journal
            .execute(
                "INSERT INTO entry (job, kind, name, before_hash, after_hash, before, after, state)
                 SELECT job, 'edit', 'the last', after_hash, ?1, after, ?2, 'pending' FROM entry ORDER BY id DESC LIMIT 1",
                [sha(&after), after.clone()],
            )
            .expect("a pending row");
        drop(journal);
        if on_disk == "after" {
            std::fs::write(folder.path().join("ferry/rig.toml"), &after).expect("written");
        }
        let store = Store::open(folder.path()).expect("opens");
        let state = store.state("ferry").expect("state");
        assert_eq!(state.undo.as_deref() == Some("the last"), kept, "{on_disk}");
        assert!(state.text.contains(on_disk));
        assert!(
            store.history("ferry").expect("history").iter().all(|entry| entry.kind != EntryKind::Foreign)
        );
    }
}

fn sha(text: &str) -> String {
    use sha2::{Digest, Sha256};
    Sha256::digest(text.as_bytes()).iter().fold(String::new(), |out, byte| out + &format!("{byte:02x}"))
}

#[test]
fn names_never_leave_the_folder() {
    let (_folder, store) = shop();
    for name in ["", ".", "..", "../x", "a/b", "/etc", ".hidden", "a\\b", "a b", "a\0"] {
        assert!(matches!(store.create(name, TEXT), Err(StoreError::Name { .. })), "{name:?}");
        assert!(store.state(name).is_err(), "{name:?}");
    }
    assert!(matches!(store.create("ferry", TEXT), Err(StoreError::Taken(_))));
    assert!(matches!(store.state("ghost"), Err(StoreError::NoJob(_))));
    assert_eq!(store.jobs().expect("jobs").len(), 1);
}

#[test]
fn a_new_job_never_inherits_the_history_of_one_that_is_gone() {
    let (folder, store) = shop();
    retitle(&store, "another client’s");
    std::fs::remove_dir_all(folder.path().join("ferry")).expect("gone");
    assert!(matches!(store.create("ferry", TEXT), Err(StoreError::Kept(name)) if name == "ferry"));
    assert_eq!(store.create_titled("Ferry", TEXT).expect("made"), "ferry-2");
    assert_eq!(store.create_titled("Ferry", TEXT).expect("made"), "ferry-3");
    assert!(store.step("ferry-2", None, HistoryStep::Undo).is_err(), "there is nothing to undo");
}

#[cfg(unix)]
#[test]
fn nobody_reads_in_the_journal_what_the_documents_keep() {
    use std::os::unix::fs::PermissionsExt;
    let mode = |path: &std::path::Path| path.metadata().expect("there").permissions().mode() & 0o777;
    for (shop_mode, folder_mode, file_mode) in [(0o755, 0o700, 0o600), (0o775, 0o770, 0o660)] {
        let folder = tempfile::tempdir().expect("folder");
        std::fs::set_permissions(folder.path(), std::fs::Permissions::from_mode(shop_mode)).expect("set");
        let store = Store::open(folder.path()).expect("opens");
        store.create("ferry", TEXT).expect("made");
        retitle(&store, "written");
        let records = folder.path().join(".boardwright");
        // What the umask takes away besides is taken away.
        assert_eq!(mode(&records) & !folder_mode, 0, "{:o}", mode(&records));
        for entry in std::fs::read_dir(&records).expect("there").flatten() {
            if entry.file_name().to_string_lossy().starts_with("journal") {
                assert_eq!(mode(&entry.path()) & !file_mode, 0, "{entry:?} {:o}", mode(&entry.path()));
            }
        }
    }
}

#[test]
fn a_revision_is_frozen_once() {
    let (_folder, store) = shop();
    let frozen =
        Revision { text: TEXT.into(), kinds: "k".into(), settings: "s".into(), program: "0.1.0".into() };
    store.freeze("ferry", "A", "for approval", Some("M. Tolvik"), &frozen).expect("frozen");
    assert!(store.freeze("ferry", "A", "again", None, &frozen).is_err());
    retitle(&store, "later");
    assert_eq!(store.revision("ferry", "A").expect("there"), frozen);
    assert_eq!(store.revisions("ferry").expect("list")[0].why, "for approval");
    assert!(store.revision("ferry", "B").is_err());
}

#[test]
fn ticks_stand_outside_the_document() {
    let (folder, store) = shop();
    let before = store.state("ferry").expect("state").version;
    store.tick("ferry", "panel-1", true, Some("O. F.")).expect("ticked");
    store.tick("ferry", "panel-1", false, None).expect("taken away");
    store.tick("ferry", "panel-2", true, None).expect("ticked");
    assert_eq!(store.state("ferry").expect("state").version, before);
    drop(store);
    let store = Store::open(folder.path()).expect("opens");
    let ticks = store.ticks("ferry").expect("ticks");
    assert_eq!(
        ticks.iter().map(|t| (t.step.as_str(), t.done)).collect::<Vec<_>>(),
        [("panel-1", false), ("panel-2", true)]
    );
}

#[test]
fn two_writers_take_turns() {
    let (folder, store) = shop();
    let store = Arc::new(store);
    let other = Arc::new(Store::open(folder.path()).expect("a second one on the same folder"));
    let work = |store: Arc<Store>, who: &'static str| {
        std::thread::spawn(move || {
            let mut made = 0;
            while made < 10 {
                let base = store.state("ferry").expect("state").version;
                let title = format!("{who} {made}");
                let text = TEXT.replace("\"t\"", &format!("\"{title}\""));
                match store.edit("ferry", base, &title, |_| Ok(text)) {
                    Ok(_) => made += 1,
                    Err(StoreError::Stale { .. }) => {}
                    Err(error) => panic!("{error}"),
                }
            }
        })
    };
    let threads = [work(store.clone(), "one"), work(other, "two")];
    for thread in threads {
        thread.join().expect("ends");
    }
    let edits = store.history("ferry").expect("history").iter().filter(|e| e.kind == EntryKind::Edit).count();
    assert_eq!(edits, 20, "every acknowledged edit is in the journal");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// The journal against a plain list of texts with a cursor.
    #[test]
    fn the_journal_agrees_with_a_plain_list(acts in proptest::collection::vec(0u8..4, 1..25)) {
        let (folder, store) = shop();
        let mut texts = vec![TEXT.to_owned()];
        let mut cursor = 0;
        store.state("ferry").expect("state");
        for (index, act) in acts.into_iter().enumerate() {
            match act {
                0 | 1 => {
                    let text = TEXT.replace("\"t\"", &format!("\"{index}\""));
                    texts.truncate(cursor + 1);
                    texts.push(text.clone());
                    cursor += 1;
                    if act == 0 {
                        let base = store.state("ferry").expect("state").version;
                        store.edit("ferry", base, "e", |_| Ok(text)).expect("edits");
                    } else {
                        std::fs::write(folder.path().join("ferry/rig.toml"), text).expect("written");
                        store.state("ferry").expect("noticed");
                    }
                }
                2 => {
                    let made = store.step("ferry", None, HistoryStep::Undo);
                    prop_assert_eq!(made.is_ok(), 0 < cursor);
                    cursor = cursor.saturating_sub(1);
                }
                _ => {
                    let made = store.step("ferry", None, HistoryStep::Redo);
                    prop_assert_eq!(made.is_ok(), cursor + 1 < texts.len());
                    cursor = (cursor + 1).min(texts.len() - 1);
                }
            }
            prop_assert_eq!(&document(folder.path()), &texts[cursor]);
        }
    }
}

//! A disk that fails at one of its few calls: what is answered, what the journal says and what is in the file agree.

use std::io::{Error, Result};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU8, Ordering};

use document::edit::{Disk, SystemDisk};
use store::{EntryKind, HistoryStep, Store, StoreError};

use crate::TEXT;

/// Where the disk fails.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Fault {
    None,
    /// The temporary file cannot be made.
    Make,
    /// It is written, but not flushed.
    Flush,
    /// The move fails.
    Move,
    /// The move is answered as failed after it took place.
    MoveAnswer,
    /// The folder cannot be flushed.
    Folder,
}

const FAULTS: [Fault; 6] =
    [Fault::None, Fault::Make, Fault::Flush, Fault::Move, Fault::MoveAnswer, Fault::Folder];

/// Fails where the switch says; the flag tells whether it can exchange two files.
#[derive(Debug)]
struct Failing(Arc<AtomicU8>, bool);

impl Failing {
    fn at(&self, fault: Fault) -> Result<()> {
        let now = FAULTS[usize::from(self.0.load(Ordering::SeqCst))];
        if now == fault { Err(Error::other("the disk is gone")) } else { Ok(()) }
    }
}

impl Disk for Failing {
    fn write(&self, path: &Path, text: &str, like: &Path) -> Result<()> {
        self.at(Fault::Make)?;
        SystemDisk.write(path, text, like)?;
        self.at(Fault::Flush)
    }

    fn swap(&self, a: &Path, b: &Path) -> Result<()> {
        self.at(Fault::Move)?;
        if self.1 {
            SystemDisk.swap(a, b)?;
        } else {
            return Err(std::io::ErrorKind::Unsupported.into());
        }
        self.at(Fault::MoveAnswer)
    }

    fn rename(&self, from: &Path, to: &Path) -> Result<()> {
        self.at(Fault::Move)?;
        SystemDisk.rename(from, to)?;
        self.at(Fault::MoveAnswer)
    }

    fn flush_folder(&self, folder: &Path) -> Result<()> {
        self.at(Fault::Folder)?;
        SystemDisk.flush_folder(folder)
    }
}

#[test]
fn the_answer_the_journal_and_the_file_agree() {
    for (index, fault, exchanges) in FAULTS
        .into_iter()
        .enumerate()
        .flat_map(|(index, fault)| [(index, fault, true), (index, fault, false)])
    {
        let folder = tempfile::tempdir().expect("a folder");
        let switch = Arc::new(AtomicU8::new(0));
        let disk = Box::new(Failing(Arc::clone(&switch), exchanges));
        let store = Store::open_on(folder.path(), disk).expect("opens");
        store.create("ferry", TEXT).expect("a job");
        let base = store.state("ferry").expect("state").version;
        let after = TEXT.replace("\"t\"", "\"after\"");
        switch.store(u8::try_from(index).expect("few"), Ordering::SeqCst);
        let answer = store.edit("ferry", base, "retitle", |_| Ok(after.clone()));
        switch.store(0, Ordering::SeqCst);
        let path = folder.path().join("ferry/rig.toml");
        let there = std::fs::read_to_string(&path).expect("the document");
        let written = matches!(fault, Fault::None | Fault::MoveAnswer | Fault::Folder);
        assert_eq!(there == after, written, "{fault:?}: what is in the file");
        assert_eq!(there == TEXT, !written, "{fault:?}: the one or the other");
        match &answer {
            Ok(done) => {
                assert!(written, "{fault:?}: told as written");
                assert_eq!(done.doubt.is_some(), fault != Fault::None, "{fault:?}: {:?}", done.doubt);
                assert_eq!(done.state.text, there);
            }
            Err(StoreError::File { .. }) => assert!(!written, "{fault:?}: told as not written"),
            Err(other) => panic!("{fault:?}: {other}"),
        }
        let left: Vec<_> = std::fs::read_dir(folder.path().join("ferry"))
            .expect("folder")
            .map(|entry| entry.expect("entry").file_name())
            .collect();
        assert_eq!(left, ["rig.toml"], "{fault:?}: nothing is left beside it");
        // Whoever looks next, in this program or the next, sees the same.
        for store in [&store, &Store::open(folder.path()).expect("opens again")] {
            let state = store.state("ferry").expect("state");
            assert_eq!(state.text, there, "{fault:?}");
            assert_eq!(state.undo.as_deref(), written.then_some("retitle"), "{fault:?}");
            let kinds: Vec<EntryKind> =
                store.history("ferry").expect("history").iter().map(|entry| entry.kind).collect();
            assert!(!kinds.contains(&EntryKind::Foreign), "{fault:?}: nobody else wrote: {kinds:?}");
        }
        if written {
            store.step("ferry", None, HistoryStep::Undo).expect("undo");
            assert_eq!(std::fs::read_to_string(&path).expect("the document"), TEXT);
        }
    }
}

#[test]
fn a_journal_that_fails_after_the_write_is_told_so_and_catches_up() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = Store::open(folder.path()).expect("opens");
    store.create("ferry", TEXT).expect("a job");
    let base = store.state("ferry").expect("state").version;
    let journal =
        rusqlite::Connection::open(folder.path().join(".boardwright/journal.sqlite")).expect("journal");
    journal
        .execute_batch("CREATE TRIGGER full BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'full'); END")
        .expect("a trigger");
    let after = TEXT.replace("\"t\"", "\"after\"");
    let answer = store.edit("ferry", base, "retitle", |_| Ok(after.clone()));
    assert!(matches!(answer, Err(StoreError::Unnoted(_))), "{answer:?}");
    let there = std::fs::read_to_string(folder.path().join("ferry/rig.toml")).expect("the document");
    assert_eq!(there, after, "the answer says that it is written, and so it is");
    journal.execute_batch("DROP TRIGGER full").expect("room again");
    let state = store.state("ferry").expect("state");
    assert_eq!((state.text.as_str(), state.undo.as_deref()), (after.as_str(), Some("retitle")));
    let kinds: Vec<EntryKind> =
        store.history("ferry").expect("history").iter().map(|entry| entry.kind).collect();
    assert!(!kinds.contains(&EntryKind::Foreign), "{kinds:?}");
}

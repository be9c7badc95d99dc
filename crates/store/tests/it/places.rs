//! Folders and files that are not what they were, or not what they should be: a true answer, soon.
#![cfg(unix)]

use std::os::unix::fs::{PermissionsExt, symlink};
use std::path::Path;
use std::time::Duration;

use document::edit::SystemDisk;
use store::{HistoryStep, Store, StoreError};

use crate::{TEXT, document, retitle, shop};

#[test]
fn permissions_stay_and_links_are_written_through() {
    for mode in [0o600, 0o640, 0o664, 0o644] {
        let (folder, store) = shop();
        let path = folder.path().join("ferry/rig.toml");
        let real = folder.path().join("ferry/real.toml");
        std::fs::rename(&path, &real).expect("moved");
        symlink("real.toml", &path).expect("a link");
        std::fs::set_permissions(&real, PermissionsExt::from_mode(mode)).expect("permissions");
        retitle(&store, "a");
        store.step("ferry", None, HistoryStep::Undo).expect("undo");
        retitle(&store, "b");
        let found = real.symlink_metadata().expect("the file");
        assert!(found.is_file());
        assert_eq!(found.permissions().mode() & 0o7777, mode, "{mode:o}");
        assert!(path.symlink_metadata().expect("the link").is_symlink());
        assert!(std::fs::read_to_string(&real).expect("text").contains("\"b\""));
        assert_eq!(std::fs::read_dir(folder.path().join("ferry")).expect("folder").count(), 2);
    }
}

#[test]
fn a_link_out_of_the_shop_is_read_and_not_written() {
    for whole_folder in [false, true] {
        let (folder, store) = shop();
        let elsewhere = tempfile::tempdir().expect("a folder");
        let theirs = elsewhere.path().join("rig.toml");
        std::fs::write(&theirs, TEXT).expect("written");
        let job = folder.path().join("away");
        if whole_folder {
            symlink(elsewhere.path(), &job).expect("a link");
        } else {
            std::fs::create_dir(&job).expect("a folder");
            symlink(&theirs, job.join("rig.toml")).expect("a link");
        }
        let base = store.state("away").expect("is read").version;
        let refused = store.edit("away", base, "retitle", |_| Ok("format = 1\n".to_owned()));
        assert!(matches!(&refused, Err(StoreError::Outside { .. })), "{refused:?}");
        assert_eq!(std::fs::read_to_string(&theirs).expect("text"), TEXT);
        assert!(refused.expect_err("refused").to_string().contains("leads out of the shop folder"));
    }
}

#[test]
fn a_full_disk_is_told_with_what_to_do() {
    let error =
        |kind| StoreError::File { path: "rig.toml".into(), error: std::io::Error::from(kind) }.to_string();
    assert!(error(std::io::ErrorKind::StorageFull).contains("Make room on the disk"));
    assert!(!error(std::io::ErrorKind::PermissionDenied).contains("Make room"));
}

#[test]
fn what_is_marked_read_only_stays_as_it_is() {
    let (folder, store) = shop();
    let path = folder.path().join("ferry/rig.toml");
    std::fs::set_permissions(&path, PermissionsExt::from_mode(0o444)).expect("permissions");
    let base = store.state("ferry").expect("state").version;
    let refused = store.edit("ferry", base, "retitle", |_| Ok("format = 1\n".to_owned()));
    assert!(refused.expect_err("refused").to_string().contains("read-only"));
    assert_eq!(document(folder.path()), TEXT);
}

fn pipe(path: &Path) {
    let _ = std::fs::remove_file(path);
    rustix::fs::mknodat(rustix::fs::CWD, path, rustix::fs::FileType::Fifo, 0o644.into(), 0).expect("a pipe");
}

#[test]
fn a_pipe_or_a_folder_in_the_place_of_a_file_is_refused_at_once() {
    let (folder, store) = shop();
    let path = folder.path().join("ferry/rig.toml");
    pipe(&path);
    let said = store.state("ferry").expect_err("refused").to_string();
    assert!(said.contains("rig.toml") && said.contains("a pipe"), "{said}");
    assert_eq!(store.jobs().expect("jobs").len(), 1, "the job is still listed");
    std::fs::remove_file(&path).expect("gone");
    std::fs::create_dir(&path).expect("a folder");
    let said = store.state("ferry").expect_err("refused").to_string();
    assert!(said.contains("rig.toml") && said.contains("a folder"), "{said}");
    assert_eq!(store.jobs().expect("jobs").len(), 1, "the job is still listed");
    drop(store);
    for name in ["lock", "journal.sqlite", "journal.end"] {
        let (folder, store) = shop();
        drop(store);
        pipe(&folder.path().join(".boardwright").join(name));
        match Store::open(folder.path()) {
            Err(error) => {
                assert!(name == "lock" && error.to_string().contains("not a plain file"), "{error}");
            }
            Ok(store) => assert!(name != "lock" && store.told().is_some(), "{name}"),
        }
    }
}

#[test]
fn a_turn_that_another_program_keeps_is_told_and_nothing_is_written_later() {
    let (folder, store) = shop();
    drop(store);
    let store =
        Store::open_with(folder.path(), Box::new(SystemDisk), Duration::from_millis(30)).expect("opens");
    let base = store.state("ferry").expect("state").version;
    let theirs = std::fs::File::open(folder.path().join(".boardwright/lock")).expect("lock");
    theirs.lock().expect("locked");
    let mut made = false;
    let refused = store.edit("ferry", base, "retitle", |_| {
        made = true;
        Ok("format = 1\n".to_owned())
    });
    let Err(StoreError::Busy { .. }) = &refused else { panic!("{refused:?}") };
    assert!(refused.expect_err("busy").to_string().contains("another program is writing"));
    assert_eq!(store.state("ferry").expect("reading goes on").version, base);
    drop(theirs);
    assert!(!made);
    assert_eq!(document(folder.path()), TEXT);
    retitle(&store, "a");
}

#[test]
fn a_folder_that_was_moved_or_replaced_is_told_for_what_it_is() {
    let outer = tempfile::tempdir().expect("a folder");
    let (here, there) = (outer.path().join("shop"), outer.path().join("moved"));
    std::fs::create_dir(&here).expect("a folder");
    let store = Store::open(&here).expect("opens");
    store.create("ferry", TEXT).expect("a job");
    let base = store.state("ferry").expect("state").version;
    std::fs::rename(&here, &there).expect("moved");
    let all = |word: &str| {
        let said = [
            store.state("ferry").expect_err("gone").to_string(),
            store.edit("ferry", base, "x", |_| Ok(String::new())).expect_err("gone").to_string(),
            store.jobs().expect_err("gone").to_string(),
            store.create("other", TEXT).expect_err("gone").to_string(),
            store.history("ferry").expect_err("gone").to_string(),
            store.tick("ferry", "s", true, None).expect_err("gone").to_string(),
            store.revisions("ferry").expect_err("gone").to_string(),
        ];
        for said in said {
            assert!(said.contains(word) && said.contains("Put it back"), "{said}");
        }
    };
    all("moved, renamed or deleted");
    assert!(!here.exists(), "nothing was made in its old place");
    // Another shop in the same place is not this one.
    let other = Store::open(&{
        std::fs::create_dir(&here).expect("a folder");
        here.clone()
    });
    other.expect("opens").create("ferry", TEXT).expect("a job");
    all("replaced");
    std::fs::remove_dir_all(&here).expect("gone");
    std::fs::rename(&there, &here).expect("put back");
    assert_eq!(store.state("ferry").expect("goes on").version, base);
    std::fs::remove_dir_all(here.join(".boardwright")).expect("gone");
    all("records of the shop");
}

//! A shop folder that is looked through, repaired, backed up and restored as its owner does it.

use std::path::{Path, PathBuf};

use crate::commands::{boardwright, err, out, path};
use crate::jobs::example;

/// A shop with one job and some history of its stock.
fn shop() -> (tempfile::TempDir, PathBuf) {
    let outer = tempfile::tempdir().expect("a folder");
    let shop = outer.path().join("shop");
    std::fs::create_dir_all(shop.join("church")).expect("a job");
    std::fs::copy(example("church-bass").join("rig.toml"), shop.join("church/rig.toml")).expect("copied");
    for name in ["R1", "R2", "R3"] {
        let added = boardwright(&["stock", path(&shop), "--add", name, "instrument", "20 m"]);
        assert_eq!(added.status.code(), Some(0), "{}", err(&added));
    }
    (outer, shop)
}

fn journal(shop: &Path) -> PathBuf {
    shop.join(".boardwright/journal.sqlite")
}

struct Case {
    damage: fn(&Path),
    /// What the check says first.
    said: &'static str,
    /// What a command says that works on the shop all the same.
    told: &'static str,
}

const CASES: &[Case] = &[
    Case {
        damage: |shop| std::fs::write(journal(shop), "").expect("emptied"),
        said: "not well: the journal: it was emptied or begun anew",
        told: "boardwright shop repair",
    },
    Case {
        damage: |shop| std::fs::write(journal(shop), "something else\n".repeat(600)).expect("written"),
        said: "not well: the journal cannot be read (file is not a database)",
        told: "kept as",
    },
    Case {
        damage: |shop| {
            // In a text, where the name stands in quotes.
            let mut text = std::fs::read(journal(shop)).expect("read");
            let at = text.windows(4).rposition(|four| four == b"\"R2\"").expect("a text in it");
            text[at + 2] = b'9';
            std::fs::write(journal(shop), text).expect("written");
        },
        said: "not well: the journal: the text before or after entry ",
        told: "",
    },
];

#[test]
fn damage_is_told_by_check_and_by_every_command_and_repaired() {
    for Case { damage, said, told } in CASES {
        let (_outer, shop) = shop();
        let well = boardwright(&["shop", "check", path(&shop)]);
        assert_eq!(well.status.code(), Some(0), "{}", out(&well));
        assert!(
            out(&well).starts_with("well:     the journal is what was written: 4 entries"),
            "{}",
            out(&well)
        );
        damage(&shop);
        let stock = std::fs::read(shop.join("stock.toml")).expect("stock");
        let found = boardwright(&["shop", "check", path(&shop)]);
        assert_eq!(found.status.code(), Some(1), "{said}: {}", out(&found));
        assert!(out(&found).starts_with(said), "{said}: {}", out(&found));
        let listed = boardwright(&["stock", path(&shop)]);
        assert_eq!(listed.status.code(), Some(0), "{said}: the work goes on");
        assert!(out(&listed).contains("R3") && err(&listed).contains(told), "{said}: {}", err(&listed));
        let repaired = boardwright(&["shop", "repair", path(&shop)]);
        assert_eq!(repaired.status.code(), Some(0), "{said}: {}", err(&repaired));
        assert_eq!(boardwright(&["shop", "check", path(&shop)]).status.code(), Some(0), "{said}");
        let again = boardwright(&["shop", "repair", path(&shop)]);
        assert!(out(&again).starts_with("nothing to repair"), "{said}: {}", out(&again));
        assert_eq!(std::fs::read(shop.join("stock.toml")).expect("stock"), stock, "{said}");
        assert!(shop.join(".boardwright/journal-damaged-1.sqlite").exists(), "{said}");
    }
}

#[test]
fn a_backup_is_restored_and_undo_goes_on() {
    let (outer, shop) = shop();
    let (file, back) = (outer.path().join("b.zip"), outer.path().join("back"));
    let made = boardwright(&["shop", "backup", path(&shop), path(&file)]);
    assert_eq!(made.status.code(), Some(0), "{}", err(&made));
    assert!(out(&made).contains("written and read back"), "{}", out(&made));
    let twice = boardwright(&["shop", "backup", path(&shop), path(&file)]);
    assert_eq!(twice.status.code(), Some(2));
    assert!(err(&twice).contains("not written over"), "{}", err(&twice));
    let restored = boardwright(&["shop", "restore", path(&file), path(&back)]);
    assert_eq!(restored.status.code(), Some(0), "{}", err(&restored));
    for name in ["stock.toml", "church/rig.toml"] {
        let both = [&shop, &back].map(|folder| std::fs::read(folder.join(name)).expect("read"));
        assert_eq!(both[0], both[1], "{name}");
    }
    let undone = boardwright(&["stock", path(&back), "--undo"]);
    assert!(err(&undone).contains("taken back: add reel R3"), "{}", err(&undone));
    assert!(!out(&undone).contains("R3") && out(&undone).contains("R2"), "{}", out(&undone));
    let over = boardwright(&["shop", "restore", path(&file), path(&back)]);
    assert_eq!(over.status.code(), Some(2));
}

#[cfg(unix)]
#[test]
fn a_pipe_among_the_settings_is_refused_by_every_command_at_once() {
    let (_outer, shop) = shop();
    let made = std::process::Command::new("mkfifo").arg(shop.join("shop.toml")).status().expect("mkfifo");
    assert!(made.success());
    let job = shop.join("church");
    for arguments in [vec!["check", path(&job)], vec!["feed", path(&job)], vec!["quote", path(&job)]] {
        let refused = boardwright(&arguments);
        assert_eq!(refused.status.code(), Some(2), "{arguments:?}");
        let said = err(&refused);
        assert!(said.contains("shop.toml") && said.contains("a pipe"), "{arguments:?}: {said}");
    }
    let found = boardwright(&["shop", "check", path(&shop)]);
    assert_eq!(found.status.code(), Some(1));
    assert!(out(&found).contains("it is a pipe"), "{}", out(&found));
}

#[test]
fn what_cannot_be_understood_is_told_once_with_its_file_and_line() {
    let (_outer, shop) = shop();
    let write = |name: &str, text: &str| std::fs::write(shop.join(name), text).expect("written");
    std::fs::create_dir_all(shop.join("second")).expect("a job");
    std::fs::copy(shop.join("church/rig.toml"), shop.join("second/rig.toml")).expect("copied");
    let said = |lines: &[&str]| {
        let found = boardwright(&["shop", "check", path(&shop)]);
        assert_eq!(found.status.code(), Some(i32::from(!lines.is_empty())), "{}", out(&found));
        let wrong: Vec<String> =
            out(&found).lines().filter(|line| line.starts_with("not well")).map(str::to_owned).collect();
        // Each is told once.
        for line in lines {
            assert_eq!(wrong.iter().filter(|wrong| wrong.contains(line)).count(), 1, "{line}: {wrong:?}");
        }
        out(&found)
    };
    assert!(said(&[]).contains("2 jobs can be understood"));
    // A key that nobody knows stands in the settings of both jobs, and is one thing to mend.
    write("shop.toml", "[limits]\noutlet_load_look = \"75 %\"\noutlet_lod_stop = \"90 %\"\n");
    said(&["shop.toml`, line 3: "]);
    write("shop.toml", "[limits]\noutlet_load_look = \"75 %\"\n");
    said(&[]);
    write("prices.toml", "currency = 5\n");
    write("second/rig.toml", "format = 1\n[job]\ntitel = \"Second\"\n");
    let told = said(&["`currency` of prices is the bare number `5`", "`titel` is not a key of job"]);
    assert!(told.contains("1 job can be understood"), "{told}");
}

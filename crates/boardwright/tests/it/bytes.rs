//! What a command answers and writes is the same to the byte, whoever types it, wherever and when.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use crate::jobs::example;
use crate::money::shop;

/// Every command that answers and ends, as it is typed in the shop's folder. What needs pictures or recordings has tests of
/// its own.
const COMMANDS: &[&str] = &[
    "check ambient",
    "check ambient --all --format json",
    "check ambient --format line",
    "explain outlet-load",
    "measure ambient",
    "measure ambient --format json",
    "signal ambient",
    "signal ambient --format json",
    "fault ambient --symptom dead",
    "fault ambient --symptom hum --format json",
    "fault ambient --history",
    "leads ambient",
    "leads ambient --format json",
    "feed ambient --format json",
    "kinds",
    "kinds overdrive",
    "number ambient",
    "quote ambient",
    "quote ambient --format json",
    "quote ambient --format csv",
    "change ambient --from other --format json",
    "change ambient --from other",
    "order .",
    "order . --format json",
    "stock .",
    "test ambient",
    "test ambient --format json",
    "shop check .",
    "export ambient --as svg",
    "export ambient --as dxf",
    "export ambient --as csv --table cut-list",
    "export ambient --as spice",
    "export ambient --as json",
    "papers ambient --out papers",
    "papers ambient --out zipped --zip --only bench",
    "take signals --out signals",
    "accept ambient clear-height --whole-job --reason heard",
    "feed ambient --write",
    "number ambient --write",
    "arrange ambient --moves 3000 --alternatives 2 --format json",
    "arrange ambient --moves 3000 --write",
    "check ambient",
    "new fresh",
    "new copy --from cabin-board",
];

/// Where and by whom it is typed.
struct Place {
    folder: &'static str,
    env: [(&'static str, &'static str); 5],
}

const PLACES: [Place; 2] = [
    Place {
        folder: "a",
        env: [
            ("TZ", "UTC"),
            ("LANG", "C"),
            ("LC_ALL", "C"),
            ("RAYON_NUM_THREADS", "1"),
            ("SOURCE_DATE_EPOCH", "0"),
        ],
    },
    Place {
        folder: "Wörkshop of two/deeper",
        env: [
            ("TZ", "Pacific/Kiritimati"),
            ("LANG", "tr_TR.UTF-8"),
            ("LC_ALL", "de_DE.UTF-8"),
            ("RAYON_NUM_THREADS", "3"),
            ("SOURCE_DATE_EPOCH", "1000000000"),
        ],
    },
];

type Files = BTreeMap<PathBuf, Vec<u8>>;

/// Every file below a folder but the records, which tell when something was done.
fn files(folder: &Path, out: &mut Files, root: &Path) {
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            if path.file_name().is_none_or(|name| name != ".boardwright") {
                files(&path, out, root);
            }
        } else {
            let name = path.strip_prefix(root).expect("below it").to_owned();
            out.insert(name, std::fs::read(&path).expect("its bytes"));
        }
    }
}

fn run(place: &Place) -> (Vec<Output>, Files) {
    let around = tempfile::tempdir().expect("a folder");
    let folder = around.path().join(place.folder);
    std::fs::create_dir_all(&folder).expect("the shop");
    let made = shop("cabin-board-corrected");
    std::fs::create_dir(folder.join("ambient")).expect("the job");
    std::fs::create_dir(folder.join("other")).expect("the other job");
    for file in ["prices.toml", "ambient/rig.toml"] {
        std::fs::copy(made.path().join(file), folder.join(file)).expect("copied");
    }
    std::fs::copy(example("cabin-board").join("rig.toml"), folder.join("other/rig.toml")).expect("copied");
    let answers = COMMANDS
        .iter()
        .map(|typed| {
            Command::new(env!("CARGO_BIN_EXE_boardwright"))
                .args(typed.split(' '))
                .current_dir(&folder)
                .env("HOME", around.path())
                .env("NO_COLOR", "1")
                .envs(place.env)
                .output()
                .expect("it runs")
        })
        .collect();
    let mut all = BTreeMap::new();
    files(&folder, &mut all, &folder);
    (answers, all)
}

#[test]
fn every_command_gives_the_same_bytes_anywhere() {
    let [first, second] = PLACES.each_ref().map(run);
    for (typed, (a, b)) in COMMANDS.iter().zip(first.0.iter().zip(&second.0)) {
        let said = String::from_utf8_lossy(&a.stderr);
        assert!(a.status.code().is_some_and(|code| code < 2), "{typed}: {said}");
        assert!(a == b, "{typed} answers otherwise elsewhere: {said} {}", String::from_utf8_lossy(&b.stderr));
    }
    let names = |all: &Files| all.keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(&first.1), names(&second.1));
    for (name, bytes) in &first.1 {
        assert!(second.1[name] == *bytes, "{} is otherwise elsewhere", name.display());
    }
    println!("{} commands, {} files", COMMANDS.len(), first.1.len());
    assert!(50 < first.1.len(), "{} files", first.1.len());
}

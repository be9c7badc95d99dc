//! The test sheet as it is filled in from the command line.

use std::path::PathBuf;

use crate::commands::{boardwright, err, out, path};
use crate::jobs::example;

fn shop() -> (tempfile::TempDir, PathBuf) {
    let outer = tempfile::tempdir().expect("a folder");
    let job = outer.path().join("shop/cabin");
    std::fs::create_dir_all(&job).expect("a job");
    std::fs::copy(example("cabin-board-corrected").join("rig.toml"), job.join("rig.toml")).expect("copied");
    std::fs::write(outer.path().join("shop/shop.toml"), "").expect("written");
    (outer, job)
}

/// The rows as they are told to other programs.
fn rows(job: &std::path::Path) -> Vec<serde_json::Value> {
    let told = boardwright(&["test", path(job), "--format", "json"]);
    let value: serde_json::Value = serde_json::from_str(&out(&told)).expect("JSON");
    assert_eq!(value["states"]["is_fewest"], true);
    value["rows"].as_array().expect("rows").clone()
}

fn answer(job: &std::path::Path, row: &str, is: &str) -> std::process::Output {
    boardwright(&["test", path(job), "--row", row, "--is", is, "--by", "O. Fenlo", "--on", "2026-05-14"])
}

#[test]
fn a_sheet_is_filled_in_signed_and_due_again_where_a_lead_changes() {
    let (_outer, job) = shop();
    let listed = boardwright(&["test", path(&job)]);
    assert_eq!(listed.status.code(), Some(1), "rows are due: {}", err(&listed));
    assert!(!job.parent().expect("shop").join(".boardwright").exists(), "to look writes nothing");
    for (row, is, why) in [
        ("no:row", "yes", "no row `no:row`"),
        ("whole:shake", "perhaps", "`perhaps` is no answer"),
        ("ohm:L02", "12 V", "not a unit of"),
    ] {
        let refused = answer(&job, row, is);
        assert_eq!(refused.status.code(), Some(2), "{row}");
        assert!(err(&refused).contains(why), "{row}: {}", err(&refused));
    }
    let day = boardwright(&["test", path(&job), "--row", "whole:shake", "--is", "yes", "--on", "14.5.2026"]);
    assert!(err(&day).contains("is no day"), "{}", err(&day));
    let sign = ["test", path(&job), "--sign", "--by", "O. Fenlo", "--on", "2026-05-15"];
    assert_eq!(boardwright(&sign).status.code(), Some(2), "nothing is signed while a row is due");
    for row in rows(&job) {
        let id = row["id"].as_str().expect("an id");
        let expected = row["expected"].as_str().expect("words");
        let is = match row["reads"].as_str().expect("a word") {
            "yes-no" => "yes",
            "words" => "up",
            "ohms" if row["limit"].as_str().expect("words").contains("MΩ") => "open",
            _ if expected.starts_with("not known") => ["1 ohm", "1 pF", "1 V", "1 mA"]
                .into_iter()
                .find(|one| {
                    let unit = one.split(' ').nth(1).expect("a unit").replace("ohm", "Ω");
                    expected.ends_with(&unit)
                })
                .expect("a unit that is known"),
            _ => expected,
        };
        let kept = answer(&job, id, is);
        assert_eq!(kept.status.code(), Some(0), "{id} is {is}: {}{}", out(&kept), err(&kept));
    }
    let failed = answer(&job, "ohm:L02", "4 ohm");
    assert_eq!(failed.status.code(), Some(1), "{}", out(&failed));
    assert!(out(&failed).starts_with("FAILS"), "{}", out(&failed));
    assert_eq!(boardwright(&sign).status.code(), Some(2), "a row fails");
    let stands = [
        "test",
        path(&job),
        "--row",
        "ohm:L02",
        "--is",
        "4 ohm",
        "--by",
        "O. Fenlo",
        "--because",
        "on purpose",
    ];
    assert_eq!(boardwright(&stands).status.code(), Some(0));
    let signed = boardwright(&sign);
    assert_eq!(signed.status.code(), Some(0), "{}", err(&signed));
    assert!(out(&signed).contains("signed by O. Fenlo, 2026-05-15"), "{}", out(&signed));
    // Another cable in one lead: that lead, and what is heard through it, is due; other leads are not.
    let file = job.join("rig.toml");
    let text = std::fs::read_to_string(&file).expect("read");
    let lead = text.find("tag = \"L02\"").map(|at| at + "tag = \"L02\"".len());
    let at = lead.expect("the example has issued its numbers");
    let changed = format!("{}\ncut = \"1234 mm\"{}", &text[..at], &text[at..]);
    std::fs::write(&file, changed).expect("written");
    let after = rows(&job);
    let state = |id: &str| {
        let row = after.iter().find(|row| row["id"] == id).unwrap_or_else(|| panic!("{id}"));
        (row["state"].as_str().expect("a word").to_owned(), row["changed"].to_string())
    };
    assert_eq!(state("ohm:L03").0, "passed");
    let (due, changed) = state("ohm:L02");
    assert_eq!(due, "due");
    assert!(changed.contains("L02") && changed.contains("1234 mm"), "{changed}");
    assert_eq!(state("whole:shake").0, "due");
    let told = out(&boardwright(&["test", path(&job)]));
    assert!(told.contains("not signed as it stands"), "{told}");
    let history = out(&boardwright(&["test", path(&job), "--history"]));
    assert!(history.contains("ohm:L02\t4 Ω\tO. Fenlo\t2026-05-14"), "{history}");
    assert!(history.contains("on purpose") && history.contains("signature\tsigned"), "{history}");
    // The journal is well, and what is in it goes with the shop.
    let shop = job.parent().expect("shop");
    assert_eq!(boardwright(&["shop", "check", path(shop)]).status.code(), Some(0));
}

#[test]
fn a_part_that_is_mended_makes_its_rows_due_and_stands_in_the_players_book() {
    let (outer, job) = shop();
    let none = boardwright(&["fault", path(&job), "--history"]);
    assert!(out(&none).contains("nothing is written down"), "{}", out(&none));
    assert!(!outer.path().join("shop/.boardwright").exists(), "to look writes nothing");
    assert_eq!(answer(&job, "ohm:L02", "0.1 Ω").status.code(), Some(0));
    assert_eq!(answer(&job, "ohm:L03", "0.1 Ω").status.code(), Some(0));
    let mend = |part: &str, did: &str| {
        let said = ["--mended", part, "--did", did, "--by", "O. Fenlo", "--on", "2026-08-02"];
        boardwright(&[&["fault", path(&job)], &said[..]].concat())
    };
    assert!(err(&mend("L99", "x")).contains("no L99 "));
    let done = mend("L02", "plug soldered again");
    assert!(out(&done).contains("2026-08-02  L02: plug soldered again, O. Fenlo"), "{}", out(&done));
    let row = |id: &str| rows(&job).into_iter().find(|row| row["id"] == id).expect("a row");
    assert_eq!(row("ohm:L02")["state"], "due", "{:#}", row("ohm:L02"));
    assert_ne!(row("ohm:L03")["state"], "due", "{:#}", row("ohm:L03"));
    // Measured after that, it stands again.
    let again =
        ["test", path(&job), "--row", "ohm:L02", "--is", "0.1 Ω", "--by", "O. Fenlo", "--on", "2026-08-03"];
    assert_eq!(boardwright(&again).status.code(), Some(0));
    assert_ne!(row("ohm:L02")["state"], "due");
}

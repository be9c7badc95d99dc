//! Quotes, orders and changes as their users meet them.

use std::path::Path;

use crate::commands::{boardwright, err, out, path};
use crate::jobs::example;

/// A shop with invented prices and one job.
pub(crate) fn shop(job: &str) -> tempfile::TempDir {
    let shop = tempfile::tempdir().expect("a folder");
    let folder = shop.path().join("ambient");
    std::fs::create_dir(&folder).expect("a job");
    std::fs::copy(example(job).join("rig.toml"), folder.join("rig.toml")).expect("copied");
    let prices = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../external/estimate/prices.toml");
    std::fs::copy(prices, shop.path().join("prices.toml")).expect("copied");
    shop
}

fn json(arguments: &[&str]) -> serde_json::Value {
    let output = boardwright(arguments);
    assert!(output.status.code().is_some_and(|code| code < 2), "{}", err(&output));
    serde_json::from_str(&out(&output)).expect("JSON")
}

#[test]
fn one_quote_says_one_sum_as_text_json_csv_and_on_paper() {
    let shop = shop("baritone-ambient-corrected");
    let job = shop.path().join("ambient");
    let value = json(&["quote", path(&job), "--format", "json"]);
    let cents = value["totals"]["to_pay_minor"].as_i64().expect("cents");
    let (whole, part) = (cents / 100, cents % 100);
    let plain = format!("{whole}.{part:02}");
    let csv = out(&boardwright(&["quote", path(&job), "--format", "csv"]));
    assert!(csv.lines().any(|line| line.contains("to pay") && line.contains(&plain)), "{csv}");
    let text = out(&boardwright(&["quote", path(&job)]));
    let spaced = text.replace('\u{202f}', "");
    assert!(spaced.lines().any(|line| line.contains("to pay") && line.contains(&plain)), "{text}");
    let papers = shop.path().join("out");
    // Not every part of this job has a price: it can be quoted as *at least*, and is not billed.
    let billed = boardwright(&["papers", path(&job), "--only", "invoice", "--out", path(&papers)]);
    assert_eq!(billed.status.code(), Some(2), "{}", out(&billed));
    assert!(err(&billed).contains("an invoice needs a price for all of the job"), "{}", err(&billed));
    let printed = boardwright(&["papers", path(&job), "--only", "quote,approval", "--out", path(&papers)]);
    assert!(printed.status.code().is_some_and(|code| code < 2), "{}", err(&printed));
    for paper in ["quote", "approval"] {
        let words = crate::commands::printed(&papers, paper).replace(['\u{202f}', '\u{a0}'], "");
        assert!(words.replace(' ', "").contains(&plain), "{paper} says {plain}: {words}");
    }
}

#[test]
fn without_prices_minutes_are_counted_and_every_part_is_named() {
    let value = json(&["quote", path(&example("cabin-board-corrected")), "--format", "json"]);
    assert_eq!(value["at_least"], true);
    assert!(0 < value["minutes"].as_i64().expect("minutes"));
    let output = boardwright(&[
        "papers",
        path(&example("cabin-board-corrected")),
        "--only",
        "quote",
        "--out",
        "/nowhere",
    ]);
    assert!(err(&output).contains("no prices.toml"), "{}", err(&output));
}

#[test]
fn goods_that_came_are_booked_once_and_can_be_taken_back() {
    let shop = shop("baritone-ambient-corrected");
    let lists = || json(&["order", path(shop.path()), "--format", "json"]);
    let line = |lists: &serde_json::Value, item: &str| {
        let orders = lists["orders"].as_array().expect("lists").clone();
        let lines = orders
            .iter()
            .flat_map(|order| order["lines"].as_array().expect("lines").clone())
            .collect::<Vec<_>>();
        lines.into_iter().find(|line| line["item"] == item).expect("it is wanted")
    };
    let before = lists();
    let packs = line(&before, "flat jack plug")["packs"].as_i64().expect("packs");
    assert!(0 < packs);
    for (item, count) in [("flat jack plug", packs.to_string()), ("patch cable, 100 m", "1".to_owned())] {
        let output = boardwright(&["order", path(shop.path()), "--received", item, &count]);
        assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    }
    let after = lists();
    assert_eq!(line(&after, "flat jack plug")["packs"], 0);
    assert_eq!(line(&after, "patch cable, 100 m")["packs"], 0);
    for _ in 0..2 {
        assert_eq!(boardwright(&["order", path(shop.path()), "--undo"]).status.code(), Some(0));
    }
    assert_eq!(lists(), before);
    let unknown = boardwright(&["order", path(shop.path()), "--received", "gold plug", "1"]);
    assert!(err(&unknown).contains("no item `gold plug`"), "{}", err(&unknown));
}

#[test]
fn a_change_is_told_against_another_document_and_against_itself_it_is_empty() {
    let shop = shop("baritone-ambient-corrected");
    let job = shop.path().join("ambient");
    let same = json(&["change", path(&job), "--from", path(&job), "--format", "json"]);
    assert_eq!(same["empty"], true);
    let old = example("baritone-ambient");
    let change = json(&["change", path(&job), "--from", path(&old), "--format", "json"]);
    assert_eq!(change["empty"], false);
    assert!(0 < change["work"]["minutes"].as_i64().expect("minutes"));
    let unknown = boardwright(&["change", path(&job), "--from", "Q"]);
    assert_eq!(unknown.status.code(), Some(2));
    assert!(err(&unknown).contains("`Q` is not a revision of this job"), "{}", err(&unknown));
    let papers = shop.path().join("out");
    let printed = boardwright(&[
        "papers",
        path(&job),
        "--only",
        "change-order",
        "--from",
        path(&old),
        "--out",
        path(&papers),
    ]);
    assert!(printed.status.code().is_some_and(|code| code < 2), "{}", err(&printed));
    assert!(crate::commands::printed(&papers, "change-order").contains("Change order"));
}

/// The figures of a frozen revision are those of its day, whatever the price file says later.
#[test]
fn prices_of_a_revision_never_change() {
    let shop = shop("cabin-board-corrected");
    let job = shop.path().join("ambient");
    let document = job.join("rig.toml");
    let text = std::fs::read_to_string(&document).expect("the document");
    let prices = std::fs::read_to_string(shop.path().join("prices.toml")).expect("prices");
    let frozen = store::Revision {
        text: text.clone(),
        kinds: String::new(),
        settings: String::new(),
        program: "0.1.0".to_owned(),
    };
    let store = store::Store::open(shop.path()).expect("a shop");
    store.freeze("ambient", "A", "for approval", None, &frozen).expect("frozen");
    store.freeze_prices("ambient", "A", &prices).expect("kept");
    drop(store);
    let sum = || json(&["quote", path(&job), "--format", "json"])["totals"]["to_pay_minor"].clone();
    let then = sum();
    std::fs::write(shop.path().join("prices.toml"), prices.replace("58.00", "99.00")).expect("written");
    assert_eq!(sum(), then, "as frozen");
    std::fs::write(&document, text + "\n# later\n").expect("written");
    assert_ne!(sum(), then, "a draft has the prices of today");
}

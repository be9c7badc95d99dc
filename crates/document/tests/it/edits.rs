//! Edits as folders: before, edit, after. Comments and spacing stay.

use std::path::Path;

use document::edit::{
    accept, answer, append, apply, begin, remove, remove_row, rename, set, set_given, set_list,
};
use finding::{Change, Edit, Field, Scope};
use proptest::prelude::*;

use crate::refusals::told;
use crate::sample::SAMPLE;

/// Makes the steps of `edit.toml` that are no changes of one value: rows, lists, names, origins.
fn step(text: &str, step: &toml_edit::Table) -> String {
    let word = |key: &str| step[key].as_str().expect("text");
    let words = |key: &str| -> Vec<String> {
        let list = step[key].as_array().expect("list");
        list.iter().map(|part| part.as_str().expect("text").to_owned()).collect()
    };
    let made = match word("do") {
        "append" => append(text, word("list"), word("id")),
        "begin" => begin(text, word("list"), word("id")),
        "take-away" => remove_row(text, word("list"), word("id")),
        "list" => set_list(text, &Field::new(words("field")), &words("items")),
        "given" => set_given(text, &Field::new(words("field")), word("to"), word("from")),
        "set" => set(text, &Field::new(words("field")), word("to")),
        "rename" => match rename(text, word("id"), word("to")) {
            // Done already: the second time there is nothing of the old name.
            Err(document::edit::EditError::Unsuitable { .. }) => Ok(text.to_owned()),
            made => made,
        },
        other => panic!("no step `{other}`"),
    };
    made.expect("applies")
}

/// Reads `edit.toml`: a list of changes, each with its field's parts and the value to write or none.
fn edit_of(text: &str) -> Edit {
    let document: toml_edit::DocumentMut = text.parse().expect("edit.toml is TOML");
    let changes = document["change"].as_array_of_tables().expect("[[change]]");
    Edit {
        name: document["name"].as_str().expect("name").to_owned(),
        changes: changes
            .iter()
            .map(|change| Change {
                field: Field::new(
                    change["field"]
                        .as_array()
                        .expect("field")
                        .iter()
                        .map(|part| part.as_str().expect("text")),
                ),
                to: change.get("to").map(|to| to.as_str().expect("text").to_owned()),
            })
            .collect(),
    }
}

#[test]
fn folders_come_out_as_they_should() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/edits");
    let mut names: Vec<_> =
        std::fs::read_dir(&root).expect("folder").map(|e| e.expect("entry").path()).collect();
    names.sort();
    assert!(6 <= names.len(), "the cases are there");
    for folder in names {
        let read =
            |name: &str| std::fs::read_to_string(folder.join(name)).unwrap_or_else(|e| panic!("{name}: {e}"));
        let document: toml_edit::DocumentMut = read("edit.toml").parse().expect("TOML");
        if let Some(steps) = document.get("step").and_then(toml_edit::Item::as_array_of_tables) {
            let make = |text: &str| steps.iter().fold(text.to_owned(), |text, row| step(&text, row));
            let after = read("after.toml");
            let made = make(&read("before.toml"));
            assert_eq!(made, after, "{}", folder.display());
            assert_eq!(make(&made), after, "twice is once: {}", folder.display());
            continue;
        }
        let (before, edit, after) = (read("before.toml"), edit_of(&read("edit.toml")), read("after.toml"));
        let made = apply(&before, &edit).expect("applies");
        assert_eq!(made, after, "{}", folder.display());
        assert_eq!(apply(&made, &edit).expect("applies again"), after, "twice is once: {}", folder.display());
    }
}

#[test]
fn an_acceptance_is_added_once() {
    let once =
        accept(SAMPLE, "clearance", &["B".into(), "A".into()], "flat plugs are on order", Some("O. Fenlow"))
            .expect("added");
    let added = &once[SAMPLE.rfind("[mass]").map_or(0, |_| 0)..];
    assert!(added.contains("rule = \"clearance\"\ndevices = [\"A\", \"B\"]\nreason = \"flat plugs are on order\"\nby = \"O. Fenlow\""));
    let again = accept(&once, "clearance", &["A".into(), "B".into()], "they came", None).expect("changed");
    assert_eq!(again.matches("[[accept]]").count(), 2, "the sample's and ours");
    assert!(again.contains("they came") && !again.contains("on order"));
}

#[test]
fn an_answer_is_written_for_a_class_or_the_whole_job_and_read_back() {
    for (covers, line) in [
        (Scope::Class("brick".into()), "class = \"brick\""),
        (Scope::WholeJob, "whole_job = true"),
        (Scope::Devices(vec!["A2".into(), "A1".into()]), "devices = [\"A1\", \"A2\"]"),
    ] {
        let once = answer(SAMPLE, "mass", &covers, "two carry it", None).expect("added");
        assert!(once.contains(&format!("rule = \"mass\"\n{line}\nreason = \"two carry it\"")), "{once}");
        let again = answer(&once, "mass", &covers, "three carry it", None).expect("changed");
        assert_eq!(again.matches("rule = \"mass\"").count(), 1, "{again}");
        let job = document::read_text("rig.toml", &again, None).unwrap_or_else(|error| panic!("{error}"));
        let read = job.rig.acceptances.last().expect("it is there");
        let sorted = match covers {
            Scope::Devices(_) => Scope::Devices(vec!["A1".into(), "A2".into()]),
            wide => wide,
        };
        assert_eq!((read.covers(), read.reason.as_str()), (sorted, "three carry it"));
    }
}

#[test]
fn an_answer_that_covers_nothing_or_two_things_is_refused() {
    for scope in ["", "class = \"brick\"\nwhole_job = true\n", "class = \"goat\"\n", "whole_job = false\n"] {
        let text = format!("{SAMPLE}\n[[accept]]\nrule = \"mass\"\n{scope}reason = \"two carry it\"\n");
        assert!(document::read_text("rig.toml", &text, None).is_err(), "{scope}");
    }
}

#[test]
fn what_is_not_of_the_format_is_refused() {
    assert!(set(SAMPLE, &Field::new(["device", "A1", "colour"]), "red").is_err());
    assert!(set(SAMPLE, &Field::device("A9", "mass"), "1 kg").is_err(), "no such device");
    assert!(set(SAMPLE, &Field::device("A1", "mass"), "1 V").is_err(), "no mass");
    assert!(set(SAMPLE, &Field::device("A1", "place.turn"), "a bit").is_err(), "no turn");
}

proptest! {
    /// Setting a place changes its own line and no other, and reads back.
    #[test]
    fn an_edit_changes_only_its_own_line(mm in 0i64..2000) {
        let field = Field::device("A1", "place.x");
        let after = set(SAMPLE, &field, &format!("{mm} mm")).expect("sets");
        let differing = SAMPLE.lines().zip(after.lines()).filter(|(a, b)| a != b).count();
        prop_assert!(differing <= 1);
        prop_assert_eq!(SAMPLE.lines().count(), after.lines().count());
        let job = document::read_text("rig.toml", &after, None).unwrap_or_else(|error| panic!("{}", told(&error)));
        let place = job.rig.device("A1").and_then(|device| device.place.clone()).expect("place");
        prop_assert_eq!(place.x, quantity::Length::from_mm(mm));
    }

    /// Taking a key away and parsing again never fails, and other devices are as they were.
    #[test]
    fn taking_away_leaves_the_rest(key in prop::sample::select(vec!["mass", "size", "place", "feed", "power", "signal"])) {
        let after = remove(SAMPLE, &Field::device("A1", key)).expect("removes");
        let before_tail = &SAMPLE[SAMPLE.find("tag = \"A2\"").expect("A2")..];
        prop_assert!(after.ends_with(before_tail));
        prop_assert!(document::read_text("rig.toml", &after, None).is_ok());
    }
}

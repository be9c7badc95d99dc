//! Edits as folders: before, edit, after. Comments and spacing stay.

use std::path::Path;

use document::edit::{EditError, accept, answer, apply};
use finding::{Change, Edit, Field, Scope, Value};
use proptest::prelude::*;

use crate::refusals::told;
use crate::sample::SAMPLE;

/// One change alone.
fn changed(text: &str, change: Change) -> Result<String, EditError> {
    apply(text, &Edit::new("x", [change]))
}

/// A value as `edit.toml` says it: a list is a list of texts or of tables, a table with `is` says where it comes from.
fn value_of(item: &toml_edit::Value) -> Value {
    let cells = |table: &toml_edit::InlineTable| -> Vec<(String, Value)> {
        table.iter().map(|(key, value)| (key.to_owned(), value_of(value))).collect()
    };
    match item {
        toml_edit::Value::Boolean(flag) => Value::Flag(*flag.value()),
        toml_edit::Value::Integer(number) => Value::Whole(*number.value()),
        toml_edit::Value::Array(array) if array.iter().any(toml_edit::Value::is_inline_table) => {
            Value::Rows(array.iter().filter_map(|row| row.as_inline_table()).map(cells).collect())
        }
        toml_edit::Value::Array(array) => Value::list(array.iter().filter_map(toml_edit::Value::as_str)),
        toml_edit::Value::InlineTable(table) if table.contains_key("from") && table.contains_key("is") => {
            let word = |key: &str| table.get(key).and_then(toml_edit::Value::as_str).expect("text");
            Value::given(word("is"), word("from"))
        }
        toml_edit::Value::InlineTable(table) => Value::Table(cells(table)),
        other => Value::from(other.as_str().expect("text")),
    }
}

/// Reads `edit.toml`: a list of changes, each with the parts of its field and what is done there.
fn edit_of(text: &str) -> Edit {
    let document: toml_edit::DocumentMut = text.parse().expect("edit.toml is TOML");
    let changes = document["change"].as_array_of_tables().expect("[[change]]").iter().map(|change| {
        let parts = change["field"].as_array().expect("field").iter();
        let field = Field::new(parts.map(|part| part.as_str().expect("text")));
        let to = change.get("to").and_then(toml_edit::Item::as_value);
        match (change.get("do").and_then(toml_edit::Item::as_str), to) {
            (Some("add"), None) => Change::add(field),
            (Some("rename"), Some(to)) => Change::rename(field, to.as_str().expect("text")),
            (None, Some(to)) => Change::set(field, value_of(to)),
            (None, None) => Change::remove(field),
            (other, _) => panic!("nothing to do: {other:?}"),
        }
    });
    Edit::new(document["name"].as_str().expect("name"), changes)
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
        let (before, edit, after) = (read("before.toml"), edit_of(&read("edit.toml")), read("after.toml"));
        let made = apply(&before, &edit).expect("applies");
        assert_eq!(made, after, "{}", folder.display());
        match apply(&made, &edit) {
            // Nothing has the old name any more.
            Err(EditError::Unsuitable { .. })
                if edit.changes.iter().any(|c| matches!(c, Change::Rename { .. })) => {}
            again => {
                assert_eq!(again.expect("applies again"), after, "twice is once: {}", folder.display());
            }
        }
    }
}

#[test]
fn an_acceptance_is_added_once() {
    let accept = |text: &str, devices: [&str; 2], reason: &str, by: Option<&str>| {
        let devices = devices.map(str::to_owned);
        apply(text, &accept(text, "clearance", &devices, reason, by).expect("reads")).expect("applies")
    };
    let once = accept(SAMPLE, ["B", "A"], "flat plugs are on order", Some("O. Fenlow"));
    assert!(once.contains("rule = \"clearance\"\ndevices = [\"A\", \"B\"]\nreason = \"flat plugs are on order\"\nby = \"O. Fenlow\""));
    let again = accept(&once, ["A", "B"], "they came", None);
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
        let once = apply(SAMPLE, &answer(SAMPLE, "mass", &covers, "two carry it", None).expect("an edit"))
            .expect("added");
        assert!(once.contains(&format!("rule = \"mass\"\n{line}\nreason = \"two carry it\"")), "{once}");
        let again = apply(&once, &answer(&once, "mass", &covers, "three carry it", None).expect("an edit"))
            .expect("changed");
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
    let refused = |field: Field, to: Value| changed(SAMPLE, Change::set(field, to)).expect_err("refused");
    for (field, to, why) in [
        (
            Field::new(["device", "A1", "colour"]),
            "red".into(),
            "`device.A1.colour` is not a value of a rig document",
        ),
        (Field::device("A1", "mass"), "1 V".into(), "mass"),
        (Field::device("A1", "place.turn"), "a bit".into(), "allowed is a whole number"),
        (Field::device("A1", "place.turn"), true.into(), "allowed is a whole number"),
        (Field::device("A1", "place.locked"), 1.into(), "allowed is `true` or `false`"),
        (Field::device("A1", "title"), Value::list(["a"]), "allowed is a text"),
        (
            Field::device("A1", "title"),
            Value::given("a", "printed"),
            "it takes no word of where it comes from",
        ),
        (Field::device("A1", "mass"), Value::given("1 kg", "hearsay"), "not `hearsay`"),
        (Field::run("main", "stops"), "A1".into(), "allowed is a list of texts"),
        (Field::device("A1", "place"), "here".into(), "allowed is a table"),
        (Field::new(["brief", "requirements"]), Value::list(["quiet"]), "allowed is a list of tables"),
        (
            Field::new(["brief", "requirements"]),
            Value::Rows(vec![vec![("size".into(), "2".into())]]),
            "`size` is not a key of a requirement",
        ),
        (Field::device("a b.c", "title"), "x".into(), "a tag or name is not empty and has no dot"),
        (Field::lead("A1.OUT", "cut"), "1 m".into(), "a lead is known by its ends"),
        (Field::of("accept", "7", "reason"), "x".into(), "there is no `accept.7` in the document"),
    ] {
        let said = refused(field, to).to_string();
        assert!(said.contains(why), "{said}");
    }
    for field in [Field::new(["device"]), Field::new(["device", "A1", "colour"])] {
        assert!(changed(SAMPLE, Change::remove(field.clone())).is_err(), "{field}");
        assert!(changed(SAMPLE, Change::add(field)).is_err());
    }
    assert!(changed(SAMPLE, Change::rename(Field::of("device", "A9", ""), "A8")).is_err(), "nobody has it");
    assert!(changed(SAMPLE, Change::rename(Field::of("device", "A1", ""), "A2")).is_err(), "it is taken");
}

#[test]
fn what_is_not_there_is_taken_away_without_a_word() {
    for field in [
        Field::device("A9", "place.locked"),
        Field::device("A2", "feed.locked"),
        Field::of("device", "A9", ""),
        Field::lead("A2.OUT > A1.IN", ""),
        Field::lead("A2.OUT > A1.IN", "ties"),
        Field::of("source", "voice", ""),
    ] {
        assert_eq!(changed(SAMPLE, Change::remove(field)).as_deref(), Ok(SAMPLE));
    }
}

proptest! {
    /// Setting a place changes its own line and no other, and reads back.
    #[test]
    fn an_edit_changes_only_its_own_line(mm in 0i64..2000) {
        let field = Field::device("A1", "place.x");
        let after = changed(SAMPLE, Change::set(field, quantity::Length::from_mm(mm))).expect("sets");
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
        let after = changed(SAMPLE, Change::remove(Field::device("A1", key))).expect("removes");
        let before_tail = &SAMPLE[SAMPLE.find("tag = \"A2\"").expect("A2")..];
        prop_assert!(after.ends_with(before_tail));
        prop_assert!(document::read_text("rig.toml", &after, None).is_ok());
    }
}

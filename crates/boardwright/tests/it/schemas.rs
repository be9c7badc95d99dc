//! What the commands print is what the published schemas say, on every example.

use std::path::Path;

use serde_json::Value;

use crate::commands::{boardwright, err, out, path};
use crate::jobs::{example, names};
use crate::money::shop;

/// The schema that is published of a form.
fn published(name: &str) -> Value {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/schema");
    let file = folder.join(format!("{name}.schema.json"));
    let text = std::fs::read_to_string(&file).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
    serde_json::from_str(&text).expect("JSON")
}

/// What a command prints, held against a schema.
fn holds(schema: &Value, arguments: &[&str]) {
    let output = boardwright(arguments);
    assert!(output.status.code().is_some_and(|code| code < 2), "{arguments:?}: {}", err(&output));
    let value: Value = serde_json::from_str(&out(&output)).expect("JSON");
    assert_eq!(faults(schema, &value), Vec::<String>::new(), "{arguments:?}");
}

/// Keys of a schema that say nothing of what is allowed.
const REMARKS: [&str; 6] = ["$schema", "$id", "$defs", "title", "description", "default"];

/// What a value has that its schema does not allow. A word that is not understood is a fault too: nothing goes unchecked.
fn faults(schema: &Value, value: &Value) -> Vec<String> {
    let mut out = Vec::new();
    judge(schema, schema, value, "", &mut out);
    out
}

fn judge(root: &Value, schema: &Value, value: &Value, at: &str, out: &mut Vec<String>) {
    let Some(words) = schema.as_object() else {
        if schema != &Value::Bool(true) {
            out.push(format!("{at}: nothing is allowed here"));
        }
        return;
    };
    for (word, says) in words.iter().filter(|(word, _)| !REMARKS.contains(&word.as_str())) {
        let fits = match word.as_str() {
            "$ref" => {
                let place = says.as_str().and_then(|place| place.strip_prefix('#'));
                let target = place.and_then(|place| root.pointer(place)).expect("a definition");
                judge(root, target, value, at, out);
                true
            }
            "type" => match says {
                Value::Array(types) => types.iter().any(|one| is_of(one, value)),
                one => is_of(one, value),
            },
            "const" => says == value,
            "enum" => says.as_array().expect("a list").contains(value),
            "minimum" => {
                value.as_f64().is_none_or(|number| says.as_f64().is_some_and(|least| least <= number))
            }
            "maximum" => value.as_f64().is_none_or(|number| says.as_f64().is_some_and(|most| number <= most)),
            "minItems" => value
                .as_array()
                .is_none_or(|items| says.as_u64().is_some_and(|least| least <= items.len() as u64)),
            "maxItems" => value
                .as_array()
                .is_none_or(|items| says.as_u64().is_some_and(|most| items.len() as u64 <= most)),
            "items" => {
                for (index, item) in value.as_array().into_iter().flatten().enumerate() {
                    judge(root, says, item, &format!("{at}/{index}"), out);
                }
                true
            }
            "required" => value.as_object().is_none_or(|there| {
                says.as_array()
                    .expect("a list")
                    .iter()
                    .all(|key| there.contains_key(key.as_str().expect("a key")))
            }),
            "properties" => {
                for (key, inner) in value.as_object().into_iter().flatten() {
                    if let Some(says) = says.get(key) {
                        judge(root, says, inner, &format!("{at}/{key}"), out);
                    }
                }
                true
            }
            "additionalProperties" => {
                let named = schema.get("properties").and_then(Value::as_object);
                for (key, inner) in value.as_object().into_iter().flatten() {
                    if named.is_none_or(|named| !named.contains_key(key)) {
                        judge(root, says, inner, &format!("{at}/{key}"), out);
                    }
                }
                true
            }
            "anyOf" | "oneOf" => {
                let fitting = says.as_array().expect("a list").iter().filter(|one| {
                    let mut own = Vec::new();
                    judge(root, one, value, at, &mut own);
                    own.is_empty()
                });
                if word == "anyOf" { 0 < fitting.count() } else { fitting.count() == 1 }
            }
            _ => false,
        };
        if !fits {
            out.push(format!("{at}: {word} {says}"));
        }
    }
}

fn is_of(word: &Value, value: &Value) -> bool {
    match word.as_str().expect("a word") {
        "null" => value.is_null(),
        "boolean" => value.is_boolean(),
        "string" => value.is_string(),
        "integer" => value.is_i64() || value.is_u64(),
        "number" => value.is_number(),
        "array" => value.is_array(),
        "object" => value.is_object(),
        _ => false,
    }
}

/// The keys of a schema's objects of which nothing is said.
fn silent(schema: &Value, out: &mut Vec<String>) {
    match schema {
        Value::Object(words) => {
            let properties = words.get("properties").and_then(Value::as_object);
            for (key, says) in properties.into_iter().flatten() {
                // Where a key is the unit of a thing, the thing itself is described.
                let is_unit =
                    properties.is_some_and(|all| all.len() == 1) && words.contains_key("description");
                if !says["description"].is_string() && !is_unit {
                    out.push(format!("{key}: {says}"));
                }
            }
            words.values().for_each(|inner| silent(inner, out));
        }
        Value::Array(items) => items.iter().for_each(|inner| silent(inner, out)),
        _ => {}
    }
}

#[test]
fn every_example_is_told_as_the_schemas_say() {
    let told = [
        ("leads-1", vec!["leads", "--format", "json"]),
        ("feed-1", vec!["feed", "--format", "json"]),
        ("signal-1", vec!["signal", "--format", "json"]),
        ("fault-1", vec!["fault", "--symptom", "dead", "--format", "json"]),
        ("arrange-1", vec!["arrange", "--moves", "2000", "--format", "json"]),
        ("quote-1", vec!["quote", "--format", "json"]),
        ("band-1", vec!["quote", "--band", "--format", "json"]),
        ("test-1", vec!["test", "--format", "json"]),
        ("findings-2", vec!["check", "--format", "json"]),
        ("resolved-1", vec!["export", "--as", "json"]),
        ("measure-1", vec!["measure", "--format", "json"]),
    ];
    for (name, arguments) in told {
        let schema = published(name);
        // A search takes far longer than the rest, and says the same things of every board.
        let step = if ["arrange-1", "measure-1"].contains(&name) { 4 } else { 1 };
        for folder in names().iter().step_by(step).map(|name| example(name)) {
            let mut all = vec![arguments[0], path(&folder)];
            all.extend(&arguments[1..]);
            holds(&schema, &all);
        }
    }
}

#[test]
fn choices_and_boards_are_told_as_the_schemas_say() {
    let folder = example("cabin-board-corrected");
    for (name, option) in [("choices-1", "--choices"), ("boards-1", "--boards")] {
        let arguments = ["arrange", path(&folder), option, "--moves", "4000", "--format", "json"];
        holds(&published(name), &arguments);
    }
}

#[test]
fn a_change_of_every_example_is_told_as_the_schema_says() {
    let schema = published("change-1");
    for name in names() {
        if let Some(plain) = name.strip_suffix("-corrected") {
            let (from, to) = (example(plain), example(&name));
            holds(&schema, &["change", path(&to), "--from", path(&from), "--format", "json"]);
        }
    }
}

#[test]
fn kinds_orders_and_manifests_are_told_as_the_schemas_say() {
    holds(&published("kinds-1"), &["kinds", "--format", "json"]);
    let shop = shop("baritone-ambient-corrected");
    let job = shop.path().join("ambient");
    holds(&published("orders-1"), &["order", path(shop.path()), "--format", "json"]);
    holds(&published("quote-1"), &["quote", path(&job), "--format", "json"]);
    holds(&published("band-1"), &["quote", path(&job), "--band", "--format", "json"]);
    let papers = shop.path().join("out");
    let printed = boardwright(&["papers", path(&job), "--only", "labels", "--out", path(&papers)]);
    assert!(printed.status.code().is_some_and(|code| code < 2), "{}", err(&printed));
    let text = std::fs::read_to_string(papers.join("manifest.json")).expect("written");
    let manifest: Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(faults(&published("manifest-1"), &manifest), Vec::<String>::new());
}

#[test]
fn another_key_a_missing_key_and_another_type_are_noticed() {
    let schema = published("orders-1");
    let good = serde_json::json!({
        "schema": "boardwright.orders.1", "currency": "EUR", "decimals": 2, "orders": [], "missing": [],
    });
    assert_eq!(faults(&schema, &good), Vec::<String>::new());
    for (key, value) in [("more", Value::from(1)), ("decimals", "two".into()), ("schema", "other".into())] {
        let mut wrong = good.clone();
        wrong[key] = value;
        assert!(!faults(&schema, &wrong).is_empty(), "{key}");
    }
    let mut short = good;
    short.as_object_mut().expect("a table").remove("missing");
    assert!(!faults(&schema, &short).is_empty());
}

#[test]
fn every_key_of_every_schema_says_what_it_is() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/schema");
    for file in std::fs::read_dir(folder).expect("the schemas").flatten() {
        let name = file.file_name().to_string_lossy().into_owned();
        // These two are written by hand.
        if name.starts_with("rig-") || name.starts_with("findings-") {
            continue;
        }
        let mut out = Vec::new();
        silent(&published(name.trim_end_matches(".schema.json")), &mut out);
        assert_eq!(out, Vec::<String>::new(), "{name}");
    }
}

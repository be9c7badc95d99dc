//! The JSON Schema of rig documents, printed from the tables.

use std::collections::BTreeMap;

use serde_json::{Map, Value, json};

use super::{PROVENANCE, RIG, Shape, Table};

/// The schema as text.
pub(crate) fn schema() -> String {
    let mut definitions = Definitions::default();
    let root = table(&RIG, &mut definitions);
    let mut out = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "urn:boardwright:rig:1",
        "title": "Boardwright rig document, format 1",
    });
    if let (Some(out), Value::Object(root)) = (out.as_object_mut(), root) {
        out.extend(root);
        out.insert("$defs".into(), Value::Object(definitions.made));
    }
    serde_json::to_string_pretty(&out).unwrap_or_default() + "\n"
}

fn table(of: &'static Table, definitions: &mut Definitions) -> Value {
    let mut properties = Map::new();
    for key in of.keys {
        let mut value = shape(&key.shape, definitions);
        if key.given && !matches!(key.shape, Shape::Table(_) | Shape::Named(_)) {
            value = json!({ "anyOf": [value.clone(), { "const": "unknown" }, {
                "type": "object",
                "properties": {
                    "is": { "anyOf": [value, { "const": "unknown" }] },
                    "from": { "enum": PROVENANCE },
                    "date": { "type": "string" },
                    "note": { "type": "string" },
                },
                "additionalProperties": false,
            }] });
        }
        if let Some(object) = value.as_object_mut() {
            object.insert("description".into(), Value::String(key.doc.into()));
        }
        properties.insert(key.name.into(), value);
    }
    let required: Vec<&str> = of.keys.iter().filter(|key| key.required).map(|key| key.name).collect();
    json!({ "type": "object", "properties": properties, "required": required, "additionalProperties": false })
}

/// Tables written so far. Two tables may share a name in messages; their definitions must not.
#[derive(Default)]
struct Definitions {
    made: Map<String, Value>,
    names: BTreeMap<*const Table, String>,
}

fn reference(of: &'static Table, definitions: &mut Definitions) -> Value {
    let name = match definitions.names.get(&std::ptr::from_ref(of)) {
        Some(name) => name.clone(),
        None => {
            let mut name = of.name.replace(' ', "-");
            while definitions.made.contains_key(&name) {
                name.push('-');
            }
            definitions.names.insert(of, name.clone());
            definitions.made.insert(name.clone(), Value::Null);
            let made = table(of, definitions);
            definitions.made.insert(name.clone(), made);
            name
        }
    };
    json!({ "$ref": format!("#/$defs/{name}") })
}

fn shape(of: &'static Shape, definitions: &mut Definitions) -> Value {
    match of {
        Shape::Text => json!({ "type": "string" }),
        Shape::Tag => json!({ "type": "string", "minLength": 1, "pattern": "^[^.\\u0000-\\u001f]+$" }),
        Shape::Switch => json!({ "type": "boolean" }),
        Shape::Count(most) => json!({ "type": "integer", "minimum": 0, "maximum": most }),
        Shape::Turn => json!({ "enum": [0, 90, 180, 270] }),
        Shape::Words(words) => json!({ "enum": words }),
        Shape::Measure(measure) => json!({
            "type": "string",
            "examples": measure.example.split(" or ").collect::<Vec<_>>(),
            "$comment": format!("a {} in {}", measure.name, measure.units),
        }),
        Shape::List(inner) => json!({ "type": "array", "items": shape(inner, definitions) }),
        Shape::Table(table) => reference(table, definitions),
        Shape::Named(table) => {
            json!({ "type": "object", "additionalProperties": reference(table, definitions) })
        }
        Shape::Values(inner) => {
            json!({ "type": "object", "additionalProperties": shape(inner, definitions) })
        }
        Shape::Tables(table, _) => json!({ "type": "array", "items": reference(table, definitions) }),
    }
}

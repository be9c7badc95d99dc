//! A value together with where it comes from.

use finding::Field;
use toml_edit::{InlineTable, Item, Value};

use super::path::{key_of, table_at};
use super::value::from_text;
use super::{EditError, parse, replace};
use crate::format::PROVENANCE;

/// Writes a value and where it comes from: `mass = { is = "431 g", from = "measured" }`.
///
/// With `from` *unknown* the value is written as `"unknown"`, whatever `value` says. A value that is there in
/// that form keeps its spacing.
pub fn set_given(text: &str, field: &Field, value: &str, from: &str) -> Result<String, EditError> {
    let unsuitable = |value: &str, why: String| EditError::Unsuitable {
        field: field.clone(),
        value: value.to_owned(),
        why,
    };
    let key = key_of(field).filter(|key| key.given).ok_or_else(|| EditError::NoSuchValue(field.clone()))?;
    if !PROVENANCE.contains(&from) {
        return Err(unsuitable(from, format!("allowed is one of {}", PROVENANCE.join(", "))));
    }
    let mut document = parse(text)?;
    let (name, table) = table_at(&mut document, field, true)?;
    if from == "unknown" {
        replace(table, &name, Value::from("unknown"));
        return Ok(document.to_string());
    }
    let old = table.get(&name).and_then(Item::as_value).cloned();
    let new = from_text(&key.shape, value, old.as_ref()).map_err(|why| unsuitable(value, why))?;
    let new = match new {
        Value::InlineTable(mut given) if given.contains_key("is") => {
            replace(&mut given, "from", Value::from(from));
            given
        }
        plain => {
            let mut given = InlineTable::new();
            given.insert("is", plain);
            given.insert("from", Value::from(from));
            given
        }
    };
    replace(table, &name, Value::InlineTable(new));
    Ok(document.to_string())
}

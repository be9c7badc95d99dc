//! Giving a device another tag everywhere it is named.

use finding::Field;
use toml_edit::{Item, TableLike, Value};

use super::{EditError, parse, replace};

/// Renames a device: its tag, and every stop, lead, feed, state and acceptance that names it.
pub fn rename(text: &str, from: &str, to: &str) -> Result<String, EditError> {
    let refuse = |why: &str| EditError::Unsuitable {
        field: Field::device(from, "tag"),
        value: to.to_owned(),
        why: why.to_owned(),
    };
    if to.trim().is_empty() || to.contains('.') || to.chars().any(char::is_control) {
        return Err(refuse("a tag is not empty and has no point"));
    }
    let mut document = parse(text)?;
    let taken = |name: &str| {
        rows(document.get("device")).iter().any(|row| row.get("tag").and_then(Item::as_str) == Some(name))
    };
    if from == to {
        return Ok(text.to_owned());
    }
    if taken(to) {
        return Err(refuse("another device has that tag"));
    }
    if !taken(from) {
        return Err(EditError::NotThere(Field::device(from, "tag")));
    }
    let renamed = |name: &str| match name.strip_prefix(from) {
        Some("") => Some(to.to_owned()),
        Some(rest) if rest.starts_with('.') => Some(format!("{to}{rest}")),
        _ => None,
    };
    for row in rows_mut(document.get_mut("device")) {
        word(row, "tag", &renamed);
        if let Some(feed) = row.get_mut("feed").and_then(Item::as_table_like_mut) {
            words(feed, "outlets", &renamed);
        }
    }
    for (list, key) in [("run", "stops"), ("state", "engaged"), ("accept", "devices")] {
        for row in rows_mut(document.get_mut(list)) {
            words(row, key, &renamed);
        }
    }
    for row in rows_mut(document.get_mut("lead")) {
        word(row, "from", &renamed);
        word(row, "to", &renamed);
    }
    Ok(document.to_string())
}

fn rows(item: Option<&Item>) -> Vec<&dyn TableLike> {
    match item {
        Some(Item::ArrayOfTables(tables)) => tables.iter().map(|table| table as &dyn TableLike).collect(),
        Some(Item::Value(Value::Array(array))) => array
            .iter()
            .filter_map(|value| value.as_inline_table().map(|table| table as &dyn TableLike))
            .collect(),
        _ => Vec::new(),
    }
}

#[expect(clippy::needless_pass_by_value, reason = "what `get_mut` gives is handed straight on")]
fn rows_mut(item: Option<&mut Item>) -> Vec<&mut dyn TableLike> {
    match item {
        Some(Item::ArrayOfTables(tables)) => {
            tables.iter_mut().map(|table| table as &mut dyn TableLike).collect()
        }
        Some(Item::Value(Value::Array(array))) => array
            .iter_mut()
            .filter_map(|value| value.as_inline_table_mut().map(|table| table as &mut dyn TableLike))
            .collect(),
        _ => Vec::new(),
    }
}

fn word(table: &mut dyn TableLike, key: &str, renamed: &impl Fn(&str) -> Option<String>) {
    let new = table.get(key).and_then(Item::as_str).and_then(renamed);
    if let Some(new) = new {
        replace(table, key, Value::from(new));
    }
}

fn words(table: &mut dyn TableLike, key: &str, renamed: &impl Fn(&str) -> Option<String>) {
    let Some(array) = table.get_mut(key).and_then(Item::as_array_mut) else { return };
    for value in array.iter_mut() {
        if let Some(new) = value.as_str().and_then(renamed) {
            let decor = value.decor().clone();
            *value = Value::from(new);
            *value.decor_mut() = decor;
        }
    }
}

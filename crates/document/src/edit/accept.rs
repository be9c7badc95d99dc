//! Writing down that the builder answers for a finding.

use toml_edit::{Array, ArrayOfTables, Item, Table, Value};

use super::{EditError, parse};

/// Adds an `[[accept]]` entry, or changes the reason of the one that is there for the same finding.
pub fn accept(
    text: &str,
    rule: &str,
    devices: &[String],
    reason: &str,
    by: Option<&str>,
) -> Result<String, EditError> {
    let mut document = parse(text)?;
    let mut sorted = devices.to_vec();
    sorted.sort();
    sorted.dedup();
    let item = document.entry("accept").or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
    let Some(entries) = item.as_array_of_tables_mut() else {
        return Err(EditError::NotThere(finding::Field::new(["accept"])));
    };
    let same = |table: &Table| {
        let mut named: Vec<&str> = table
            .get("devices")
            .and_then(Item::as_array)
            .map(|a| a.iter().filter_map(Value::as_str).collect())
            .unwrap_or_default();
        named.sort_unstable();
        table.get("rule").and_then(Item::as_str) == Some(rule) && named == sorted
    };
    let existing = entries.iter().position(same);
    match existing.and_then(|index| entries.get_mut(index)) {
        Some(table) => {
            super::replace(table, "reason", Value::from(reason));
            if let Some(by) = by {
                super::replace(table, "by", Value::from(by));
            }
        }
        None => {
            let mut table = Table::new();
            table.decor_mut().set_prefix("\n");
            table.insert("rule", toml_edit::value(rule));
            table.insert("devices", toml_edit::value(sorted.iter().collect::<Array>()));
            table.insert("reason", toml_edit::value(reason));
            if let Some(by) = by {
                table.insert("by", toml_edit::value(by));
            }
            entries.push(table);
        }
    }
    Ok(document.to_string())
}

//! Writing down that the builder answers for a finding.

use toml_edit::{Array, ArrayOfTables, Item, Table, Value};

use finding::Scope;

use super::{EditError, parse};

/// Adds an `[[accept]]` entry for these devices, or changes the reason of the one that is there for the same.
///
/// # Errors
///
/// See [`answer`].
pub fn accept(
    text: &str,
    rule: &str,
    devices: &[String],
    reason: &str,
    by: Option<&str>,
) -> Result<String, EditError> {
    answer(text, rule, &Scope::Devices(devices.to_vec()), reason, by)
}

/// Adds an `[[accept]]` entry that covers devices, a class or the whole job, or changes the reason of the one that
/// is there for the same.
///
/// # Errors
///
/// The text cannot be parsed, or `accept` is no list of tables in it.
pub fn answer(
    text: &str,
    rule: &str,
    covers: &Scope,
    reason: &str,
    by: Option<&str>,
) -> Result<String, EditError> {
    let mut document = parse(text)?;
    let covers = match covers {
        Scope::Devices(devices) => {
            let mut sorted = devices.clone();
            sorted.sort();
            sorted.dedup();
            Scope::Devices(sorted)
        }
        wide => wide.clone(),
    };
    let item = document.entry("accept").or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
    let Some(entries) = item.as_array_of_tables_mut() else {
        return Err(EditError::NotThere(finding::Field::new(["accept"])));
    };
    let same =
        |table: &Table| table.get("rule").and_then(Item::as_str) == Some(rule) && scope(table) == covers;
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
            match &covers {
                Scope::Devices(devices) => {
                    table.insert("devices", toml_edit::value(devices.iter().collect::<Array>()))
                }
                Scope::Class(class) => table.insert("class", toml_edit::value(class.as_str())),
                Scope::WholeJob => table.insert("whole_job", toml_edit::value(true)),
            };
            table.insert("reason", toml_edit::value(reason));
            if let Some(by) = by {
                table.insert("by", toml_edit::value(by));
            }
            entries.push(table);
        }
    }
    Ok(document.to_string())
}

/// What an entry covers.
fn scope(table: &Table) -> Scope {
    if table.get("whole_job").and_then(Item::as_bool) == Some(true) {
        return Scope::WholeJob;
    }
    if let Some(class) = table.get("class").and_then(Item::as_str) {
        return Scope::Class(class.to_owned());
    }
    let named = table.get("devices").and_then(Item::as_array);
    let mut named: Vec<String> = named
        .map(|list| list.iter().filter_map(Value::as_str).map(str::to_owned).collect())
        .unwrap_or_default();
    named.sort();
    named.dedup();
    Scope::Devices(named)
}

//! Writing down that the builder answers for a finding.

use finding::{Change, Edit, Field, Scope};
use toml_edit::{Item, TableLike, Value};

use super::{EditError, parse, row};

/// The edit that adds an `[[accept]]` entry for these devices, or changes the reason of the one that is there for the same.
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
) -> Result<Edit, EditError> {
    answer(text, rule, &Scope::Devices(devices.to_vec()), reason, by)
}

/// The edit that adds an `[[accept]]` entry that covers devices, a class or the whole job, or changes the reason of the
/// one that is there for the same.
///
/// # Errors
///
/// The text cannot be parsed.
pub fn answer(
    text: &str,
    rule: &str,
    covers: &Scope,
    reason: &str,
    by: Option<&str>,
) -> Result<Edit, EditError> {
    let document = parse(text)?;
    let covers = match covers {
        Scope::Devices(devices) => {
            let mut sorted = devices.clone();
            sorted.sort();
            sorted.dedup();
            Scope::Devices(sorted)
        }
        wide => wide.clone(),
    };
    let same = |table: &&dyn TableLike| {
        table.get("rule").and_then(Item::as_str) == Some(rule) && scope(*table) == covers
    };
    let entries = row::rows(&document, "accept");
    let known = entries.iter().position(same);
    let number = known.unwrap_or(entries.len()).to_string();
    let at = |key: &str| Field::of("accept", &number, key);
    let mut changes = Vec::new();
    if known.is_none() {
        changes.push(Change::set(at("rule"), rule));
        changes.push(match &covers {
            Scope::Devices(devices) => Change::set(at("devices"), devices.as_slice()),
            Scope::Class(class) => Change::set(at("class"), class),
            Scope::WholeJob => Change::set(at("whole_job"), true),
        });
    }
    changes.push(Change::set(at("reason"), reason));
    if let Some(by) = by {
        changes.push(Change::set(at("by"), by));
    }
    Ok(Edit::new(format!("answer for {rule}: {covers}"), changes))
}

/// What an entry covers.
fn scope(table: &dyn TableLike) -> Scope {
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

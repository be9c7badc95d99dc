//! Writing down that the builder answers for a finding.

use finding::{Change, Edit, Field};
use toml_edit::{Item, TableLike, Value};

use super::{EditError, parse, row};

/// The edit that adds an `[[accept]]` entry, or changes the reason of the one that is there for the same finding.
pub fn accept(
    text: &str,
    rule: &str,
    devices: &[String],
    reason: &str,
    by: Option<&str>,
) -> Result<Edit, EditError> {
    let document = parse(text)?;
    let mut sorted = devices.to_vec();
    sorted.sort();
    sorted.dedup();
    let same = |table: &&dyn TableLike| {
        let mut named: Vec<&str> = table
            .get("devices")
            .and_then(Item::as_array)
            .map(|a| a.iter().filter_map(Value::as_str).collect())
            .unwrap_or_default();
        named.sort_unstable();
        table.get("rule").and_then(Item::as_str) == Some(rule) && named == sorted
    };
    let entries = row::rows(&document, "accept");
    let known = entries.iter().position(same);
    let number = known.unwrap_or(entries.len()).to_string();
    let at = |key: &str| Field::of("accept", &number, key);
    let mut changes = Vec::new();
    if known.is_none() {
        changes.push(Change::set(at("rule"), rule));
        changes.push(Change::set(at("devices"), sorted));
    }
    changes.push(Change::set(at("reason"), reason));
    changes.extend(by.map(|by| Change::set(at("by"), by)));
    Ok(Edit::new(format!("answer for {rule}: {}", devices.join(", ")), changes))
}

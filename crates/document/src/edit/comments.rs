//! The comments inside something that is taken away: whatever goes, what people wrote stays.

use toml_edit::{InlineTable, Item, Key, RawString, Table, Value};

/// Every comment inside an item, in the order written, each on a line of its own. What stands above a table with a header and
/// above or behind a single value is not inside.
pub(super) fn within(item: &Item) -> String {
    let mut found = String::new();
    of_item(item, &mut found);
    found
}

/// The comments of some text between values.
fn push(text: Option<&RawString>, found: &mut String) {
    let lines = text.and_then(RawString::as_str).unwrap_or_default().lines().map(str::trim);
    for line in lines.filter(|line| line.starts_with('#')) {
        found.push_str(line);
        found.push('\n');
    }
}

fn of_item(item: &Item, found: &mut String) {
    match item {
        Item::None => {}
        Item::Value(value) => of_value(value, found),
        Item::Table(table) => of_table(table, found),
        Item::ArrayOfTables(rows) => {
            for row in rows {
                push(row.decor().prefix(), found);
                of_table(row, found);
            }
        }
    }
}

fn of_table(table: &Table, found: &mut String) {
    // Behind the header.
    push(table.decor().suffix(), found);
    for (name, item) in table {
        if let Some(key) = table.key(name) {
            of_key(key, found);
        }
        match item {
            Item::Table(inner) if !inner.is_dotted() => push(inner.decor().prefix(), found),
            Item::Value(value) => push(value.decor().prefix(), found),
            _ => {}
        }
        of_item(item, found);
        if let Item::Value(value) = item {
            push(value.decor().suffix(), found);
        }
    }
}

fn of_key(key: &Key, found: &mut String) {
    push(key.leaf_decor().prefix(), found);
    push(key.leaf_decor().suffix(), found);
}

fn of_value(value: &Value, found: &mut String) {
    match value {
        Value::Array(array) => {
            for inner in array {
                push(inner.decor().prefix(), found);
                of_value(inner, found);
                push(inner.decor().suffix(), found);
            }
            push(Some(array.trailing()), found);
        }
        Value::InlineTable(table) => of_inline(table, found),
        _ => {}
    }
}

fn of_inline(table: &InlineTable, found: &mut String) {
    for (name, inner) in table {
        if let Some(key) = table.key(name) {
            of_key(key, found);
        }
        push(inner.decor().prefix(), found);
        of_value(inner, found);
        push(inner.decor().suffix(), found);
    }
    push(Some(table.trailing()), found);
}

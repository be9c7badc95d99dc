//! Rows: devices, runs, leads and their like, added at the end of their list and taken away whole.

use finding::Field;
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, TableLike, Value};

use super::EditError;
use super::order::{END, last_position};
use super::remove::comment_above;
use crate::format::{Shape, Table as Format};

/// Whether a key at the top holds a list of rows.
pub(super) fn is_list(root: &'static Format, list: &str) -> bool {
    root.key(list).is_some_and(|key| matches!(key.shape, Shape::Tables(..)))
}

/// What a row of a list is known by: a tag, a name, the number of an answer; a lead by its ends, `A1.OUT > A2.IN`,
/// or `S.1 + S.2 + A1.DC` where it has a joint.
pub(super) fn id_of(list: &str, index: usize, table: &dyn TableLike) -> String {
    let text = |key: &str| table.get(key).and_then(Item::as_str).unwrap_or_default();
    match list {
        "device" => text("tag").to_owned(),
        "lead" => match table.get("ends").and_then(Item::as_array) {
            Some(ends) => ends.iter().filter_map(Value::as_str).collect::<Vec<_>>().join(" + "),
            None => format!("{} > {}", text("from"), text("to")),
        },
        "accept" => index.to_string(),
        _ => text("name").to_owned(),
    }
}

/// Whether a key is one that a row is known by.
pub(super) fn is_id(list: &str, key: &str) -> bool {
    match list {
        "device" => key == "tag",
        "lead" => matches!(key, "from" | "to" | "ends"),
        "accept" => false,
        _ => key == "name",
    }
}

/// Writes what a row is known by into it.
pub(super) fn set_id(list: &str, table: &mut dyn TableLike, id: &str) {
    let mut put = |key: &str, value: Value| super::replace(table, key, value);
    match list {
        "device" => put("tag", id.into()),
        "lead" if id.contains(" + ") => put("ends", Value::Array(id.split(" + ").collect::<Array>())),
        "lead" => {
            let (from, to) = id.split_once(" > ").unwrap_or((id, ""));
            put("from", from.into());
            put("to", to.into());
        }
        "accept" => {}
        _ => put("name", id.into()),
    }
}

/// What is wrong with an id, if anything.
pub(super) fn check_id(list: &str, id: &str) -> Result<(), &'static str> {
    let is_bare = match list {
        "lead" => {
            let two = id.split_once(" > ").is_some_and(|(from, to)| !from.is_empty() && !to.is_empty());
            let more = 3 <= id.split(" + ").filter(|end| !end.is_empty()).count();
            return if two || more { Ok(()) } else { Err("a lead is known by its ends: `A1.OUT > A2.IN`") };
        }
        "accept" => return Ok(()),
        _ => id.trim().is_empty() || id.contains('.') || id.chars().any(char::is_control),
    };
    if is_bare { Err("a tag or name is not empty and has no dot") } else { Ok(()) }
}

/// The rows of a list, however they are written.
pub(super) fn rows<'a>(document: &'a DocumentMut, list: &str) -> Vec<&'a dyn TableLike> {
    match document.get(list) {
        Some(Item::ArrayOfTables(tables)) => tables.iter().map(|table| table as &dyn TableLike).collect(),
        Some(Item::Value(Value::Array(array))) => array
            .iter()
            .filter_map(|value| value.as_inline_table().map(|table| table as &dyn TableLike))
            .collect(),
        _ => Vec::new(),
    }
}

/// The rows of a list to change them.
pub(super) fn rows_mut<'a>(document: &'a mut DocumentMut, list: &str) -> Vec<&'a mut dyn TableLike> {
    match document.get_mut(list) {
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

/// Whether a list has the row.
pub(super) fn is_there(document: &DocumentMut, list: &str, id: &str) -> bool {
    rows(document, list).iter().enumerate().any(|(index, row)| id_of(list, index, *row) == id)
}

/// The row that an id names: where its header stands, whether it has none, and the row.
pub(super) fn find<'a>(
    item: &'a mut Item,
    list: &str,
    id: &str,
) -> Option<(Option<isize>, bool, &'a mut dyn TableLike)> {
    let is_it = |index: usize, table: &dyn TableLike| id_of(list, index, table) == id;
    match item {
        Item::ArrayOfTables(tables) => {
            let index = tables.iter().enumerate().position(|(index, table)| is_it(index, table))?;
            let table = tables.get_mut(index)?;
            Some((table.position(), false, table as &mut dyn TableLike))
        }
        Item::Value(Value::Array(array)) => {
            let index = array.iter().enumerate().position(|(index, value)| {
                value.as_inline_table().is_some_and(|table| is_it(index, table))
            })?;
            let table = array.get_mut(index)?.as_inline_table_mut()?;
            Some((None, true, table as &mut dyn TableLike))
        }
        _ => None,
    }
}

/// Adds a row at the end of its list where it is missing.
pub(super) fn ensure(document: &mut DocumentMut, list: &str, id: &str) -> Result<(), EditError> {
    if is_there(document, list, id) {
        return Ok(());
    }
    let field = Field::of(list, id, "");
    check_id(list, id).map_err(|why| EditError::Unsuitable {
        field: field.clone(),
        value: id.to_owned(),
        why: why.to_owned(),
    })?;
    // An answer is known by its number: only the next one can be new.
    if list == "accept" && rows(document, list).len().to_string() != id {
        return Err(EditError::NotThere(field));
    }
    let item = document.entry(list).or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
    match item {
        Item::ArrayOfTables(rows) => {
            let mut row = Table::new();
            row.decor_mut().set_prefix("\n");
            set_id(list, &mut row, id);
            // Behind the last of its list, not at the end of the document.
            row.set_position(Some(rows.iter().filter_map(last_position).max().unwrap_or(END)));
            rows.push(row);
        }
        Item::Value(Value::Array(rows)) => {
            let mut row = InlineTable::new();
            set_id(list, &mut row, id);
            rows.push(row);
        }
        _ => return Err(EditError::NotThere(field)),
    }
    Ok(())
}

/// Makes a named thing at the top (a source, a sink, a kind) with a header of its own, where it is missing and no
/// brace holds its kin.
pub(super) fn begin(document: &mut DocumentMut, group: &str, name: &str) -> Result<(), EditError> {
    if document.get(group).is_none() {
        let mut table = Table::new();
        table.set_implicit(true);
        document.insert(group, Item::Table(table));
    }
    match document.get_mut(group) {
        Some(Item::Table(table)) if !table.is_dotted() => {
            if table.contains_key(name) {
                return Ok(());
            }
            let mut new = Table::new();
            new.decor_mut().set_prefix("\n");
            // Beside its kin, when there are some.
            let kin = table.iter().filter_map(|(_, item)| item.as_table().and_then(last_position)).max();
            new.set_position(Some(kin.unwrap_or(END)));
            table.insert(name, Item::Table(new));
            Ok(())
        }
        // In braces or points: the walk to the value makes it as it makes any other.
        Some(Item::Table(_) | Item::Value(Value::InlineTable(_))) => Ok(()),
        _ => Err(EditError::NotThere(Field::of(group, name, ""))),
    }
}

/// What a row that is gone leaves behind.
pub(super) struct Taken {
    /// Where its last table stood.
    pub(super) position: Option<isize>,
    /// The comment above it.
    pub(super) comment: String,
}

/// Takes a row of a list away. Comments above it stay, above what follows; those within go with it. A row that is
/// not there changes nothing.
pub(super) fn take(document: &mut DocumentMut, list: &str, id: &str) -> Result<(), EditError> {
    let Some(item) = document.get_mut(list) else { return Ok(()) };
    let mut taken = None;
    let mut is_empty = false;
    match item {
        Item::ArrayOfTables(rows) => {
            let at = rows.iter().enumerate().position(|(index, row)| id_of(list, index, row) == id);
            let Some(at) = at else { return Ok(()) };
            taken =
                rows.get(at).map(|row| Taken { position: last_position(row), comment: comment_above(row) });
            rows.remove(at);
            is_empty = rows.is_empty();
        }
        Item::Value(Value::Array(rows)) => {
            let at = rows.iter().enumerate().position(|(index, row)| {
                row.as_inline_table().is_some_and(|row| id_of(list, index, row) == id)
            });
            let Some(at) = at else { return Ok(()) };
            rows.remove(at);
        }
        _ => return Err(EditError::NotThere(Field::of(list, id, ""))),
    }
    if is_empty {
        document.remove(list);
    }
    if let Some(taken) = taken {
        taken.hand_on(document);
    }
    Ok(())
}

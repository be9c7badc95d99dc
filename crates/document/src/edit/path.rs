//! From an address to the table that holds the value.

use finding::Field;
use toml_edit::{DocumentMut, InlineTable, Item, TableLike, Value};

use super::EditError;
use crate::format::{Key, RIG, Shape, Table};

/// Where the walk along an address stands in the format.
enum Here {
    /// In a table: the next part is one of its keys.
    In(&'static Table),
    /// At a list or set of named tables: the next part names one.
    Among(&'static Table),
    /// At named values: the next part names one.
    Values(&'static Shape),
    /// At a value.
    At,
}

/// The shape the format wants at an address; `None` when the address is not of the format or names a table.
pub(super) fn shape_of(field: &Field) -> Option<&'static Shape> {
    walk(field).map(|(shape, _)| shape)
}

/// Whether an address names one of several named tables: a deck, a port, a source.
pub(super) fn is_named_table(field: &Field) -> bool {
    let Some((_, group)) = field.parts().split_last() else { return false };
    matches!(shape_of(&Field::new(group.iter().cloned())), Some(Shape::Named(_)))
}

/// The key of the format at an address; `None` also for values that are named freely.
pub(super) fn key_of(field: &Field) -> Option<&'static Key> {
    walk(field).and_then(|(_, key)| key)
}

fn walk(field: &Field) -> Option<(&'static Shape, Option<&'static Key>)> {
    let mut here = Here::In(&RIG);
    let mut last = None;
    for part in field.parts() {
        here = match here {
            Here::In(table) => {
                let key = table.key(part)?;
                let shape = &key.shape;
                last = Some((shape, Some(key)));
                match shape {
                    Shape::Table(inner) => Here::In(inner),
                    Shape::Named(inner) | Shape::Tables(inner, _) => Here::Among(inner),
                    Shape::Values(inner) => Here::Values(inner),
                    _ => Here::At,
                }
            }
            Here::Among(table) => {
                last = None;
                Here::In(table)
            }
            Here::Values(inner) => {
                last = Some((inner, None));
                Here::At
            }
            Here::At => return None,
        };
    }
    last
}

/// The table that holds the last part of an address, and that part.
///
/// `[[device]]` and its kin are searched by tag or name, `[[lead]]` by its two ends, `[[accept]]` by
/// number. With `make`, inline tables on the way that are missing are written.
pub(super) fn table_at<'a>(
    document: &'a mut DocumentMut,
    field: &Field,
    make: bool,
) -> Result<(String, &'a mut dyn TableLike), EditError> {
    let missing = || EditError::NotThere(field.clone());
    let (last, way) = field.parts().split_last().ok_or_else(missing)?;
    let mut table: &mut dyn TableLike = document.as_table_mut();
    let mut parts = way.iter();
    while let Some(part) = parts.next() {
        if make && table.get(part).is_none() {
            // Only tables may be made; a device or run must be there already.
            let listed = matches!(part.as_str(), "device" | "run" | "lead" | "state" | "accept");
            if listed {
                return Err(missing());
            }
            table.insert(part, Item::Value(Value::InlineTable(InlineTable::new())));
        }
        let item = table.get_mut(part).ok_or_else(missing)?;
        table = if item.is_array_of_tables() || item.is_array() {
            let id = parts.next().ok_or_else(missing)?;
            row(item, part, id).ok_or_else(missing)?
        } else {
            item.as_table_like_mut().ok_or_else(missing)?
        };
    }
    Ok((last.clone(), table))
}

/// The row of a list of tables that an id names.
fn row<'a>(item: &'a mut Item, list: &str, id: &str) -> Option<&'a mut dyn TableLike> {
    let is_it = |index: usize, table: &dyn TableLike| id_of(list, index, table) == id;
    match item {
        Item::ArrayOfTables(tables) => {
            let index = tables.iter().enumerate().position(|(index, table)| is_it(index, table))?;
            tables.get_mut(index).map(|table| table as &mut dyn TableLike)
        }
        Item::Value(Value::Array(array)) => {
            let index = array.iter().enumerate().position(|(index, value)| {
                value.as_inline_table().is_some_and(|table| is_it(index, table))
            })?;
            array.get_mut(index)?.as_inline_table_mut().map(|table| table as &mut dyn TableLike)
        }
        _ => None,
    }
}

/// What a row of a list of tables is known by.
pub(super) fn id_of(list: &str, index: usize, table: &dyn TableLike) -> String {
    let text = |key: &str| table.get(key).and_then(Item::as_str).unwrap_or_default();
    match list {
        "device" => text("tag").to_owned(),
        "lead" => format!("{} > {}", text("from"), text("to")),
        "accept" => index.to_string(),
        "requirements" => text("id").to_owned(),
        _ => text("name").to_owned(),
    }
}

/// Writes what a row is known by into it.
pub(super) fn set_id(list: &str, table: &mut dyn TableLike, id: &str) {
    let mut put = |key: &str, text: &str| {
        table.insert(key, toml_edit::value(text));
    };
    match list {
        "device" => put("tag", id),
        "lead" => {
            let (from, to) = id.split_once(" > ").unwrap_or((id, ""));
            put("from", from);
            put("to", to);
        }
        _ => put("name", id),
    }
}

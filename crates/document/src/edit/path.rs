//! From an address to the table that holds the value.

use finding::Field;
use toml_edit::{DocumentMut, InlineTable, Item, TableLike, Value};

use super::order::{END, last_position};
use super::{EditError, replace, row};
use crate::format::{Key, Shape, Table};

/// What an address is about.
pub(super) enum Aim {
    /// A value, and the key of the format it stands under; none for values that are named freely.
    Value(&'static Shape, Option<&'static Key>),
    /// A table, a group of named tables or values, or one of the named tables.
    Table,
    /// A whole list of rows.
    List,
    /// One row of a list.
    Row,
}

/// Where the walk along an address stands in the format.
enum Here {
    /// In a table: the next part is one of its keys.
    In(&'static Table),
    /// At a group of named tables: the next part names one.
    Among(&'static Table),
    /// At a list of rows: the next part names one.
    Listed(&'static Table),
    /// At named values: the next part names one.
    Values(&'static Shape),
    /// At a value.
    At,
}

/// What an address is about; `None` when it is not of the format.
pub(super) fn aim_of(root: &'static Table, field: &Field) -> Option<Aim> {
    let mut here = Here::In(root);
    let mut aim = None;
    for part in field.parts() {
        (here, aim) = match here {
            Here::In(table) => {
                let key = table.key(part)?;
                match &key.shape {
                    Shape::Table(inner) => (Here::In(inner), Some(Aim::Table)),
                    Shape::Named(inner) => (Here::Among(inner), Some(Aim::Table)),
                    Shape::Tables(inner, _) => (Here::Listed(inner), Some(Aim::List)),
                    Shape::Values(inner) => (Here::Values(inner), Some(Aim::Table)),
                    shape => (Here::At, Some(Aim::Value(shape, Some(key)))),
                }
            }
            Here::Among(table) => (Here::In(table), Some(Aim::Table)),
            Here::Listed(table) => (Here::In(table), Some(Aim::Row)),
            Here::Values(inner) => (Here::At, Some(Aim::Value(inner, None))),
            Here::At => return None,
        };
    }
    aim
}

/// The place of a value: the table that holds it and its key there.
pub(super) struct Spot<'a> {
    /// The last part of the address.
    pub(super) key: String,
    /// The table.
    pub(super) table: &'a mut dyn TableLike,
    /// Whether the table is written in braces, or in points.
    pub(super) is_inline: bool,
    /// The place in the text of the table with a header that all of it stands in.
    pub(super) position: Option<isize>,
}

/// The place of a value; `None` when a table or row on the way is missing. With `make` those are written: a row at
/// the end of its list, a named table as its kin are written.
pub(super) fn spot<'a>(
    root: &'static Table,
    document: &'a mut DocumentMut,
    field: &Field,
    make: bool,
) -> Result<Option<Spot<'a>>, EditError> {
    let unknown = || EditError::NoSuchValue(field.clone());
    let (last, way) = field.parts().split_last().ok_or_else(unknown)?;
    if make && let [list, id, ..] = way {
        match root.key(list).map(|key| &key.shape) {
            Some(Shape::Tables(..)) => row::ensure(document, list, id)?,
            Some(Shape::Named(_)) => row::begin(document, list, id)?,
            _ => {}
        }
    }
    let mut here = Here::In(root);
    let mut spot = Spot {
        key: last.clone(),
        position: document.position(),
        table: document.as_table_mut(),
        is_inline: false,
    };
    for (depth, part) in way.iter().enumerate() {
        let is_row = matches!(here, Here::Listed(_));
        here = match here {
            Here::In(table) => match &table.key(part).ok_or_else(unknown)?.shape {
                Shape::Table(inner) => Here::In(inner),
                Shape::Named(inner) => Here::Among(inner),
                Shape::Tables(inner, _) => Here::Listed(inner),
                Shape::Values(inner) => Here::Values(inner),
                _ => return Err(unknown()),
            },
            Here::Among(table) | Here::Listed(table) => Here::In(table),
            Here::Values(_) | Here::At => return Err(unknown()),
        };
        // The list itself is passed over: its row is the next step.
        if matches!(here, Here::Listed(_)) {
            continue;
        }
        if make && !is_row && !spot.table.contains_key(part) {
            let is_top = depth == 0;
            let kin = spot.table.iter().filter_map(|(_, item)| header_of(item)).max();
            let is_named = matches!(here, Here::In(_)) && 0 < depth && is_group(root, &way[..depth]);
            if !spot.is_inline && (is_top || (is_named && kin.is_some())) {
                let mut new = toml_edit::Table::new();
                new.decor_mut().set_prefix("\n");
                new.set_implicit(matches!(here, Here::Among(_)));
                if !matches!(here, Here::Among(_)) {
                    new.set_position(Some(if is_top { END } else { kin.unwrap_or(END) }));
                }
                spot.table.insert(part, Item::Table(new));
            } else {
                replace(spot.table, part, Value::InlineTable(InlineTable::new()));
            }
        }
        let wrong = || EditError::NotThere(field.clone());
        let next = if is_row {
            let list = &way[depth - 1];
            match spot.table.get_mut(list) {
                Some(item) => row::find(item, list, part),
                None => None,
            }
        } else {
            match spot.table.get_mut(part) {
                Some(Item::Table(table)) => {
                    let dotted = table.is_dotted();
                    Some((table.position(), dotted, table as &mut dyn TableLike))
                }
                Some(Item::Value(Value::InlineTable(table))) => {
                    Some((None, true, table as &mut dyn TableLike))
                }
                Some(_) => return Err(wrong()),
                None => None,
            }
        };
        let Some((position, is_inline, table)) = next else { return Ok(None) };
        spot = Spot {
            key: spot.key,
            position: position.or(spot.position),
            is_inline: spot.is_inline || is_inline,
            table,
        };
    }
    Ok(Some(spot))
}

/// Whether an address names a group whose members have names of their own.
fn is_group(root: &'static Table, way: &[String]) -> bool {
    let mut here = Here::In(root);
    for part in way {
        here = match here {
            Here::In(table) => match table.key(part).map(|key| &key.shape) {
                Some(Shape::Table(inner)) => Here::In(inner),
                Some(Shape::Named(inner)) => Here::Among(inner),
                Some(Shape::Tables(inner, _)) => Here::Listed(inner),
                _ => return false,
            },
            Here::Among(table) | Here::Listed(table) => Here::In(table),
            Here::Values(_) | Here::At => return false,
        };
    }
    matches!(here, Here::Among(_))
}

/// The last place of a table with a header.
fn header_of(item: &Item) -> Option<isize> {
    item.as_table().filter(|table| !table.is_dotted()).and_then(last_position)
}

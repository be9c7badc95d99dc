//! Rows: devices, runs, leads and their like, added at the end of their list and taken away whole.

use finding::Field;
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, Value};

use super::path::{id_of, set_id};
use super::{EditError, parse};

/// The lists of tables a document has at its top.
const LISTS: &[&str] = &["device", "run", "lead", "state", "moment"];

/// Adds a row to `device`, `run`, `lead`, `state` or `moment`, known by `id`: a tag, a name, or for a lead
/// its two ends as `A1.OUT > A2.IN`. A row that is there already stays as it is.
///
/// The values of the row are then set one by one with [`set`](super::set).
pub fn append(text: &str, list: &str, id: &str) -> Result<String, EditError> {
    let field = Field::of(list, id, "");
    if !LISTS.contains(&list) {
        return Err(EditError::NoSuchValue(field));
    }
    let mut document = parse(text)?;
    let known = document.as_table().contains_key(list);
    let item = document.entry(list).or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
    match item {
        Item::ArrayOfTables(rows) => {
            if rows.iter().enumerate().any(|(index, row)| id_of(list, index, row) == id) {
                return Ok(text.to_owned());
            }
            let mut row = Table::new();
            row.decor_mut().set_prefix("\n");
            set_id(list, &mut row, id);
            // Behind the last of its list, not at the end of the document.
            if let Some(last) = rows.iter().filter_map(last_position).max() {
                row.set_position(Some(last));
            } else if known {
                row.set_position(None);
            }
            rows.push(row);
        }
        Item::Value(Value::Array(rows)) => {
            let there = rows
                .iter()
                .enumerate()
                .any(|(index, row)| row.as_inline_table().is_some_and(|row| id_of(list, index, row) == id));
            if there {
                return Ok(text.to_owned());
            }
            let mut row = toml_edit::InlineTable::new();
            set_id(list, &mut row, id);
            rows.push(row);
        }
        _ => return Err(EditError::NotThere(field)),
    }
    Ok(document.to_string())
}

/// Makes a named table such as `[source.guitar]` with a header of its own, where it is missing.
pub fn begin(text: &str, group: &str, name: &str) -> Result<String, EditError> {
    let field = Field::of(group, name, "");
    if !matches!(group, "source" | "sink") {
        return Err(EditError::NoSuchValue(field));
    }
    let mut document = parse(text)?;
    if document.get(group).is_none() {
        let mut table = Table::new();
        table.set_implicit(true);
        document.insert(group, Item::Table(table));
    }
    match document.get_mut(group) {
        Some(Item::Table(table)) => {
            if table.contains_key(name) {
                return Ok(text.to_owned());
            }
            let mut new = Table::new();
            new.decor_mut().set_prefix("\n");
            // Beside its kin, when there are some.
            new.set_position(
                table.iter().filter_map(|(_, item)| item.as_table().and_then(last_position)).max(),
            );
            table.insert(name, Item::Table(new));
        }
        Some(Item::Value(Value::InlineTable(table))) => {
            if table.contains_key(name) {
                return Ok(text.to_owned());
            }
            table.insert(name, Value::InlineTable(toml_edit::InlineTable::new()));
        }
        _ => return Err(EditError::NotThere(field)),
    }
    Ok(document.to_string())
}

/// Takes a row of a list away, or a named table of `source` or `sink`. Comments above it stay, above what
/// follows; those within go with it. A row that is not there changes nothing.
pub fn remove_row(text: &str, list: &str, id: &str) -> Result<String, EditError> {
    let field = Field::of(list, id, "");
    let of_format = LISTS.contains(&list) || matches!(list, "accept" | "source" | "sink");
    if !of_format {
        return Err(EditError::NoSuchValue(field));
    }
    let mut document = parse(text)?;
    let Some(item) = document.get_mut(list) else { return Ok(text.to_owned()) };
    let mut left = None;
    let mut is_empty = false;
    match item {
        Item::ArrayOfTables(rows) => {
            let at = rows.iter().enumerate().position(|(index, row)| id_of(list, index, row) == id);
            let Some(at) = at else { return Ok(text.to_owned()) };
            left = rows.get(at).map(|row| (last_position(row), prefix(row)));
            rows.remove(at);
            is_empty = rows.is_empty();
        }
        Item::Table(table) => {
            let Some(gone) = table.remove(id) else { return Ok(text.to_owned()) };
            left = gone.as_table().map(|gone| (last_position(gone), prefix(gone)));
            is_empty = table.is_empty() && table.is_implicit();
        }
        Item::Value(Value::Array(rows)) => {
            let at = rows.iter().enumerate().position(|(index, row)| {
                row.as_inline_table().is_some_and(|row| id_of(list, index, row) == id)
            });
            let Some(at) = at else { return Ok(text.to_owned()) };
            rows.remove(at);
        }
        Item::Value(Value::InlineTable(table)) => {
            table.remove(id);
        }
        _ => return Err(EditError::NotThere(field)),
    }
    if is_empty {
        document.remove(list);
    }
    if let Some((position, comment)) = left
        && comment.contains('#')
    {
        hand_on(&mut document, position, comment.trim_end_matches(' '));
    }
    Ok(document.to_string())
}

/// Puts a comment that lost its table above the next table, or at the end.
fn hand_on(document: &mut DocumentMut, position: Option<isize>, comment: &str) {
    let mut next = None;
    if let Some(position) = position {
        find_next(document.as_table(), position, &mut next);
    }
    if let Some(next) = next
        && let Some(table) = at_position(document.as_table_mut(), next)
    {
        let after = prefix(table);
        table.decor_mut().set_prefix(format!("{comment}{after}"));
        return;
    }
    let trailing = document.trailing().as_str().unwrap_or("").to_owned();
    document.set_trailing(format!("{comment}{trailing}"));
}

fn prefix(table: &Table) -> String {
    table.decor().prefix().and_then(|prefix| prefix.as_str()).unwrap_or("").to_owned()
}

/// The position of a table or of the last table below it.
fn last_position(table: &Table) -> Option<isize> {
    let mut last = table.position();
    for (_, item) in table {
        match item {
            Item::Table(inner) => last = last.max(last_position(inner)),
            Item::ArrayOfTables(rows) => {
                last = rows.iter().filter_map(last_position).max().max(last);
            }
            _ => {}
        }
    }
    last
}

fn find_next(table: &Table, after: isize, best: &mut Option<isize>) {
    for (_, item) in table {
        match item {
            Item::Table(inner) => consider(inner, after, best),
            Item::ArrayOfTables(rows) => rows.iter().for_each(|row| consider(row, after, best)),
            _ => {}
        }
    }
}

fn consider(table: &Table, after: isize, best: &mut Option<isize>) {
    if let Some(position) = table.position().filter(|position| after < *position && !table.is_implicit())
        && best.is_none_or(|best| position < best)
    {
        *best = Some(position);
    }
    find_next(table, after, best);
}

fn at_position(table: &mut Table, position: isize) -> Option<&mut Table> {
    for (_, item) in table.iter_mut() {
        let found = match item {
            Item::Table(inner) => {
                let is_it = inner.position() == Some(position) && !inner.is_implicit();
                if is_it { Some(inner) } else { at_position(inner, position) }
            }
            Item::ArrayOfTables(rows) => rows.iter_mut().find_map(|row| {
                if row.position() == Some(position) { Some(row) } else { at_position(row, position) }
            }),
            _ => None,
        };
        if found.is_some() {
            return found;
        }
    }
    None
}

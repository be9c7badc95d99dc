//! Giving a row another id everywhere it is named.

use finding::Field;
use toml_edit::{DocumentMut, Item, TableLike, Value};

use super::row::{self, rows_mut};
use super::{EditError, replace};
use crate::format::Table;

/// Renames a row. A device: its tag, and every stop, lead, feed, state, switch, answer and wish that names it. A state: also
/// the moments that name it. A run: also the wishes that name it.
pub(super) fn rename(
    root: &'static Table,
    document: &mut DocumentMut,
    field: &Field,
    to: &str,
) -> Result<(), EditError> {
    let [list, from] = field.parts() else { return Err(EditError::NoSuchValue(field.clone())) };
    if !row::is_list(root, list) || list == "accept" {
        return Err(EditError::NoSuchValue(field.clone()));
    }
    let refuse =
        |why: &str| EditError::Unsuitable { field: field.clone(), value: to.to_owned(), why: why.to_owned() };
    row::check_id(list, to).map_err(refuse)?;
    if from == to {
        return Ok(());
    }
    match (row::is_there(document, list, from), row::is_there(document, list, to)) {
        (_, true) => return Err(refuse("another one has that name")),
        (false, false) => return Err(EditError::NotThere(field.clone())),
        (true, false) => {}
    }
    match list.as_str() {
        "device" => device(document, from, to),
        list => {
            let at = row::rows(document, list)
                .iter()
                .enumerate()
                .position(|(index, row)| row::id_of(list, index, *row) == *from);
            if let Some(row) = at.and_then(|at| rows_mut(document, list).into_iter().nth(at)) {
                if list == "lead" {
                    let other = if to.contains(" + ") { &["from", "to"][..] } else { &["ends"] };
                    for key in other {
                        row.remove(key);
                    }
                }
                row::set_id(list, row, to);
            }
            if list == "run" {
                let renamed = |name: &str| (name == from).then(|| to.to_owned());
                for_each_wish(document, |wish| word(wish, "run", &renamed));
            }
            if list == "state" {
                let renamed = |name: &str| (name == from).then(|| to.to_owned());
                for row in rows_mut(document, "moment") {
                    word(row, "before", &renamed);
                    word(row, "after", &renamed);
                }
            }
        }
    }
    Ok(())
}

fn device(document: &mut DocumentMut, from: &str, to: &str) {
    let renamed = |name: &str| match name.strip_prefix(from) {
        Some("") => Some(to.to_owned()),
        Some(rest) if rest.starts_with('.') => Some(format!("{to}{rest}")),
        _ => None,
    };
    for row in rows_mut(document, "device") {
        word(row, "tag", &renamed);
        if let Some(feed) = row.get_mut("feed").and_then(Item::as_table_like_mut) {
            words(feed, "outlets", &renamed);
        }
    }
    for (list, key) in [
        ("run", "stops"),
        ("state", "engaged"),
        ("switching", "devices"),
        ("accept", "devices"),
        ("lead", "ends"),
    ] {
        for row in rows_mut(document, list) {
            words(row, key, &renamed);
        }
    }
    for_each_wish(document, |wish| {
        for key in ["order", "of", "beside", "together", "apart", "without"] {
            words(wish, key, &renamed);
        }
        word(wish, "from", &renamed);
    });
    for row in rows_mut(document, "lead") {
        word(row, "from", &renamed);
        word(row, "to", &renamed);
        // What a lead with a joint says end by end.
        for key in ["plugs", "exits", "legs"] {
            if let Some(by_end) = row.get_mut(key).and_then(Item::as_table_like_mut) {
                keys(by_end, &renamed);
            }
        }
    }
}

/// Every wish of every requirement, in brackets or with headers.
fn for_each_wish(document: &mut DocumentMut, mut act: impl FnMut(&mut dyn TableLike)) {
    let Some(brief) = document.get_mut("brief").and_then(Item::as_table_like_mut) else { return };
    for requirement in tables_mut(brief, "requirements") {
        tables_mut(requirement, "wants").into_iter().for_each(&mut act);
    }
}

/// The tables of a list below a table, in whatever form they are written.
fn tables_mut<'a>(table: &'a mut dyn TableLike, key: &str) -> Vec<&'a mut dyn TableLike> {
    match table.get_mut(key) {
        Some(Item::ArrayOfTables(rows)) => rows.iter_mut().map(|row| row as &mut dyn TableLike).collect(),
        Some(Item::Value(Value::Array(rows))) => {
            let inline = rows.iter_mut().filter_map(Value::as_inline_table_mut);
            inline.map(|row| row as &mut dyn TableLike).collect()
        }
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

/// Renames keys; their order, their comments and what stands under them stay.
fn keys(table: &mut dyn TableLike, renamed: &impl Fn(&str) -> Option<String>) {
    let names: Vec<String> = table.iter().map(|(name, _)| name.to_owned()).collect();
    if names.iter().all(|name| renamed(name).is_none()) {
        return;
    }
    for name in names {
        let decor = table.key(&name).map(|key| key.leaf_decor().clone());
        let Some(item) = table.remove(&name) else { continue };
        let new = renamed(&name).unwrap_or(name);
        table.insert(&new, item);
        if let (Some(decor), Some(mut key)) = (decor, table.key_mut(&new)) {
            *key.leaf_decor_mut() = decor;
        }
    }
}

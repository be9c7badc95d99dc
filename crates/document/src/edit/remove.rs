//! Taking values, named things and rows away. Comments above them stay, above what follows.

use finding::Field;
use toml_edit::{DocumentMut, Item, Table, TableLike, Value};

use super::order::last_position;
use super::path::{Aim, aim_of, spot};
use super::{EditError, comments, row};
use crate::format::Table as Format;

/// Takes away what stands at an address; what is not there stays not there.
///
/// A comment above it or behind it stays, above what follows. A named table, such as a deck or a port, and a row go with all that
/// is in them.
pub(super) fn remove(
    root: &'static Format,
    document: &mut DocumentMut,
    field: &Field,
) -> Result<(), EditError> {
    match (aim_of(root, field), field.parts()) {
        (None | Some(Aim::List), _) => Err(EditError::NoSuchValue(field.clone())),
        (Some(Aim::Row), [list, id]) => row::take(document, list, id),
        _ => take_value(root, document, field),
    }
}

fn take_value(root: &'static Format, document: &mut DocumentMut, field: &Field) -> Result<(), EditError> {
    let Some(spot) = spot(root, document, field, false)? else { return Ok(()) };
    let Some((gone, comment)) = take_key(spot.table, &spot.key) else { return Ok(()) };
    let left = match &gone {
        Item::Table(table) if !table.is_dotted() => {
            Some((last_position(table), comment_above(table) + &comments::within(&gone)))
        }
        Item::ArrayOfTables(rows) => {
            Some((rows.iter().filter_map(last_position).max(), comments::within(&gone)))
        }
        _ => comment.map(|comment| (spot.position, comment)),
    };
    if let [group, _] = field.parts()
        && let Some(Item::Table(table)) = document.get(group)
        && table.is_empty()
        && table.is_implicit()
    {
        document.remove(group);
    }
    if let Some((position, comment)) = left {
        hand_on(document, position, &comment);
    }
    Ok(())
}

/// Takes a key out of a table. The comments above it and behind it go to the next value; where there is none they are given
/// back with what was taken.
pub(super) fn take_key(table: &mut dyn TableLike, key: &str) -> Option<(Item, Option<String>)> {
    let keys: Vec<String> = table.iter().map(|(name, _)| name.to_owned()).collect();
    let index = keys.iter().position(|name| name == key)?;
    let mut comment = table
        .key(key)
        .and_then(|key| key.leaf_decor().prefix().and_then(|prefix| prefix.as_str().map(str::to_owned)))
        .filter(|prefix| prefix.contains('#'));
    // In an inline table the last value holds the space before the brace.
    let tail = table
        .get(key)
        .and_then(Item::as_value)
        .and_then(|value| value.decor().suffix().and_then(|suffix| suffix.as_str().map(str::to_owned)));
    if let Some(item) = table.get(key).filter(|item| !is_headed(item)) {
        let within = comments::within(item);
        if !within.is_empty() {
            comment = Some(comment.unwrap_or_default() + &within);
        }
    }
    if let Some(behind) = tail.as_deref().map(str::trim).filter(|tail| tail.starts_with('#')) {
        comment = Some(format!("{}{behind}\n", comment.unwrap_or_default()));
    }
    let gone = table.remove(key)?;
    let is_value = |name: &&String| table.get(name).is_some_and(Item::is_value);
    let next = keys.iter().skip(index + 1).find(is_value).cloned();
    if let Some(mut next) = next.and_then(|next| table.key_mut(&next))
        && let Some(comment) = comment.take()
    {
        let after = next.leaf_decor().prefix().and_then(|prefix| prefix.as_str()).unwrap_or("").to_owned();
        next.leaf_decor_mut().set_prefix(format!("{comment}{after}"));
    }
    if index + 1 == keys.len()
        && let (Some(tail), Some(previous)) = (tail, index.checked_sub(1).and_then(|i| keys.get(i)))
        && !tail.is_empty()
        && !tail.contains('#')
        && let Some(value) = table.get_mut(previous).and_then(Item::as_value_mut)
    {
        value.decor_mut().set_suffix(tail);
    }
    Some((gone, comment))
}

/// Whether it stands below a header of its own.
fn is_headed(item: &Item) -> bool {
    match item {
        Item::Table(table) => !table.is_dotted(),
        Item::ArrayOfTables(_) => true,
        Item::None | Item::Value(_) => false,
    }
}

impl row::Taken {
    /// Puts the comment of a row that is gone where it can be read.
    pub(super) fn hand_on(self, document: &mut DocumentMut) {
        hand_on(document, self.position, &self.comment);
    }
}

/// Puts a comment that lost its table above the next table, or at the end.
pub(super) fn hand_on(document: &mut DocumentMut, position: Option<isize>, comment: &str) {
    if !comment.contains('#') {
        return;
    }
    let comment = comment.trim_end_matches(' ');
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

/// What stands above the header of a table when it holds a comment, else nothing.
pub(super) fn comment_above(table: &Table) -> String {
    Some(prefix(table)).filter(|prefix| prefix.contains('#')).unwrap_or_default()
}

fn prefix(table: &Table) -> String {
    table.decor().prefix().and_then(|prefix| prefix.as_str()).unwrap_or("").to_owned()
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

/// The comment before a value in a list.
pub(super) fn prefix_of(value: &Value) -> String {
    value.decor().prefix().and_then(|prefix| prefix.as_str()).unwrap_or("").to_owned()
}

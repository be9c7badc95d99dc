//! Edits on the text of a document: comments, spacing and units stay.
//!
//! Each edit works on a mutable copy, writes it back to text, and that text is read again by whoever wants
//! to go on: spans and editability never live in one value. A value is replaced by `replace` and nowhere
//! else, because assigning it plainly would lose the comment behind it.

mod accept;
mod file;
mod given;
mod list;
mod path;
mod rename;
mod row;
mod value;

pub use accept::{accept, answer};
pub use file::write_atomically;
pub use given::set_given;
pub use list::{list_of, set_list};
pub use rename::rename;
pub use row::{append, begin, remove_row};

use finding::{Change, Edit, Field};
use toml_edit::{DocumentMut, TableLike};

use crate::format::Shape;
use path::{is_named_table, shape_of, table_at};

/// Why an edit could not be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EditError {
    /// The text is not TOML.
    #[error("the document cannot be edited because it is not TOML: {0}")]
    NotToml(String),
    /// The address is not of the format.
    #[error("`{0}` is no value of a rig document")]
    NoSuchValue(Field),
    /// What holds the value is not there.
    #[error("there is no `{0}` in the document")]
    NotThere(Field),
    /// The value does not suit its key.
    #[error("`{value}` cannot stand at `{field}`: {why}")]
    Unsuitable {
        /// Where.
        field: Field,
        /// What should stand there.
        value: String,
        /// Why it cannot.
        why: String,
    },
}

/// Makes the changes of an edit, in order.
pub fn apply(text: &str, edit: &Edit) -> Result<String, EditError> {
    edit.changes.iter().try_fold(text.to_owned(), |text, change| apply_one(&text, change))
}

fn apply_one(text: &str, change: &Change) -> Result<String, EditError> {
    match &change.to {
        Some(value) => match (set(text, &change.field, value), change.field.parts()) {
            // A device or a lead that is not there yet begins with its first value.
            (Err(EditError::NotThere(_)), [list, tag, ..]) if matches!(list.as_str(), "device" | "lead") => {
                set(&append(text, list, tag)?, &change.field, value)
            }
            (set, _) => set,
        },
        // An address of two parts names a row: an acceptance, a lead.
        None => match change.field.parts() {
            [list, id] if matches!(list.as_str(), "accept" | "lead" | "device" | "run" | "state") => {
                remove_row(text, list, id)
            }
            _ => remove(text, &change.field),
        },
    }
}

/// Sets one value. Tables on the way that are missing are written as inline tables.
///
/// `value` is written as in the document, without quotes; lists and tables are written as TOML. A length
/// takes the unit it finds where that is exact.
pub fn set(text: &str, field: &Field, value: &str) -> Result<String, EditError> {
    let shape = shape_of(field).ok_or_else(|| EditError::NoSuchValue(field.clone()))?;
    let mut document = parse(text)?;
    let (key, table) = table_at(&mut document, field, true)?;
    let old = table.get(&key).and_then(toml_edit::Item::as_value).cloned();
    let new = value::from_text(shape, value, old.as_ref()).map_err(|why| EditError::Unsuitable {
        field: field.clone(),
        value: value.to_owned(),
        why,
    })?;
    replace(table, &key, new);
    Ok(document.to_string())
}

/// Takes one value away. A comment above it stays, above what follows.
///
/// A named table, such as a deck or a port, goes with all that is in it.
pub fn remove(text: &str, field: &Field) -> Result<String, EditError> {
    if shape_of(field).is_none() && !is_named_table(field) {
        return Err(EditError::NoSuchValue(field.clone()));
    }
    let mut document = parse(text)?;
    let (key, table) = table_at(&mut document, field, false)?;
    let keys: Vec<String> = table.iter().map(|(name, _)| name.to_owned()).collect();
    let Some(index) = keys.iter().position(|name| *name == key) else {
        return Ok(text.to_owned());
    };
    let comment = table
        .key(&key)
        .and_then(|key| key.leaf_decor().prefix().and_then(|prefix| prefix.as_str().map(str::to_owned)))
        .filter(|prefix| prefix.contains('#'));
    // In an inline table the last value holds the space before the brace.
    let tail = table
        .get(&key)
        .and_then(toml_edit::Item::as_value)
        .and_then(|value| value.decor().suffix().and_then(|suffix| suffix.as_str().map(str::to_owned)));
    table.remove(&key);
    if let (Some(comment), Some(next)) = (comment, keys.get(index + 1))
        && let Some(mut next) = table.key_mut(next)
    {
        let after = next.leaf_decor().prefix().and_then(|prefix| prefix.as_str()).unwrap_or("").to_owned();
        next.leaf_decor_mut().set_prefix(format!("{comment}{after}"));
    }
    if index + 1 == keys.len()
        && let (Some(tail), Some(previous)) = (tail, index.checked_sub(1).and_then(|i| keys.get(i)))
        && !tail.is_empty()
        && !tail.contains('#')
        && let Some(value) = table.get_mut(previous).and_then(toml_edit::Item::as_value_mut)
    {
        value.decor_mut().set_suffix(tail);
    }
    Ok(document.to_string())
}

/// Puts a value in a table; spacing and the comment behind the old one stay.
fn replace(table: &mut dyn TableLike, key: &str, mut new: toml_edit::Value) {
    match table.get_mut(key) {
        Some(item) => {
            if let Some(old) = item.as_value() {
                *new.decor_mut() = old.decor().clone();
            }
            *item = toml_edit::Item::Value(new);
        }
        None => {
            // In an inline table the last value holds the space before the brace; it moves on.
            let last = table.iter().last().map(|(name, _)| name.to_owned());
            if let Some(value) =
                last.and_then(|name| table.get_mut(&name)).and_then(toml_edit::Item::as_value_mut)
                && let Some(space) = value.decor().suffix().and_then(|suffix| suffix.as_str())
                && !space.is_empty()
                && space.chars().all(|c| c == ' ')
            {
                new.decor_mut().set_suffix(space.to_owned());
                value.decor_mut().set_suffix("");
                new.decor_mut().set_prefix(" ");
            }
            table.insert(key, toml_edit::Item::Value(new));
        }
    }
}

fn parse(text: &str) -> Result<DocumentMut, EditError> {
    text.parse().map_err(|error: toml_edit::TomlError| {
        EditError::NotToml(error.message().lines().next().unwrap_or("cannot be read").to_owned())
    })
}

/// Whether a shape is written as text in quotes.
fn is_quoted(shape: &Shape) -> bool {
    matches!(shape, Shape::Text | Shape::Tag | Shape::Words(_) | Shape::Measure(_))
}

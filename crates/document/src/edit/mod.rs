//! Edits on the text of a document: comments, spacing and units stay.
//!
//! An [`Editor`] reads the text once, makes the changes of an edit in order, and writes once. Spans and editability
//! never live in one value: whoever wants to go on reads the new text again. A value is replaced by `replace` and
//! nowhere else, because assigning it plainly would lose the comment behind it.

mod accept;
mod comments;
mod editor;
mod file;
mod list;
mod order;
mod path;
mod permissions;
mod plain;
mod remove;
mod rename;
mod replace;
mod row;
mod value;
mod wishes;

pub use accept::{accept, answer};
pub use editor::{Editor, apply, list_of};
pub use file::{Disk, Landed, SystemDisk, write_atomically, write_on};
pub use list::displaced;
pub use plain::{is_there, read_plain, read_plain_text};
pub use replace::{Replaced, replace_on};
pub use wishes::requirements;

use finding::Field;
use toml_edit::{DocumentMut, Item, TableLike, Value};

/// Why an edit could not be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EditError {
    /// The text is not TOML.
    #[error("the document cannot be edited because it is not TOML: {0}")]
    NotToml(String),
    /// The address is not of the format.
    #[error("`{0}` is not a value of a rig document")]
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

fn parse(text: &str) -> Result<DocumentMut, EditError> {
    text.parse().map_err(|error: toml_edit::TomlError| {
        EditError::NotToml(error.message().lines().next().unwrap_or("cannot be read").to_owned())
    })
}

/// Puts a value in a table; spacing and the comment behind the old one stay.
fn replace(table: &mut dyn TableLike, key: &str, mut new: Value) {
    match table.get_mut(key) {
        Some(item) => {
            if let Some(old) = item.as_value() {
                *new.decor_mut() = old.decor().clone();
            }
            *item = Item::Value(new);
        }
        None => {
            // In an inline table the last value holds the space before the brace; it moves on.
            let last = table.iter().last().map(|(name, _)| name.to_owned());
            if let Some(value) = last.and_then(|name| table.get_mut(&name)).and_then(Item::as_value_mut)
                && let Some(space) = value.decor().suffix().and_then(|suffix| suffix.as_str())
                && !space.is_empty()
                && space.chars().all(|c| c == ' ')
            {
                new.decor_mut().set_suffix(space.to_owned());
                value.decor_mut().set_suffix("");
                new.decor_mut().set_prefix(" ");
            }
            table.insert(key, Item::Value(new));
        }
    }
}

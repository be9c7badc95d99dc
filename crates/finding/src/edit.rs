//! Edits as data: the one language in which proposals, cures, screens and commands change a document.

use std::fmt;

use quantity::{
    Decibels, Farads, Grams, Henries, Hertz, Length, Milliamps, Ohms, Ratio, Seconds, Volts, Watts, Window,
};

use crate::Field;

/// What a document is to say at an address.
///
/// Who makes an edit writes values and nothing of the file's own signs: quoting is the editor's business.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Value {
    /// A text, a word, a quantity with its unit. Where the format wants a switch or a whole number, the text says
    /// it as a person types it: `true`, `90`.
    Text(String),
    /// Yes or no.
    Flag(bool),
    /// A whole number.
    Whole(i64),
    /// A value with where it comes from: `measured`, `photo`, `printed`, `assumed`, or `unknown`, which needs no value.
    Given {
        /// The value.
        is: Box<Value>,
        /// Where it comes from.
        from: String,
        /// What is written beside it: how it was measured, and how surely.
        note: Option<String>,
    },
    /// A list of texts: stops, outlets, engaged devices.
    List(Vec<String>),
    /// A table, key by key. It says all of the table: keys that are not named are taken away.
    Table(Cells),
    /// A list of tables, row by row.
    Rows(Vec<Cells>),
}

/// The keys of a table with their values, in the order in which they are written.
pub type Cells = Vec<(String, Value)>;

impl Value {
    /// A table with these keys.
    pub fn table<K: Into<String>>(cells: impl IntoIterator<Item = (K, Value)>) -> Self {
        Self::Table(cells.into_iter().map(|(key, value)| (key.into(), value)).collect())
    }

    /// A list of these texts.
    pub fn list<S: Into<String>>(items: impl IntoIterator<Item = S>) -> Self {
        Self::List(items.into_iter().map(Into::into).collect())
    }

    /// A value with where it comes from.
    pub fn given(is: impl Into<Value>, from: impl Into<String>) -> Self {
        Self::Given { is: Box::new(is.into()), from: from.into(), note: None }
    }

    /// A value with where it comes from, and what is to be known of that.
    pub fn noted(is: impl Into<Value>, from: impl Into<String>, note: impl Into<String>) -> Self {
        Self::Given { is: Box::new(is.into()), from: from.into(), note: Some(note.into()) }
    }

    /// The text, when it is one.
    pub fn as_text(&self) -> Option<&str> {
        match self {
            Self::Text(text) => Some(text),
            _ => None,
        }
    }

    /// The value under a key, when it is a table that has it.
    pub fn get(&self, key: &str) -> Option<&Self> {
        let Self::Table(cells) = self else { return None };
        cells.iter().find(|(name, _)| name == key).map(|(_, value)| value)
    }
}

impl From<&str> for Value {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<String> for Value {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl From<&String> for Value {
    fn from(text: &String) -> Self {
        Self::Text(text.clone())
    }
}

impl From<bool> for Value {
    fn from(flag: bool) -> Self {
        Self::Flag(flag)
    }
}

impl From<i64> for Value {
    fn from(number: i64) -> Self {
        Self::Whole(number)
    }
}

impl From<Vec<String>> for Value {
    fn from(items: Vec<String>) -> Self {
        Self::List(items)
    }
}

impl From<&[String]> for Value {
    fn from(items: &[String]) -> Self {
        Self::List(items.to_vec())
    }
}

macro_rules! value_from {
    ($($quantity:ty),*) => {$(
        impl From<$quantity> for Value {
            fn from(quantity: $quantity) -> Self {
                Self::Text(quantity.to_string())
            }
        }
    )*};
}

value_from!(
    Length, Milliamps, Volts, Window, Watts, Ohms, Farads, Henries, Hertz, Seconds, Grams, Decibels, Ratio
);

/// In words, for messages: not as the file writes it.
impl fmt::Display for Value {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let cells = |f: &mut fmt::Formatter<'_>, cells: &Cells| {
            for (index, (key, value)) in cells.iter().enumerate() {
                let comma = if index == 0 { "" } else { ", " };
                write!(f, "{comma}{key} {value}")?;
            }
            Ok(())
        };
        match self {
            Self::Text(text) => f.write_str(text),
            Self::Flag(flag) => write!(f, "{flag}"),
            Self::Whole(number) => write!(f, "{number}"),
            Self::Given { is, from, .. } => write!(f, "{is} ({from})"),
            Self::List(items) => f.write_str(&items.join(", ")),
            Self::Table(table) => cells(f, table),
            Self::Rows(rows) => {
                for (index, row) in rows.iter().enumerate() {
                    if 0 < index {
                        f.write_str("; ")?;
                    }
                    cells(f, row)?;
                }
                Ok(())
            }
        }
    }
}

/// One change of a document.
///
/// What it needs on its way (a device, a run, a lead's row, a named port, a table) is made where it is missing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// The document says this at an address.
    Set {
        /// Where.
        field: Field,
        /// What it says.
        to: Value,
    },
    /// A value, a named thing or a whole row goes; what is not there stays not there.
    Remove {
        /// Where.
        field: Field,
    },
    /// A row or a named thing is there, with nothing said of it yet where it is new.
    Add {
        /// Where: a list and an id, a group and a name.
        field: Field,
    },
    /// A row gets another id, in all places that name it.
    Rename {
        /// The row.
        field: Field,
        /// What it is known by from now on.
        to: String,
    },
}

impl Change {
    /// The document says this at an address.
    pub fn set(field: Field, to: impl Into<Value>) -> Self {
        Self::Set { field, to: to.into() }
    }

    /// A value, a named thing or a whole row goes.
    pub fn remove(field: Field) -> Self {
        Self::Remove { field }
    }

    /// A row or a named thing is there.
    pub fn add(field: Field) -> Self {
        Self::Add { field }
    }

    /// A row gets another id.
    pub fn rename(field: Field, to: impl Into<String>) -> Self {
        Self::Rename { field, to: to.into() }
    }

    /// The document says this, or nothing where there is nothing to say.
    pub fn set_or_remove(field: Field, to: Option<impl Into<Value>>) -> Self {
        match to {
            Some(to) => Self::set(field, to),
            None => Self::remove(field),
        }
    }

    /// The address it is about.
    pub fn field(&self) -> &Field {
        match self {
            Self::Set { field, .. }
            | Self::Remove { field }
            | Self::Add { field }
            | Self::Rename { field, .. } => field,
        }
    }

    /// What is set, when something is.
    pub fn to(&self) -> Option<&Value> {
        match self {
            Self::Set { to, .. } => Some(to),
            _ => None,
        }
    }
}

/// A named edit: what a remedy button does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edit {
    /// What it does, in one line: `move A2 54 mm back`.
    pub name: String,
    /// The changes, in order.
    pub changes: Vec<Change>,
}

impl Edit {
    /// An edit of these changes.
    pub fn new(name: impl Into<String>, changes: impl IntoIterator<Item = Change>) -> Self {
        Self { name: name.into(), changes: changes.into_iter().collect() }
    }
}

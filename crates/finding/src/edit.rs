//! An edit that would cure a finding, as data.

use crate::Field;

/// One value of the document to set or to take away.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// Where.
    pub field: Field,
    /// The new value as it is written in the document (`"212 mm"` without the quotes), or `None` to
    /// take the value away.
    pub to: Option<String>,
}

/// A named edit: what a remedy button does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edit {
    /// What it does, in one line: `move A2 54 mm back`.
    pub name: String,
    /// The values it sets, in order.
    pub changes: Vec<Change>,
}

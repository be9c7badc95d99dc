//! The editor: a text read once, changed in order, written once.

use finding::{Cells, Change, Edit, Field, Value};
use toml_edit::{ArrayOfTables, DocumentMut, Item, TableLike};

use super::order::{last_position, renumber};
use super::path::{Aim, aim_of, spot};
use super::{EditError, parse, remove, rename, replace, row, value};
use crate::format::{RIG, Shape, Table};

/// Makes an edit on a text and gives the new text, or refuses the edit as a whole.
pub fn apply(text: &str, edit: &Edit) -> Result<String, EditError> {
    Ok(Editor::open(text)?.make(edit)?.text())
}

/// The texts of a list as they are written; none where there is no such list.
pub fn list_of(text: &str, field: &Field) -> Result<Vec<String>, EditError> {
    Ok(Editor::open(text)?.list(field))
}

/// A document that is being edited.
#[derive(Debug, Clone)]
pub struct Editor {
    root: &'static Table,
    document: DocumentMut,
}

impl Editor {
    /// Reads the text of a rig document. Anything that is TOML can be edited, also what no job could be read from.
    pub fn open(text: &str) -> Result<Self, EditError> {
        Self::of(&RIG, text)
    }

    /// Reads the text of a file of another format: a catalogue.
    pub fn of(format: &'static Table, text: &str) -> Result<Self, EditError> {
        Ok(Self { root: format, document: parse(text)? })
    }

    /// The text as it is now.
    pub fn text(&self) -> String {
        self.document.to_string()
    }

    /// Makes the changes of an edit, in order.
    pub fn make(self, edit: &Edit) -> Result<Self, EditError> {
        edit.changes.iter().try_fold(self, Self::change)
    }

    /// Makes one change. A change that is refused takes the editor with it, so that no half of an edit is written.
    pub fn change(mut self, change: &Change) -> Result<Self, EditError> {
        match change {
            Change::Set { field, to } => set(self.root, &mut self.document, field, to)?,
            Change::Remove { field } => remove::remove(self.root, &mut self.document, field)?,
            Change::Add { field } => add(self.root, &mut self.document, field)?,
            Change::Rename { field, to } => rename::rename(self.root, &mut self.document, field, to)?,
        }
        // Tables that are new or gone leave equal and missing places in the order; the next change wants them plain.
        renumber(&mut self.document);
        Ok(self)
    }

    /// The texts of a list as they are written; none where there is no such list.
    pub fn list(&self, field: &Field) -> Vec<String> {
        let mut document = self.document.clone();
        let Ok(Some(spot)) = spot(self.root, &mut document, field, false) else { return Vec::new() };
        let list = spot.table.get(&spot.key).and_then(Item::as_array);
        list.into_iter().flatten().filter_map(toml_edit::Value::as_str).map(str::to_owned).collect()
    }

    /// Whether the row that an address lies in is there: its device, run, lead, state. An address outside of all
    /// rows lies in the document, which is there.
    pub fn has_row(&self, field: &Field) -> bool {
        match field.parts() {
            [list, id, ..] if row::is_list(self.root, list) => row::is_there(&self.document, list, id),
            _ => true,
        }
    }
}

/// Says a value at an address.
fn set(root: &'static Table, document: &mut DocumentMut, field: &Field, to: &Value) -> Result<(), EditError> {
    let unsuitable = |why: String| EditError::Unsuitable { field: field.clone(), value: to.to_string(), why };
    match (aim_of(root, field).ok_or_else(|| EditError::NoSuchValue(field.clone()))?, to) {
        (Aim::Value(Shape::List(Shape::Table(table)), _), Value::Rows(rows)) => {
            set_rows(root, document, field, table, rows).map_err(|error| error.at(unsuitable))
        }
        (Aim::Value(shape, key), to) => {
            let may_say_where = key.is_some_and(|key| key.given);
            let Some(spot) = spot(root, document, field, true)? else {
                return Err(EditError::NotThere(field.clone()));
            };
            let old = spot.table.get(&spot.key).and_then(Item::as_value).cloned();
            let new = value::made(shape, may_say_where, to, old.as_ref()).map_err(unsuitable)?;
            replace(spot.table, &spot.key, new);
            Ok(())
        }
        (Aim::List, _) => Err(EditError::NoSuchValue(field.clone())),
        (_, Value::Table(cells)) => set_table(root, document, field, cells),
        _ => Err(unsuitable("allowed is a table".to_owned())),
    }
}

/// Makes a row, a named thing or a table where it is missing.
fn add(root: &'static Table, document: &mut DocumentMut, field: &Field) -> Result<(), EditError> {
    match aim_of(root, field) {
        None | Some(Aim::Value(..) | Aim::List) => return Err(EditError::NoSuchValue(field.clone())),
        Some(_) => {}
    }
    // Whatever an address below it needs on its way.
    spot(root, document, &field.below(""), true)?;
    Ok(())
}

/// Makes a table say these keys and no others. Its form stays, and so do the comments of the keys that stay.
fn set_table(
    root: &'static Table,
    document: &mut DocumentMut,
    field: &Field,
    cells: &Cells,
) -> Result<(), EditError> {
    add(root, document, field)?;
    for (key, value) in cells {
        set(root, document, &field.below(key), value)?;
    }
    let Some(spot) = spot(root, document, &field.below(""), false)? else { return Ok(()) };
    let is_id =
        |key: &str| matches!(aim_of(root, field), Some(Aim::Row)) && row::is_id(&field.parts()[0], key);
    let gone: Vec<String> = spot
        .table
        .iter()
        .map(|(key, _)| key.to_owned())
        .filter(|key| cells.iter().all(|(kept, _)| kept != key) && !is_id(key))
        .collect();
    gone.iter().try_for_each(|key| remove::remove(root, document, &field.below(key)))
}

/// Why a list of tables could not be written.
enum RowsError {
    Edit(EditError),
    Unsuitable(String),
}

impl RowsError {
    fn at(self, unsuitable: impl FnOnce(String) -> EditError) -> EditError {
        match self {
            Self::Edit(error) => error,
            Self::Unsuitable(why) => unsuitable(why),
        }
    }
}

/// Writes a list of tables, in the form in which it stands: in brackets, or each row with a header of its own.
fn set_rows(
    root: &'static Table,
    document: &mut DocumentMut,
    field: &Field,
    format: &'static Table,
    rows: &[Cells],
) -> Result<(), RowsError> {
    let Some(spot) = spot(root, document, field, true).map_err(RowsError::Edit)? else {
        return Err(RowsError::Edit(EditError::NotThere(field.clone())));
    };
    let is_inline = spot.is_inline;
    let mut lost = None;
    match spot.table.get_mut(&spot.key) {
        Some(Item::ArrayOfTables(tables)) => {
            lost = with_headers(tables, format, rows).map_err(RowsError::Unsuitable)?;
            if tables.is_empty() {
                spot.table.remove(&spot.key);
            }
        }
        old => {
            let old = old.and_then(|item| item.as_array()).cloned();
            let new = value::rows(format, rows, old.as_ref(), !is_inline).map_err(RowsError::Unsuitable)?;
            replace(spot.table, &spot.key, toml_edit::Value::Array(new));
        }
    }
    if let Some((position, comment)) = lost {
        remove::hand_on(document, position, &comment);
    }
    Ok(())
}

/// The rows of a list whose rows have headers; gives the comments of rows that are gone and where they stood.
fn with_headers(
    tables: &mut ArrayOfTables,
    format: &'static Table,
    rows: &[Cells],
) -> Result<Option<(Option<isize>, String)>, String> {
    for (index, cells) in rows.iter().enumerate() {
        if tables.len() <= index {
            let mut table = toml_edit::Table::new();
            table.decor_mut().set_prefix("\n");
            table.set_position(tables.iter().filter_map(last_position).max());
            tables.push(table);
        }
        let Some(table) = tables.get_mut(index) else { continue };
        value::fill(table as &mut dyn TableLike, format, cells)?;
    }
    let mut comments = String::new();
    let mut position = None;
    while rows.len() < tables.len() {
        let at = tables.len() - 1;
        if let Some(table) = tables.get(at) {
            position = last_position(table).max(position);
            let comment = remove::comment_above(table);
            comments = format!("{comment}{comments}");
        }
        tables.remove(at);
    }
    Ok((!comments.is_empty()).then_some((position, comments)))
}

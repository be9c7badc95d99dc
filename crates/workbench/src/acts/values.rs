//! Any values of the format, by their addresses.

use document::edit::Editor;
use finding::{Change, Field, Value};

use crate::act::{Form, Made, named};
use crate::acts::entered::with_unit;
use crate::pages::value::unpacked;

/// What a field is called in the list of edits. Title block and brief need no head: there is one of each.
fn called(field: &Field) -> String {
    match field.parts() {
        [table, key] if table == "job" || table == "brief" => key.replace('_', " "),
        _ => field.words(),
    }
}

/// Any values of the format: `field` and `value` in pairs, `from` where a value says where it comes from. A value is
/// said of what is there: a row that nobody added is not made by it.
pub(super) fn values(text: &str, form: &Form) -> Made {
    let fields: Vec<Field> = form.all("field").iter().map(|word| unpacked(word)).collect();
    let (values, froms) = (form.all("value"), form.all("from"));
    if fields.is_empty() || fields.len() != values.len() {
        return Err("an edit sets one value for each field".to_owned());
    }
    let editor = Editor::open(text).map_err(|error| error.to_string())?;
    if let Some(field) = fields.iter().find(|field| !editor.has_row(field)) {
        return Err(format!("there is no `{field}` in the document"));
    }
    let name = match form.get("name") {
        Some(name) => name.to_owned(),
        None => format!("{} set to {}", called(&fields[0]), values[0].trim()),
    };
    let unit = form.get("unit").unwrap_or("");
    let changes = fields.into_iter().zip(&values).enumerate().map(|(index, (field, value))| {
        let value = with_unit(value, unit);
        match froms.get(index).map(String::as_str).filter(|from| !from.is_empty()) {
            Some(from) if !value.is_empty() || from == "unknown" => {
                Change::set(field, Value::given(value, from))
            }
            _ => Change::set_or_remove(field, Some(value).filter(|value| !value.is_empty())),
        }
    });
    named(name, changes)
}

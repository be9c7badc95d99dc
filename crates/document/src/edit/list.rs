//! Lists of texts: the stops of a run, the outlets of a feed, the engaged devices of a state.

use finding::Field;
use toml_edit::{Array, Value};

use super::path::{shape_of, table_at};
use super::{EditError, parse, replace};
use crate::format::Shape;

/// The texts of a list as they are written; none where there is no such list.
pub fn list_of(text: &str, field: &Field) -> Result<Vec<String>, EditError> {
    let mut document = parse(text)?;
    let Ok((key, table)) = table_at(&mut document, field, false) else { return Ok(Vec::new()) };
    let list = table.get(&key).and_then(toml_edit::Item::as_array);
    Ok(list.into_iter().flatten().filter_map(Value::as_str).map(str::to_owned).collect())
}

/// Writes a list of texts. The places in the list keep their line breaks and comments; a comment whose place
/// is gone moves to the end of the list.
pub fn set_list(text: &str, field: &Field, items: &[String]) -> Result<String, EditError> {
    match shape_of(field) {
        Some(Shape::List(Shape::Text)) => {}
        _ => return Err(EditError::NoSuchValue(field.clone())),
    }
    let mut document = parse(text)?;
    let (key, table) = table_at(&mut document, field, true)?;
    let old = table.get(&key).and_then(toml_edit::Item::as_array).cloned();
    let new = match old {
        Some(old) => refill(&old, items),
        None => items.iter().collect::<Array>(),
    };
    replace(table, &key, Value::Array(new));
    Ok(document.to_string())
}

fn refill(old: &Array, items: &[String]) -> Array {
    let mut new = Array::new();
    new.set_trailing_comma(old.trailing_comma());
    let broken = old.iter().any(|value| prefix_of(value).contains('\n'));
    // The last line of the space before the last item: its break and its indentation.
    let common = old.iter().last().map(prefix_of).unwrap_or_default();
    let common = common.rfind('\n').map_or(String::new(), |at| common[at..].to_owned());
    for (index, item) in items.iter().enumerate() {
        let mut value = Value::from(item.as_str());
        match old.get(index) {
            Some(slot) => *value.decor_mut() = slot.decor().clone(),
            None if broken => value.decor_mut().set_prefix(common.clone()),
            None if index == 0 => {}
            None => value.decor_mut().set_prefix(" "),
        }
        new.push_formatted(value);
    }
    let mut trailing = String::new();
    for gone in old.iter().skip(items.len()) {
        let comment = prefix_of(gone);
        if comment.contains('#') {
            trailing.push_str(comment.trim_end());
        }
    }
    trailing.push_str(old.trailing().as_str().unwrap_or(""));
    new.set_trailing(trailing);
    new
}

fn prefix_of(value: &Value) -> String {
    value.decor().prefix().and_then(|prefix| prefix.as_str()).unwrap_or("").to_owned()
}

//! Any values of the format, by their addresses.

use document::edit::Editor;
use finding::{Change, Field, Value};
use quantity::Grams;

use crate::act::{Form, Made, named};
use crate::acts::entered::date;
use crate::format_at::{entered, key_at};
use crate::pages::value::unpacked;
use crate::read::Read;

/// What a field is called in the list of edits. Title block and brief need no head: there is one of each.
fn called(field: &Field) -> String {
    match field.parts() {
        [table, key] if table == "job" || table == "brief" => key.replace('_', " "),
        _ => field.words(),
    }
}

/// Any values of the format: `field` and `value` in pairs, `from` where a value says where it comes from. A value is
/// said of what is there: a row that nobody added is not made by it.
pub(super) fn values(text: &str, read: Option<&Read>, form: &Form) -> Made {
    let fields: Vec<Field> = form.all("field").iter().map(|word| unpacked(word)).collect();
    let (values, froms) = (form.all("value"), form.all("from"));
    if fields.is_empty() || fields.len() != values.len() {
        return Err("an edit sets one value for each field".to_owned());
    }
    let editor = Editor::open(text).map_err(|error| error.to_string())?;
    if let Some(field) = fields.iter().find(|field| !editor.has_row(field)) {
        return Err(format!("there is no `{field}` in the document"));
    }
    let unit = form.get("unit").unwrap_or("");
    let texts: Vec<String> = fields
        .iter()
        .zip(&values)
        .map(|(field, value)| match key_at(field) {
            Some(key) => suited(field, entered(key, value, unit)),
            None => Ok(value.trim().to_owned()),
        })
        .collect::<Result<_, _>>()?;
    let misfit = |read: &Read| {
        let mut all = fields.iter().zip(&texts);
        all.find_map(|(field, text)| crate::fit::refused(&read.job, field, text))
    };
    if let Some(why) = read.and_then(misfit) {
        return Err(why);
    }
    let name = match form.get("name") {
        Some(name) => name.to_owned(),
        None if texts[0].is_empty() => format!("leave {} open", called(&fields[0])),
        None => format!("{} set to {}", called(&fields[0]), texts[0]),
    };
    let changes = fields.into_iter().zip(texts).enumerate().map(|(index, (field, value))| {
        match froms.get(index).map(String::as_str).filter(|from| !from.is_empty()) {
            Some(from) if !value.is_empty() || from == "unknown" => {
                Change::set(field, Value::given(value, from))
            }
            _ => Change::set_or_remove(field, Some(value).filter(|value| !value.is_empty())),
        }
    });
    named(name, changes)
}

/// The most that a packed board is let weigh: beyond it a figure is a slip of the pen.
const MOST_MASS: Grams = Grams::of(1e6);

/// A text as it may stand in a field that the document leaves free: a date is a date, and a limit allows something.
fn suited(field: &Field, text: String) -> Result<String, String> {
    let parts: Vec<&str> = field.parts().iter().map(String::as_str).collect();
    match parts[..] {
        _ if text.is_empty() => Ok(text),
        ["job", "date"] | ["brief", "due"] | ["quote", "valid"] => date(&text),
        ["brief", "mass_limit"] => match text.parse::<Grams>() {
            Ok(mass) if mass <= Grams::ZERO || MOST_MASS < mass => {
                Err(format!("{text} is no limit for a board: more than 0 kg, at most {MOST_MASS}"))
            }
            _ => Ok(text),
        },
        _ => Ok(text),
    }
}

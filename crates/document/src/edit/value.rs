//! From a value to the value as TOML writes it. Whatever is quoted or escaped is quoted and escaped here.

use finding::{Cells, Value};
use quantity::{Length, LengthUnit, Quantity};
use toml_edit::{Array, InlineTable, Item, TableLike, Value as Toml};

use super::list::refill;
use super::remove::take_key;
use super::replace;
use crate::format::{Measure, PROVENANCE, Shape, Table};

/// The value to write, or why it cannot stand there. `old` is what stands there now: its form, its spacing and its
/// unit stay. `may_say_where` tells whether the key takes where the value comes from.
pub(super) fn made(
    shape: &Shape,
    may_say_where: bool,
    value: &Value,
    old: Option<&Toml>,
) -> Result<Toml, String> {
    match (shape, value) {
        (_, Value::Given { is, from, note }) => {
            if !may_say_where {
                return Err("it takes no word of where it comes from".to_owned());
            }
            given(shape, is, (from, note.as_deref()), old)
        }
        (Shape::List(Shape::Table(table)), Value::Rows(cells)) => {
            rows(table, cells, old.and_then(Toml::as_array), false).map(Toml::Array)
        }
        (Shape::List(Shape::Table(_)), _) => Err("allowed is a list of tables".to_owned()),
        (Shape::List(inner), Value::List(items)) => {
            let items: Vec<Toml> =
                items.iter().map(|item| from_text(inner, item, None)).collect::<Result<_, _>>()?;
            Ok(Toml::Array(refill(old.and_then(Toml::as_array), items, false)))
        }
        (Shape::List(_), _) => Err("allowed is a list of texts".to_owned()),
        (Shape::Table(table), Value::Table(cells)) => {
            let mut inner = old.and_then(Toml::as_inline_table).cloned().unwrap_or_default();
            fill(&mut inner, table, cells)?;
            Ok(Toml::InlineTable(inner))
        }
        (Shape::Switch, Value::Flag(flag)) => Ok(in_form(old, Toml::from(*flag))),
        (Shape::Count(_) | Shape::Turn, Value::Whole(number)) => Ok(in_form(old, Toml::from(*number))),
        (shape, Value::Text(text)) => Ok(in_form(old, from_text(shape, text, old)?)),
        (Shape::Switch, _) => Err("allowed is `true` or `false`".to_owned()),
        (Shape::Count(_) | Shape::Turn, _) => Err("allowed is a whole number".to_owned()),
        (Shape::Table(_) | Shape::Named(_) | Shape::Values(_) | Shape::Tables(..), _) => {
            Err("allowed is a table".to_owned())
        }
        _ => Err("allowed is a text".to_owned()),
    }
}

/// A text as a person types it, as the value that its key wants.
fn from_text(shape: &Shape, text: &str, old: Option<&Toml>) -> Result<Toml, String> {
    match shape {
        Shape::Measure(measure) => {
            (measure.check)(text).map_err(|error| error.to_string())?;
            Ok(Toml::from(in_the_unit_found(measure, text, old)))
        }
        Shape::Words(words) if !words.contains(&text) => {
            Err(format!("allowed is one of {}", words.join(", ")))
        }
        Shape::Switch => {
            Ok(Toml::from(text.parse::<bool>().map_err(|_| "allowed is `true` or `false`".to_owned())?))
        }
        Shape::Count(_) | Shape::Turn => {
            Ok(Toml::from(text.parse::<i64>().map_err(|_| "allowed is a whole number".to_owned())?))
        }
        Shape::Text | Shape::Tag | Shape::Words(_) => Ok(Toml::from(text)),
        Shape::List(_) => Err("allowed is a list".to_owned()),
        Shape::Table(_) | Shape::Named(_) | Shape::Values(_) | Shape::Tables(..) => {
            Err("allowed is a table".to_owned())
        }
    }
}

/// A value that stands as `{ is = "431 g", from = "measured" }` keeps its form: only what it is changes.
fn in_form(old: Option<&Toml>, mut new: Toml) -> Toml {
    let given = old.and_then(Toml::as_inline_table).filter(|table| table.contains_key("is"));
    let Some(mut given) = given.cloned() else { return new };
    if let Some(is) = given.get_mut("is") {
        *new.decor_mut() = is.decor().clone();
        *is = new;
    }
    Toml::InlineTable(given)
}

/// A value together with where it comes from: `{ is = "431 g", from = "measured" }`. What is *unknown* is written as
/// `"unknown"`, whatever the value says.
fn given(
    shape: &Shape,
    is: &Value,
    (from, note): (&str, Option<&str>),
    old: Option<&Toml>,
) -> Result<Toml, String> {
    if !PROVENANCE.contains(&from) {
        return Err(format!("where it comes from is one of {}, not `{from}`", PROVENANCE.join(", ")));
    }
    if from == "unknown" {
        return Ok(Toml::from("unknown"));
    }
    let mut given = match made(shape, false, is, old)? {
        Toml::InlineTable(mut given) if given.contains_key("is") => {
            // How surely a photograph was measured says nothing of what comes in its place.
            if given.get("from").and_then(Toml::as_str) == Some("photo") {
                given.remove("note");
            }
            replace(&mut given, "from", Toml::from(from));
            given
        }
        plain => {
            let mut given = InlineTable::new();
            given.insert("is", plain);
            given.insert("from", Toml::from(from));
            given
        }
    };
    if let Some(note) = note {
        replace(&mut given, "note", Toml::from(note));
    }
    Ok(Toml::InlineTable(given))
}

/// Makes a table say these keys and no others.
pub(super) fn fill(table: &mut dyn TableLike, format: &Table, cells: &Cells) -> Result<(), String> {
    for (name, value) in cells {
        let key = format.key(name).ok_or_else(|| format!("`{name}` is not a key of a {}", format.name))?;
        let old = table.get(name).and_then(Item::as_value).cloned();
        let new = made(&key.shape, key.given, value, old.as_ref()).map_err(|why| format!("{name}: {why}"))?;
        replace(table, name, new);
    }
    let gone: Vec<String> = table
        .iter()
        .map(|(name, _)| name.to_owned())
        .filter(|name| cells.iter().all(|(kept, _)| kept != name))
        .collect();
    for name in &gone {
        take_key(table, name);
    }
    Ok(())
}

/// A list of tables in brackets. New ones stand each on a line of its own where lines may be broken.
pub(super) fn rows(
    format: &Table,
    rows: &[Cells],
    old: Option<&Array>,
    may_break: bool,
) -> Result<Array, String> {
    let mut items = Vec::new();
    for (index, cells) in rows.iter().enumerate() {
        let known = old.and_then(|old| old.get(index)).and_then(Toml::as_inline_table);
        let mut row = known.cloned().unwrap_or_default();
        fill(&mut row, format, cells)?;
        items.push(Toml::InlineTable(row));
    }
    Ok(refill(old, items, may_break))
}

/// A length in inches stays in inches when the new one can be said so exactly.
fn in_the_unit_found(measure: &Measure, text: &str, old: Option<&Toml>) -> String {
    let is_length = measure.name == Length::NAME;
    let old = old.and_then(|old| match old {
        Toml::InlineTable(given) => given.get("is").and_then(Toml::as_str),
        _ => old.as_str(),
    });
    let in_inches =
        old.is_some_and(|old| ["in", "inch", "\""].iter().any(|unit| old.trim_end().ends_with(unit)));
    let says_inches = ["in", "inch", "\""].iter().any(|unit| text.trim_end().ends_with(unit));
    if is_length
        && in_inches
        && !says_inches
        && let Ok(length) = Length::parse(text)
    {
        let inches = length.display(LengthUnit::Inch);
        if Length::parse(&inches) == Ok(length) {
            return inches;
        }
    }
    text.to_owned()
}

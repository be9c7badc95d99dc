//! From the text of a value to the value as TOML writes it.

use quantity::{Length, LengthUnit, Quantity};
use toml_edit::{InlineTable, Value};

use crate::format::{Measure, Shape};

/// The value to write, or why it cannot stand there. `old` is what stands there now.
pub(super) fn from_text(shape: &Shape, text: &str, old: Option<&Value>) -> Result<Value, String> {
    let new = match shape {
        Shape::Measure(measure) => {
            (measure.check)(text).map_err(|error| error.to_string())?;
            Value::from(in_the_unit_found(measure, text, old))
        }
        Shape::Words(words) if !words.contains(&text) => {
            return Err(format!("allowed is one of {}", words.join(", ")));
        }
        Shape::Switch => {
            Value::from(text.parse::<bool>().map_err(|_| "allowed is `true` or `false`".to_owned())?)
        }
        Shape::Count(_) | Shape::Turn => {
            Value::from(text.parse::<i64>().map_err(|_| "allowed is a whole number".to_owned())?)
        }
        shape if super::is_quoted(shape) => Value::from(text),
        _ => text.parse::<Value>().map_err(|_| "it is not written as TOML".to_owned())?,
    };
    // `{ is = "431 g", from = "measured" }` keeps its form: only what it is changes.
    if let Some(given) = old.and_then(Value::as_inline_table).filter(|table| table.contains_key("is"))
        && !matches!(shape, Shape::Table(_) | Shape::Named(_))
    {
        let mut given: InlineTable = given.clone();
        let mut new = new;
        if let Some(is) = given.get_mut("is") {
            *new.decor_mut() = is.decor().clone();
            *is = new;
        }
        return Ok(Value::InlineTable(given));
    }
    Ok(new)
}

/// A length in inches stays in inches when the new one can be said so exactly.
fn in_the_unit_found(measure: &Measure, text: &str, old: Option<&Value>) -> String {
    let is_length = measure.name == Length::NAME;
    let old = old.and_then(|old| match old {
        Value::InlineTable(given) => given.get("is").and_then(Value::as_str),
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

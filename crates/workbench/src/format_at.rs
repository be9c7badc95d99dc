//! What the format wants at an address.

use document::format::{Key, RIG, Shape, Table};
use finding::Field;
use quantity::{Length, Quantity};

/// The key at an address; for a value that is named freely, the key it stands below.
pub(crate) fn key_at(field: &Field) -> Option<&'static Key> {
    enum Here {
        In(&'static Table),
        Among(&'static Table),
        Value,
    }
    let mut here = Here::In(&RIG);
    let mut found = None;
    for part in field.parts() {
        here = match here {
            Here::In(table) => {
                let key = table.key(part)?;
                found = Some(key);
                match &key.shape {
                    Shape::Table(inner) => Here::In(inner),
                    Shape::Named(inner) | Shape::Tables(inner, _) => Here::Among(inner),
                    _ => Here::Value,
                }
            }
            Here::Among(table) => Here::In(table),
            Here::Value => return found,
        };
    }
    found
}

/// Whether a shape is a length, which is typed in the unit that the page shows.
pub(crate) fn is_length(shape: &Shape) -> bool {
    match shape {
        Shape::Measure(measure) => measure.name == <Length as Quantity>::NAME,
        Shape::Values(inner) => is_length(inner),
        _ => false,
    }
}

/// A bare number where a length is wanted gets the unit of the page.
pub(crate) fn with_unit(shape: &Shape, value: &str, unit: &str) -> String {
    let value = value.trim();
    if is_length(shape) && value.parse::<f64>().is_ok() {
        let unit = if unit == "in" { "in" } else { "mm" };
        format!("{value} {unit}")
    } else {
        value.to_owned()
    }
}

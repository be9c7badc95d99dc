//! What the format wants at an address.

use document::format::{Key, RIG, Shape, Table};
use finding::Field;
use quantity::{
    Decibels, Devices, Farads, Grams, Henries, Hertz, Length, Milliamps, Ohms, Quantity, Ratio, Seconds,
    Share, VoltAmps, Volts, Watts,
};

use crate::acts::entered::with_unit;

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

/// The unit that a bare number has in the field of a key: that of the page for a length, else the one that such values are
/// measured in at the bench. Empty where several would do.
pub(crate) fn unit_of(key: &Key, page: &str) -> &'static str {
    meant(&key.shape, key.name, page)
}

fn meant(shape: &Shape, name: &str, page: &str) -> &'static str {
    match shape {
        Shape::Values(inner) => meant(inner, name, page),
        Shape::Measure(measure) if measure.name == <Length as Quantity>::NAME => {
            if page == "in" {
                "in"
            } else {
                "mm"
            }
        }
        // A device is weighed in grams, a packed board in kilograms.
        Shape::Measure(measure) if measure.name == <Grams as Quantity>::NAME => {
            if name == "mass_limit" {
                "kg"
            } else {
                "g"
            }
        }
        Shape::Measure(measure) => {
            BARE.iter().find(|(name, _)| *name == measure.name).map_or("", |(_, unit)| *unit)
        }
        _ => "",
    }
}

/// What bare figures of a quantity mean.
const BARE: &[(&str, &str)] = &[
    (Volts::NAME, "V"),
    (Milliamps::NAME, "mA"),
    (Watts::NAME, "W"),
    (VoltAmps::NAME, "VA"),
    (Ohms::NAME, "Ω"),
    (Farads::NAME, "F"),
    (Henries::NAME, "H"),
    (Hertz::NAME, "Hz"),
    (Seconds::NAME, "s"),
    (Decibels::NAME, "dB"),
    (Ratio::NAME, "%"),
    (Share::NAME, "%"),
    (Devices::NAME, "devices"),
];

/// What was typed in the field of a key, with its unit.
pub(crate) fn entered(key: &Key, value: &str, page: &str) -> String {
    with_unit(value, unit_of(key, page))
}

//! The table of devices, edited in place: each figure is a field that is saved when it is left.

use document::format::{DEVICE, Shape};
use finding::Field;
use maud::{Markup, html};
use quantity::{Length, LengthUnit};
use rig::{Device, Provenance};

use super::frame::Head;
use super::marks::letter;
use super::value::{packed, query};
use crate::format_at::{key_at, unit_of};

/// The columns that are figures or words of the document: title, key, whether it is a number.
const COLUMNS: &[(&str, &str, bool)] = &[
    ("Device", "title", false),
    ("Width", "size.width", true),
    ("Depth", "size.depth", true),
    ("Height", "size.height", true),
    ("Mass", "mass", true),
    ("Supply", "power.type", false),
    ("Volts", "power.volts", true),
    ("Draws", "power.current", true),
    ("Polarity", "power.sign", false),
    ("Bypass", "signal.bypass", false),
];

/// The whole table.
pub(crate) fn table(head: &Head, devices: &[Device], picked: Option<&Device>) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label="Table of devices" {
            table.list.stack.gear-table data-sheet="" {
                thead { tr {
                    th scope="col" { "Tag" }
                    @for (title, key, _) in COLUMNS { th scope="col" { (title) @if let Some(unit) = unit(head, key) { ", " (unit) } } }
                    th.kind-of scope="col" { "Kind" } th scope="col" { "Stands" }
                } }
                tbody { @for device in devices {
                    tr .pick[picked.is_some_and(|picked| picked.tag == device.tag)] data-key=(device.tag) {
                        th scope="row" { a href={ (head.to(head.place)) "?pick=" (query(&device.tag)) "#values" } { (device.tag) } }
                        @for (column, (title, key, _)) in COLUMNS.iter().enumerate() {
                            td .wide[column == 0] data-th=(title) { (cell(head, device, column, title, key)) }
                        }
                        td.faint.kind-of data-th="Kind" { (device.kind.as_deref().unwrap_or("own")) }
                        td data-th="Stands" {
                            @match (&device.place, device.outside) {
                                (Some(place), _) => { (place.deck) }
                                (None, true) => { "outside" }
                                (None, false) => { "not placed" }
                            }
                        }
                    }
                } }
            }
        }
    }
}

/// The unit of a column's bare figures.
fn unit(head: &Head, key: &str) -> Option<&'static str> {
    let key = key_at(&Field::device("A", key))?;
    Some(unit_of(key, page(head))).filter(|unit| !unit.is_empty())
}

fn page(head: &Head) -> &'static str {
    if head.unit == LengthUnit::Inch { "in" } else { "mm" }
}

/// A value as it stands in its cell, and where it comes from; nothing where it is unknown.
fn shown(head: &Head, device: &Device, key: &str) -> (Option<String>, Provenance) {
    let size = |of: fn(&rig::Size) -> Length| {
        let text = device.size.value.as_ref().map(|size| super::value::length(of(size), head.unit).0);
        (text, device.size.from)
    };
    let bare = |text: Option<String>, from: Provenance| {
        let strip =
            |text: String| match unit(head, key).and_then(|unit| text.strip_suffix(&format!(" {unit}"))) {
                Some(figure) => figure.to_owned(),
                None => text,
            };
        (text.map(strip), from)
    };
    match key {
        "title" => (Some(device.title.clone()), Provenance::Measured),
        "size.width" => size(|size| size.width),
        "size.depth" => size(|size| size.depth),
        "size.height" => size(|size| size.height),
        "mass" => bare(device.mass.value.map(|mass| mass.to_string()), device.mass.from),
        "power.type" => (device.power.nature.value.map(|it| it.word().to_owned()), device.power.nature.from),
        "power.volts" => {
            bare(device.power.volts.value.as_ref().map(ToString::to_string), device.power.volts.from)
        }
        "power.current" => {
            bare(device.power.current.value.map(|it| it.to_string()), device.power.current.from)
        }
        "power.sign" => (device.power.sign.value.map(|it| it.word().to_owned()), device.power.sign.from),
        _ => (device.signal.bypass.value.map(|it| it.word().to_owned()), device.signal.bypass.from),
    }
}

fn cell(head: &Head, device: &Device, column: usize, title: &str, key: &str) -> Markup {
    let field = Field::device(&device.tag, key);
    let (text, from) = shown(head, device, key);
    let known = key_at(&field);
    let is_given = known.is_some_and(|key| key.given);
    let said = format!("{title} of {}", device.tag);
    let address = packed(&field);
    let words = known.and_then(|key| if let Shape::Words(words) = &key.shape { Some(*words) } else { None });
    let current = text.as_deref().unwrap_or_default();
    html! {
        form.field.cell method="post" action=(head.edit_to()) data-live="" data-key={ "cell-" (address) } {
            (head.edit_fields("set"))
            input type="hidden" name="field" value=(address);
            input type="hidden" name="unit" value=(page(head));
            @if is_given { input type="hidden" name="from" value="measured" data-typed-as=""; }
            @if let Some(words) = words {
                select name="value" data-col=(column) aria-label=(said) {
                    option value="" selected[current.is_empty()] { "?" }
                    @for word in words { option value=(word) selected[*word == current] { (short(word)) } }
                }
            } @else {
                input name="value" data-col=(column) value=(current) placeholder="?" autocomplete="off" aria-label=(said);
            }
            @if is_given && text.is_some() { (origin(head, &field, from)) }
        }
    }
}

/// A word of the document as a narrow column shows it.
fn short(word: &str) -> String {
    match word {
        "centre-negative" => "centre \u{2212}".to_owned(),
        "centre-positive" => "centre +".to_owned(),
        _ => word.replace('-', " "),
    }
}

/// The letter of where a value comes from, as a link to all of that.
fn origin(head: &Head, field: &Field, from: Provenance) -> Markup {
    html! { a.from-of href={ "/job/" (head.job) "/where?field=" (query(&packed(field))) } data-where="" { (letter(from)) } }
}

/// What is asked of a device that comes from the catalogue, beside its tag: what nobody can see on it.
pub(crate) fn asked_of_new(kind: &str) -> Markup {
    let words = |key: &str| match DEVICE.key(key.split('.').next().unwrap_or(key)).map(|key| &key.shape) {
        Some(Shape::Table(inner)) => {
            match key.split('.').nth(1).and_then(|name| inner.key(name)).map(|key| &key.shape) {
                Some(Shape::Words(words)) => *words,
                _ => &[],
            }
        }
        _ => &[],
    };
    html! {
        input name="power.volts" size="4" placeholder="9 V" aria-label={ "Volts of the " (kind) };
        input name="power.current" size="5" placeholder="20 mA" aria-label={ "What the " (kind) " draws" };
        @for (key, said) in [("power.sign", "Polarity of the "), ("signal.bypass", "Bypass of the ")] {
            select name=(key) aria-label={ (said) (kind) } {
                option value="" { (said.split(' ').next().unwrap_or_default().to_lowercase()) "?" }
                @for word in words(key) { option value=(word) { (word.replace('-', " ")) } }
            }
        }
    }
}

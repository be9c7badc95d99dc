//! Every value the format knows below an address, as fields: what is written, where it comes from, and what
//! may be added. Brief and Gear are made of these, so that whatever a document can say can be said here.

use std::collections::BTreeSet;

use document::format::{Key, Shape, Table};
use document::{Entry, Family, Job};
use finding::Field;
use maud::{Markup, html};
use quantity::LengthUnit;
use rig::Provenance;

use super::findings::sentence;
use super::frame::Head;
use super::value::{packed, query};
use crate::acts::writing::first_keys;
use crate::format_at::is_length;

const FROMS: [Provenance; 5] =
    [Provenance::Measured, Provenance::Photo, Provenance::Printed, Provenance::Assumed, Provenance::Unknown];

/// What fields are made from.
pub(crate) struct Fields<'a> {
    head: &'a Head,
    job: &'a Job,
    entries: Vec<Entry>,
}

/// `a` or `an`, by the first letter: names of keys are said as they are written.
fn article(name: &str) -> &'static str {
    if name.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" }
}

/// One entry of a list, as a person calls it.
fn noun(list: &str) -> &str {
    if list == "switching" { "shared switch" } else { list }
}

/// A key as a label: `clear_below` is `Clear below`.
fn label(name: &str) -> String {
    if name == "dc" { "DC".to_owned() } else { sentence(&name.replace('_', " ")) }
}

/// What a field shows that is empty: one example, the one in its unit where there is one.
fn example(examples: &'static str, unit: &str) -> &'static str {
    let mut all = examples.split(" or ");
    let first = all.clone().next().unwrap_or(examples);
    all.find(|example| example.ends_with(&format!(" {unit}"))).unwrap_or(first)
}

/// The family whose ids a key takes.
fn family(key: &Key) -> Option<Family> {
    if !key.doc.starts_with("Catalogue id") && !key.doc.ends_with("from the catalogue.") {
        return None;
    }
    match key.name {
        "connector" => Some(Family::Connector),
        "cable" => Some(Family::Cable),
        "pickup" => Some(Family::Pickup),
        "plug" | "from_plug" | "to_plug" | "outlet_plug" | "barrel_adaptor" => Some(Family::Plug),
        "kind" if key.doc.contains("amp") => Some(Family::Input),
        _ => None,
    }
}

fn is_plain(shape: &Shape) -> bool {
    matches!(
        shape,
        Shape::Text
            | Shape::Tag
            | Shape::Switch
            | Shape::Count(_)
            | Shape::Turn
            | Shape::Words(_)
            | Shape::Measure(_)
            | Shape::List(Shape::Text)
    )
}

impl<'a> Fields<'a> {
    pub(crate) fn new(head: &'a Head, job: &'a Job) -> Self {
        Self { head, job, entries: job.catalogue.entries() }
    }

    /// The fields of a table, without some of its keys; what lies deeper stands in groups that open.
    pub(crate) fn keys(&self, field: &Field, table: &'static Table, without: &[&str]) -> Markup {
        let keys: Vec<&'static Key> =
            table.keys.iter().filter(|key| !without.contains(&key.name) && key.name != "from").collect();
        html! {
            @for key in keys.iter().filter(|key| is_plain(&key.shape)) { (self.value(&field.below(key.name), key)) }
            @for key in &keys {
                @let below = field.below(key.name);
                @match &key.shape {
                    Shape::Table(inner) => {
                        details.group data-key={ "group-" (packed(&below)) } {
                            summary { (label(key.name)) span.faint { (key.doc) } }
                            (self.keys(&below, inner, &[]))
                        }
                    }
                    Shape::Named(inner) => { (self.named(&below, key, inner)) }
                    Shape::List(Shape::Table(inner)) => { (self.rows(&below, key, inner)) }
                    Shape::Values(inner) => { (self.loose(&below, key, inner)) }
                    _ => {}
                }
            }
        }
    }

    /// A key at the top of the document, whatever it is.
    pub(crate) fn top(&self, key: &'static Key) -> Markup {
        let field = Field::new([key.name]);
        match &key.shape {
            Shape::Named(table) => self.named(&field, key, table),
            Shape::Tables(table, _) => self.listed(key.name, table),
            Shape::Values(inner) => self.loose(&field, key, inner),
            Shape::Table(table) => self.keys(&field, table, &[]),
            _ => html! {},
        }
    }

    fn hidden(&self, act: &str, field: &Field) -> Markup {
        let unit = if self.head.unit == LengthUnit::Inch { "in" } else { "mm" };
        html! {
            (self.head.edit_fields(act))
            input type="hidden" name="field" value=(packed(field));
            input type="hidden" name="unit" value=(unit);
        }
    }

    /// What may be typed or chosen for a key.
    fn control(
        &self,
        key: &'static Key,
        shape: &'static Shape,
        name: &str,
        text: &str,
        marks: &Marks<'_>,
    ) -> Markup {
        let Marks { id, said, only } = marks;
        html! {
            @match shape {
                Shape::Words(words) => {
                    select id=[*id] name=(name) aria-label=[*said] {
                        option value="" selected[text.is_empty()] { "not said" }
                        @for word in *words { option value=(word) selected[*word == text] { (word) } }
                    }
                }
                Shape::Switch => {
                    select id=[*id] name=(name) aria-label=[*said] {
                        option value="" selected[text.is_empty()] { "not said" }
                        @for (value, word) in [("true", "yes"), ("false", "no")] { option value=(value) selected[value == text] { (word) } }
                    }
                }
                Shape::Turn => {
                    select id=[*id] name=(name) aria-label=[*said] {
                        option value="" selected[text.is_empty()] { "not said" }
                        @for word in ["0", "90", "180", "270"] { option value=(word) selected[word == text] { (word) "°" } }
                    }
                }
                Shape::Measure(measure) => { input id=[*id] name=(name) size="9" value=(text) placeholder=(example(measure.example, self.unit(key))) aria-label=[*said]; }
                Shape::Count(_) => { input id=[*id] name=(name) size="5" inputmode="numeric" value=(text) aria-label=[*said]; }
                Shape::List(_) => { input id=[*id] name=(name) value=(text) placeholder="one, another" aria-label=[*said]; }
                _ => {
                    @if let Some(family) = family(key) {
                        select id=[*id] name=(name) aria-label=[*said] {
                            option value="" selected[text.is_empty()] { "not said" }
                            @if !text.is_empty() && !self.entries.iter().any(|entry| entry.id == text) { option value=(text) selected { (text) } }
                            @for entry in self.entries.iter().filter(|entry| entry.family == family && only.is_none_or(|only| only.contains(&entry.id))) { option value=(entry.id) selected[entry.id == text] { (entry.title) } }
                        }
                    } @else if matches!(key.name, "note" | "music" | "venues") {
                        textarea id=[*id] name=(name) rows="2" aria-label=[*said] { (text) }
                    } @else {
                        input id=[*id] name=(name) value=(text) aria-label=[*said];
                    }
                }
            }
        }
    }

    /// The unit that a bare figure has in the field of a key.
    fn unit(&self, key: &Key) -> &'static str {
        crate::format_at::unit_of(key, if self.head.unit == LengthUnit::Inch { "in" } else { "mm" })
    }

    fn value(&self, field: &Field, key: &'static Key) -> Markup {
        let head = self.head;
        let written = self.job.written(field);
        let text = written.as_ref().map_or("", |written| written.text.as_str());
        let from = written.as_ref().map_or(Provenance::Assumed, |written| written.from);
        let address = packed(field);
        let id = address.replace(['/', '%', ' '], "-");
        let act = if matches!(key.shape, Shape::List(_)) { "list" } else { "set" };
        let only = crate::fit::suiting(self.job, field);
        html! {
            form.field method="post" action=(head.edit_to()) data-live="" data-key=(address) {
                (head.edit_fields(act))
                input type="hidden" name="field" value=(address);
                @if is_length(&key.shape) { input type="hidden" name="unit" value=(if head.unit == LengthUnit::Inch { "in" } else { "mm" }); }
                label for=(id) {
                    @if written.is_some() {
                        a.val href={ "/job/" (head.job) "/where?field=" (query(&address)) } data-where="" { (label(key.name)) }
                    } @else { (label(key.name)) }
                    @if !self.unit(key).is_empty() { " " span.unit { (self.unit(key)) } }
                    span.doc { (key.doc) }
                }
                (self.control(key, &key.shape, "value", text, &Marks { id: Some(&id), said: None, only: only.as_ref() }))
                @if key.given {
                    select name="from" aria-label={ "Where " (key.name) " comes from" } { @for of in FROMS { option value=(of.word()) selected[of == from] { (of.word()) } } }
                }
                button.btn.small type="submit" aria-label={ "Set " (key.name.replace('_', " ")) } { "Set" }
            }
        }
    }

    fn away(&self, field: &Field, what: &str) -> Markup {
        html! {
            form.away method="post" action=(self.head.edit_to()) data-live="" {
                (self.hidden("set", field))
                input type="hidden" name="value" value="";
                input type="hidden" name="name" value={ "remove " (what) };
                button.btn.small type="submit" { "Remove " (what) }
            }
        }
    }

    /// Things with names of their own, each in a group, and a form for one more.
    fn named(&self, field: &Field, key: &'static Key, table: &'static Table) -> Markup {
        let names = self.job.names_below(field);
        html! {
            @for name in &names {
                @let below = field.below(name);
                details.group data-key={ "group-" (packed(&below)) } {
                    summary { (label(key.name)) " " (name) span.faint { (self.gist(&below, table)) } }
                    (self.keys(&below, table, &[]))
                    (self.away(&below, &format!("{} {name}", key.name)))
                }
            }
            details.group.more data-key={ "more-" (packed(field)) } {
                summary { "Add " (article(key.name)) " " (key.name) span.faint { (key.doc) } }
                form.add method="post" action=(self.head.edit_to()) data-live="" data-clear="" {
                    (self.hidden("named", field))
                    label.figure { span { "Name" } input name="name" size="10" maxlength="40" required; }
                    @for (path, key) in first_keys(table) {
                        label.figure {
                            span { (label(&path.replace('.', " "))) @if key.required { " *" } }
                            input type="hidden" name="key" value=(path);
                            (self.control(key, &key.shape, "value", "", &Marks::default()))
                        }
                    }
                    button.btn.small type="submit" { "Add" }
                }
            }
        }
    }

    /// The first values written of a thing, so that it is known without being opened.
    fn gist(&self, field: &Field, table: &'static Table) -> String {
        let mut said = Vec::new();
        for key in table.keys {
            let below = field.below(key.name);
            match &key.shape {
                Shape::Table(inner) if key.name == "size" => {
                    let size = inner.keys.iter().filter_map(|key| self.job.written(&below.below(key.name)));
                    said.push(size.map(|written| written.text).collect::<Vec<_>>().join(" × "));
                }
                shape if is_plain(shape) && key.name != "from" => {
                    said.extend(self.job.written(&below).map(|written| written.text));
                }
                _ => {}
            }
        }
        said.retain(|text| !text.is_empty());
        said.truncate(4);
        said.join(", ")
    }

    /// A list of tables, all its rows and an empty one.
    fn rows(&self, field: &Field, key: &'static Key, table: &'static Table) -> Markup {
        let rows = self.job.rows_at(field);
        let blank = Vec::new();
        let keys: Vec<&'static Key> = table.keys.iter().filter(|key| key.name != "from").collect();
        html! {
            details.group data-key={ "group-" (packed(field)) } {
                summary { (label(key.name)) span.faint { (key.doc) " " (rows.len()) " written." } }
                form method="post" action=(self.head.edit_to()) data-live="" {
                    (self.hidden("rows", field))
                    div.scroll {
                    table.list {
                        thead { tr { @for key in &keys { th scope="col" { (label(key.name)) } } } }
                        tbody {
                            @for (index, row) in rows.iter().chain([&blank]).enumerate() {
                                tr data-key={ "row-" (index) } {
                                    @for key in &keys {
                                        @let cell = row.iter().find(|(name, _)| name == key.name).map(|(_, written)| written);
                                        @let said = format!("{} of row {}", key.name, index + 1);
                                        td {
                                            (self.control(key, &key.shape, &format!("cell.{}", key.name), cell.map_or("", |cell| cell.text.as_str()), &Marks { id: None, said: Some(&said), only: None }))
                                            @if key.given {
                                                " " select name={ "from." (key.name) } aria-label={ "Where " (said) " comes from" } {
                                                    @for of in FROMS { option value=(of.word()) selected[of == cell.map_or(Provenance::Assumed, |cell| cell.from)] { (of.word()) } }
                                                }
                                            }
                                        }
                                    }
                                }
                            }
                        }
                    } }
                    button.btn.small type="submit" { "Set " (key.name) }
                    span.faint { " An empty row is left out." }
                }
            }
        }
    }

    /// Values with names of their own.
    fn loose(&self, field: &Field, key: &'static Key, shape: &'static Shape) -> Markup {
        html! {
            @for name in self.job.names_below(field) {
                @let below = field.below(&name);
                @let text = self.job.written(&below).map(|written| written.text).unwrap_or_default();
                form.field method="post" action=(self.head.edit_to()) data-live="" data-key=(packed(&below)) {
                    (self.hidden("set", &below))
                    span.label { (sentence(&name)) }
                    (self.control(key, shape, "value", &text, &Marks { id: None, said: Some(&name), only: None }))
                    button.btn.small type="submit" aria-label={ "Set " (name) } { "Set" }
                }
            }
            form.field method="post" action=(self.head.edit_to()) data-live="" data-clear="" data-key={ "more-" (packed(field)) } {
                (self.hidden("named", field))
                input type="hidden" name="key" value="";
                input name="name" required maxlength="60" placeholder="one more, by name" aria-label={ "Name of one more " (key.name) };
                (self.control(key, shape, "value", "", &Marks { id: None, said: Some("its value"), only: None }))
                button.btn.small type="submit" { "Add" }
            }
        }
    }

    /// A list of tables at the top of the document: states, moments.
    fn listed(&self, list: &'static str, table: &'static Table) -> Markup {
        let names = self.job.names_below(&Field::new([list]));
        html! {
            @for name in &names {
                details.group data-key={ "group-" (list) "-" (name) } {
                    summary { (name) }
                    (self.keys(&Field::of(list, name, ""), table, &["name"]))
                    form.away method="post" action=(self.head.edit_to()) data-live="" {
                        (self.head.edit_fields("row-away"))
                        input type="hidden" name="list" value=(list);
                        input type="hidden" name="id" value=(name);
                        button.btn.small type="submit" { "Remove " (name) }
                    }
                }
            }
            details.group.more data-key={ "more-" (list) } {
                summary { "Add " (article(noun(list))) " " (noun(list)) }
                form.add method="post" action=(self.head.edit_to()) data-live="" data-clear="" {
                    (self.head.edit_fields("row"))
                    input type="hidden" name="list" value=(list);
                    label.figure { span { "Name" } input name="name" size="10" maxlength="40" required; }
                    @for key in table.keys.iter().filter(|key| key.name != "name") {
                        label.figure {
                            span { (label(key.name)) }
                            input type="hidden" name="key" value=(key.name);
                            (self.control(key, &key.shape, "value", "", &Marks::default()))
                        }
                    }
                    button.btn.small type="submit" { "Add" }
                }
            }
        }
    }
}

/// How assistive technology finds a control: by the label that names its id, or by words of its own.
#[derive(Default)]
struct Marks<'a> {
    id: Option<&'a str>,
    said: Option<&'a str>,
    /// The catalogue ids that may be chosen; all of the family where nothing stands here.
    only: Option<&'a BTreeSet<String>>,
}

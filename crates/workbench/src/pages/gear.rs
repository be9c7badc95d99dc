//! Gear: every device with its values, and four ways to add one.

use document::format::{DEVICE, Shape};
use document::{Entry, Job};
use finding::Field;
use maud::{Markup, html};
use rig::{Device, Word as _};

use super::fields::Fields;
use super::frame::Head;
use super::marks::letters;

use crate::here::Usual;
use crate::paste::Sheet;

/// What stands open beneath the table.
pub(crate) enum Open {
    Nothing,
    /// What a search found, what of each is usual in this shop, and how many more there are.
    Add {
        words: String,
        found: Vec<Entry>,
        usual: Vec<Vec<Usual>>,
        more: usize,
    },
    Measure,
    Photo,
    Paste {
        rows: String,
        sheet: Sheet,
    },
    First(measure::Answer),
}

/// The page.
pub(crate) struct Gear<'a> {
    pub(crate) head: &'a Head,
    pub(crate) job: &'a Job,
    pub(crate) devices: &'a [Device],
    pub(crate) picked: Option<&'a Device>,
    pub(crate) open: Open,
    pub(crate) connectors: Vec<Entry>,
    /// What a device may be of.
    pub(crate) kinds: Vec<Entry>,
}

impl Gear<'_> {
    pub(crate) fn tools(&self) -> Markup {
        let at = |how: &str| format!("{}?add={how}", self.head.to(self.head.place));
        let is = |how: &str| match &self.open {
            Open::Add { .. } => how == "catalogue",
            Open::Measure | Open::Photo => how == "measure",
            Open::Paste { .. } => how == "paste",
            Open::First(_) => how == "first",
            Open::Nothing => how.is_empty(),
        };
        html! {
            div.seg role="group" aria-label="Table or a way to add" {
                a href=(self.head.to(self.head.place)) aria-current=[is("").then_some("true")] { "Table" }
                a href=(at("catalogue")) aria-current=[is("catalogue").then_some("true")] { "Add from the catalogue" }
                a href=(at("measure")) aria-current=[is("measure").then_some("true")] { "Measure a new kind" }
                a href=(at("paste")) aria-current=[is("paste").then_some("true")] { "Paste rows" }
                @if !self.devices.is_empty() {
                    a href=(at("first")) aria-current=[is("first").then_some("true")] { "Measure first" }
                }
            }
            span.grow {}
            @if !self.devices.is_empty() { a.btn.small href={ "/job/" (self.head.job) "/rows.csv" } download { "Rows out" } }
            @if !self.devices.is_empty() {
                label { "What is typed into the table is "
                    select #typed-as data-keep="" { @for word in ["measured", "printed", "assumed"] { option { (word) } } }
                }
            }
            (letters())
        }
    }

    pub(crate) fn main(&self) -> Markup {
        html! {
            div.page {
                @match &self.open {
                    Open::Nothing => {}
                    Open::Add { words, found, usual, more } => { (self.add(words, found, usual, *more)) }
                    Open::Measure => { (self.measure()) }
                    Open::Photo => { (super::photo::photo(self.head, &self.connectors, roles())) }
                    Open::Paste { rows, sheet } => { (self.paste(rows, sheet)) }
                    Open::First(answer) => { (super::first::first(self.head, answer)) }
                }
                (self.table())
                @if let Some(device) = self.picked { (self.values(device)) }
            }
        }
    }

    fn table(&self) -> Markup {
        let head = self.head;
        html! {
            h2 { "Devices " span { (self.devices.len()) @if !self.devices.is_empty() { ": type into the table, paste a block, or move with the arrow keys" } } }
            @if self.devices.is_empty() {
                p.none { "No device yet. Add one from the catalogue, measure one, or paste rows from a spreadsheet." }
            } @else {
                (super::sheet::table(head, self.devices, self.picked))
            }
        }
    }

    fn add(&self, words: &str, found: &[Entry], usual: &[Vec<Usual>], more: usize) -> Markup {
        let head = self.head;
        html! {
            section.panel aria-labelledby="add-head" {
                h2 #add-head { "Add from the catalogue" }
                form.search method="get" action=(head.to(head.place)) role="search" {
                    input type="hidden" name="add" value="catalogue";
                    label { "Search " input #catalogue-search type="search" name="words" value=(words) placeholder="size, class, word" data-search=""; }
                    button.btn type="submit" { "Search" }
                }
                table.list.found.stack {
                    thead { tr { th scope="col" { "Kind" } th scope="col" { "What it is" } th scope="col" { "Add with tag" } } }
                    tbody {
                        @for (entry, usual) in found.iter().zip(usual) {
                            tr {
                                th scope="row" { (entry.id) }
                                td.wide { span { (entry.title) @if !entry.search.is_empty() { span.faint { ", " (entry.search.join(", ")) } } }
                                    @if !usual.is_empty() { br; span.faint { "usual here: " (usual.iter().map(Usual::words).collect::<Vec<_>>().join("; ")) } } }
                                td.wide {
                                    form.row method="post" action=(head.edit_to()) data-live="" {
                                        (head.edit_fields("add"))
                                        input type="hidden" name="kind" value=(entry.id);
                                        input name="tag" size="6" maxlength="24" placeholder="next free" aria-label={ "Tag for " (entry.id) };
                                        input name="title" size="16" maxlength="80" placeholder="what it is" aria-label={ "What the " (entry.id) " is" };
                                        @if matches!(entry.role, rig::Role::Pedal | rig::Role::Other) { (super::sheet::asked_of_new(&entry.id)) }
                                        button.btn.small type="submit" aria-label={ "Add " (entry.id) } { "Add" }
                                    }
                                }
                            }
                        }
                    }
                }
                @if found.is_empty() { p.none { "Nothing in the catalogue goes by these words." } }
                @if more > 0 { p.faint { (more) " more; search for fewer." } }
            }
        }
    }

    fn measure(&self) -> Markup {
        let head = self.head;
        let unit = if head.unit == quantity::LengthUnit::Inch { "in" } else { "mm" };
        let figure = |name: &str, label: &str, unit: &str| {
            html! { label.figure { span { (label) } input name=(name) size="6" inputmode="decimal" autocomplete="off"; span.unit { (unit) } } }
        };
        let choice = |name: &str, label: &str, options: &[&str]| {
            html! { label.figure { span { (label) } select name=(name) { option value="" {} @for option in options { option { (option) } } } } }
        };
        html! {
            section.panel.measure aria-labelledby="measure-head" {
                h2 #measure-head { "Measure a new kind" span { "what you type is drawn; leave out what you do not know" } }
                p.row { a.btn href={ (head.to(head.place)) "?add=photo" } { "From photos on a sheet of paper" } }
                form #measure method="post" action={ "/job/" (head.job) "/measure" } data-live="" data-view={ "/job/" (head.job) "/measure/view" } {
                    (head.edit_fields("measure"))
                    input type="hidden" name="unit" value=(unit);
                    div.cols {
                        fieldset {
                            legend { "Device" }
                            label.figure { span { "Tag" } input name="tag" size="8" maxlength="24" placeholder="next free"; }
                            label.figure { span { "What it is" } input name="title" size="20" maxlength="80"; }
                            (figure("size.width", "Width", unit))
                            (figure("size.depth", "Depth", unit))
                            (figure("size.height", "Height", unit))
                            (figure("knobs", "Knobs above", unit))
                            (figure("corner", "Corner radius", unit))
                            (figure("mass", "Mass", "g"))
                            (figure("switch.x", "Switch from left", unit))
                            (figure("switch.y", "Switch from front", unit))
                        }
                        fieldset {
                            legend { "Power and signal" }
                            (choice("power.type", "Supply", rig::Nature::WORDS))
                            (figure("power.volts", "Volts", "V"))
                            (figure("power.current", "Draws", "mA"))
                            (choice("power.sign", "Sign", rig::Sign::WORDS))
                            (choice("signal.bypass", "Bypass", rig::Bypass::WORDS))
                            label.check { input type="checkbox" name="keep" value="yes"; " keep as a kind in the shop’s catalogue" }
                        }
                        div #measure-view.view role="img" aria-label="Top view of what is measured, to scale" { p.none { "The top view grows here." } }
                    }
                    div.scroll tabindex="0" role="region" aria-label="Ports" {
                    table.list.ports {
                        caption { "Ports. Offset: centre from the front edge on left and right, from the left edge on front and back." }
                        thead { tr { th scope="col" { "Name" } th scope="col" { "For" } th scope="col" { "Connector" } th scope="col" { "Side" } th scope="col" { "Offset" } th scope="col" { "Height" } th scope="col" { "Impedance" } } }
                        tbody {
                            @for (number, (name, role, connector, face)) in [("IN", "in", "jack-6.35-ts", "right"), ("OUT", "out", "jack-6.35-ts", "left"), ("DC", "power", "barrel-5.5-2.1", "back"), ("", "", "", ""), ("", "", "", "")].into_iter().enumerate() {
                                @let of = |key: &str| format!("port{}.{key}", number + 1);
                                @let said = |what: &str| format!("{what} of port {}", number + 1);
                                tr {
                                    td { input name=(of("name")) size="6" maxlength="24" value=(name) aria-label=(said("name")); }
                                    td { select name=(of("role")) aria-label=(said("use")) { option value="" {} @for word in roles() { option selected[*word == role] { (word) } } } }
                                    td { select name=(of("connector")) aria-label=(said("connector")) { option value="" {} @for entry in &self.connectors { option value=(entry.id) selected[entry.id == connector] { (entry.title) } } } }
                                    td { select name=(of("face")) aria-label=(said("side")) { option value="" {} @for word in ["front", "right", "back", "left"] { option selected[word == face] { (word) } } } }
                                    td { input name=(of("offset")) size="6" inputmode="decimal" aria-label=(said("offset")); }
                                    td { input name=(of("height")) size="6" inputmode="decimal" aria-label=(said("height")); }
                                    td { input name=(of("z")) size="8" placeholder="1 MΩ" aria-label=(said("impedance")); }
                                }
                            }
                        }
                    } }
                    button.btn.first type="submit" { "Add this device" }
                }
            }
        }
    }

    fn paste(&self, rows: &str, sheet: &Sheet) -> Markup {
        let head = self.head;
        html! {
            section.panel aria-labelledby="paste-head" {
                h2 #paste-head { "Paste rows from a spreadsheet" span { "the first row names the columns: tag, name, kind, width, depth, height, mass, volts, current, sign, bypass" } }
                form method="post" action={ (head.to(head.place)) "/preview" } {
                    input type="hidden" name="base" value=(head.revision);
                    label for="rows" { "Rows" }
                    textarea #rows name="rows" rows="6" spellcheck="false" { (rows) }
                    button.btn type="submit" { "Look at them" }
                }
                @if !sheet.heads.is_empty() {
                    @let problem = sheet.first_problem();
                    div.scroll tabindex="0" role="region" aria-label="Preview of the rows" {
                    table.list.pasted {
                        thead { tr { @for (title, known) in &sheet.heads { th scope="col" { (title) br; span.faint { (known.map_or("left out", crate::paste::said)) } } } } }
                        tbody {
                            @for row in &sheet.rows {
                                tr { @for cell in &row.cells {
                                    td .wrong[cell.problem.is_some()] {
                                        (cell.text)
                                        @if let Some(problem) = &cell.problem { br; b.stop-word { "Wrong" } " " (problem) }
                                    }
                                } }
                            }
                        }
                    } }
                    @if sheet.rows.iter().any(|row| !row.assumed.is_empty()) {
                        p.faint { "What no column says is assumed, and shows as assumed: jacks as on the class of the catalogue nearest in size, and DC where a polarity stands beside the volts." }
                    }
                    form.row method="post" action=(head.edit_to()) data-live="" {
                        (head.edit_fields("paste"))
                        input type="hidden" name="rows" value=(rows);
                        label { "These values are " select name="from" { option { "printed" } option { "measured" } option { "assumed" } } }
                        button.btn.first type="submit" disabled[problem.is_some()] { "Add " (sheet.rows.len()) " devices" }
                        @if let Some(problem) = problem { span { "Mend first: " (problem) } }
                    }
                }
            }
        }
    }

    /// Every value the format knows of a device, to override with where it comes from.
    fn values(&self, device: &Device) -> Markup {
        let head = self.head;
        let field = Field::device(&device.tag, "");
        html! {
            section.panel #values aria-labelledby="values-head" {
                h2 #values-head { (device.tag) ", all its values" span { "written here, or in the kind " (device.kind.as_deref().unwrap_or("(none)")) } }
                div.row {
                    form.row method="post" action=(head.edit_to()) data-live="" {
                        (head.edit_fields("rename"))
                        input type="hidden" name="tag" value=(device.tag);
                        label { "Tag " input name="to" size="8" maxlength="24" value=(device.tag); }
                        button.btn.small type="submit" { "Rename everywhere" }
                    }
                    form.row method="post" action=(head.edit_to()) data-live="" {
                        (head.edit_fields("kind"))
                        input type="hidden" name="tag" value=(device.tag);
                        label { "Kind " select name="kind" {
                            option value="" selected[device.kind.is_none()] { "its own" }
                            @for entry in &self.kinds { option value=(entry.id) selected[device.kind.as_deref() == Some(entry.id.as_str())] { (entry.title) ", " (entry.id) } }
                        } }
                        button.btn.small type="submit" { "Change kind" }
                    }
                    form method="post" action=(head.edit_to()) data-live="" {
                        (head.edit_fields("away"))
                        input type="hidden" name="tag" value=(device.tag);
                        button.btn.small type="submit" { "Remove " (device.tag) }
                    }
                }
                div.fields { (Fields::new(head, self.job).keys(&field, &DEVICE, &["tag", "search", "kind"])) }
            }
        }
    }
}

fn roles() -> &'static [&'static str] {
    match document::format::PORT.key("role").map(|key| &key.shape) {
        Some(Shape::Words(words)) => words,
        _ => &[],
    }
}

//! Leads: the schedule, every lead with what it is made of and what it has to spare.

use design::{Lead, Making, end_words};
use document::Entry;
use finding::Field;
use maud::{Markup, html};
use quantity::LengthUnit;
use rig::LeadClass;

use super::frame::Head;
use super::marks::letter;
use super::value::{derived_length, packed, query};

/// A lead with how it comes to be.
pub(crate) struct Row<'a> {
    pub(crate) lead: &'a Lead,
    pub(crate) making: Making,
    pub(crate) id: String,
}

/// The page.
pub(crate) struct Leads<'a> {
    pub(crate) head: &'a Head,
    pub(crate) rows: Vec<Row<'a>>,
    pub(crate) picked: Option<&'a str>,
    pub(crate) cables: Vec<Entry>,
    pub(crate) plugs: Vec<Entry>,
}

fn made(making: Making) -> &'static str {
    match making {
        Making::Made => "made here",
        Making::Bought => "ready-made",
        Making::Theirs => "the client’s",
        Making::Captive => "captive",
    }
}

impl Leads<'_> {
    pub(crate) fn tools(&self) -> Markup {
        let here = self.rows.iter().filter(|row| row.making == Making::Made).count();
        html! {
            span { b { (self.rows.len()) } " leads, " b { (here) } " made here" }
            span.grow {}
            span.faint { "Lengths are estimated from the straight line until a lead is made and its cut written." }
        }
    }

    pub(crate) fn main(&self) -> Markup {
        let head = self.head;
        html! {
            div.page {
                @if self.rows.is_empty() { p.none { "No lead yet: each step of a run is one, and each feed." } }
                @for class in [LeadClass::Signal, LeadClass::Control, LeadClass::Dc, LeadClass::Mains] {
                    @let rows: Vec<&Row<'_>> = self.rows.iter().filter(|row| row.lead.class == class).collect();
                    @if !rows.is_empty() {
                        h2 { span.{ "swatch " (class.word().to_lowercase()) } aria-hidden="true" {} (super::findings::sentence(class.word())) span { (rows.len()) } }
                        div.scroll tabindex="0" role="region" aria-label={ "Schedule of " (class.word()) " leads" } {
                        table.list.schedule.stack {
                            thead { tr {
                                th scope="col" { "Lead" } th scope="col" { "From" } th scope="col" { "To" }
                                th scope="col" { "Cable" } th scope="col" { "Ends" } th.n scope="col" { "Wants" } th.n scope="col" { "Cut" } th scope="col" { "Is" }
                            } }
                            tbody { @for row in &rows { (self.row(head, row)) } }
                        } }
                    }
                }
            }
        }
    }

    fn row(&self, head: &Head, row: &Row<'_>) -> Markup {
        let lead = row.lead;
        let is = self.picked == Some(&row.id);
        html! {
            tr id=[is.then_some("lead-picked")] .pick[is] data-key=(row.id) {
                th scope="row" { a href={ (head.to(head.place)) "?lead=" (query(&row.id)) } { (lead.tag) } }
                td data-th="From" { (lead.from.port) }
                td data-th="To" { (lead.to.port) }
                td.wide data-th="Cable" { (lead.cable.as_ref().map_or("not decided", |cable| cable.title.as_str())) }
                td.wide data-th="Ends" { (end_words(&lead.from)) @if end_words(&lead.from) != end_words(&lead.to) { " / " (end_words(&lead.to)) } }
                td.n data-th="Wants" { @if let Some(needed) = lead.needed.value { (derived_length(head, "lead", &lead.tag, needed)) " " (letter(lead.needed.from)) } @else { span.faint { "no place" } } }
                td.n data-th="Cut" { @if let Some(cut) = lead.cut.value { (derived_length(head, "cut", &lead.tag, cut)) " " (letter(lead.cut.from)) } @else { span.faint { "unknown" } } }
                td.wide data-th="Is" {
                    (made(row.making))
                    @if let (Some(cut), Some(needed)) = (lead.cut.value, lead.needed.value) {
                        @if lead.made && row.making == Making::Made {
                            ", " b { @if cut < needed { "remake" } @else { "reaches" } }
                        }
                    }
                }
            }
            @if is && row.making != Making::Theirs {
                tr.detail { td.wide colspan="8" { (self.detail(head, row)) } }
            }
        }
    }

    fn detail(&self, head: &Head, row: &Row<'_>) -> Markup {
        let lead = row.lead;
        let unit = if head.unit == LengthUnit::Inch { "in" } else { "mm" };
        let field = |key: &str, label: &str, control: &Markup| {
            html! {
                form.row method="post" action=(head.edit_to()) data-live="" {
                    (head.edit_fields("lead"))
                    input type="hidden" name="lead" value=(row.id);
                    input type="hidden" name="shown" value=(lead.tag);
                    input type="hidden" name="key" value=(key);
                    input type="hidden" name="unit" value=(unit);
                    label { (label) " " (control) }
                    button.btn.small type="submit" aria-label={ "Set " (label) " of " (lead.tag) } { "Set" }
                }
            }
        };
        let list = |entries: &[Entry], chosen: Option<&str>| {
            html! {
                select name="value" {
                    option value="" selected[chosen.is_none()] { "as usual" }
                    @for entry in entries { option value=(entry.id) selected[chosen == Some(entry.id.as_str())] { (entry.title) } }
                }
            }
        };
        let exits = |chosen: Option<rig::Exit>| {
            html! {
                select name="value" {
                    option value="" selected[chosen.is_none()] { "open" }
                    @for word in ["toe", "heel", "left", "right", "up", "down"] { option selected[chosen.is_some_and(|exit| exit.word() == word)] { (word) } }
                }
            }
        };
        let plug = |end: &design::LeadEndAt| end.plug.plug.as_ref().map(|plug| plug.id.clone());
        html! {
            div.row {
                (field("tag", "Number", &html! { input name="value" size="6" maxlength="12" value=(lead.tag); }))
                (field("cut", "Cut to", &html! { input name="value" size="7" inputmode="decimal" placeholder="not made"; " " (unit) }))
                (field("cable", "Cable", &list(&self.cables, lead.cable.as_ref().map(|cable| cable.id.as_str()))))
            }
            div.row {
                @if !lead.from.soldered { (field("from_plug", "Plug at the start", &list(&self.plugs, plug(&lead.from).as_deref()))) }
                (field("from_exit", "leaves to", &exits(lead.from.plug.exit)))
                @if !lead.to.soldered { (field("to_plug", "Plug at the end", &list(&self.plugs, plug(&lead.to).as_deref()))) }
                (field("to_exit", "leaves to", &exits(lead.to.plug.exit)))
            }
            p.faint { a href={ "/job/" (head.job) "/where?field=" (query(&packed(&Field::new(["lead", &row.id, "cut"])))) } data-where="" { "Where it stands in the document" } }
        }
    }
}

//! Leads: the deck with every lead as it is laid, and the schedule: what each is made of and what it has to spare.

use design::{Lead, Making, end_words};
use document::Entry;
use drawing::Drawing;
use finding::{Field, Severity};
use maud::{Markup, html};
use quantity::LengthUnit;
use rig::{LeadClass, Provenance};

use super::drawn::routed;
use super::frame::Head;
use super::lead::One;
use super::marks::{letter, severity};
use super::value::{derived_length, packed, query, rounded};
use crate::laid::Way;

/// A lead with how it comes to be and how it is laid.
pub(crate) struct Row<'a> {
    pub(crate) lead: &'a Lead,
    pub(crate) making: Making,
    pub(crate) id: String,
    pub(crate) ways: Vec<Way<'a>>,
    /// Why it is not laid.
    pub(crate) why_not: Option<&'a str>,
    /// The batch it is made in, when it is made here.
    pub(crate) batch: Option<usize>,
    /// Its turn as leads are put in.
    pub(crate) turn: Option<usize>,
}

/// What the schedule is sorted by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Sort {
    Class,
    Batch,
    Order,
}

impl Sort {
    const ALL: [(Self, &'static str, &'static str); 3] = [
        (Self::Class, "", "By class"),
        (Self::Batch, "batch", "By batch"),
        (Self::Order, "order", "As they go in"),
    ];

    pub(crate) fn of(word: &str) -> Self {
        Self::ALL.into_iter().find(|(_, of, _)| *of == word).map_or(Self::Class, |(sort, ..)| sort)
    }
}

/// The page.
pub(crate) struct Leads<'a> {
    pub(crate) head: &'a Head,
    pub(crate) rows: Vec<Row<'a>>,
    pub(crate) picked: Option<String>,
    pub(crate) sort: Sort,
    /// Whether the ways are known by now.
    pub(crate) is_known: bool,
    pub(crate) cables: Vec<Entry>,
    pub(crate) plugs: Vec<Entry>,
}

impl Row<'_> {
    /// The length of its way, of all legs together.
    pub(crate) fn route_mm(&self) -> Option<f64> {
        (!self.ways.is_empty()).then(|| self.ways.iter().map(|way| way.laid.route_mm).sum())
    }

    /// Whether it is bent sharper than its cable allows, by more than a tenth of a millimetre.
    pub(crate) fn is_sharp(&self) -> bool {
        self.ways.iter().any(|way| way.laid.tightest_mm < way.wanted.radius_mm - 0.1)
    }

    /// Whether it is bought ready-made or hangs on its adaptor: then it wants a length, and nobody cuts it.
    pub(crate) fn is_bought(&self) -> bool {
        matches!(self.making, Making::Bought | Making::Captive)
    }

    /// The length it is cut to: as it was made, as its way wants it, or estimated.
    pub(crate) fn cut(&self, head: &Head) -> Markup {
        let lead = self.lead;
        html! {
            @match lead.cut.value {
                None => { span.faint { "unknown" } }
                Some(cut) => {
                    @if self.is_bought() { span.faint { "needs " } }
                    (derived_length(head, "cut", &lead.tag, cut)) " "
                    @if lead.made || lead.outside || lead.laid && lead.cut.from == Provenance::Assumed { (letter(lead.cut.from)) } @else if !lead.laid { span.faint { "estimated" } }
                }
            }
        }
    }
}

/// What the leads of a batch have in common.
fn batch_title(rows: &[&Row<'_>]) -> String {
    let Some(row) = rows.first() else { return String::new() };
    let cable = row.lead.cable.as_ref().map_or("cable not decided", |cable| cable.title.as_str());
    let ends = kinds_of_ends(row.lead);
    format!("Batch {}: {cable}, {ends}", row.batch.unwrap_or(0))
}

/// What sits at its ends, each kind once.
fn kinds_of_ends(lead: &design::Lead) -> String {
    let mut words: Vec<&str> = Vec::new();
    for end in lead.ends.iter().map(end_words) {
        if !words.contains(&end) {
            words.push(end);
        }
    }
    words.join(" / ")
}

/// The address of a lead on this page, or of none, sorted so.
fn address(head: &Head, lead: Option<&str>, sort: Sort) -> String {
    let word = Sort::ALL.into_iter().find(|(of, ..)| *of == sort).map_or("", |(_, word, _)| word);
    let parts: Vec<String> = [("sort", Some(word).filter(|word| !word.is_empty())), ("lead", lead)]
        .into_iter()
        .filter_map(|(key, value)| Some(format!("{key}={}", query(value?))))
        .collect();
    let mark = if parts.is_empty() { "" } else { "?" };
    format!("{}{mark}{}", head.to(super::frame::Place::Leads), parts.join("&"))
}

/// The deck with the leads as they are laid.
pub(crate) fn plan(plan: &Drawing, one: Option<&One<'_>>) -> Markup {
    let over = one.map(|one| one.marks(plan)).unwrap_or_default();
    html! {
        (routed(plan, one.map(|one| one.lead.tag.as_str()), &over))
        p #drag-help.sr { "Enter shows the lead alone." }
    }
}

impl Leads<'_> {
    pub(crate) fn tools(&self) -> Markup {
        let here = self.rows.iter().filter(|row| row.making == Making::Made).count();
        html! {
            span { b { (self.rows.len()) } " leads, " b { (here) } " made here" }
            @if !self.is_known { span.faint { "estimated from the straight line; the ways follow" } }
            output #live.live aria-live="off" {}
            span.grow {}
            @if self.picked.is_some() { a.btn.small href=(address(self.head, None, self.sort)) data-pick="" { "Show all" } }
            div.seg role="group" aria-label="Zoom" {
                button type="button" data-zoom="out" aria-label="smaller" { "\u{2212}" }
                button type="button" data-zoom="fit" { "Fit" }
                button type="button" data-zoom="in" aria-label="larger" { "+" }
            }
        }
    }

    pub(crate) fn schedule(&self) -> Markup {
        let groups: Vec<(Option<LeadClass>, String, Vec<&Row<'_>>)> = match self.sort {
            Sort::Class => [LeadClass::Signal, LeadClass::Control, LeadClass::Dc, LeadClass::Mains]
                .into_iter()
                .map(|class| {
                    let rows = self.rows.iter().filter(|row| row.lead.class == class).collect();
                    (Some(class), super::findings::sentence(class.word()), rows)
                })
                .collect(),
            Sort::Batch => {
                let mut rows: Vec<&Row<'_>> = self.rows.iter().filter(|row| row.batch.is_some()).collect();
                rows.sort_by_key(|row| row.batch);
                let rest = self.rows.iter().filter(|row| row.batch.is_none()).collect();
                rows.chunk_by(|a, b| a.batch == b.batch)
                    .map(|of| (of.first().map(|row| row.lead.class), batch_title(of), of.to_vec()))
                    .chain([(None, "In no batch".to_owned(), rest)])
                    .collect()
            }
            Sort::Order => {
                let mut rows: Vec<&Row<'_>> = self.rows.iter().collect();
                rows.sort_by_key(|row| (row.turn.is_none(), row.turn));
                vec![(None, "As they go in".to_owned(), rows)]
            }
        };
        html! {
            div.row.sorting {
                div.seg role="group" aria-label="Order of the schedule" {
                    @for (sort, _, title) in Sort::ALL {
                        a href=(address(self.head, self.picked.as_deref(), sort)) data-pick="" aria-current=[(self.sort == sort).then_some("true")] { (title) }
                    }
                }
            }
            @if self.rows.is_empty() { p.none { "No lead yet: each step of a run is one, and each feed." } }
            @for (class, title, rows) in groups.iter().filter(|(.., rows)| !rows.is_empty()) {
                h2 { @if let Some(class) = class { span.{ "swatch " (class.word().to_lowercase()) } aria-hidden="true" {} } (title) span { (rows.len()) } }
                div.scroll tabindex="0" role="region" aria-label={ "Schedule, " (title) } {
                table.list.schedule.stack {
                    thead { tr {
                        th scope="col" { "Lead" } th scope="col" { "From" } th scope="col" { "To" }
                        th scope="col" { "Cable" } th scope="col" { "Ends" } th.n scope="col" { "Route" } th.n scope="col" { "Cut" } th scope="col" { "Result" }
                    } }
                    tbody { @for row in rows { (self.row(row)) } }
                } }
            }
        }
    }

    fn row(&self, row: &Row<'_>) -> Markup {
        let lead = row.lead;
        let head = self.head;
        let is = self.picked.as_deref() == Some(&row.id);
        html! {
            tr id=[is.then_some("lead-picked")] .pick[is] data-key=(row.id) {
                th scope="row" { a href=(address(head, Some(&row.id), self.sort)) data-pick="" aria-current=[is.then_some("true")] { (lead.tag) } }
                td data-th="From" { (lead.words_of(rig::geometry::EndKind::From)) }
                td data-th="To" { (lead.words_of(rig::geometry::EndKind::To)) }
                td.wide data-th="Cable" { (lead.cable_words()) }
                td.wide data-th="Ends" { (kinds_of_ends(lead)) }
                td.n data-th="Route" {
                    @match row.route_mm() {
                        Some(route_mm) => { (rounded(route_mm, head.unit)) }
                        None => { span.faint { @if lead.outside { "outside" } @else { "not laid" } } }
                    }
                }
                td.n data-th="Cut" { (row.cut(head)) }
                td.wide data-th="Result" {
                    (row.lead.source_words())
                    @if let Some(spare) = design::spare(lead).filter(|_| row.making == Making::Made) {
                        ", " b { @if spare < quantity::Length::ZERO { "remake" } @else { "reaches" } }
                    }
                    @if row.is_sharp() { ", " span.nowrap { (severity(Severity::Look, 14)) " sharp" } }
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
                @if !lead.is_joined() { (field("cut", "Cut to", &html! { input name="value" size="7" inputmode="decimal" placeholder="not made"; " " (unit) })) }
                (field("cable", "Cable", &list(&self.cables, lead.cable.as_ref().map(|cable| cable.id.as_str()))))
            }
            @if !lead.is_joined() { div.row {
                @if lead.from().has_plug() { (field("from_plug", "Plug at the start", &list(&self.plugs, plug(lead.from()).as_deref()))) }
                (field("from_exit", "leaves to", &exits(lead.from().plug.exit)))
                @if lead.to().has_plug() { (field("to_plug", "Plug at the end", &list(&self.plugs, plug(lead.to()).as_deref()))) }
                (field("to_exit", "leaves to", &exits(lead.to().plug.exit)))
            } }
            p.faint { a href={ "/job/" (head.job) "/where?field=" (query(&packed(&Field::new(["lead", &row.id, "cut"])))) } data-where="" { "Where it stands in the document" } }
        }
    }
}

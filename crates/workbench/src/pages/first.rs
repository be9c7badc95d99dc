//! What to measure first: the values that decide, what is worth most for a minute at the top, each with a field for what
//! was found.

use finding::Field;
use maud::{Markup, html};
use measure::{Answer, Decides, Effect, Tool};

use super::findings::sentence;
use super::frame::Head;
use super::marks::severity;
use super::value::{packed, query};

/// So many are shown at once; the rest is behind a line.
const SHOWN: usize = 15;

/// The list.
pub(crate) fn first(head: &Head, answer: &Answer) -> Markup {
    let (shown, more) = answer.decides.split_at(answer.decides.len().min(SHOWN));
    html! {
        section.panel.first aria-labelledby="first-head" {
            h2 #first-head { "Measure these first" span { (answer.summary()) } }
            @if let Some(left_out) = answer.left_out() {
                p.faint { "Not all was tried: " (left_out) ". " (left_out_help()) }
            }
            @if answer.decides.is_empty() {
                p.none { "Whatever the other values turn out to be within what is usual, no stop, no look, no feed and no cut length changes." }
            } @else {
                (table(head, shown, 0))
                @if !more.is_empty() {
                    details data-key="first-more" {
                        summary { (more.len()) " more, for less a minute" }
                        (table(head, more, shown.len()))
                    }
                }
                p.tools-of {
                    @for (index, (tool, count, seconds)) in answer.by_tool().iter().enumerate() {
                        @if index > 0 { " · " }
                        b { (count) } " " (tool.word()) ", " (time(*seconds))
                    }
                }
                a.btn href={ "/job/" (head.job) "/print/measuring.pdf" } { "Print the sheet" }
            }
        }
    }
}

fn left_out_help() -> &'static str {
    "The command measure --all tries it."
}

fn table(head: &Head, values: &[Decides], before: usize) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label="Values to measure" {
            table.list.stack.first-list {
                thead { tr { th scope="col" { "No." } th scope="col" { "Value" } th scope="col" { "It decides" } th scope="col" { "Tool" } th scope="col" { "Found" } } }
                tbody { @for (index, value) in values.iter().enumerate() { (row(head, value, before + index + 1)) } }
            }
        }
    }
}

fn row(head: &Head, value: &Decides, number: usize) -> Markup {
    let name = value.field.words();
    html! {
        tr data-key=(packed(&value.field)) {
            th.n scope="row" { (number) }
            td.wide data-th="Value" {
                b {
                    @match &value.device {
                        Some(tag) => { a href={ (head.to(head.place)) "?pick=" (query(tag)) "#values" } { (sentence(&name)) } }
                        None => { (sentence(&name)) }
                    }
                }
                br;
                span.faint { (value.range_words()) }
                @if let Some(with) = &value.with { br; span.faint { "only together with " (with.words()) } }
            }
            td.wide data-th="It decides" {
                @match value.effect {
                    Effect::Stop => { (severity(finding::Severity::Stop, 14)) " " b.stop-word { "Stop" } }
                    Effect::Look => { (severity(finding::Severity::Look, 14)) " " b.look-word { "Look" } }
                    Effect::Fed => { b { "Feed" } }
                    Effect::Cut => { b { "Cut" } }
                }
                " " (value.when) ": " @if !value.comes { "no longer: " } (value.says)
            }
            td data-th="Tool" { (value.tool.word()) ", " (value.seconds) " s" @if !value.place.is_empty() { br; span.faint { (value.place) } } }
            td data-th="Found" {
                @if is_in_document(&value.field) {
                    form.row method="post" action=(head.edit_to()) data-live="" {
                        (head.edit_fields("set"))
                        input type="hidden" name="field" value=(packed(&value.field));
                        input type="hidden" name="from" value=(if value.tool == Tool::DataPlate { "printed" } else { "measured" });
                        input type="hidden" name="unit" value=(if head.unit == quantity::LengthUnit::Inch { "in" } else { "mm" });
                        input name="value" size="8" autocomplete="off" aria-label={ "Found: " (name) };
                        button.btn.small type="submit" aria-label={ "Save " (name) } { "Save" }
                    }
                } @else { span.faint { "into the shop’s catalogue" } }
            }
        }
    }
}

/// Plugs, cables and jacks are kinds: their values stand in the shop's catalogue.
fn is_in_document(field: &Field) -> bool {
    field
        .parts()
        .first()
        .is_some_and(|list| ["device", "sink", "source", "board", "mass"].contains(&list.as_str()))
}

fn time(seconds: u32) -> String {
    match (seconds / 60, seconds % 60) {
        (0, rest) => format!("{rest} s"),
        (minutes, 0) => format!("{minutes} min"),
        (minutes, rest) => format!("{minutes} min {rest} s"),
    }
}

//! What the power engine says: how good the feeds are, what cannot be fed and what would help.

use maud::{Markup, html};
use power::{Objective, Outcome, Status};
use rig::Device;

use super::findings::sentence;
use super::frame::Head;
use super::marks::{padlock, severity, tick};
use super::value::query;

/// The allocation beside what the document states.
pub(crate) struct Allocate<'a> {
    pub(crate) outcome: &'a Outcome,
    /// What the stated feeds reach.
    pub(crate) now: Objective,
    /// How many of the stated feeds break a rule.
    pub(crate) broken: usize,
    /// How many devices the document feeds from nowhere.
    pub(crate) unfed: usize,
    /// How many values of the document the allocation would change.
    pub(crate) changes: usize,
}

impl Allocate<'_> {
    pub(crate) fn html(&self, head: &Head) -> Markup {
        let outcome = self.outcome;
        let impossible = outcome.status == Status::Impossible;
        html! {
            h2 { "Allocation" span { (status(outcome)) } }
            div.scroll tabindex="0" role="region" aria-label="Feeds as stated and at their best" { table.list.objective {
                thead { tr { th scope="col" { "" } th.n scope="col" { "Rules broken" } th.n scope="col" { "Not fed" } th.n scope="col" { "To look at" } th.n scope="col" { "Special leads" } th.n scope="col" { "Tightest outlet, to spare" } th.n scope="col" { "Leads" } } }
                tbody {
                    (row("as stated", self.broken, self.unfed, &self.now))
                    (row(if impossible { "the best there is" } else { "best" }, 0, outcome.unserved.len(), &outcome.objective))
                }
            } }
            @if !impossible && outcome.unserved.is_empty() {
                p.said-of { (tick()) " " @if self.changes == 0 { "The feeds are the best already." } @else { "Allocate writes the best feeds: " (self.changes) @if self.changes == 1 { " value." } @else { " values." } } }
            }
            @for unchecked in &outcome.unchecked { p.said-of.look { (severity(finding::Severity::Look, 14)) " " b.w { "Not checked" } ": " (unchecked.words) } }
            @for look in &outcome.looks { p.said-of.look { (severity(finding::Severity::Look, 14)) " " b.w { "Look" } " at the best: " (look.words) } }
            @if !outcome.conflicts.is_empty() {
                h3.stop { (severity(finding::Severity::Stop, 16)) " " b.w { "Cannot be fed together" } }
                ul.conflicts { @for conflict in &outcome.conflicts {
                    li { b { (conflict.devices.join(", ")) } ": " (conflict.words) @if conflict.smallest { span.faint { " No smaller set is to blame." } } }
                } }
            }
            @if !outcome.unserved.is_empty() {
                h3 { "Left without a feed" }
                ul.conflicts { @for device in &outcome.unserved { li { b { (device.device) } ": " (sentence(&device.why)) "." } } }
            }
            @if impossible {
                h3 { "What would help" span.faint { " the cheapest first" } }
                @if let Some(words) = outcome.uncured() { p.none { (sentence(&words)) "." } }
                ul.cures { @for (index, cure) in outcome.cures.iter().enumerate() {
                    li data-key=(cure.name) {
                        @if cure.edit.is_some() {
                            form method="post" action=(head.edit_to()) data-live="" {
                                (head.edit_fields("power-cure"))
                                input type="hidden" name="name" value=(cure.name);
                                button.rem .p[index == 0] type="submit" { (sentence(&cure.name)) }
                            }
                        } @else { p { (sentence(&cure.name)) } }
                        p.faint { (price(cure)) }
                    }
                } }
                @if let Some(words) = outcome.more_cures() { p.faint { (sentence(&words)) "." } }
            }
        }
    }
}

fn price(cure: &power::Cure) -> String {
    let mut words = Vec::new();
    match cure.price.buys {
        0 => words.push("nothing to buy".to_owned()),
        1 => words.push("one thing to buy".to_owned()),
        more => words.push(format!("{more} things to buy")),
    }
    if 0 < cure.price.space_mm2 {
        words.push(format!("{} cm² under the deck", (cure.price.space_mm2 + 50) / 100));
    }
    match cure.refed.len() {
        0 => {}
        1 => words.push("one device fed otherwise".to_owned()),
        more => words.push(format!("{more} devices fed otherwise")),
    }
    words.join(", ")
}

fn status(outcome: &Outcome) -> &'static str {
    match outcome.status {
        Status::Proven => "proven: nothing is better",
        Status::Feasible => "every device that can be judged is fed; that nothing is better is not proven",
        Status::Impossible => "not possible with these supplies",
        Status::Cancelled => "stopped before the end",
    }
}

fn row(name: &str, broken: usize, unfed: usize, objective: &Objective) -> Markup {
    html! {
        tr {
            th scope="row" { (name) }
            td.n { (broken) } td.n { (unfed) } td.n { (objective.looks) } td.n { (objective.special) }
            td.n { (super::value::minus(objective.margin_permille.div_euclid(10).to_string())) " " span.unit { "%" } }
            td.n { @if let Some(mm) = objective.length_mm { (mm) " " span.unit { "mm" } } @else { span.faint { "not placed" } } }
        }
    }
}

/// A device on an outlet: taken up by a pointer or by keys; its lock beside it.
pub(crate) fn chip(head: &Head, device: &Device) -> Markup {
    let tag = &device.tag;
    let locked = device.feed.as_ref().is_some_and(|feed| feed.locked);
    html! {
        span.chip data-key={ "chip-" (tag) } {
            button.hang type="button" data-hang=(tag) aria-pressed="false" disabled[locked] aria-label={ (tag) ", " (device.title) ": hang on another outlet" } { (tag) }
            a.faint href={ (head.to(head.place)) "?pick=" (query(tag)) } data-pick="" { (device.title) }
            @if device.feed.is_some() {
                form method="post" action=(head.edit_to()) data-live="" {
                    (head.edit_fields("feed-lock"))
                    input type="hidden" name="tag" value=(tag);
                    button.plain type="submit" aria-pressed=(if locked { "true" } else { "false" }) aria-label={ "lock the feed of " (tag) } { @if locked { (padlock()) " locked" } @else { "lock" } }
                }
            }
        }
    }
}

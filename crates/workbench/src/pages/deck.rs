//! The Deck: true plan and side view, live.

use design::Design;
use drawing::Drawing;
use maud::{Markup, html};

use super::drawn::{live, scale_for, still};
use super::frame::Head;
use super::marks::severity;
use super::overlay::over;
use super::value::query;

/// One figure of the strip.
pub(crate) struct Sum {
    pub(crate) label: &'static str,
    pub(crate) figure: Markup,
    pub(crate) worst: Option<finding::Severity>,
    pub(crate) rests: String,
}

/// The page.
pub(crate) struct Deck<'a> {
    pub(crate) head: &'a Head,
    pub(crate) decks: Vec<String>,
    pub(crate) shown: Option<String>,
    pub(crate) picked: Option<String>,
    pub(crate) design: &'a Design,
    pub(crate) sums: Vec<Sum>,
    pub(crate) unplaced: Vec<String>,
}

/// What can be shown or left out: the word of its switch, its title, whether it is shown at first.
const OVERLAYS: &[(&str, &str, bool)] = &[
    ("plugs", "Plugs", true),
    ("leads", "Leads", true),
    ("outlets", "Outlets", true),
    ("names", "Names", true),
    ("gaps", "Gaps", true),
    ("shoe", "Shoe", false),
    ("service", "Service", false),
    ("keep", "Keep clear", false),
];

impl Deck<'_> {
    pub(crate) fn tools(&self) -> Markup {
        let to = |deck: Option<&str>| {
            let base = self.head.to(self.head.place);
            let mut parts = Vec::new();
            if let Some(deck) = deck {
                parts.push(format!("deck={}", query(deck)));
            }
            if let Some(pick) = &self.picked {
                parts.push(format!("pick={}", query(pick)));
            }
            if parts.is_empty() { base } else { format!("{base}?{}", parts.join("&")) }
        };
        html! {
            @if self.decks.len() > 1 {
                div.seg role="group" aria-label="Decks" {
                    a href=(to(None)) aria-current=[self.shown.is_none().then_some("true")] { "All decks" }
                    @for deck in &self.decks {
                        a href=(to(Some(deck))) aria-current=[(self.shown.as_deref() == Some(deck)).then_some("true")] { (deck) }
                    }
                }
            }
            fieldset.overlays {
                legend.sr { "Shown on the drawing" }
                @for (id, title, shown) in OVERLAYS {
                    label { input type="checkbox" id={ "show-" (id) } checked[*shown] data-keep=""; span { (title) } }
                }
            }
            output #live.live aria-live="off" {}
            span.grow {}
            div.seg role="group" aria-label="Zoom" {
                button type="button" data-zoom="out" aria-label="smaller" { "\u{2212}" }
                button type="button" data-zoom="fit" { "Fit" }
                button type="button" data-zoom="in" aria-label="larger" { "+" }
            }
        }
    }

    /// The drawings. `plan` is handed in, because it is drawn once for several pages.
    pub(crate) fn main(&self, plan: &Drawing) -> Markup {
        let depth = self.design.rig.board.extent().depth.as_mm();
        let scale = scale_for(depth, 58.0);
        html! {
            div.sheet {
                (live(plan, self.picked.as_deref(), &over(self.design, plan, self.shown.as_deref(), self.picked.as_deref())))
                p #drag-help.sr { "Arrow keys move the picked device by one millimetre, with Shift by ten." }
                div.under {
                    figure.side {
                        figcaption { "View A, from the right" }
                        (still(&drawing::side(self.design, scale), "drawing"))
                    }
                    div.block {
                        (still(&drawing::legend(scale), "drawing legend"))
                        dl.title-block {
                            div.wide { dt { "Title" } dd { "Layout, " @if let Some(deck) = &self.shown { "deck " (deck) } @else { "all decks" } } }
                            div { dt { "Number" } dd { (self.head.number.as_deref().unwrap_or("\u{2014}")) } }
                            div { dt { "Revision" } dd { (self.head.letter.as_deref().unwrap_or("")) " draft" } }
                            div.wide { dt { "Scale" } dd { "fitted to the screen" } }
                            div.wide { dt { "Datum" } dd { "front left; papers are to scale" } }
                        }
                        @if !self.unplaced.is_empty() {
                            p.unplaced { "Not placed yet: "
                                @for (index, tag) in self.unplaced.iter().enumerate() {
                                    @if index > 0 { ", " }
                                    a href={ (self.head.to(self.head.place)) "?pick=" (query(tag)) } data-pick=(tag) { (tag) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }

    pub(crate) fn sums(&self) -> Markup {
        html! {
            dl.strip {
                @for sum in &self.sums {
                    div {
                        dt { (sum.label) }
                        dd {
                            @if let Some(worst) = sum.worst { (severity(worst, 14)) span.sr { (worst.word()) ": " } }
                            span.big { (sum.figure) }
                        }
                        dd.s { (sum.rests) }
                    }
                }
            }
        }
    }
}

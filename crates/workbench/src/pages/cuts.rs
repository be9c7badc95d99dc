//! Looms, leads side by side, the cut plan as bars, and what became of the leads since the last print.

use finding::Severity;
use maud::{Markup, html};

use design::{Design, Routes};
use leads::CableCuts;

use super::drawn::still;
use super::frame::Head;
use super::marks::severity;
use super::value::{length, query, rounded};
use crate::read::Changed;

fn link(head: &Head, tag: &str) -> Markup {
    html! { a href={ (head.to(head.place)) "?lead=" (query(tag)) } data-pick="" { (tag) } }
}

/// Leads that run together, with the trunk and where each leaves it.
pub(crate) fn looms(head: &Head, design: &Design) -> Markup {
    let routes = design.routes();
    html! {
        section.panel aria-labelledby="looms" {
            h2 #looms { "Looms" }
            @if routes.outcome.looms.is_empty() {
                p.none { "No leads run together for long enough." }
            } @else {
                table.list.stack {
                    thead { tr { th scope="col" { "Loom" } th scope="col" { "Carries" } th.n scope="col" { "Trunk" } th scope="col" { "Leaves it at x, y" } } }
                    tbody {
                        @for loom in &routes.outcome.looms {
                            tr {
                                th scope="row" { (loom.number) }
                                td data-th="Carries" { (loom.class.word()) }
                                td.n data-th="Trunk" { (rounded(loom.trunk_mm, head.unit)) }
                                td.wide.breakouts data-th="Leaves it at" {
                                    @for (lead, at) in &loom.breakouts {
                                        span { (link(head, lead)) " " (bare(at[0], head)) ", " (bare(at[1], head)) } " "
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Every loom drawn out along its trunk.
pub(crate) fn drawn_out(design: &Design) -> Markup {
    let looms = &design.routes().outcome.looms;
    html! {
        @if !looms.is_empty() {
            details.group #looms-drawn {
                summary { "Looms drawn out" }
                @for loom in looms {
                    div.scroll tabindex="0" role="region" aria-label={ "Loom " (loom.number) } { (still(&drawing::loom(design, loom, LOOM_MM), "drawing loom")) }
                }
            }
        }
    }
}

/// A figure whose unit stands elsewhere.
fn bare(mm: f64, head: &Head) -> String {
    length(quantity::Length::from_mm_rounded(mm.round()), head.unit).0
}

/// Leads side by side that ought not to be.
pub(crate) fn near(head: &Head, routes: &Routes) -> Markup {
    html! {
        section.panel aria-labelledby="side-by-side" {
            h2 #side-by-side { "Side by side" }
            @if routes.outcome.near.is_empty() {
                p.none { "No signal lead runs beside DC or mains." }
            } @else {
                table.list.stack {
                    thead { tr { th scope="col" { "Leads" } th.n scope="col" { "for" } th.n scope="col" { "apart" } th.n scope="col" { "wanted" } } }
                    tbody {
                        @for near in &routes.outcome.near {
                            tr {
                                th scope="row" { (severity(Severity::Look, 14)) " " (link(head, &near.one)) " and " (link(head, &near.other)) }
                                td.n data-th="for" { (rounded(near.parallel_mm, head.unit)) }
                                td.n data-th="apart" { (rounded(near.distance_mm, head.unit)) }
                                td.n data-th="wanted" { (rounded(near.wanted_mm, head.unit)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The cut plan.
pub(crate) struct Cuts<'a> {
    pub(crate) head: &'a Head,
    pub(crate) design: &'a Design,
    pub(crate) cables: &'a [CableCuts],
    /// The leads that are cut and booked.
    pub(crate) cut: Vec<&'a design::Lead>,
    /// Why the shop's list of cable cannot be read.
    pub(crate) trouble: Option<String>,
    /// The last change of the shop's cable, for who wants to take it back.
    pub(crate) booked: Option<String>,
    /// Whether the shop has a list of its cable.
    pub(crate) has_stock: bool,
}

/// Width of the sheet a loom is drawn on, millimetres.
const LOOM_MM: f64 = 210.0;
/// Width of a bar in its own units.
const BAR: f64 = 1000.0;
/// Height of a bar.
const HIGH: f64 = 34.0;
/// Size of the letters in it.
const LETTERS: f64 = 12.0;

impl Cuts<'_> {
    pub(crate) fn html(&self) -> Markup {
        html! {
            section.panel aria-labelledby="cut-plan" {
                h2 #cut-plan { "Cut plan" }
                @if self.cables.is_empty() { p.none { "Nothing is left to be cut here." } }
                @if !self.cut.is_empty() {
                    p.none { "Cut and booked: " @for (index, lead) in self.cut.iter().enumerate() { @if index > 0 { ", " } (lead.tag) } "." }
                }
                @if let Some(trouble) = &self.trouble { p.warn { (severity(Severity::Stop, 14)) " " (trouble) } }
                (self.booking())
                // One hatch for all bars: an id stands once on a page.
                svg width="0" height="0" aria-hidden="true" { defs { pattern #waste-hatch width="6" height="6" patternUnits="userSpaceOnUse" { path d="M0 6 6 0" {} } } }
                @for cut in self.cables {
                    @let name = cut.cable.as_deref().map_or("Cable not decided", |id| design::cable_title(self.design, id));
                    h3 { (name) span.faint {
                        " " (rounded(mm(cut.plan.fresh_mm), self.head.unit)) " off the reel"
                        @if 0 < cut.plan.waste_mm { ", waste " (rounded(mm(cut.plan.waste_mm), self.head.unit)) }
                    } }
                    p.none {
                        @if cut.plan.is_proven() { "No plan is better; that is proven." }
                        @else {
                            "No plan takes less than " (rounded(mm(cut.plan.fresh_bound_mm), self.head.unit)) " off the reel or wastes less than "
                            (rounded(mm(cut.plan.bound_mm), self.head.unit)) "."
                        }
                    }
                    @for source in 0..cut.sources.len() { (self.bar(cut, source, name)) }
                    @if !cut.plan.missing.is_empty() {
                        p.warn { (severity(Severity::Stop, 14)) " No cable for "
                            @for (index, piece) in cut.plan.missing.iter().enumerate() { @if index > 0 { ", " } (cut.pieces[*piece].id) } "." }
                    }
                }
            }
        }
    }

    /// What is taken from the shop's cable when the plan is cut, and the way back.
    fn booking(&self) -> Markup {
        let form = |what: &str, label: &str| {
            html! {
                form method="post" action={ "/job/" (self.head.job) "/stock" } {
                    input type="hidden" name="base" value=(self.head.revision);
                    input type="hidden" name="here" value=(self.head.here());
                    input type="hidden" name="what" value=(what);
                    button.btn type="submit" { (label) }
                }
            }
        };
        html! {
            @if self.has_stock {
                div.row {
                    @if !self.cables.is_empty() { (form("book", "Book what it takes")) }
                    @if let Some(name) = &self.booked { (form("back", "Take back")) span.faint { (name) } }
                }
            } @else if self.trouble.is_none() {
                p.faint { "The shop has no list of its cable, so an endless reel of each stands in: " code { "boardwright stock" } " begins one." }
            }
        }
    }

    /// One reel or offcut: its pieces in order, then what is left of it.
    fn bar(&self, cut: &CableCuts, source: usize, name: &str) -> Markup {
        let steps: Vec<_> = cut.plan.steps.iter().filter(|step| step.source == source).collect();
        let (of, Some(last)) = (&cut.sources[source], steps.last()) else { return html! {} };
        let used = last.offset_mm + cut.pieces[last.piece].mm;
        // An offcut is shown whole. A reel runs on beyond its last piece: most of it would be nothing.
        let rest = of.mm.filter(|_| !of.reel);
        let whole = mm(rest.unwrap_or(used).max(used).max(1));
        let open = if rest.is_none() { 24.0 } else { 0.0 };
        let x = |at: i64| mm(at) / whole * (BAR - open);
        let said: Vec<String> = steps
            .iter()
            .map(|step| format!("{} {}", cut.pieces[step.piece].id, self.figure(cut.pieces[step.piece].mm)))
            .collect();
        // Pieces too short for their number are told beneath, so that none is without.
        let wide = |text: &str| drawing::text::width(text, LETTERS, drawing::Weight::Bold);
        let is_told = |step: &leads::cut::CutStep| {
            let piece = &cut.pieces[step.piece];
            wide(&piece.id) < x(step.offset_mm + piece.mm) - x(step.offset_mm) - 4.0
        };
        let short: Vec<&String> =
            steps.iter().zip(&said).filter(|(step, _)| !is_told(step)).map(|(_, said)| said).collect();
        html! {
            figure.cut {
                figcaption { b { (of.id) } " " span.faint { (steps.len()) @if steps.len() == 1 { " piece, " } @else { " pieces, " } (self.figure(used)) @if let Some(all) = of.mm { " of " (self.figure(all)) } } }
                div.scroll tabindex="0" role="region" aria-label={ (name) ", " (of.id) } {
                    svg viewBox={ "0 0 " (BAR) " " (HIGH) } role="img" aria-label={ "From the beginning: " (said.join(", ")) } {
                        @for step in &steps {
                            @let piece = &cut.pieces[step.piece];
                            @let (left, right) = (x(step.offset_mm), x(step.offset_mm + piece.mm));
                            rect.piece x=(dec(left)) y="1" width=(dec(right - left)) height=(HIGH - 2.0) { title { (piece.id) " " (self.figure(piece.mm)) } }
                            @if is_told(step) {
                                text.id x=(dec(f64::midpoint(left, right))) y="15" font-size=(LETTERS) text-anchor="middle" { (piece.id) }
                                @let figure = length(quantity::Length::from_mm(piece.mm), self.head.unit).0;
                                @if wide(&figure) < right - left - 4.0 { text x=(dec(f64::midpoint(left, right))) y="29" font-size=(LETTERS) text-anchor="middle" { (figure) } }
                            }
                        }
                        @if rest.is_some_and(|all| used < all) { rect.left x=(dec(x(used))) y="1" width=(dec(BAR - x(used))) height=(HIGH - 2.0) fill="url(#waste-hatch)" {} }
                        @if rest.is_none() { path.on d={ "M" (dec(x(used))) " 1h20m-20 " (HIGH - 2.0) "h20" } {} }
                    }
                }
                @if !short.is_empty() { p.faint { "The short ones: " @for (index, one) in short.iter().enumerate() { @if index > 0 { ", " } (one) } } }
            }
        }
    }

    fn figure(&self, of: i64) -> String {
        rounded(mm(of), self.head.unit)
    }
}

#[expect(clippy::cast_precision_loss, reason = "cut lengths, whole millimetres")]
fn mm(of: i64) -> f64 {
    of as f64
}

fn dec(value: f64) -> String {
    format!("{value:.1}")
}

/// What became of the leads since the last revision.
pub(crate) fn since(head: &Head, since: Option<&Changed>) -> Markup {
    html! {
        section.panel aria-labelledby="since" {
            @match since {
                None => { h2 #since { "Since the last print" } p.none { "No revision is frozen yet; the Papers place does that." } }
                Some(since) => {
                    h2 #since { "Since revision " (since.letter) }
                    table.list.stack {
                        thead { tr { th scope="col" { "Lead" } th scope="col" { "From" } th scope="col" { "To" } th.n scope="col" { "Cut then" } th.n scope="col" { "now" } th scope="col" { "Result" } } }
                        tbody {
                            @for lead in &since.leads {
                                @let figure = |of: Option<quantity::Length>| of.map_or("\u{2014}".to_owned(), |of| { let (figure, unit) = length(of, head.unit); format!("{figure} {unit}") });
                                tr {
                                    th scope="row" { @if lead.now.is_some() { (link(head, &lead.tag)) } @else { (lead.tag) } }
                                    td data-th="From" { (lead.ends.0) } td data-th="To" { (lead.ends.1) }
                                    td.n data-th="Cut then" { (figure(lead.then)) } td.n data-th="now" { (figure(lead.now)) }
                                    td data-th="Result" { b { (lead.fate.word()) } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

//! Places proposed: the search's progress, what it found side by side, and why nothing fits.

use layout::{Outcome, Terms};
use maud::{Markup, html};
use rig::Rig;

use super::drawn::{scale_for, still};
use super::frame::Head;
use super::value::minus;
use crate::arranging::{Arranged, Standing};
use crate::read::Read;

/// What each term of the objective is called, in the order of [`Terms::NAMES`].
const TERMS: [&str; Terms::COUNT] = [
    "Leads",
    "Reach",
    "Order",
    "Balance",
    "Free room",
    "Crossings",
    "To look at",
    "Made leads made again",
    "Rows",
    "Near misses",
    "Uneven gaps",
    "Treadles from front",
    "Set-and-forget from back",
    "Wishes not met",
];

/// Breaches told when nothing fits.
const MOST_BREACHES: usize = 6;

/// The section beside the deck.
pub(crate) fn section(head: &Head, read: &Read) -> Markup {
    html! {
        section.findings #arrange aria-labelledby="arrange-here" {
            h2 #arrange-here { "Arrange" }
            @match read.arranging.standing() {
                Standing::Idle => {
                    p.more { "Looks for places that fit and keep leads short, switches in reach and the mass in the middle. What is locked stays." }
                    (begin(head, "Arrange", "arrange"))
                    (begin(head, "Arrange from scratch", "anew"))
                }
                Standing::Running(report) => {
                    @let (moves, planned) = report.map_or((0, 1), |report| (report.moves, report.planned.max(1)));
                    p.more role="status" {
                        @match report.and_then(|report| report.best) {
                            Some(best) => { "Everything fits; the best so far counts " b { (format!("{best:.0}")) } "." }
                            None => { "Nothing fits yet." }
                        }
                    }
                    progress max=(planned) value=(moves) aria-label="moves made" {}
                    (button(head, "Stop and keep the best", "stop"))
                }
                Standing::Done(arranged) => (done(head, &arranged, read)),
            }
        }
    }
}

fn button(head: &Head, title: &str, word: &str) -> Markup {
    html! {
        form method="post" action={ "/job/" (head.job) "/arrange" } data-live="" {
            (head.edit_fields("arrange"))
            input type="hidden" name="do" value=(word);
            button.btn.small type="submit" { (title) }
        }
    }
}

fn begin(head: &Head, title: &str, word: &str) -> Markup {
    button(head, title, word)
}

/// A button that writes one of the proposals.
fn take(head: &Head, pick: &str, title: &str) -> Markup {
    html! {
        form method="post" action=(head.edit_to()) data-live="" {
            (head.edit_fields("arranged"))
            input type="hidden" name="pick" value=(pick);
            button.btn.small type="submit" { (title) }
        }
    }
}

fn done(head: &Head, arranged: &Arranged, read: &Read) -> Markup {
    let (now, judged) = (&arranged.now, &arranged.found);
    let found = &judged.outcome;
    html! {
        @if found.cancelled { p.more { "Stopped after " (found.moves) " of " (found.planned) " moves." } }
        @if found.feasible {
            div.proposals {
                figure {
                    (little(&found.rig, read))
                    figcaption { b { "Best" } span { (lead_metres(&found.terms)) } (take(head, "best", "Take it")) }
                    (unmet(&found.unmet))
                    (made(judged.verdict.as_ref()))
                    (beside(judged.verdict.as_ref()))
                }
                @for (index, other) in found.alternatives.iter().enumerate() {
                    @let number = index + 1;
                    figure {
                        (little(&other.rig, read))
                        figcaption { b { "Another" } span { (lead_metres(&other.terms)) ", " (other.differs) @if other.differs == 1 { " device" } @else { " devices" } " elsewhere" } (take(head, &format!("alternative {number}"), "Take this one")) }
                        (against(&other.terms.weighted(&found.weights), &found.terms.weighted(&found.weights)))
                        (unmet(&other.unmet))
                        (made(judged.alternatives.get(index)))
                        (beside(judged.alternatives.get(index)))
                    }
                }
            }
            (terms(now, found))
        } @else {
            @if found.placements.is_empty() && !found.left_out.is_empty() {
                p.more { b { "Nothing is arranged: no device has a size that is known." } }
            } @else {
                p.more { b { "It does not fit." } @if let Some(proof) = &found.proof { " " (proof) "." } }
            }
            @if let Some(refused) = &judged.refused { p.more { "It cannot be written: " (refused) "." } }
            ul.plain {
                @for lead in judged.verdict.iter().flat_map(|verdict| &verdict.astray).take(MOST_BREACHES) { li { (lead) } }
                @for bar in judged.bars().iter().take(MOST_BREACHES) { li { (bar.message) } }
                // What is proven says all; where things meet in the nearest placement is then by chance.
                @if found.proof.is_none() {
                    @for breach in found.breaches.iter().take(MOST_BREACHES) { li { (breach.words()) } }
                }
            }
            (helps(head, found, "What would help", true))
            (helps(head, found, "What may help, not judged", false))
        }
        @for left in &found.left_out { p.more { (left.words()) "." } }
        (begin(head, "Arrange again", "arrange"))
        (begin(head, "From scratch", "anew"))
    }
}

/// The leads of a placement, as far as they are counted.
fn lead_metres(terms: &Terms) -> String {
    format!("about {:.1} m of leads", terms.lead / 1000.0)
}

/// What another placement is better and worse at than the best, each with no more than three words.
fn against(other: &[f64; Terms::COUNT], best: &[f64; Terms::COUNT]) -> Markup {
    let mut apart: Vec<(f64, &str)> = TERMS
        .into_iter()
        .zip(other.iter().zip(best))
        .map(|(name, (other, best))| (other - best, name))
        .collect();
    apart.sort_by(|a, b| a.0.total_cmp(&b.0));
    // What nobody would notice is not told.
    let named = |all: &mut dyn Iterator<Item = &(f64, &str)>| {
        let some: Vec<String> =
            all.filter(|(by, _)| NOTICED <= by.abs()).take(3).map(|(_, name)| name.to_lowercase()).collect();
        some.join(", ")
    };
    let better = named(&mut apart.iter().take_while(|(by, _)| *by < 0.0));
    let worse = named(&mut apart.iter().rev().take_while(|(by, _)| 0.0 < *by));
    html! {
        @if !better.is_empty() { p.more { b { "Better: " } (better) } }
        @if !worse.is_empty() { p.more { b { "Worse: " } (worse) } }
    }
}

/// A difference that is worth a word, in millimetres of lead. *Common practice, no source.*
const NOTICED: f64 = 10.0;

/// What would make it fit: what was judged, or what was not.
fn helps(head: &Head, found: &Outcome, title: &str, judged: bool) -> Markup {
    html! {
        @if found.relaxations.iter().any(|relaxation| relaxation.judged == judged) {
            h3 { (title) }
            ul.cures {
                @for (index, relaxation) in found.relaxations.iter().enumerate().filter(|(_, relaxation)| relaxation.judged == judged) {
                    li { span.rem { (relaxation.name) } @if relaxation.edit.is_some() { (take(head, &format!("relaxation {}", index + 1), "Do this")) } }
                }
            }
        }
    }
}

/// The plan of a proposal, small.
fn little(rig: &Rig, read: &Read) -> Markup {
    let design = design::derive(rig.clone(), read.design.limits.clone());
    let extent = rig.board.extent();
    let long = extent.width.as_mm().max(extent.depth.as_mm() * 1.6);
    still(&drawing::portrait(&design, scale_for(long, 84.0), &[]), "drawing")
}

/// The wishes of the brief that a proposal does not surely meet.
fn unmet(unmet: &[layout::Unmet]) -> Markup {
    html! {
        @if !unmet.is_empty() { ul.plain { @for unmet in unmet { li { (unmet.words()) } } } }
    }
}

/// The made leads that a proposal has made again, each with its reason, and those that stay.
fn made(verdict: Option<&verdict::Verdict>) -> Markup {
    let (again, stay) = verdict.map_or((&[][..], &[][..]), |verdict| (&verdict.remade, &verdict.stay));
    html! {
        @if !again.is_empty() {
            p.more { b { (again.len()) @if again.len() == 1 { " made lead" } @else { " made leads" } " to be made again" } }
            ul.plain { @for made in again { li { b { (made.lead) } " " (made.why) } } }
        }
        @if !stay.is_empty() { p.more { "Made leads that stay: " (stay.join(", ")) } }
    }
}

/// What the checks would say of a proposal besides: stops that are no matter of room, and what they do not say today.
fn beside(verdict: Option<&verdict::Verdict>) -> Markup {
    let said = verdict.map_or(&[][..], |verdict| &verdict.beside);
    // What waits for values waits on every placement.
    let (waiting, said): (Vec<_>, Vec<_>) = said
        .iter()
        .partition(|one| one.severity != finding::Severity::Stop && one.message.starts_with("not checked"));
    html! {
        @if said.is_empty() {
            p.more { "No stop, and the check says nothing more" @if !waiting.is_empty() { ", as far as values are known" } "." }
        } @else {
            details.check-says {
                summary { "The check will say " (said.len()) " more" }
                ul.plain { @for finding in said { li { b { (finding.severity.word()) } " " (finding.message) } } }
            }
        }
    }
}

/// Every term, as it is now and as proposed; little is better.
fn terms(now: &Outcome, found: &Outcome) -> Markup {
    let shown = |value: f64| minus(format!("{value:.0}"));
    let was = |value: f64| if now.was_placed { shown(value) } else { "\u{2014}".to_owned() };
    let rows = Terms::NAMES
        .iter()
        .zip(TERMS)
        .zip(now.terms.weighted(&now.weights).into_iter().zip(found.terms.weighted(&found.weights)));
    let others: Vec<[f64; Terms::COUNT]> =
        found.alternatives.iter().map(|other| other.terms.weighted(&found.weights)).collect();
    html! {
        table.list.terms {
            caption { "What counts, as millimetres of lead; little is better" }
            thead { tr { th scope="col" { "Term" } th.n scope="col" { "Now" } th.n scope="col" { "Best" }
                @for (index, _) in others.iter().enumerate() { th.n scope="col" { "Other " (index + 1) } } } }
            tbody {
                @for (index, ((name, title), (before, after))) in rows.enumerate() {
                    tr data-term=(name) {
                        th scope="row" { (title) }
                        td.n { (was(before)) } td.n { (shown(after)) }
                        @for other in &others { td.n { (shown(other[index])) } }
                    }
                }
                tr { th scope="row" { "Total" } td.n { b { (was(now.total)) } } td.n { b { (shown(found.total)) } }
                    @for other in &found.alternatives { td.n { b { (shown(other.total)) } } } }
            }
        }
    }
}

//! Change: two drawings side by side, what becomes of every lead, what else it takes, what it comes to; and trials.

use std::sync::Arc;

use ::change::{Became, Case, FindingChange, Hole, LeadChange, Moved, RevisionChange};
use document::Entry;
use drawing::Drawing;
use estimate::Money;
use maud::{Markup, html};
use rig::{Carries, Rig};
use store::RevisionEntry;

use super::drawn::still;
use super::frame::{Head, Place};
use super::marks::severity;
use super::value::{length, minus_in, query as packed};
use crate::compared::Compared;
use crate::handlers::Query;
use crate::papers::PaperEntry;
use crate::units::{Fine, in_unit};

/// What is looked at.
pub(crate) struct Seen {
    /// What the side before is called.
    pub(crate) from: String,
    /// What the side after is called.
    pub(crate) to: String,
    pub(crate) compared: Arc<Compared>,
    /// Before and after, at one scale.
    pub(crate) drawn: [Drawing; 2],
}

/// The page.
pub(crate) struct Change<'a> {
    pub(crate) head: &'a Head,
    pub(crate) rig: &'a Rig,
    pub(crate) revisions: &'a [RevisionEntry],
    /// The revision that is before.
    pub(crate) letter: Option<&'a str>,
    pub(crate) query: &'a Query,
    /// Whether a trial is looked at.
    pub(crate) is_trial: bool,
    pub(crate) seen: &'a Result<Option<Seen>, String>,
    /// Kinds of devices.
    pub(crate) kinds: Vec<Entry>,
    pub(crate) papers: Vec<PaperEntry>,
}

/// Hours and minutes, with a sign.
fn hours(minutes: i64) -> String {
    let sign = if 0 < minutes { "+" } else { "" };
    let sign = if minutes < 0 { "\u{2212}" } else { sign };
    match (minutes.abs() / 60, minutes.abs() % 60) {
        (0, rest) => format!("{sign}{rest} min"),
        (hours, 0) => format!("{sign}{hours} h"),
        (hours, rest) => format!("{sign}{hours} h {rest:02}"),
    }
}

/// The shape of what becomes of a lead; the word stands beside it.
fn shape(became: &Became) -> &'static str {
    match became {
        Became::Stays | Became::Redrawn { .. } => "=",
        Became::Reaches { .. } => "\u{2192}",
        Became::Remade { .. } | Became::Altered { .. } => "\u{2260}",
        Became::New => "+",
        Became::Gone { .. } => "\u{00d7}",
        Became::Unclear { .. } => "?",
    }
}

impl Change<'_> {
    fn here(&self) -> String {
        let to = self.head.to(Place::Change);
        self.letter.map_or(to.clone(), |letter| format!("{to}?from={}", packed(letter)))
    }

    fn shown(&self, words: &str) -> String {
        in_unit(&minus_in(words), self.head.unit, Fine::Tape).replace("->", "\u{2192}")
    }

    pub(crate) fn tools(&self) -> Markup {
        let head = self.head;
        html! {
            @if !self.revisions.is_empty() {
                form.row method="get" action=(head.to(Place::Change)) {
                    label { "From revision "
                        select name="from" {
                            @for entry in self.revisions {
                                option value=(entry.letter) selected[self.letter == Some(entry.letter.as_str())] { (entry.letter) ", " (entry.at.chars().take(10).collect::<String>()) }
                            }
                        }
                    }
                    span { "to the draft" }
                    button.btn.small type="submit" { "Compare" }
                }
            }
            @if self.is_trial { a.btn.small href=(self.here()) { "Leave the trial" } }
            span.grow {}
            @if let Some(letter) = self.letter.filter(|_| !self.is_trial) {
                a.btn.small.first href={ "/job/" (head.job) "/change-order/" (packed(letter)) ".pdf" } { "Print the change order" }
                form method="post" action={ "/job/" (head.job) "/back" } data-live="" {
                    input type="hidden" name="base" value=(head.revision);
                    input type="hidden" name="here" value=(self.here());
                    button.btn.small type="submit" name="letter" value=(letter) title="if the client says no; Undo brings the draft again" { "Back to " (letter) }
                }
            }
        }
    }

    pub(crate) fn main(&self) -> Markup {
        html! {
            div.page.change {
                @match self.seen {
                    Err(why) => { p.warn { b { "Not tried: " } (self.shown(why)) } }
                    Ok(None) => {
                        p.none { "No revision is frozen yet, so that there is nothing to compare the draft with. " a href={ (self.head.to(Place::Papers)) } { "Freeze one in Papers" } " when the client has agreed. What if can be tried at any time." }
                    }
                    Ok(Some(seen)) => (self.seen(seen)),
                }
                (self.what_if())
            }
        }
    }

    fn seen(&self, seen: &Seen) -> Markup {
        let change = &seen.compared.change;
        html! {
            h2 { @if self.is_trial { "Trial: " (self.shown(&seen.to)) } @else { "From " (seen.from) " to " (seen.to) } }
            @if self.is_trial { (self.take()) }
            @if change.is_empty() { p.none { "Nothing differs." } }
            @else {
                div.two-plans {
                    @for (drawing, word, of) in [(&seen.drawn[0], "Before", &seen.from), (&seen.drawn[1], "After", &seen.to)] {
                        figure { figcaption { b { (word) } " " (self.shown(of)) } (still(drawing, "drawing")) }
                    }
                }
                p.key { "A frame: changes. A frame and +: new. Crossed out: gone. Dashed: where it stood. Only leads that change have their number." }
                (self.leads(change))
                (self.devices(change))
                (self.rest(change))
            }
        }
    }

    /// The press that takes a trial.
    fn take(&self) -> Markup {
        let head = self.head;
        html! {
            form.row method="post" action=(head.edit_to()) data-live="" {
                input type="hidden" name="act" value="what-if";
                input type="hidden" name="base" value=(head.revision);
                input type="hidden" name="here" value=(self.here());
                @for name in ["if", "tag", "kind", "after", "country", "volts", "current"] {
                    @if let Some(value) = self.query.get(name) { input type="hidden" name=(name) value=(value); }
                }
                button.btn.first #take type="submit" { "Take it" }
                span.faint { "The draft stays as it is until you take it; Undo takes it back." }
            }
        }
    }

    fn leads(&self, change: &RevisionChange) -> Markup {
        let lies = |lead: &&LeadChange| matches!(lead.became, Became::Stays | Became::Redrawn { .. });
        let (stay, touched): (Vec<&LeadChange>, Vec<&LeadChange>) =
            change.leads.iter().partition(|lead| lies(lead) && !lead.renumbered);
        let count = |of: fn(&LeadChange) -> bool| change.leads.iter().filter(|lead| of(lead)).count();
        let (before, after) = (count(|lead| lead.before.is_some()), count(|lead| lead.after.is_some()));
        html! {
            h2 { "Leads" span.faint { (before) " before, " (after) " after; " (stay.len()) " stay" } }
            table.list.stack {
                thead { tr { th scope="col" { "Lead" } th scope="col" { "Becomes" } th scope="col" { "Joins" } th scope="col" { "Why, and what is left" } } }
                tbody {
                    @for lead in &touched {
                        tr data-lead-of=(lead.tag()) {
                            th scope="row" { (lead.tag()) }
                            td.nw { b.became aria-hidden="true" { (shape(&lead.became)) } " " (lead.became.word()) }
                            td.wide { (lead.name) }
                            td.wide { (self.shown(&lead.words())) }
                        }
                    }
                    @if !stay.is_empty() {
                        tr {
                            th scope="row" { (stay.len()) }
                            td.nw { b.became aria-hidden="true" { "=" } " stay" }
                            td.wide colspan="2" { (stay.iter().map(|lead| lead.tag()).collect::<Vec<_>>().join("  ")) }
                        }
                    }
                }
            }
        }
    }

    fn devices(&self, change: &RevisionChange) -> Markup {
        let named = [("Board", &change.board), ("Run", &change.runs), ("Feed", &change.feeds)];
        let is_any = !change.devices.is_empty() || named.iter().any(|(_, all)| !all.is_empty());
        let side = |text: &str| if text.is_empty() { "none".to_owned() } else { self.shown(text) };
        html! {
            @if is_any {
                h2 { "Devices, runs and feeds" }
                table.list.stack {
                    thead { tr { th scope="col" { "What" } th scope="col" { "Becomes" } th scope="col" { "Before" } th scope="col" { "After" } } }
                    tbody {
                        @for device in &change.devices {
                            @let word = if device.moved == Moved::Stands { "changes" } else { device.moved.word() };
                            @let there = |is: bool, title: &str| if is { title.to_owned() } else { "not there".to_owned() };
                            tr {
                                th scope="row" { (device.tag) }
                                td { (word) }
                                td.wide data-th="Before" { (there(device.moved != Moved::New, &device.title_before)) @if let Some(place) = &device.place { br; (self.shown(&place.before)) } }
                                td.wide data-th="After" { (there(device.moved != Moved::Gone, &device.title)) @if let Some(place) = &device.place { br; (self.shown(&place.after)) }
                                    @if !device.values.is_empty() && device.moved != Moved::New {
                                        details { summary { (device.values.len()) " values" }
                                            ul { @for value in &device.values { li { (self.shown(&value.words(&device.tag))) } } }
                                        }
                                    }
                                }
                            }
                        }
                        @for (what, all) in named { @for words in all {
                            tr { th scope="row" { (what) " " (words.of) } td {} td.wide data-th="Before" { (side(&words.before)) } td.wide data-th="After" { (side(&words.after)) } }
                        } }
                    }
                }
            }
        }
    }

    fn rest(&self, change: &RevisionChange) -> Markup {
        let title = |name: &&'static str| {
            let known = self.papers.iter().find(|paper| paper.name == *name);
            known.map_or(*name, |paper| paper.title)
        };
        let titles = |names: &[&'static str]| names.iter().map(title).collect::<Vec<_>>().join(", ");
        let side = |text: &str| if text.is_empty() { "not there".to_owned() } else { self.shown(text) };
        html! {
            h2 { "Besides the leads" }
            dl.besides {
                dt { "Outlets " b { (change.outlets.len()) } }
                dd { @for outlet in &change.outlets { p { b { (outlet.outlet) } " " (side(&outlet.before)) " \u{2192} " (side(&outlet.after)) } } @if change.outlets.is_empty() { "as they are" } }
                dt { "Holes " b { (change.blanked.len() + change.drilled.len()) } }
                dd {
                    @for (verb, all) in [("blank", &change.blanked), ("drill", &change.drilled)] { @for hole in all { p { (verb) " " (self.hole(hole)) } } }
                    @if change.blanked.is_empty() && change.drilled.is_empty() { "none to drill, none to blank" }
                }
                dt { "Labels " b { (change.labels_on.len()) } }
                dd { (change.labels_off.len()) " come off, " (change.labels_on.len()) " go on"
                    @if !change.labels_on.is_empty() { ": " (change.labels_on.iter().map(|label| label.of.as_str()).collect::<std::collections::BTreeSet<_>>().into_iter().collect::<Vec<_>>().join(", ")) }
                }
                dt { "Papers " b { (change.void.len()) } }
                dd { @if change.void.is_empty() { "all still good" } @else { "void: " (titles(&change.void)) @if !change.good.is_empty() { "; still good: " (titles(&change.good)) } } }
                dt { "Tests " b { (change.tests.len()) } }
                dd { (change.tests.len()) " to make or repeat, " (change.tests_stand) " results stand" }
            }
        }
    }

    fn hole(&self, hole: &Hole) -> String {
        let at = |value: Option<quantity::Length>| {
            value.map_or_else(
                || "?".to_owned(),
                |value| {
                    let (figure, unit) = length(value, self.head.unit);
                    format!("{figure} {unit}")
                },
            )
        };
        format!("{} for {}: {} at {}, {}", hole.plate, hole.of, at(hole.width), at(hole.x), at(hole.y))
    }

    /// The trials that can be asked for. Each is a form that only reads.
    fn what_if(&self) -> Markup {
        let devices =
            self.rig.devices.iter().filter(|device| !device.outside && device.role != rig::Role::Panel);
        let devices: Vec<&rig::Device> = devices.collect();
        let in_run = |tag: &str| {
            self.rig.runs.iter().filter(|run| run.carries == Carries::Signal).any(|run| {
                run.stops
                    .iter()
                    .rev()
                    .skip(1)
                    .any(|stop| stop.leaves.as_ref().is_some_and(|port| port.device == tag))
            })
        };
        let kinds = |id: &str| {
            html! {
                select id=(id) name="kind" required { option value="" { "choose a kind" }
                    @for entry in &self.kinds { option value=(entry.id) selected[self.query.get("kind") == Some(entry.id.as_str())] { (entry.title) } }
                }
            }
        };
        let form = |what: &str, title: &str, fields: Markup| {
            html! {
                form.trial method="get" action=(self.head.to(Place::Change)) {
                    input type="hidden" name="if" value=(what);
                    @if let Some(letter) = self.letter { input type="hidden" name="from" value=(letter); }
                    h3 { (title) }
                    (fields)
                    button.btn.small type="submit" { "Try" span.sr { ": " (title) } }
                }
            }
        };
        let picked = |name: &str, tag: &str| self.query.get(name) == Some(tag);
        html! {
            h2 #what-if { "What if" span.faint { "a trial leaves the draft as it is; what is built stays where it stands" } }
            div.trials {
                (form("swap", "Another device in its place", html! {
                    label for="swap-tag" { "instead of" }
                    select #swap-tag name="tag" { @for device in &devices { option value=(device.tag) selected[picked("tag", &device.tag)] { (device.tag) " " (device.title) } } }
                    label for="swap-kind" { "kind" } (kinds("swap-kind"))
                }))
                (form("add", "One more device", html! {
                    label for="add-kind" { "kind" } (kinds("add-kind"))
                    label for="add-after" { "after" }
                    select #add-after name="after" { option value="" { "in no run" } @for device in devices.iter().filter(|device| in_run(&device.tag)) { option value=(device.tag) selected[picked("after", &device.tag)] { (device.tag) " " (device.title) } } }
                }))
                (form("amp", "A second amp", html! { p.faint { "on the jack that feeds the first, by a Y lead" } }))
                (form("tour", "A tour abroad", html! {
                    label for="tour-country" { "country" } input #tour-country name="country" required size="8" maxlength="40" value=(self.query.get("country").unwrap_or(""));
                }))
                (form("outlet", "One more outlet", html! {
                    p.faint { "for a charger or a lamp beside the board" }
                    label for="outlet-volts" { "volts" } input #outlet-volts name="volts" required size="4" maxlength="8" value=(self.query.get("volts").unwrap_or("9"));
                    label for="outlet-current" { "mA" } input #outlet-current name="current" required size="4" maxlength="8" value=(self.query.get("current").unwrap_or("500"));
                }))
            }
        }
    }

    pub(crate) fn side(&self) -> Markup {
        let Ok(Some(seen)) = self.seen else { return html! {} };
        let found = &seen.compared;
        html! {
            section.comes-to aria-labelledby="comes-to" { h2 #comes-to { "What it comes to" } (Self::money(found)) }
            section.comes-to aria-labelledby="found-anew" { h2 #found-anew { "Findings" } (self.findings(&found.change.findings)) }
        }
    }

    fn money(found: &Compared) -> Markup {
        let shown = |sum: Money| found.prices.currency.signed(sum);
        let code = &found.prices.currency.code;
        let difference = found.difference();
        let quote = &found.quote;
        html! {
            dl.sums-of {
                dt { "On the bench" } dd { b { (hours(i64::from(quote.minutes))) } }
                @if found.is_priced {
                    dt { "To pay on top, with tax" }
                    dd { b { @if quote.is_at_least() { "at least " } (shown(quote.totals.to_pay)) } " " (code) }
                }
            }
            table.list {
                caption { "The work" }
                tbody { @for line in &quote.work { tr { th scope="row" { (line.title) } td.n { (line.units) } td.n { (hours(i64::from(line.minutes)).trim_start_matches('+')) } } } }
            }
            @if found.is_priced {
                table.list {
                    tbody {
                        tr { th scope="row" { "Net" } td.n { (shown(quote.totals.net)) } }
                        tr { th scope="row" { "Tax" } td.n { (shown(quote.totals.tax)) } }
                        tr { th scope="row" { "Whole job quoted anew" } td.n { (found.prices.currency.shown(found.whole[0].totals.to_pay)) " \u{2192} " (found.prices.currency.shown(found.whole[1].totals.to_pay)) } }
                        tr { th scope="row" { "its difference" } td.n { (shown(difference.to_pay)) ", " (hours(difference.minutes)) } }
                        @if found.price_rise() != Money::ZERO { tr { th scope="row" { "of that by prices alone" } td.n { (shown(found.price_rise())) } } }
                    }
                }
                @if !quote.missing.is_empty() { p.faint { "No price: " (quote.missing.iter().map(|gap| gap.title.as_str()).collect::<Vec<_>>().join(", ")) } }
            } @else { p.faint { "The shop has no prices yet, so that money is not counted." } }
        }
    }

    fn findings(&self, all: &[FindingChange]) -> Markup {
        let (mut new, mut gone, mut other): (Vec<&Case>, Vec<&Case>, Vec<(&Case, &Case)>) =
            Default::default();
        for finding in all {
            match (&finding.before, &finding.after) {
                (None, Some(case)) => new.push(case),
                (Some(case), None) => gone.push(case),
                (Some(before), Some(after)) => other.push((before, after)),
                (None, None) => {}
            }
        }
        let line = |case: &Case| html! { (severity(case.severity, 14)) " " b { (case.severity.word()) } " " (self.shown(&case.message)) };
        html! {
            @if all.is_empty() { p.none { "None new, none gone." } }
            @for (word, shape, cases) in [("New", "+", &new), ("Gone", "\u{00d7}", &gone)] {
                @if !cases.is_empty() {
                    h3 { b.became aria-hidden="true" { (shape) } " " (word) " " (cases.len()) }
                    ul.cases { @for case in cases { li { (line(case)) } } }
                }
            }
            @if !other.is_empty() {
                h3 { "Of another weight " (other.len()) }
                ul.cases { @for (before, after) in &other { li { "was " (before.severity.word()) ": " (line(after)) } } }
            }
        }
    }
}

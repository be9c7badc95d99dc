//! The Path: every run as a strip of stops, from right to left as on the board.

use design::{InsertTable, heard_words};
use finding::Severity;
use maud::{Markup, html};
use rig::{Carries, Direction};

use super::band::Response;
use super::frame::Head;
use super::marks::severity;
use super::value::{derived, derived_length};

/// One stop of a strip.
pub(crate) struct Stop {
    pub(crate) text: String,
    /// What it goes by on the strip.
    pub(crate) shown: String,
    pub(crate) title: String,
    /// Whether it stands on the board; ends outside it are round.
    pub(crate) on_board: bool,
    pub(crate) bypass: Option<&'static str>,
    pub(crate) input: Option<(String, &'static str)>,
    pub(crate) output: Option<(String, &'static str)>,
    /// The lead that leaves it, with the length wanted.
    pub(crate) lead: Option<(String, Option<quantity::Length>)>,
    /// The tag or loop that switches it.
    pub(crate) tag: String,
    /// Whether it is on in the state looked at; none for what cannot be switched.
    pub(crate) is_on: Option<bool>,
    /// What is lost at 1 kHz where signal arrives here, in dB, in the worst state.
    pub(crate) loss: Option<f64>,
    /// The worst finding about the junction before it.
    pub(crate) mark: Option<Severity>,
}

/// One run.
pub(crate) struct Run {
    pub(crate) name: String,
    pub(crate) carries: Carries,
    pub(crate) stops: Vec<Stop>,
}

/// The page.
pub(crate) struct Path<'a> {
    pub(crate) head: &'a Head,
    pub(crate) runs: Vec<Run>,
    pub(crate) direction: Direction,
    /// What may stand in a run: text and what it is.
    pub(crate) choices: Vec<(String, String)>,
    /// What signal can pass and no run passes yet: tag and title.
    pub(crate) shelf: Vec<(String, String)>,
    pub(crate) sources: Vec<(String, String)>,
    pub(crate) sinks: Vec<(String, String)>,
    pub(crate) loops: Vec<(String, String, String)>,
    pub(crate) inserts: Vec<InsertTable>,
    pub(crate) pickups: Vec<(String, String)>,
    pub(crate) inputs: Vec<(String, String)>,
    /// The response; none where there is no way to speak of, or the engine has not been asked yet.
    pub(crate) response: Option<Response<'a>>,
    /// What the engine took for granted or could not do.
    pub(crate) notes: Vec<String>,
    /// Whether the engine has not been asked yet.
    pub(crate) later: bool,
}

impl Path<'_> {
    pub(crate) fn tools(&self) -> Markup {
        html! {
            span.faint { "Drag a stop, into another run too, or pick it and press an arrow key. Signal runs " @if self.direction == Direction::RightToLeft { "right to left" } @else { "left to right" } ", as on the board." }
            span.grow {}
            a.btn.small href="#new-run" { "Add a run" }
            a.btn.small href="#feed-to-desk" { "Feed to the desk" }
        }
    }

    pub(crate) fn main(&self) -> Markup {
        html! {
            div.page {
                @if self.runs.is_empty() { p.none { "No run yet. A run goes from a source over devices to a sink." } }
                (self.shelf())
                @for run in &self.runs { (self.run(run)) }
                section.panel #response data-apart="" data-later=[self.later.then_some("")] {
                    @match &self.response {
                        Some(response) => { (response.main()) }
                        None => { h2 { "Response" } p.none { @if self.later { "Being worked out." } @else { "Nothing leads from a source to a sink in any state yet. " @for note in &self.notes { (super::findings::sentence(note)) ". " } } } }
                    }
                }
                @if !self.inserts.is_empty() { (self.tests()) }
                div.cols {
                    (self.new_run())
                    (self.desk())
                    (self.ends())
                }
                datalist #stops-there { @for (text, title) in &self.choices { option value=(text) { (title) } } }
            }
        }
    }

    /// Advice and states, above the findings.
    pub(crate) fn side(&self) -> Markup {
        let later = self.later.then_some("");
        html! {
            section.findings #buffer-advice data-apart="" data-later=[later] { @if let Some(response) = &self.response { (response.advice()) } }
            section.findings #asked data-apart="" data-later=[later] { @if let Some(response) = &self.response { (response.asked()) } }
            section.findings #states data-apart="" data-later=[later] { @if let Some(response) = &self.response { (response.listed()) } }
        }
    }

    fn run(&self, run: &Run) -> Markup {
        let head = self.head;
        let last = run.stops.len().saturating_sub(1);
        let says = |index: usize, stop: &Stop| {
            format!("{}, stop {} of {} of run {}", stop.text, index + 1, run.stops.len(), run.name)
        };
        html! {
            section.run data-key=(run.name) aria-label={ "Run " (run.name) } {
                header {
                    h2 { (run.name) span { (run.carries.word()) ", " (run.stops.len()) " stops" } }
                    form method="post" action=(head.edit_to()) data-live="" {
                        (head.edit_fields("run-away"))
                        input type="hidden" name="run" value=(run.name);
                        button.btn.small type="submit" aria-label={ "Remove run " (run.name) } { "Remove" }
                    }
                }
                ol.{ "strip-of " (run.carries.class().word().to_lowercase()) } .rtl[self.direction == Direction::RightToLeft] data-run=(run.name) {
                    @for (index, stop) in run.stops.iter().enumerate() {
                        li data-key={ (run.name) "/" (stop.text) } data-at=(index) {
                            button.stand type="button" .round[!stop.on_board] data-at=(index) data-tag=(stop.tag) aria-label=(says(index, stop)) title=(stop.title) { (stop.shown) }
                            @if let Some(mark) = stop.mark { span.junction title="loss at this junction: see the findings" { (severity(mark, 14)) span.sr { (mark.word()) " at the junction before " (stop.text) } } }
                            span.what { (stop.title) }
                            @if let Some((lead, length)) = &stop.lead {
                                span.lead { b { (lead) } @if let Some(length) = length { " " (derived_length(head, "lead", lead, *length)) } }
                            }
                            // A row for each figure, also where there is none: the strip is read along them.
                            dl {
                                (row(if stop.bypass == Some(ALWAYS) { "" } else { "bypass" }, stop.bypass.map(|bypass| html! { (bypass.replace('-', " ")) })))
                                (row("now", stop.is_on.map(|is_on| html! { @if is_on { b { "on" } } @else { "off" } })))
                                (row("loss", stop.loss.map(|loss| html! { (super::value::minus(format!("{loss:.1}"))) " dB" })))
                                (row("in", stop.input.as_ref().map(|(figure, from)| html! { (figure) " " (initial(from)) })))
                                (row("out", stop.output.as_ref().map(|(figure, from)| html! { (figure) " " (initial(from)) })))
                            }
                        }
                    }
                }
                div.row.tools-of {
                    form.row method="post" action=(head.edit_to()) data-live="" data-clear="" {
                        (head.edit_fields("stops"))
                        input type="hidden" name="run" value=(run.name);
                        input type="hidden" name="how" value="insert";
                        label { "Insert " input name="stop" size="12" list="stops-there" required aria-label={ "Stop to put into " (run.name) }; }
                        label { " before " select name="at" aria-label="before which stop" {
                            @for (index, stop) in run.stops.iter().enumerate() { option value=(index) selected[index == last] { (stop.text) } }
                            option value=(run.stops.len()) { "(at the end)" }
                        } }
                        button.btn.small type="submit" { "Insert" }
                    }
                    @if run.stops.len() > 2 {
                        form.row method="post" action=(head.edit_to()) data-live="" {
                            (head.edit_fields("stops"))
                            input type="hidden" name="run" value=(run.name);
                            input type="hidden" name="how" value="out";
                            label { "Remove " select name="at" aria-label={ "Stop to remove from " (run.name) } {
                                @for (index, stop) in run.stops.iter().enumerate() { option value=(index) selected[index == 1] { (stop.text) } }
                            } }
                            button.btn.small type="submit" { "Remove" }
                        }
                    }
                    @if !self.loops.is_empty() && run.stops.len() > 2 {
                        form.row method="post" action=(head.edit_to()) data-live="" {
                            (head.edit_fields("stops"))
                            input type="hidden" name="run" value=(run.name);
                            input type="hidden" name="how" value="loop";
                            label { "Loop " select name="loop" aria-label="through which pair" data-pair="" {
                                @for (name, send, back) in &self.loops { option data-send=(send) data-back=(back) { (name) } }
                            } }
                            input type="hidden" name="send" value=(self.loops[0].1);
                            input type="hidden" name="back" value=(self.loops[0].2);
                            label { " around " select name="at" aria-label="from stop" { @for (index, stop) in run.stops.iter().enumerate() { option value=(index) { (stop.text) } } } }
                            label { " to " select name="until" aria-label="to stop" { @for (index, stop) in run.stops.iter().enumerate() { option value=(index) selected[index == 1] { (stop.text) } } } }
                            button.btn.small type="submit" { "Insert the loop" }
                        }
                    }
                }
            }
        }
    }

    /// What no run passes yet: pressed it stands before the last stop of the first run, carried it stands where it is let go.
    fn shelf(&self) -> Markup {
        let head = self.head;
        let Some(run) = self.runs.iter().find(|run| run.carries == Carries::Signal) else { return html! {} };
        html! {
            @if !self.shelf.is_empty() {
                section.shelf aria-labelledby="shelf-head" {
                    h2 #shelf-head { "In no run yet" span { "drag one into a run, or press it: it comes before " (run.stops.last().map_or("", |stop| stop.text.as_str())) " in " (run.name) } }
                    ul { @for (tag, title) in &self.shelf {
                        li data-key={ "shelf-" (tag) } {
                            form method="post" action=(head.edit_to()) data-live="" {
                                (head.edit_fields("stops"))
                                input type="hidden" name="run" value=(run.name);
                                input type="hidden" name="how" value="insert";
                                input type="hidden" name="stop" value=(tag);
                                input type="hidden" name="at" value=(run.stops.len().saturating_sub(1));
                                button.stand type="submit" data-shelf=(tag) aria-label={ "Insert " (tag) " into " (run.name) } { (tag) }
                            }
                            span.what { (title) }
                        }
                    } }
                }
            }
        }
    }

    fn tests(&self) -> Markup {
        html! {
            section.panel {
                h2 { "Inserts, tested with" }
                div.cols {
                    @for table in &self.inserts {
                        table.list {
                            caption { (table.device) " " (table.name) ": send " (table.send) ", return " (table.back) }
                            tbody {
                                @for (case, heard) in table.cases() {
                                    tr { th scope="row" { (table.case_words(case)) } td { (heard_words(heard)) } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }

    fn new_run(&self) -> Markup {
        let head = self.head;
        html! {
            section.panel #new-run {
                h2 { "Add a run" }
                form method="post" action=(head.edit_to()) data-live="" {
                    (head.edit_fields("run"))
                    label.figure { span { "Name" } input name="name" required maxlength="40" value=(self.free_name("main")); }
                    label.figure { span { "Carries" } select name="carries" { @for word in ["signal", "expression", "control", "midi", "usb", "mains"] { option { (word) } } } }
                    label.figure { span { "From" } (self.chosen("First stop", &self.sources)) }
                    label.figure { span { "To" } (self.chosen("Last stop", &self.sinks)) }
                    button.btn type="submit" { "Add" }
                }
            }
        }
    }

    fn desk(&self) -> Markup {
        let head = self.head;
        html! {
            section.panel #feed-to-desk {
                h2 { "Split, or feed to the desk" }
                p.faint { "A second run from an output that another run passes: both leave from there, along one Y lead." }
                form method="post" action=(head.edit_to()) data-live="" {
                    (head.edit_fields("run"))
                    label.figure { span { "Name" } input name="name" required maxlength="40" value=(self.free_name("desk feed")); }
                    label.figure { span { "Tapped at" } (self.chosen("Output that is tapped", &self.tapped())) }
                    label.figure { span { "To" } select name="stop" aria-label="Sink" { @for (id, title) in &self.sinks { option value=(id) { (id) ", " (title) } } } }
                    button.btn type="submit" disabled[self.sinks.is_empty()] { "Add the feed" }
                }
            }
        }
    }

    /// Everything that may stand in a run, what is most likely first.
    fn chosen(&self, said: &str, likely: &[(String, String)]) -> Markup {
        let is_likely = |text: &String| likely.iter().any(|(known, _)| known == text);
        let rest = self.choices.iter().filter(|(text, _)| !is_likely(text));
        html! {
            select name="stop" required aria-label=(said) {
                @for (text, title) in likely.iter().chain(rest) { option value=(text) { (text) ", " (title) } }
            }
        }
    }

    /// What stands last before a sink: that is where a feed to the desk leaves.
    fn tapped(&self) -> Vec<(String, String)> {
        let last = |run: &Run| {
            let stop = run.stops.iter().rev().find(|stop| stop.on_board)?;
            Some((stop.text.clone(), stop.title.clone()))
        };
        self.runs.iter().filter(|run| run.carries == Carries::Signal).filter_map(last).take(1).collect()
    }

    fn free_name(&self, wished: &str) -> String {
        if self.runs.iter().all(|run| run.name != wished) {
            return wished.to_owned();
        }
        (2..=999)
            .map(|n| format!("{wished} {n}"))
            .find(|name| self.runs.iter().all(|run| run.name != *name))
            .unwrap_or_default()
    }

    fn ends(&self) -> Markup {
        let head = self.head;
        html! {
            section.panel {
                h2 { "Sources and sinks" }
                @for (list, ends, kinds, title) in [("source", &self.sources, &self.pickups, "Add a source"), ("sink", &self.sinks, &self.inputs, "Add a sink")] {
                    ul.ends { @for (id, said) in ends {
                        li {
                            b { (id) } " " (said)
                            form method="post" action=(head.edit_to()) data-live="" {
                                (head.edit_fields("end-away"))
                                input type="hidden" name="list" value=(list);
                                input type="hidden" name="id" value=(id);
                                button.plain type="submit" aria-label={ "Remove " (id) } { "Remove" }
                            }
                        }
                    } }
                    form.row method="post" action=(head.edit_to()) data-live="" {
                        (head.edit_fields("end"))
                        input type="hidden" name="list" value=(list);
                        input name="id" size="8" required maxlength="24" placeholder="name" aria-label={ "Name of the " (list) };
                        select name="kind" aria-label={ "Kind of the " (list) } { @for (id, title) in kinds { option value=(id) { (title) } } }
                        label { "lead " input name="lead" size="5" placeholder="5 m"; }
                        button.btn.small type="submit" { (title) }
                    }
                }
                p.faint { (derived(head, "ends", "", "How ends count", "")) }
            }
        }
    }
}

/// The bypass of what cannot be bypassed: it says all by itself, and its row is one line high.
const ALWAYS: &str = "always-on";

/// One figure of a stop; its row stays where there is none.
fn row(label: &str, figure: Option<Markup>) -> Markup {
    html! {
        @match figure {
            Some(figure) => { div { dt { (label) } dd { (figure) } } }
            None => { div.gap aria-hidden="true" { dt { "\u{a0}" } dd {} } }
        }
    }
}

/// The letter of where a figure comes from.
fn initial(from: &str) -> Markup {
    html! { abbr.pv data-from=(from) title=(from) { (from.chars().next().map_or('?', |c| c.to_ascii_uppercase())) } }
}

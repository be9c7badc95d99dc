//! Build: the work order as cards, one act at a time, with ticks that stay.

use design::{Design, Stage, Step, end_words};
use finding::Severity;
use maud::{Markup, html};

use super::frame::Head;
use super::marks::{severity, tick};
use super::value::derived_length;
use crate::building::{Bar, Order, Standing, changed_words, parts};

/// The page.
pub(crate) struct Build<'a> {
    pub(crate) head: &'a Head,
    pub(crate) design: &'a Design,
    pub(crate) stages: &'a [Stage],
    pub(crate) order: Order<'a>,
    /// The act shown, by its place in the whole order.
    pub(crate) at: usize,
    /// How many stops are open.
    pub(crate) stops: usize,
}

/// What is said of open stops, as on the papers.
pub(crate) fn stops_words(stops: usize) -> String {
    let are = if stops == 1 { "1 stop is open".to_owned() } else { format!("{stops} stops are open") };
    format!("not for building: {are}; close each, or answer for it by name")
}

impl Build<'_> {
    fn acts(&self) -> Vec<(&Stage, &Step)> {
        self.stages.iter().flat_map(|stage| stage.steps.iter().map(move |step| (stage, step))).collect()
    }

    fn to(&self, index: usize) -> String {
        format!("{}?act={}", self.head.to(self.head.place), index + 1)
    }

    pub(crate) fn tools(&self) -> Markup {
        let acts = self.acts();
        let done = (0..acts.len()).filter(|at| self.order.is_done(*at)).count();
        let open = acts.iter().enumerate().filter(|(at, _)| !self.order.is_done(*at));
        let left: u32 = open.map(|(_, (_, step))| step.minutes).sum();
        html! {
            span { b { (done) } " of " (acts.len()) " done" }
            (self.stops_line())
            span.grow {}
            span { "about " b { (format!("{:.1}", f64::from(left) / 60.0)) } " h left" }
            a.btn.small href={ "/job/" (self.head.job) "/fault" } { "Find a fault" }
            a.btn.small href={ (self.head.to(self.head.place)) "?all=1" } { "All acts" }
        }
    }

    pub(crate) fn main(&self) -> Markup {
        let acts = self.acts();
        let Some((stage, step)) = acts.get(self.at).copied() else {
            return html! { div.page { p.none { "Nothing to do yet: the work order follows from devices, runs and feeds." } } };
        };
        let head = self.head;
        let done = self.order.is_done(self.at);
        let bar = self.order.bar(self.at);
        let hold = (self.at..acts.len()).find(|at| acts[*at].1.hold && !self.order.is_done(*at));
        html! {
            article.act .hold[step.hold] .done[done] data-step=(step.id) {
                (self.progress(&acts))
                (self.stops_line())
                header {
                    span { (stage.title) }
                    span.r { b { (self.at + 1) } " of " (acts.len()) @if let Some(hold) = hold { ", hold at " (hold + 1) } }
                }
                h2 { (step.text) }
                @if step.hold { p.hold-word { b { "Hold." } " Work stops here until somebody has looked." } }
                (self.changed(self.at))
                @if let Some(bar) = &bar { (self.barred(bar)) }
                dl.rows {
                    (self.device(step))
                    (self.leads(step))
                    @if !step.at_hand.is_empty() { div { dt { "At hand" } dd { (step.at_hand.iter().map(design::AtHand::words).collect::<Vec<_>>().join(", ")) } } }
                    @if step.minutes > 0 { div { dt { "Planned" } dd { (step.minutes) " min" } } }
                }
                footer {
                    @if let Some((_, next)) = acts.get(self.at + 1) { p.then { span { "Then " } (next.text) } }
                    @if self.at > 0 { a.btn href=(self.to(self.at - 1)) rel="prev" { "Back" span { (self.at) } } } @else { span.btn.off { "Back" } }
                    @match &bar {
                        Some(Bar::Hold(hold)) => { a.tick.barred href=(self.to(*hold)) { "Hold at " (hold + 1) } }
                        Some(Bar::Stops(_)) => { a.tick.barred href=(head.to(super::frame::Place::Papers)) { "Stops are open" } }
                        Some(Bar::Lengths(_)) => { span.tick.barred { "Lengths missing" } }
                        None => {
                            form method="post" action={ "/job/" (head.job) "/tick" } data-live="" data-tick="" {
                                input type="hidden" name="step" value=(step.id);
                                input type="hidden" name="done" value=(if done { "no" } else { "yes" });
                                input type="hidden" name="here" value=(if done || acts.len() <= self.at + 1 { self.to(self.at) } else { self.to(self.at + 1) });
                                button.tick type="submit" aria-pressed=(if done { "true" } else { "false" }) { (tick()) @if done { "Done; take back" } @else { "Done" } }
                            }
                        }
                    }
                    @if self.at + 1 < acts.len() { a.btn href=(self.to(self.at + 1)) rel="next" { "Next" span { (self.at + 2) } } } @else { span.btn.off { "Next" } }
                }
            }
        }
    }

    /// How many stops are open, where any is.
    fn stops_line(&self) -> Markup {
        html! {
            @if 0 < self.stops {
                p.not-for { (severity(Severity::Stop, 14)) b { "NOT FOR BUILDING" } " " (self.stops) @if self.stops == 1 { " stop is open" } @else { " stops are open" } }
            }
        }
    }

    /// That an act was done for other figures than it has now.
    fn changed(&self, at: usize) -> Markup {
        html! {
            @if let Some(Standing::Changed(changed)) = self.order.standings.get(at) {
                div.changed {
                    p { (severity(Severity::Look, 16)) b { "Done before, and changed since" } }
                    ul { @for said in changed_words(changed, self.head.unit) { li { (said) } } }
                }
            }
        }
    }

    /// Why an act cannot be done now.
    fn barred(&self, bar: &Bar) -> Markup {
        html! {
            div.changed {
                @match bar {
                    Bar::Hold(at) => {
                        p { (severity(Severity::Stop, 16)) b { "Not yet." } " Act " (at + 1) " is a hold: "
                            a href=(self.to(*at)) { (self.order.steps.get(*at).map_or("", |step| step.text.as_str())) } "." }
                    }
                    Bar::Stops(stops) => { p { (severity(Severity::Stop, 16)) b { (super::findings::sentence(&stops_words(*stops))) "." } } }
                    Bar::Lengths(all) => {
                        p { (severity(Severity::Stop, 16)) b { "Not yet: no length to cut to." } }
                        ul { @for (part, why) in all { li { b { (part) } ": no length yet, " (why) } } }
                    }
                }
            }
        }
    }

    fn device(&self, step: &Step) -> Markup {
        let head = self.head;
        let device = step.device.as_ref().and_then(|tag| self.design.rig.device(tag));
        html! {
            @if let Some(device) = device {
                @let tag = &device.tag;
                div { dt { "Device" } dd { b { (tag) } ", " (device.title) } }
                @if let Some(place) = &device.place {
                    div { dt { "Place" } dd {
                        (place.deck) ", " (derived_length(head, "place", tag, place.x)) " from the left, "
                        (derived_length(head, "place", tag, place.y)) " from the front"
                        @if place.quarters > 0 { ", turned " (90 * u32::from(place.quarters)) "°" }
                        @if place.under { ", under the deck" }
                    } }
                }
            }
        }
    }

    /// Every lead of an act, with the length of each of its parts.
    fn leads(&self, step: &Step) -> Markup {
        let head = self.head;
        let lead = |tag: &String| self.design.leads.iter().find(|lead| lead.tag == *tag);
        html! {
            @for lead in step.leads.iter().filter_map(lead) {
                div.lead-row {
                    dt { b { (lead.tag) } }
                    dd {
                        @let parts = parts(lead);
                        @for (part, cut) in &parts {
                            span.made {
                                @if 1 < parts.len() { span.faint { (part) " " } }
                                @match cut {
                                    Some(cut) => { (derived_length(head, "cut", &lead.tag, *cut)) }
                                    None => { "no length yet" }
                                }
                            }
                            " "
                        }
                        span { (lead.route_words()) }
                        span.faint { @for (leg, end) in lead.ends.iter().enumerate() { @if 0 < leg { " / " } (end_words(end)) @if let Some(exit) = end.plug.exit { " " (exit.word()) } } }
                    }
                }
            }
        }
    }

    fn progress(&self, acts: &[(&Stage, &Step)]) -> Markup {
        let many = acts.len().max(1);
        let done = (0..acts.len()).filter(|at| self.order.is_done(*at)).count();
        html! {
            svg.progress viewBox={ "0 0 " (many * 10) " 16" } preserveAspectRatio="none" role="img" aria-label={ (done) " of " (many) " acts done, now at " (self.at + 1) } {
                @for (index, (_, step)) in acts.iter().enumerate() {
                    @let class = if self.order.is_done(index) { "is-done" } else { "is-open" };
                    rect class=(class) x=(index * 10 + 1) y=(if step.hold { 0 } else { 5 }) width="8" height=(if step.hold { 12 } else { 7 }) {}
                    @if index == self.at { rect.is-now x=(index * 10) y="0" width="10" height="14" {} }
                }
            }
        }
    }

    /// Every act in one list, for the laptop.
    pub(crate) fn all(&self) -> Markup {
        let head = self.head;
        let mut index = 0;
        let stages: Vec<(&Stage, Vec<(usize, &Step)>)> = self
            .stages
            .iter()
            .map(|stage| {
                let steps = stage
                    .steps
                    .iter()
                    .map(|step| {
                        index += 1;
                        (index - 1, step)
                    })
                    .collect();
                (stage, steps)
            })
            .collect();
        html! {
            div.page {
                @for (stage, steps) in &stages {
                    section.stage data-key=(stage.id) {
                        h2 { (stage.title) span { (stage.minutes()) " min" } }
                        ol start=(steps.first().map_or(1, |(index, _)| index + 1)) {
                            @for (index, step) in steps {
                                @let is_done = self.order.is_done(*index);
                                @let is_barred = self.order.bar(*index).is_some();
                                li .done[is_done] data-key=(step.id) {
                                    form method="post" action={ "/job/" (head.job) "/tick" } data-live="" data-tick="" {
                                        input type="hidden" name="step" value=(step.id);
                                        input type="hidden" name="done" value=(if is_done { "no" } else { "yes" });
                                        input type="hidden" name="here" value={ (head.to(head.place)) "?all=1" };
                                        button.box type="submit" disabled[is_barred] aria-pressed=(if is_done { "true" } else { "false" }) aria-label={ "Done: " (step.text) } { @if is_done { (tick()) } }
                                    }
                                    a href={ (head.to(head.place)) "?act=" (index + 1) } { @if step.hold { b { "Hold. " } } (step.text) @if matches!(self.order.standings[*index], Standing::Changed(_)) { b { " Changed since it was done." } } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

//! Build: the work order as cards, one act at a time, with ticks that stay.

use std::collections::BTreeMap;

use design::{Design, Stage, Step, end_words};
use maud::{Markup, html};
use store::Tick;

use super::frame::Head;
use super::marks::tick;
use super::value::derived_length;

/// The page.
pub(crate) struct Build<'a> {
    pub(crate) head: &'a Head,
    pub(crate) design: &'a Design,
    pub(crate) stages: &'a [Stage],
    pub(crate) ticks: BTreeMap<String, Tick>,
    /// The act shown, by its place in the whole order.
    pub(crate) at: usize,
}

impl Build<'_> {
    fn acts(&self) -> Vec<(&Stage, &Step)> {
        self.stages.iter().flat_map(|stage| stage.steps.iter().map(move |step| (stage, step))).collect()
    }

    fn is_done(&self, step: &Step) -> bool {
        self.ticks.get(&step.id).is_some_and(|tick| tick.done)
    }

    fn to(&self, index: usize) -> String {
        format!("{}?act={}", self.head.to(self.head.place), index + 1)
    }

    pub(crate) fn tools(&self) -> Markup {
        let acts = self.acts();
        let done = acts.iter().filter(|(_, step)| self.is_done(step)).count();
        let left: u32 =
            acts.iter().filter(|(_, step)| !self.is_done(step)).map(|(_, step)| step.minutes).sum();
        html! {
            span { b { (done) } " of " (acts.len()) " done" }
            span.grow {}
            span { "about " b { (format!("{:.1}", f64::from(left) / 60.0)) } " h left" }
            a.btn.small href={ (self.head.to(self.head.place)) "?all=1" } { "All acts" }
        }
    }

    pub(crate) fn main(&self) -> Markup {
        let acts = self.acts();
        let Some((stage, step)) = acts.get(self.at).copied() else {
            return html! { div.page { p.none { "Nothing to do yet: the work order follows from devices, runs and feeds." } } };
        };
        let head = self.head;
        let done = self.is_done(step);
        let hold =
            acts.iter().enumerate().skip(self.at).find(|(_, (_, step))| step.hold && !self.is_done(step));
        html! {
            article.act .hold[step.hold] .done[done] data-step=(step.id) {
                (self.progress(&acts))
                header {
                    span { (stage.title) }
                    span.r { b { (self.at + 1) } " of " (acts.len()) @if let Some((hold, _)) = hold { ", hold at " (hold + 1) } }
                }
                h2 { (step.text) }
                @if step.hold { p.hold-word { b { "Hold." } " Work stops here until somebody has looked." } }
                dl.rows {
                    @if let Some(tag) = &step.device {
                        @if let Some(device) = self.design.rig.device(tag) {
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
                    @for tag in step.leads.iter().take(6) {
                        @if let Some(lead) = self.design.leads.iter().find(|lead| lead.tag == *tag) {
                            div.lead-row {
                                dt { b { (tag) } }
                                dd {
                                    @if let Some(cut) = lead.cut.value { span.made { (derived_length(head, "cut", tag, cut)) } " " }
                                    span { (lead.route_words()) }
                                    span.faint { @for (leg, end) in lead.ends.iter().enumerate() { @if 0 < leg { " / " } (end_words(end)) @if let Some(exit) = end.plug.exit { " " (exit.word()) } } }
                                }
                            }
                        }
                    }
                    @if step.leads.len() > 6 { div { dt {} dd { "and " (step.leads.len() - 6) " more; the lead schedule has them all" } } }
                    @if !step.at_hand.is_empty() { div { dt { "At hand" } dd { (step.at_hand.iter().map(design::AtHand::words).collect::<Vec<_>>().join(", ")) } } }
                    @if step.minutes > 0 { div { dt { "Planned" } dd { (step.minutes) " min" } } }
                    @if let Some((_, next)) = acts.get(self.at + 1) { div { dt { "Then" } dd { (next.text) } } }
                }
                footer {
                    @if self.at > 0 { a.btn href=(self.to(self.at - 1)) rel="prev" { "Back" span { (self.at) } } } @else { span.btn.off { "Back" } }
                    form method="post" action={ "/job/" (head.job) "/tick" } data-live="" data-tick="" {
                        input type="hidden" name="step" value=(step.id);
                        input type="hidden" name="done" value=(if done { "no" } else { "yes" });
                        input type="hidden" name="here" value=(if done || acts.len() <= self.at + 1 { self.to(self.at) } else { self.to(self.at + 1) });
                        button.tick type="submit" aria-pressed=(if done { "true" } else { "false" }) { (tick()) @if done { "Done; take back" } @else { "Done" } }
                    }
                    @if self.at + 1 < acts.len() { a.btn href=(self.to(self.at + 1)) rel="next" { "Next" span { (self.at + 2) } } } @else { span.btn.off { "Next" } }
                }
            }
        }
    }

    fn progress(&self, acts: &[(&Stage, &Step)]) -> Markup {
        let many = acts.len().max(1);
        let done = acts.iter().filter(|(_, step)| self.is_done(step)).count();
        html! {
            svg.progress viewBox={ "0 0 " (many * 10) " 16" } preserveAspectRatio="none" role="img" aria-label={ (done) " of " (many) " acts done, now at " (self.at + 1) } {
                @for (index, (_, step)) in acts.iter().enumerate() {
                    @let class = if self.is_done(step) { "is-done" } else { "is-open" };
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
                                li .done[self.is_done(step)] data-key=(step.id) {
                                    form method="post" action={ "/job/" (head.job) "/tick" } data-live="" data-tick="" {
                                        input type="hidden" name="step" value=(step.id);
                                        input type="hidden" name="done" value=(if self.is_done(step) { "no" } else { "yes" });
                                        input type="hidden" name="here" value={ (head.to(head.place)) "?all=1" };
                                        button.box type="submit" aria-pressed=(if self.is_done(step) { "true" } else { "false" }) aria-label={ "Done: " (step.text) } { @if self.is_done(step) { (tick()) } }
                                    }
                                    a href={ (head.to(head.place)) "?act=" (index + 1) } { @if step.hold { b { "Hold. " } } (step.text) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

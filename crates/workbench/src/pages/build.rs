//! Build: the work order as cards, one act at a time, with ticks that stay.

use design::{Deed, Design, Stage, Step, end_words};
use drawing::PlateSide;
use finding::Severity;
use maud::{Markup, html};
use verdict::{Obstacle, Stuck};

use super::drawn::{lit, plan, still};
use super::frame::Head;
use super::marks::{severity, tick};
use super::value::derived_length;
use crate::building::{Bar, Order, Standing, changed_words, parts, time_of};

/// The page.
pub(crate) struct Build<'a> {
    pub(crate) head: &'a Head,
    pub(crate) design: &'a Design,
    pub(crate) order: Order<'a>,
    /// The act shown, by its place in the whole order.
    pub(crate) at: usize,
    /// How many stops are open.
    pub(crate) stops: usize,
    /// Acts that cannot be done when their turn comes.
    pub(crate) obstacles: &'a [Obstacle],
}

/// What is said of open stops, as on the papers.
pub(crate) fn stops_words(stops: usize) -> String {
    let are = if stops == 1 { "1 stop is open".to_owned() } else { format!("{stops} stops are open") };
    format!("not for building: {are}; close each, or answer for it by name")
}

/// Minutes as hours: `2 h 05 min`.
fn hours(minutes: u32) -> String {
    match minutes {
        0..=59 => format!("{minutes} min"),
        _ => format!("{} h {:02} min", minutes / 60, minutes % 60),
    }
}

/// What is stuck, in words.
fn stuck_words(one: &Obstacle) -> String {
    let what = match one.stuck {
        Stuck::Plug => "the plug meets",
        Stuck::Hand => "a hand 40 mm wide meets",
        Stuck::Driver => "device or driver meets",
        Stuck::Order => return format!("{}: {}", one.of, one.by),
    };
    format!("{}: {what} {}", one.of, one.by)
}

impl Build<'_> {
    fn acts(&self) -> Vec<(&Stage, &Step)> {
        let stages = self.order.building.stages.iter();
        stages.flat_map(|stage| stage.steps.iter().map(move |step| (stage, step))).collect()
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
            span { "about " b { (hours(left)) } " left" }
            (self.logged())
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
                    span.r { @if step.minutes > 0 { (step.minutes) " min" } }
                    span.r { b { (self.at + 1) } " of " (acts.len()) }
                }
                h2 { (step.text) }
                @if step.hold { p.hold-word { b { "Hold." } " Work that rests on this stops here until somebody has looked." } }
                (self.changed(self.at))
                @if let Some(bar) = &bar { (self.barred(bar)) }
                (self.in_the_way())
                (self.picture(step))
                dl.rows {
                    (self.device(step))
                    (self.leads(step))
                    @if !step.at_hand.is_empty() { div { dt { "At hand" } dd { (step.at_hand.iter().map(design::AtHand::words).collect::<Vec<_>>().join(", ")) } } }
                    @if let Some(why) = self.order.building.why(self.at) { div { dt { "Why now" } dd { (why) } } }
                    @if let Some(tick) = self.order.done.get(self.at).and_then(Option::as_ref) {
                        div { dt { "Done" } dd { (tick.at.get(..10).unwrap_or_default()) " " (time_of(tick)) " UTC" @if let Some(by) = &tick.by { ", " (by) } } }
                    }
                }
                footer {
                    @if let Some((_, next)) = acts.get(self.at + 1) { p.then { span { "Next " b { (self.at + 2) } " " } (next.text) } }
                    @if let Some(hold) = hold.filter(|hold| self.at + 1 < *hold) { p.then { span { "Hold " b { (hold + 1) } " " } (acts[hold].1.text) } }
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

    /// Planned against what the ticks say.
    fn logged(&self) -> Markup {
        html! {
            @if let Some((planned, logged)) = self.order.logged() {
                span title="Between ticks; where more than two hours lie between two, neither counts" { "planned " b { (hours(planned)) } ", logged " b { (hours(logged)) } }
            }
        }
    }

    /// What has to come off before this act, and what is in its way when its turn comes.
    fn in_the_way(&self) -> Markup {
        let undo = self.order.to_undo(self.at);
        let stuck: Vec<&Obstacle> = self.obstacles.iter().filter(|one| one.at == self.at).collect();
        html! {
            @if !undo.is_empty() {
                div.changed {
                    p { (severity(Severity::Look, 16)) b { "Take off first: " } (undo.iter().map(|one| one.thing.as_str()).collect::<Vec<_>>().join(", ")) }
                    ul { @for one in &undo { li { a href=(self.to(one.at)) { "act " (one.at + 1) } ": " (self.order.steps[one.at].text) } } }
                }
            }
            @if !stuck.is_empty() {
                div.changed {
                    p { (severity(Severity::Look, 16)) b { "Look first: it may not go in as things stand." } }
                    ul { @for one in &stuck { li { (stuck_words(one)) } } }
                }
            }
        }
    }

    /// The act as a picture: its leads lit, its device marked, or the plate that it works on; how plugs are turned.
    fn picture(&self, step: &Step) -> Markup {
        let verb = step.id.split(':').next().unwrap_or_default();
        if matches!(verb, "bar" | "glue" | "punch" | "drill" | "deburr" | "jacks") {
            let of = step.id.split_once(':').map_or("", |(_, of)| of);
            let plates = design::plates(self.design);
            let plate = plates.iter().find(|plate| format!("{}:{}", plate.panel, plate.face.word()) == of);
            return html! { @if let Some(plate) = plate { figure { (still(&drawing::panel(self.design, plate, PlateSide::Front), "drawing plate")) } } };
        }
        let leads: Vec<&str> = step.leads.iter().map(String::as_str).collect();
        let device = step.does.iter().find_map(|deed| match deed {
            Deed::Stand(tag) => Some(tag.as_str()),
            Deed::Plug(_, port) => Some(port.device.as_str()),
            Deed::Raise(_) => None,
        });
        let device = device.or(step.device.as_deref());
        let is_placed = |tag: &str| {
            self.design.rig.device(tag).is_some_and(|device| device.place.is_some() && !device.outside)
        };
        let at = device.filter(|tag| is_placed(tag)).unwrap_or_default();
        let mut devices: Vec<&str> = leads
            .iter()
            .filter_map(|tag| self.design.leads.iter().find(|lead| lead.tag == **tag))
            .flat_map(|lead| lead.ends.iter().map(|end| end.port.device.as_str()))
            .collect();
        devices.extend(device);
        html! {
            @if matches!(verb, "solder" | "finish") { (self.turned(step)) }
            @else if !leads.is_empty() || !at.is_empty() { figure { (lit(&plan(self.design, None), &leads, &devices, at)) } }
        }
    }

    /// Each lead as it lies on the bench: how its second plug is turned against the first, and what the labels say.
    fn turned(&self, step: &Step) -> Markup {
        let of = |tag: &String| self.design.leads.iter().find(|lead| lead.tag == *tag);
        html! {
            @for lead in step.leads.iter().filter_map(of) {
                @if let Some(made) = drawing::making(self.design, lead) { figure.making { (still(&made, "drawing")) } }
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
                        p { (severity(Severity::Stop, 16)) b { "Not yet." } " It rests on act " (at + 1) ", a hold: "
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

    /// How long it takes one and two, what waits for what, and what no order reaches.
    fn people(&self) -> Markup {
        let building = self.order.building;
        html! {
            section.stage {
                h2 { "Time" }
                dl.rows {
                    div { dt { "One person" } dd { b { (hours(building.alone)) } } }
                    div { dt { "Two people" } dd { b { (hours(building.two)) } "; between them " (hours(building.waits.iter().sum())) " with nothing to do. No way of sharing goes below " (hours(building.bound)) } }
                    div { dt { "Longest row" } dd { b { (hours(building.critical_minutes)) } ", however many help: " (building.critical.len()) " acts that wait for one another, from act " (building.critical.first().map_or(0, |at| at + 1)) " to act " (building.critical.last().map_or(0, |at| at + 1)) } }
                    @if let Some((planned, logged)) = self.order.logged() { div { dt { "So far" } dd { "planned " b { (hours(planned)) } ", logged " b { (hours(logged)) } " between ticks" } } }
                }
                @for one in &building.unreached {
                    p.changed { (severity(Severity::Look, 16)) b { (one.end) } ": cannot be reached in any order, " (one.things.join(", ")) " in the way" }
                }
                @for one in self.obstacles {
                    p.changed { (severity(Severity::Look, 16)) a href=(self.to(one.at)) { "Act " (one.at + 1) } ": " (stuck_words(one)) }
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
            .order
            .building
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
                (self.people())
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
                                    a href={ (head.to(head.place)) "?act=" (index + 1) } { @if step.hold { b { "Hold. " } } (step.text) span.faint { " " (["A", "B"][self.order.building.hands[*index].person.min(1)]) } @if matches!(self.order.standings[*index], Standing::Changed(_)) { b { " Changed since it was done." } } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

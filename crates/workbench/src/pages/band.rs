//! The response of a way: the band of all switching states, one state looked at, where the worst is, where a buffer
//! would help.

use design::Design;
use drawing::{BandCurves, ShownState};
use finding::Severity;
use maud::{Markup, html};
use signal::{Advice, AdviceStatus, Outcome, StateFigures, StateResponse, Way};

use super::drawn::still;
use super::frame::Head;
use super::marks::{severity, tick};
use super::value::{derived, query};

/// One state by name.
pub(crate) struct Listed {
    pub(crate) name: String,
    pub(crate) engaged: Vec<String>,
    pub(crate) figures: Option<StateFigures>,
}

/// The response of one way.
pub(crate) struct Response<'a> {
    pub(crate) head: &'a Head,
    pub(crate) design: &'a Design,
    pub(crate) outcome: &'a Outcome,
    /// Which of the outcome's ways is looked at.
    pub(crate) index: usize,
    pub(crate) way: &'a Way,
    /// What can be switched.
    pub(crate) switches: Vec<String>,
    /// What is on in the state looked at.
    pub(crate) on: Vec<String>,
    /// Whether that is the worst state because nobody chose one.
    pub(crate) is_worst: bool,
    pub(crate) shown: Option<StateResponse>,
    pub(crate) figures: Option<StateFigures>,
    pub(crate) worst: Option<StateResponse>,
    /// The named states and the worst, worst first.
    pub(crate) states: Vec<Listed>,
    /// None while it is being worked out.
    pub(crate) advice: Option<&'a Advice>,
    /// What else is asked of the way, with its answers; empty while it is being worked out.
    pub(crate) asked: &'a [signal::Said],
    /// The buffers of the catalogue, by id and title.
    pub(crate) buffers: &'a [(String, String)],
}

/// Decibels with a true minus, and a plus above zero.
fn db(value: f64) -> String {
    let figure = format!("{:.1}", value.abs());
    let sign = match (figure == "0.0", value < 0.0) {
        (true, _) => "",
        (_, true) => "\u{2212}",
        (_, false) => "+",
    };
    format!("{sign}{figure}")
}

/// A loss, which is positive by nature and carries no plus.
fn loss(value: f64) -> String {
    db(value).replace('+', "")
}

fn khz(hertz: f64) -> String {
    format!("{:.2}", hertz / 1000.0)
}

/// A state in words.
pub(crate) fn words(on: &[String]) -> String {
    match on {
        [] => "everything bypassed".to_owned(),
        [one] => format!("{one} engaged"),
        [rest @ .., last] => format!("{} and {last} engaged", rest.join(", ")),
    }
}

impl Response<'_> {
    /// How bad a change is, by the limits of the workshop.
    fn weight(&self, change: f64) -> Option<Severity> {
        let limits = &self.design.limits;
        if limits.treble_change_stop.get() < change.abs() {
            Some(Severity::Stop)
        } else if limits.treble_change_look.get() < change.abs() {
            Some(Severity::Look)
        } else {
            None
        }
    }

    fn to(&self, way: usize, on: Option<&[String]>) -> String {
        let mut to = self.head.to(self.head.place);
        let mut mark = '?';
        if 0 < way {
            to.push_str(&format!("?way={way}"));
            mark = '&';
        }
        if let Some(on) = on {
            to.push_str(&format!("{mark}on={}", query(&on.join(","))));
        }
        to
    }

    fn toggled(&self, name: &str) -> Vec<String> {
        let mut on: Vec<String> = self.on.iter().filter(|tag| *tag != name).cloned().collect();
        if on.len() == self.on.len() {
            on.push(name.to_owned());
            on.sort();
        }
        on
    }

    /// The plot, the state and its figures.
    pub(crate) fn main(&self) -> Markup {
        let title = format!("{} to {}", self.way.source, self.way.sink);
        html! {
            h2 { "Response" span { (title) ", every switching state against the same guitar straight into the amp" @if let Some(doubt) = self.way.judged().doubt() { "; " (doubt) } } }
            @if 1 < self.outcome.ways.len() {
                p.seg role="group" aria-label="From where to where" {
                    @for (index, way) in self.outcome.ways.iter().enumerate() {
                        a href=(self.to(index, (!self.is_worst).then_some(self.on.as_slice()))) data-pick="" data-key={ "way" (index) } aria-current=[(index == self.index).then_some("true")] { (way.source) " to " (way.sink) }
                    }
                }
            }
            div.picker role="group" aria-label="State looked at" {
                span.label { "State looked at" }
                @for name in &self.switches {
                    @let is_on = self.on.contains(name);
                    a.btn.small.switch href=(self.to(self.index, Some(&self.toggled(name)))) data-pick="" data-key={ "switch-" (name) } data-switch=(name) role="switch" aria-checked=(if is_on { "true" } else { "false" }) { (name) span { @if is_on { "on" } @else { "off" } } }
                }
                a.plain href=(self.to(self.index, None)) data-pick="" data-key="the-worst" { "the worst" }
            }
            (self.sums())
            figure.band-plot { (self.plot(214.0, 104.0, drawing::text::SMALL, "wide-plot")) (self.plot(96.0, 104.0, 4.8, "phone-plot")) }
            (self.wherefore())
        }
    }

    fn sums(&self) -> Markup {
        let sum = |what: &str, name: &str, value: f64, weight: Option<Severity>, said: &str| {
            html! {
                div {
                    dt { (name) }
                    dd { @if let Some(weight) = weight { (severity(weight, 16)) span.sr { (weight.word()) " " } } span.big { (derived(self.head, what, &self.way.sink, &if what == "insertion" { loss(value) } else { db(value) }, "dB")) } }
                    dd.s { (said) }
                }
            }
        };
        html! {
            dl.strip.state-sums data-state=(self.on.join(",")) aria-live="polite" {
                @if let Some(figures) = &self.figures {
                    (sum("change-4k", "Change at 4 kHz", figures.change_at_4k_db, if self.way.is_judged_by_tone() { None } else { self.weight(figures.treble(self.way)) }, &format!("with {}", words(&self.on))))
                    (sum("tone", "Change of tone", figures.tone_change_db, if self.way.is_judged_by_tone() { self.weight(figures.tone_change_db) } else { None }, "4 kHz against 1 kHz"))
                    (sum("insertion", "Insertion loss, 1 kHz", figures.insertion_loss_1k_db, None, "positive is quieter"))
                    (sum("level", "Level, 1 kHz", figures.level_1k_db, None, "against the coil’s own volts"))
                } @else {
                    div { dt { "Nothing arrives" } dd { span.big { "silent" } } dd.s { "with " (words(&self.on)) } }
                }
                div {
                    dt { "Resonance" }
                    @match (self.way.resonance.reference, self.way.resonance.worst) {
                        (Some(from), Some(to)) => { dd { span.big { (derived(self.head, "resonance", &self.way.sink, &khz(to), "kHz")) } } dd.s { "at worst; " (khz(from)) " kHz by the usual lead" } }
                        (Some(from), None) => { dd { span.big { (derived(self.head, "resonance", &self.way.sink, &khz(from), "kHz")) } } dd.s { "by the usual lead" } }
                        _ => { dd { span.big { "none" } } dd.s { "no coil, or damped" } }
                    }
                }
            }
        }
    }

    fn plot(&self, width: f64, height: f64, type_mm: f64, class: &str) -> Markup {
        let band = self.way.judged();
        let worst = self.worst.as_ref().map(StateResponse::level_db).unwrap_or_default();
        let worst_name = band.worst.state.as_ref().map(|tags| words(tags)).unwrap_or_default();
        let title = format!("{} to {}", self.way.source, self.way.sink);
        let curves = BandCurves {
            title: &title,
            frequencies: &self.outcome.frequencies,
            reference_db: &self.way.reference_db,
            upper_db: &band.upper_db,
            lower_db: &band.lower_db,
            worst_db: &worst,
            worst_state: &worst_name,
            is_exact: band.exact,
            change_at_4k_db: Some(band.worst.change_at_4k_db),
            look_db: self.design.limits.treble_change_look.get(),
            stop_db: self.design.limits.treble_change_stop.get(),
        };
        let level = self.shown.as_ref().map(StateResponse::level_db).unwrap_or_default();
        let name = words(&self.on);
        let shown = ShownState { level_db: &level, name: &name };
        let drawing =
            drawing::band_showing(&curves, (!self.is_worst).then_some(&shown), width, height, type_mm);
        still(&drawing, class)
    }

    /// Where the worst is.
    fn wherefore(&self) -> Markup {
        let worst = &self.way.judged().worst;
        let state = |tags: &Option<Vec<String>>| {
            tags.as_ref().map_or("a bound over all states".to_owned(), |tags| words(tags))
        };
        let treble = html! {
            tr { th scope="row" { "Change at 4 kHz" } td.n { (db(worst.change_at_4k_db)) " dB" } td { (state(&worst.state)) } }
        };
        let tone = worst.tone_change_db.map(|tone| {
            html! { tr { th scope="row" { "Change of tone" } td.n { (db(tone)) " dB" } td { (state(&worst.tone_state)) } } }
        });
        // What the way is judged by stands first.
        let [first, second] =
            if self.way.is_judged_by_tone() { [tone, Some(treble)] } else { [Some(treble), tone] };
        let lossy = self.outcome.junctions.iter().max_by(|a, b| a.loss_db.total_cmp(&b.loss_db));
        html! {
            table.list.wherefore {
                caption { "Where the worst is" }
                tbody {
                    @for row in first.into_iter().chain(second) { (row) }
                    tr { th scope="row" { "Insertion loss, 1 kHz" } td.n { (loss(worst.insertion_loss_1k_db)) " dB" } td { (state(&worst.loss_state)) } }
                    @if let Some(junction) = lossy { tr { th scope="row" { "Junction that loses most" } td.n { (loss(junction.loss_db)) " dB" } td { (junction.from) " into " (junction.to) ", " (words(&junction.state)) } } }
                }
            }
            @if !self.outcome.lacks.is_empty() {
                p.faint { (self.outcome.lacks.len()) " values are not known; a usual figure stands in for each: "
                    (self.outcome.lacks.iter().take(4).map(finding::Field::words).collect::<Vec<_>>().join(", ")) @if 4 < self.outcome.lacks.len() { " and more" } "." }
            }
        }
    }

    /// Where a buffer would help.
    pub(crate) fn advice(&self) -> Markup {
        let Some(advice) = self.advice else {
            return html! { h2 { "Buffer advice" } p.none data-wait="" { "Sets of places are being tried; what is found stands here in a moment." } };
        };
        let moved = |share: f64| {
            if share.is_finite() {
                format!("resonance moved by {:.0} %", 100.0 * share)
            } else {
                "resonance peak gone".to_owned()
            }
        };
        let known = advice.rests_on.is_empty();
        html! {
            h2 { "Buffer advice" span { (advice.tried) @if advice.tried == 1 { " set tried" } @else { " sets tried" } } }
            @match advice.status {
                AdviceStatus::NotAsked => p.none { "Not asked for." },
                AdviceStatus::NothingArrives => p.none { "Not judged: no signal reaches an amp or desk." },
                AdviceStatus::NoneNeeded if known => p.none { (tick()) " No buffer is needed: in no state is more lost than your limits allow." },
                AdviceStatus::NoneNeeded => p.none { "No buffer is needed as far as is known." },
                AdviceStatus::NoneFound => p.none { "No set of buffers in the leads on the board keeps the limits without standing before a device that needs the bare pickup: every one was tried." },
                AdviceStatus::Depends => p.none { "It depends on " (advice.asked_words()) ": find that out first, the input is low." },
                AdviceStatus::CutShort if advice.by_states_tried => p.none { "No buffer is needed in any state tried, and there are too many to try all." }
                AdviceStatus::CutShort => p.none { "No set of buffers was found that keeps the limits; not all could be judged." },
                AdviceStatus::Proven | AdviceStatus::NotProven => {
                    p.none { @if advice.status == AdviceStatus::Proven { "Fewer are not enough; that is proven" @if !known { " for usual figures only" } "." } @else { "A good set, not proven smallest" @if advice.by_states_tried { ", held against the worst states found" } "." }
                        " Worst now: " (loss(advice.before.change_at_4k_db)) " dB, " (moved(advice.before.shift)) "." }
                }
            }
            @if !known && !matches!(advice.status, AdviceStatus::NotAsked | AdviceStatus::NothingArrives) {
                p.faint { "Usual figures stand in for " (advice.rests_on.len()) @if advice.rests_on.len() == 1 { " value" } @else { " values" } " that nobody has given: "
                    (advice.rests_on.iter().take(4).map(finding::Field::words).collect::<Vec<_>>().join(", ")) @if 4 < advice.rests_on.len() { " and more" } "." }
            }
            ol { @for (index, set) in advice.alternatives.iter().take(3).enumerate() {
                @let name = crate::acts::proposals::name(&set.places);
                li.advice data-key=(name) {
                    h3 { "A buffer " (name) }
                    dl.ev {
                        div { dt { "worst change" } dd { (loss(set.after.change_at_4k_db)) " dB" } }
                        div { dt { "resonance" } dd { (moved(set.after.shift).trim_start_matches("resonance ")) } }
                    }
                    form method="post" action=(self.head.edit_to()) data-live="" {
                        (self.head.edit_fields("buffers"))
                        input type="hidden" name="places" value=(name);
                        @if !self.buffers.is_empty() {
                            select name="kind" aria-label={ "Which buffer goes " (name) } {
                                @for (id, title) in self.buffers { option value=(id) { (title) } }
                                option value="" { "to be chosen" }
                            }
                        }
                        button.rem .p[index == 0] type="submit" { "Insert" span.sr { ": " (name) } }
                    }
                }
            } }
            @if 3 < advice.alternatives.len() { p.else { (advice.alternatives.len() - 3) " more of the same size" } }
        }
    }

    /// How long the outer leads may be, what a pedal does on its travel, what one more device would do.
    pub(crate) fn asked(&self) -> Markup {
        html! {
            h2 { "What you may ask" span { (self.way.source) " to " (self.way.sink) } }
            @if self.advice.is_none() { p.none { "Being worked out." } }
            @else { dl.asked { @for said in self.asked { div { dt { (said.question) } dd { (said.answer) } } } } }
        }
    }

    /// The named states, worst first.
    pub(crate) fn listed(&self) -> Markup {
        html! {
            h2 { "States" span { "worst first" } }
            ul.states { @for state in &self.states {
                @let change = state.figures.map(|figures| figures.treble(self.way));
                li .pick[state.engaged == self.on] data-key=(state.name) {
                    a href=(self.to(self.index, Some(&state.engaged))) data-pick="" { b { (state.name) } @if state.name != words(&state.engaged) { span.faint { " " (words(&state.engaged)) } } }
                    span.n { @if let Some(change) = change { b { (db(change)) } " " span.unit { "dB" } } @else { span.faint { "silent" } } }
                    @match change.map(|change| self.weight(change)) {
                        Some(Some(weight)) => { (severity(weight, 14)) span.sr { (weight.word()) } }
                        Some(None) if self.outcome.lacks.is_empty() => { (tick()) span.sr { "within limits" } }
                        Some(None) => { span { span.sr { "within limits as far as is known" } } }
                        None => { span {} }
                    }
                }
            } }
        }
    }
}

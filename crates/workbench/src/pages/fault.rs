//! A fault on a phone: what is heard, then one question at a time, and what is left on the board.

use design::Design;
use faults::{Answer, CURED, Complaint, Given, Input, Symptom, Tool, Walk, percent, tonight};
use maud::{Markup, html};

use super::drawn::{lit, scale_for};
use super::frame::alone;
use super::value::query;

/// Width of a sheet in millimetres at which the letters of the board can be read on a phone.
const SHEET: f64 = 118.0;

/// So many of what is likeliest are named.
const NAMED: usize = 3;

/// What is heard: the first page.
pub(crate) struct Choose<'a> {
    pub(crate) job: &'a str,
    pub(crate) design: &'a Design,
    /// What was mended or lent out before.
    pub(crate) repairs: &'a [store::Repair],
    /// What closes through the screens.
    pub(crate) loops: &'a shields::Outcome,
    pub(crate) input: &'a Input,
    /// The ends at which anything is heard.
    pub(crate) heard: &'a [usize],
    pub(crate) sink: usize,
    pub(crate) states: &'a [String],
    /// A symptom that still wants its device.
    pub(crate) symptom: Option<Symptom>,
}

impl Choose<'_> {
    pub(crate) fn html(&self) -> String {
        let state = &self.input.state;
        let at = self.input.sinks.get(self.sink).map_or("", |end| end.id.as_str());
        let to = |symptom: Option<Symptom>, at: &str, state: &str, device: Option<&str>| {
            let mut out = format!("/job/{}/fault?at={}&state={}", query(self.job), query(at), query(state));
            if let Some(symptom) = symptom {
                out.push_str(&format!("&symptom={}", symptom.word()));
            }
            if let Some(device) = device {
                out.push_str(&format!("&device={}", query(device)));
            }
            out
        };
        let body = html! {
            body.fault.choose {
                header { a.back href={ "/job/" (query(self.job)) "/build" } aria-label="Back to the job" { "←" } b { "What is wrong?" } }
                main {
                    @if self.symptom == Some(Symptom::NoPower) {
                        h1 { "Which device has no light?" }
                        @if self.input.powered.is_empty() { p { "No device of this board has a feed yet, so that nothing says what powers it. Power finds one." } }
                        ul.big { @for powered in &self.input.powered {
                            li { a href=(to(self.symptom, at, state, Some(&powered.device))) { (powered.device) } }
                        } }
                    } @else {
                        ul.big { @for (symptom, _, title) in Symptom::ALL {
                            @if symptom != Symptom::OneSide || 1 < self.heard.len() {
                                li { a href=(to(Some(symptom), at, state, None)) { (title) } }
                            }
                        } }
                        @if 1 < self.heard.len() {
                            h2 { "Heard at" }
                            ul.small { @for sink in self.heard { @let id = &self.input.sinks[*sink].id;
                                li { a href=(to(None, id, state, None)) aria-current=[(*sink == self.sink).then_some("true")] { (id) } }
                            } }
                        }
                        @if 1 < self.states.len() {
                            h2 { "State of the switches" }
                            ul.small { @for own in self.states {
                                li { a href=(to(None, at, own, None)) aria-current=[(own == state).then_some("true")] { (own) } }
                            } }
                        }
                    }
                    @if self.symptom.is_none() {
                        (self.earth_loops())
                        h2 { "Mended before" }
                        @if self.repairs.is_empty() { p { "Nothing is written down of this board." } }
                        (super::mended::list(self.repairs))
                        p { a href={ "/job/" (query(self.job)) "/fault/mended" } { "Write down a repair or a loan" } }
                    }
                    p.never { b { "Never" } " take an earth off to stop hum, and open nothing that is plugged into the wall." }
                }
            }
        };
        alone("Fault", "fault.css", &body)
    }
}

impl Choose<'_> {
    /// The earth loops of each use that counts, lit on the board, with what opens them.
    fn earth_loops(&self) -> Markup {
        let uses: Vec<&shields::UseOutcome> =
            design::judged(self.loops).filter(|own| !own.loops.is_empty()).collect();
        html! {
            @for own in uses {
                @let ways: Vec<&str> = own.loops.iter().flat_map(|one| &one.joins).map(String::as_str).collect();
                h2 { "Earth loop: " (own.name) }
                (lit(&board(self.design), &ways, &[], ""))
                ul.loops { @for one in &own.loops {
                    li { (one.ends[0]) " and " (one.ends[1]) " by " (one.joins.join(", ")) }
                } }
                @if own.cure.is_impossible { p { "Insulate the panel's jacks: the two are bonded on the board." } }
                @for step in &own.cure.steps { p { b { (step.join) } ": " (step.kind.words()) } }
            }
        }
    }
}

/// The board as it is looked at here.
fn board(design: &Design) -> drawing::Drawing {
    let wide = design.rig.board.extent().width.as_mm();
    drawing::portrait(design, scale_for(wide * 1.1 + 20.0, SHEET), &[])
}

/// One question, or what is found.
pub(crate) struct Ask<'a> {
    pub(crate) job: &'a str,
    pub(crate) design: &'a Design,
    pub(crate) input: &'a Input,
    pub(crate) complaint: &'a Complaint,
    pub(crate) walk: &'a Walk,
    pub(crate) given: &'a [Given],
    /// What is not at hand, as it stands in the address.
    pub(crate) without: Option<&'a str>,
}

impl Ask<'_> {
    pub(crate) fn html(&self) -> String {
        let all = self.walk.suspects();
        let left = self.walk.left();
        let symptom = self.complaint.symptom;
        // In the order of the board, as the strip stands.
        let mut strip: Vec<(usize, bool)> = all.iter().map(|one| (one.part, one.is_left)).collect();
        strip.sort_unstable();
        let next = self.walk.next();
        let found = self.walk.found();
        let parts: Vec<usize> = left.iter().map(|one| one.part).collect();
        let (leads, devices) = places(self.input, &parts);
        let at = next.map(|next| next.trial.at.clone()).unwrap_or_default();
        let at_device = at.split('.').next().unwrap_or_default();
        let drawing = board(self.design);
        let body = html! {
            body.fault {
                header {
                    details {
                        summary aria-label="Answers so far" { svg width="22" height="22" viewBox="0 0 22 22" aria-hidden="true" { path d="M2 5h18M2 11h18M2 17h18" stroke="currentColor" stroke-width="1.75" {} } }
                        ol.told {
                            @for (number, one) in self.given.iter().enumerate() {
                                li { span { (number + 1) ". " (self.words(one)) } a href=(self.to(&self.given[..number])) { "back to here" } }
                            }
                            li { a href={ "/job/" (query(self.job)) "/fault" } { "begin again" } }
                            li { a href={ "/job/" (query(self.job)) "/build" } { "leave" } }
                        }
                    }
                    b { (symptom.title()) @if let Some(device) = &self.complaint.device { ": " (device) } }
                    span.r { b { (left.len()) } " of " (all.len()) " left" }
                }
                svg.strip role="img" aria-label={ (left.len()) " of " (all.len()) " suspects are left" } viewBox={ "0 0 " (strip.len().max(1) * 10) " 12" } preserveAspectRatio="none" {
                    @for (place, (_, is_left)) in strip.iter().enumerate() {
                        rect class=(if *is_left { "d" } else { "o" }) x=(place * 10) y=(if *is_left { 0 } else { 7 }) width="8" height=(if *is_left { 12 } else { 5 }) {}
                    }
                }
                main {
                    @if all.is_empty() {
                        h1 { "Nothing on this board can show that." }
                        p { "Look at what stands beside it: guitar, amp, their leads." }
                    } @else if let Some(next) = &next {
                        p.k {
                            span { "Question " (self.given.len() + 1) ", about " (next.more) " more" }
                            b { (minutes(next.trial.minutes)) }
                        }
                        h1 { (next.trial.act) " " (next.trial.question) }
                    } @else {
                        p.k { span { "Found after " (self.given.len()) @if self.given.len() == 1 { " answer" } @else { " answers" } } }
                        h1 { @if let Some(first) = found.first() { (self.input.parts[first.part].title) } }
                        @if 1 < found.len() {
                            p { "or what nothing here tells from it: " (found[1..].iter().map(|one| self.input.parts[one.part].id.as_str()).collect::<Vec<_>>().join(", ")) }
                        }
                    }
                    (lit(&drawing, &leads, &devices, at_device))
                    dl.rows {
                        @if let Some(next) = &next {
                            @if let Some(first) = &next.trial.first { dt { "First" } dd { (first) } }
                            @if let Some(tool) = next.trial.tool { dt { "With" } dd { (tool.word()) " " a.lack href=(self.lacking(tool)) { "none here" } } }
                        }
                        @if !left.is_empty() {
                            dt { "Likeliest" }
                            dd { @for (number, one) in left.iter().take(NAMED).enumerate() {
                                @if 0 < number { ", " }
                                b { (self.input.parts[one.part].id) } " " (percent(one.share))
                            } }
                        }
                        dt { "State" } dd { (self.input.state) }
                    }
                }
                footer { (self.buttons(next.as_ref(), found.first().map(|one| one.part))) }
            }
        };
        alone(symptom.title(), "fault.css", &body)
    }

    fn buttons(&self, next: Option<&faults::Next<'_>>, found: Option<usize>) -> Markup {
        let with = |trial: &str, answer: Answer| {
            let mut given = self.given.to_vec();
            given.push(Given { trial: trial.to_owned(), answer });
            self.to(&given)
        };
        let undo = (!self.given.is_empty()).then(|| self.to(&self.given[..self.given.len() - 1]));
        let way = tonight(self.input, self.complaint, self.walk).into_iter().next();
        html! {
            @if let Some(next) = next {
                a.a href=(with(&next.trial.id, Answer::Yes)) { "Yes" small { (percent(next.yes)) ", then " (next.left_if_yes) " left" } }
                a.a href=(with(&next.trial.id, Answer::No)) { "No" small { (percent(1.0 - next.yes)) ", then " (next.left_if_no) " left" } }
                a.q href=(with(&next.trial.id, Answer::NotSure)) { "Not sure" }
            } @else if let Some(part) = found {
                @let trial = format!("{CURED}{}", self.input.parts[part].id);
                a.a href={ "/job/" (query(self.job)) "/fault/mended?part=" (query(&self.input.parts[part].id)) "&symptom=" (self.complaint.symptom.word()) } { "Cured" small { "changed or mended" } }
                a.a href=(with(&trial, Answer::No)) { "Not cured" small { "look further" } }
                span.q {}
            }
            @match undo {
                Some(undo) => { a.q href=(undo) rel="prev" { span aria-hidden="true" { "↶" } "Undo" } }
                None => { a.q href={ "/job/" (query(self.job)) "/fault" } { "Back" } }
            }
            @if let Some(way) = way {
                p.pt { b { "Play tonight" } span { (way.act) ", " (minutes(way.minutes)) @if !way.without.is_empty() { br; small { "without " (way.without.join(", ")) } } } }
            }
        }
    }

    /// An answer in words.
    fn words(&self, given: &Given) -> String {
        let answer = match given.answer {
            Answer::Yes => "yes",
            Answer::No => "no",
            Answer::NotSure => "not sure",
        };
        let trial = self.walk.trials().iter().find(|trial| trial.id == given.trial);
        let act = trial.map_or_else(
            || format!("{} changed: cured?", given.trial.trim_start_matches(CURED)),
            |trial| trial.act.clone(),
        );
        format!("{act} {answer}")
    }

    /// The address of this walk without a tool.
    fn lacking(&self, tool: Tool) -> String {
        let mut all: Vec<&str> =
            self.without.unwrap_or_default().split(',').filter(|word| !word.is_empty()).collect();
        all.push(tool.argument());
        let all = all.join(",");
        self.address(self.given, Some(&all))
    }

    /// The address of this walk with other answers.
    fn to(&self, given: &[Given]) -> String {
        self.address(given, self.without)
    }

    fn address(&self, given: &[Given], without: Option<&str>) -> String {
        let mut out = format!("/job/{}/fault?symptom={}", query(self.job), self.complaint.symptom.word());
        let at = self.input.sinks.get(self.complaint.sink).map(|end| end.id.clone());
        let without = without.map(str::to_owned);
        for (key, value) in [
            ("at", at),
            ("state", Some(self.input.state.clone())),
            ("device", self.complaint.device.clone()),
            ("without", without),
            ("told", Some(told(given)).filter(|told| !told.is_empty())),
        ] {
            if let Some(value) = value {
                out.push_str(&format!("&{key}={}", query(&value)));
            }
        }
        out
    }
}

fn minutes(minutes: f64) -> String {
    if minutes < 1.0 { format!("{:.0} s", minutes * 60.0) } else { format!("{minutes:.0} min") }
}

/// The answers as they stand in the address.
fn told(given: &[Given]) -> String {
    given.iter().map(Given::written).collect::<Vec<_>>().join(",")
}

/// The devices that parts belong to, and the leads among them, for the drawing.
fn places<'a>(input: &'a Input, parts: &[usize]) -> (Vec<&'a str>, Vec<&'a str>) {
    let own = || parts.iter().map(|at| &input.parts[*at]);
    let leads = own().filter(|part| part.device.is_none()).map(|part| part.id.as_str()).collect();
    let devices = own().filter_map(|part| part.device.as_deref()).collect();
    (leads, devices)
}

//! Test: rows with what should be found beside what was, recordings beside their prediction, the signature.

use design::{Expected, Reads, TestPart, TestRecord, TestRow, TestState, Tested};
use finding::Severity;
use maud::{Markup, html};
use rig::State;

use super::drawn::still;
use super::frame::{Head, Place};
use super::marks::{severity, tick};
use super::value::{minus, query};
use crate::recordings::{STRAIGHT, Shown, Takes};

/// The page.
pub(crate) struct Test<'a> {
    pub(crate) head: &'a Head,
    pub(crate) record: &'a TestRecord,
    pub(crate) takes: &'a Takes,
    pub(crate) states: &'a [State],
    /// Which rows are shown: `all`, `due` or `failed`.
    pub(crate) only: &'a str,
    /// The recording that is looked at.
    pub(crate) picked: Option<&'a str>,
    /// The one that is drawn beside it.
    pub(crate) before: Option<&'a str>,
}

/// Whether a row's figure is one of megohms: what is between conductors.
pub(crate) fn is_in_megohms(row: &TestRow) -> bool {
    row.reads == Reads::Ohms && matches!(row.passes, design::Passes::AtLeast(_))
}

/// What the rows of a part are answered with.
fn part_note(part: TestPart) -> &'static str {
    match part {
        TestPart::Leads => "meter, before they are plugged",
        TestPart::Outlets => "meter, nothing plugged",
        TestPart::Ends => "meter, before the device is plugged",
        TestPart::Draw => "meter, all on",
        TestPart::Inserts => "ear and hand, four cases each",
        TestPart::States => "ear and hand, into an amp",
        TestPart::Control | TestPart::Whole => "ear and hand",
        TestPart::Outputs => "battery and meter",
        TestPart::Recordings => "filled by what is dropped beside",
        TestPart::Brief => "shown to the player",
    }
}

impl Test<'_> {
    fn to(&self, rows: &str, take: Option<&str>, before: Option<&str>) -> String {
        let mut out = format!("{}?rows={rows}", self.head.to(Place::Test));
        for (name, value) in [("take", take), ("before", before)] {
            if let Some(value) = value {
                out += &format!("&{name}={}", query(value));
            }
        }
        out
    }

    fn due(&self) -> usize {
        self.record.count(|state| matches!(state, TestState::Due(_)))
    }

    fn failed(&self) -> usize {
        self.record.count(|state| *state == TestState::Failed)
    }

    /// The recording that is looked at: the one that was picked, else the first that is not as expected.
    fn take(&self) -> Option<&Shown> {
        let picked = self.picked.and_then(|name| self.takes.named(name));
        picked
            .or_else(|| self.takes.shown.iter().find(|one| !one.passes()))
            .or_else(|| self.takes.shown.first())
    }

    pub(crate) fn tools(&self) -> Markup {
        let filter = |rows: &str, words: String| {
            let is_now = self.only == rows;
            html! { a href=(self.to(rows, self.picked, self.before)) data-pick="" aria-current=[is_now.then_some("true")] { (words) } }
        };
        html! {
            nav.seg aria-label="Rows" {
                (filter("all", "All rows".to_owned()))
                (filter("due", format!("Due {}", self.due())))
                (filter("failed", format!("Fail {}", self.failed())))
            }
            label.tester { span { "Tested by" } input #tester type="text" maxlength="60" autocomplete="name" data-keep="" placeholder="your name"; }
            span.grow {}
            @if let Some(one) = self.take() {
                @let at = format!("/job/{}/takes/{}", self.head.job, query(&one.name));
                a.btn.small href={ (at) ".svg" } download="" { "Plot as SVG" }
                a.btn.small href={ (at) ".csv" } download="" { "Data as CSV" }
            }
            a.btn.small href={ "/job/" (self.head.job) "/print/tests.pdf" } { "Test sheet" }
        }
    }

    pub(crate) fn main(&self) -> Markup {
        html! {
            div.test {
                section.test-rows aria-label="Rows of the test sheet" { (self.rows()) }
                section.test-takes aria-label="Recordings" { (self.recordings()) }
            }
        }
    }

    fn rows(&self) -> Markup {
        let shown: Vec<&Tested> = self
            .record
            .rows
            .iter()
            .filter(|one| match self.only {
                "due" => matches!(one.state, TestState::Due(_)),
                "failed" => one.state == TestState::Failed,
                _ => true,
            })
            .collect();
        let mut parts: Vec<TestPart> = shown.iter().map(|one| one.row.line.part).collect();
        parts.dedup();
        html! {
            @if self.record.rows.is_empty() { p.none { "Nothing to test yet: rows follow from leads, feeds and states." } }
            @else if shown.is_empty() { p.none { @if self.only == "due" { "No row is due." } @else { "No row fails." } } }
            @for part in parts {
                h2 { (part.title()) span { (part_note(part)) } }
                ul.rows-of {
                    @for one in shown.iter().filter(|one| one.row.line.part == part) { (self.row(one)) }
                }
            }
        }
    }

    fn row(&self, one: &Tested) -> Markup {
        let row = &one.row;
        let line = &row.line;
        let found = one.found.as_ref().filter(|_| !matches!(one.state, TestState::Due(_)));
        let said = found.map(|found| found.said.as_str());
        let limit = row.limit_words();
        let state = one.state.word();
        html! {
            li.t .{ "is-" (state) } data-key=(line.id) data-row=(line.id) title=[found.map(found_words)] {
                div.t-what { b { (line.subject) } " " span { (line.what) } }
                div.t-expected {
                    (expected(row))
                    @if !limit.is_empty() && row.passes != design::Passes::Yes { span.faint { (limit) } }
                }
                @if line.part == TestPart::Recordings {
                    div.t-recorded { @if let Some(said) = said { b { (level(said)) } @if let Some(rest) = beside(said) { " " span.faint { (rest) } } } }
                } @else if row.reads == Reads::YesNo {
                    div.t-yes role="group" aria-label={ (line.subject) ", " (line.what) } {
                        @for word in ["yes", "no"] {
                            form method="post" action={ "/job/" (self.head.job) "/answer" } data-live="" data-by="" {
                                (self.fields(&line.id))
                                input type="hidden" name="is" value=(word);
                                button.btn.small type="submit" aria-pressed=(if said == Some(word) { "true" } else { "false" }) { (word) }
                            }
                        }
                    }
                } @else {
                    form.t-found method="post" action={ "/job/" (self.head.job) "/answer" } data-live="" data-by="" {
                        (self.fields(&line.id))
                        input type="text" name="is" inputmode=[(row.reads != Reads::Words).then_some("decimal")] maxlength="80" autocomplete="off" value=(bare(row, said)) aria-label={ "Found at " (line.subject) ", " (line.what) };
                        span.unit { (if is_in_megohms(row) { "MΩ" } else { row.reads.unit() }) }
                    }
                }
                div.t-state { (mark(one)) }
                (self.more(one))
            }
        }
    }

    fn fields(&self, row: &str) -> Markup {
        html! {
            input type="hidden" name="act" value="answer";
            input type="hidden" name="row" value=(row);
            input type="hidden" name="by" value="";
            input type="hidden" name="here" value=(self.head.here());
        }
    }

    /// What is said below a row: why it is due again, who found it, and who may answer for what does not pass.
    fn more(&self, one: &Tested) -> Markup {
        let Some(found) =
            one.found.as_ref().filter(|_| !matches!(one.state, TestState::Passed | TestState::Noted))
        else {
            return html! {};
        };
        let by = found.by.as_deref().map(|by| format!(", {by}")).unwrap_or_default();
        let at =
            if found.revision.is_empty() { String::new() } else { format!(", revision {}", found.revision) };
        html! {
            div.t-more {
                @match &one.state {
                    TestState::Due(changed) => {
                        p { "Due again: was " (found.said) ", " (found.on) (by) (at) "." @for what in changed.iter().take(2) { " " (what) "." } @if 2 < changed.len() { " And " (changed.len() - 2) " more changes." } }
                    }
                    TestState::AnsweredFor => { p { (found.on) (by) (at) ". Answered for: " (found.answer.as_deref().unwrap_or_default()) } }
                    TestState::Failed => {
                        p { (found.on) (by) (at) }
                        details.ans {
                            summary { "I answer for this" }
                            form method="post" action={ "/job/" (self.head.job) "/answer" } data-live="" data-by="" {
                                (self.fields(&one.row.line.id))
                                input type="hidden" name="is" value=(found.said);
                                label { "Why it may stand" input type="text" name="because" required maxlength="200"; }
                                button.rem type="submit" { "Answer for it" }
                            }
                        }
                    }
                    _ => {}
                }
            }
        }
    }

    fn recordings(&self) -> Markup {
        let takes = self.takes;
        let picked = self.take();
        html! {
            h2 { "Recordings" span { "board against straight lead, each in its state" } }
            (self.drop_zone())
            @if let Some((name, heard)) = &takes.reference {
                p.t-reference { "Straight lead: " b { (name) } ", " (heard.rate) " Hz, " (heard.bits) " bit " (self.drop_form(name)) }
            } @else {
                p.none { "First the straight lead: record the test signals through one lead in place of the board, and drop that file, named “straight”." }
            }
            @if !takes.shown.is_empty() {
                div.thumbs {
                    @for one in &takes.shown { (self.thumb(one, picked.is_some_and(|other| other.name == one.name))) }
                }
            }
            @for (name, why) in &takes.refused {
                p.refused-take { (severity(Severity::Look, 16)) " " b { (name) } ": " (crate::error::quoted(why)) " " (self.drop_form(name)) }
            }
            @if let (Some(one), Some((_, reference))) = (picked, &takes.reference) { (self.picked(one, reference)) }
        }
    }

    fn drop_zone(&self) -> Markup {
        html! {
            div.drop-zone #drop data-to={ "/job/" (self.head.job) "/takes" } {
                label.drop-of { span { "Recording of" }
                    select #of data-keep="" {
                        option value="" { "find out by itself" }
                        option value=(STRAIGHT) { "the straight lead" }
                        @for state in self.states { option value=(state.name) { (signal::state_word(&state.name)) } }
                    }
                }
                label.btn { "Choose WAV files" input.sr #wav type="file" accept=".wav,audio/wav,audio/x-wav" multiple data-keep=""; }
                span.faint { "or drop them here" }
                output #dropped {}
            }
        }
    }

    fn drop_form(&self, name: &str) -> Markup {
        html! {
            form.inline method="post" action={ "/job/" (self.head.job) "/answer" } data-live="" {
                input type="hidden" name="act" value="drop";
                input type="hidden" name="name" value=(name);
                input type="hidden" name="here" value=(self.head.here());
                button.plain type="submit" aria-label={ "Remove " (name) " from the list" } { "remove" }
            }
        }
    }

    fn thumb(&self, one: &Shown, is_picked: bool) -> Markup {
        html! {
            a.thumb data-key=(one.name) href=(self.to(self.only, Some(&one.name), None)) data-pick="" aria-current=[is_picked.then_some("true")] {
                span.thumb-head { b { (one.state()) } @if one.passes() { (tick()) } @else { (severity(Severity::Look, 16)) } }
                (still(&one.thumb(), "thumb-plot"))
                span.faint { (one.name) ".wav " (one.at.get(11..16).unwrap_or_default()) }
            }
        }
    }

    fn picked(&self, one: &Shown, reference: &takes::Heard) -> Markup {
        let before =
            self.before.and_then(|name| self.takes.named(name)).filter(|other| other.name != one.name);
        let others: Vec<&Shown> = self.takes.shown.iter().filter(|other| other.name != one.name).collect();
        html! {
            h2 { "Response, " (one.state()) span { (matched_words(one)) } (self.drop_form(&one.name)) }
            @for at in 0..one.judged.outputs.len() {
                @if 1 < one.judged.outputs.len() { p { b { "Channel " (one.number(at)) (one.to(at)) } } }
                div.plot.wide { (still(&one.response(at, before, 170.0, 86.0, 3.2), "take-plot")) }
                div.plot.narrow { (still(&one.response(at, before, 92.0, 76.0, 3.2), "take-plot")) }
            }
            @for words in one.warnings(reference) { p.refused-take { (severity(Severity::Look, 16)) " " (words) } }
            @if !others.is_empty() {
                p.row { span.faint { "Beside it:" }
                    @for other in others {
                        @let is_now = before.is_some_and(|before| before.name == other.name);
                        a href=(self.to(self.only, Some(&one.name), if is_now { None } else { Some(&other.name) })) data-pick="" aria-current=[is_now.then_some("true")] { (other.name) @if is_now { " (shown)" } }
                    }
                }
            }
            (results(one))
            h2 { "Silence, " (one.state()) span { (quiet_words(one)) } }
            div.plot.wide { (still(&one.silence(reference, 170.0, 74.0, 3.2), "take-plot")) }
            div.plot.narrow { (still(&one.silence(reference, 92.0, 66.0, 3.2), "take-plot")) }
            (self.hum(one, reference))
        }
    }

    fn hum(&self, one: &Shown, reference: &takes::Heard) -> Markup {
        let number = |_: &str| None;
        let Some(judged) = one.output() else { return html! {} };
        let out = takes::output_json(&one.heard, reference, judged, &number);
        html! {
            @if out.hum.is_empty() { p.none { "No line stands out of the noise." } }
            @else {
                ul.hum {
                    @for hum in &out.hum {
                        li {
                            b { (hum.kind) } " "
                            span.n { (minus(format!("{:.1}", hum.level_dbfs))) " dBFS" } " at "
                            (hum.lines.iter().take(5).map(|line| format!("{:.0}", line.hz)).collect::<Vec<_>>().join(", ")) " Hz, "
                            (takes::words::over(hum)) ". " span.faint { (takes::words::what_to_do(hum)) }
                        }
                    }
                }
            }
            p { a.btn.small href={ "/job/" (self.head.job) "/takes/" (query(&one.name)) "-silence.svg" } download="" { "This plot as SVG" } }
        }
    }

    pub(crate) fn side(&self, findings: &Markup) -> Markup {
        html! {
            (self.culprits())
            (self.signature())
            (findings)
        }
    }

    fn culprits(&self) -> Markup {
        let Some(suspects) = &self.takes.suspects else { return html! {} };
        let alone: Vec<(&Shown, takes::wire::Suspects)> =
            self.takes.shown.iter().filter_map(|one| Some((one, one.alone.clone()?))).collect();
        html! {
            section.culprits {
                h2 { "What would explain it" span { "likeliest first" } }
                @if alone.is_empty() { (explained(suspects)) }
                @else {
                    p { "No one thing explains all recordings; each by itself:" }
                    @for (one, suspects) in &alone {
                        h3 { (one.state()) }
                        (explained(suspects))
                    }
                }
            }
        }
    }

    fn signature(&self) -> Markup {
        let letter = self.head.letter.as_deref().unwrap_or("");
        let at = if letter.is_empty() {
            "Sign the test sheet".to_owned()
        } else {
            format!("Sign at revision {letter}")
        };
        let can = self.record.can_be_signed() && !self.record.rows.is_empty();
        html! {
            section.signature {
                h2 { "Signature" span { "test sheet" } }
                @if let Some(signed) = &self.record.signed {
                    p { b { "Signed" } " by " (signed.by.as_deref().unwrap_or_default()) ", " (signed.on) @if !signed.revision.is_empty() { ", revision " (signed.revision) } "." }
                } @else {
                    @if let Some(last) = &self.record.last_signed { p { "Signed " (last.on) "; results have changed since, so that it is not signed as it is." } }
                    @else { p { b { "Not signed." } } }
                    form method="post" action={ "/job/" (self.head.job) "/answer" } data-live="" data-by="" {
                        input type="hidden" name="act" value="sign";
                        input type="hidden" name="by" value="";
                        input type="hidden" name="here" value=(self.head.here());
                        button.btn.first type="submit" disabled[!can] { (at) }
                    }
                    p.faint { @if can { "Every row passes or is answered for. Your name stands at “Tested by”." } @else { (self.due()) " due, " (self.failed()) " that fail: it opens when every row passes or is answered for." } }
                }
            }
        }
    }

    pub(crate) fn sums(&self) -> Markup {
        let all = self.record.rows.len();
        let passed = self.record.count(|state| matches!(state, TestState::Passed | TestState::Noted));
        let stands = self.record.count(|state| *state == TestState::AnsweredFor);
        let measured = all - self.due();
        html! {
            dl.test-sums {
                div { dt { "Rows" } dd { b { (measured) } " of " (all) " measured" } }
                div { dt { "Pass" } dd { b { (passed) } } }
                div { dt { "Fail" } dd { b { (self.failed()) } @if 0 < stands { ", " (stands) " answered for" } } }
                div { dt { "Due" } dd { b { (self.due()) } } }
                div { dt { "Recordings" } dd { b { (self.takes.shown.len()) } @let off = self.takes.shown.iter().filter(|one| !one.passes()).count(); @if 0 < off { ", " (off) " not as expected" } } }
            }
        }
    }
}

/// When and by whom a row was answered.
fn found_words(found: &design::Kept) -> String {
    let by = found.by.as_deref().map(|by| format!(", {by}")).unwrap_or_default();
    let at = if found.revision.is_empty() { String::new() } else { format!(", revision {}", found.revision) };
    format!("{}{by}{at}", found.on)
}

/// What should be found.
fn expected(row: &TestRow) -> Markup {
    match &row.line.expected {
        Expected::Figure { value, unit, decimals, .. } => {
            html! { b { (format!("{value:.decimals$}")) } " " (unit) }
        }
        Expected::Words(words) => html! { (words) },
        Expected::Unknown(_) => html! { span.faint { "write it down" } },
    }
}

/// The figure of what a recording says.
fn level(said: &str) -> &str {
    said.split_once(" at ").map_or(said, |(figure, _)| figure)
}

/// What stands beside it.
fn beside(said: &str) -> Option<String> {
    said.split_once(" at ").map(|(_, rest)| format!("at {rest}"))
}

/// What was found, without the unit that stands beside its field.
fn bare(row: &TestRow, said: Option<&str>) -> String {
    let Some(said) = said else { return String::new() };
    if is_in_megohms(row)
        && let Ok(design::Answer::Figure(value)) = row.read(said)
        && value.is_finite()
    {
        return format!("{:.1}", value / 1e6);
    }
    let unit = row.reads.unit();
    if unit.is_empty() { said.to_owned() } else { said.strip_suffix(unit).unwrap_or(said).trim().to_owned() }
}

fn mark(one: &Tested) -> Markup {
    match &one.state {
        TestState::Due(_) => html! { span.faint { "due" } },
        TestState::Passed => html! { (tick()) span.sr { "passes" } },
        TestState::Failed => html! { (severity(Severity::Stop, 16)) span.sr { "fails" } },
        TestState::AnsweredFor => html! { span { "stands" } },
        TestState::Noted => html! { span.faint { "noted" } },
    }
}

/// Explanations, each with what decides it.
fn explained(suspects: &takes::wire::Suspects) -> Markup {
    html! {
        ol {
            @for one in suspects.list.iter().filter(|one| 0.01 <= one.share) {
                li {
                    p { b { (takes::words::what(&one.fault)) } span.share { (format!("{:.0} %", one.share * 100.0)) } }
                    @if !one.or.is_empty() { p.faint { "or the same at " (one.or.iter().take(4).map(takes::words::also).collect::<Vec<_>>().join(", ")) } }
                    p { "Next: " (takes::words::meter(&one.fault)) "." }
                    @if let Some(words) = takes::words::record(one) { p.faint { "Or " (words) "." } }
                }
            }
            @if suspects.list.iter().all(|one| one.share < 0.01) { li { p { "Nothing that the program tries explains it: look whether the right board, state and straight lead were recorded." } } }
            @else if 0.01 <= suspects.something_else { li { p { "something else" span.share { (format!("{:.0} %", suspects.something_else * 100.0)) } } } }
        }
    }
}

fn matched_words(one: &Shown) -> String {
    match &one.judged.matched.by {
        takes::MatchedBy::Said => "as you said".to_owned(),
        takes::MatchedBy::Name => "by the name of the file".to_owned(),
        takes::MatchedBy::Fit { off_db, or } if or.is_empty() => {
            format!("nearest to this state, {off_db:.1} dB apart")
        }
        takes::MatchedBy::Fit { or, .. } => {
            let or: Vec<&str> = or.iter().map(|name| signal::state_word(name)).collect();
            format!("fits {} as well: say which it is of", or.join(", "))
        }
    }
}

fn quiet_words(one: &Shown) -> String {
    let Some(judged) = one.output() else { return String::new() };
    let Some(channel) = one.heard.channels.get(judged.take.channel) else { return String::new() };
    let mains =
        channel.hum.mains_hz.map(|hertz| format!("mains found at {hertz:.2} Hz; ")).unwrap_or_default();
    let noise = takes::words::noise(channel.noise.weighted_db, judged.take.noise_over_db.1);
    format!("{mains}{noise}")
}

/// Band by band, polarity and latency, each with its verdict.
fn results(one: &Shown) -> Markup {
    let signed = takes::words::signed;
    html! {
        @for judged in &one.judged.outputs {
            @if 1 < one.judged.outputs.len() { p { b { "To " (judged.sink.as_deref().unwrap_or("nothing that is expected")) } } }
            div.scroll tabindex="0" role="region" aria-label="Bands" { table.list.bands {
                thead { tr { th scope="col" { "Band" } th.n scope="col" { "measured" } th.n scope="col" { "expected" } th.n scope="col" { "apart" } th.n scope="col" { "allowed" } th scope="col" { span.sr { "verdict" } } } }
                tbody {
                    @for band in &judged.bands {
                        tr {
                            th scope="row" { (takes::words::hertz(band.from_hz)) " to " (takes::words::hertz(band.to_hz)) }
                            td.n { (signed(band.measured_db, 1)) } td.n { (signed(band.expected_db, 1)) }
                            td.n { b { (signed(band.off_db(), 1)) } } td.n { "± " (format!("{:.1}", band.allowed_db)) }
                            td { @if let Some(narrow) = band.narrow { span.faint { (signed(narrow.off_db, 1)) " at " (takes::words::about(narrow.hertz)) " " } } @if band.passes() { (tick()) span.sr { "passes" } } @else { (severity(Severity::Look, 16)) span.sr { "look" } } }
                        }
                    }
                    @let expected = judged.expected.as_ref().map(|one| one.inverts);
                    tr {
                        th scope="row" { "Polarity" }
                        td.n { (polarity(judged.take.inverts)) } td.n { (polarity(expected)) } td.n {} td.n {}
                        td { @match (judged.take.inverts, expected) { (Some(a), Some(b)) if a == b => { (tick()) span.sr { "passes" } } (Some(_), Some(_)) => { (severity(Severity::Look, 16)) span.sr { "look" } } _ => {} } }
                    }
                    @if let Some(latency) = judged.take.latency {
                        tr { th scope="row" { "Latency" @if !latency.is_sure { span.faint { " if started together" } } } td.n { (signed(latency.seconds * 1e3, 2)) " ms" } td.n {} td.n {} td.n {} td {} }
                    }
                }
            } }
        }
        @if one.judged.level == takes::Level::Free { p.faint { "A device with a gain of its own is engaged: 150 to 300 Hz is taken as right, and level is not judged." } }
    }
}

fn polarity(inverts: Option<bool>) -> &'static str {
    match inverts {
        Some(true) => "inverts",
        Some(false) => "same",
        None => "–",
    }
}

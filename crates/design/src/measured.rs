//! What was found at each row of the test sheet: read with its unit, judged at its limit, and due again once something that
//! the row rests on has changed.

use quantity::{Farads, Milliamps, Ohms, ParseError, Volts};
use rig::{Device, Known, LeadClass};

use crate::trial::{Expected, TestLine, TestPart, tests};
use crate::{Design, Lead};

/// What may add to the resistance of a conductor beside its cable: two joints and a plug. *Common practice, no source.*
const JOINTS_OHMS: f64 = 0.2;
/// The least between conductors that counts as open. *Common practice, no source.*
const OPEN_OHMS: f64 = 20e6;
/// How far a capacitance may be from what is expected. *Common practice, no source.*
const FARADS_SHARE: f64 = 0.10;
/// How far the volts of an outlet may be from what it is set to. *Common practice, no source.*
const VOLTS_SHARE: f64 = 0.05;
/// How much more a device may draw than is stated. *Common practice, no source.*
const DRAW_SHARE: f64 = 0.20;
/// How far a band may be from what is expected where nothing is said of its parts, in dB. *Common practice, no source.*
const RESPONSE_DB: f64 = 0.5;
/// What is left behind the last digit when a figure goes from one unit to another, as a share.
const ROUNDING: f64 = 1e-9;
/// From here on ohms are written in kilohms, and in megohms.
const KILO: f64 = 1e3;
const MEGA: f64 = 1e6;
/// The longest answer in words.
const WORDS: usize = 80;

/// What a row is answered with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reads {
    /// Ohms; also `open`.
    Ohms,
    /// Picofarads.
    Picofarads,
    /// Volts.
    Volts,
    /// Milliamps.
    Milliamps,
    /// Decibels; also `none`.
    Decibels,
    /// Decibels over 0.775 V; also `none`.
    Dbu,
    /// Whether it is as the sheet says.
    YesNo,
    /// Words that are written down.
    Words,
}

impl Reads {
    /// The unit beside the blank; nothing for yes and no.
    pub fn unit(self) -> &'static str {
        match self {
            Self::Ohms => "Ω",
            Self::Picofarads => "pF",
            Self::Volts => "V",
            Self::Milliamps => "mA",
            Self::Decibels => "dB",
            Self::Dbu => "dBu",
            Self::YesNo | Self::Words => "",
        }
    }

    /// A word for other programs.
    pub fn word(self) -> &'static str {
        match self {
            Self::Ohms => "ohms",
            Self::Picofarads => "picofarads",
            Self::Volts => "volts",
            Self::Milliamps => "milliamps",
            Self::Decibels => "decibels",
            Self::Dbu => "dbu",
            Self::YesNo => "yes-no",
            Self::Words => "words",
        }
    }
}

/// What passes, in the unit of the row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Passes {
    /// Not more than this.
    AtMost(f64),
    /// Not less than this.
    AtLeast(f64),
    /// From the first to the second.
    Between(f64, f64),
    /// Not further from nothing than what is said beside it with ±, or than this where nothing is said.
    Within(f64),
    /// Yes.
    Yes,
    /// Whatever is found is written down.
    Anything,
}

impl Passes {
    /// The limit in words, in the unit of the row.
    pub fn words(self, reads: Reads) -> String {
        let digits = |value: f64| match reads {
            Reads::Dbu => format!("{value:.0} dBu").replace('-', "−"),
            Reads::Decibels => format!("{value:.0} dB"),
            Reads::Ohms => format!("{value:.2}"),
            Reads::Volts => format!("{value:.1}"),
            // What is between two whole figures decides too.
            _ => format!("{value:.1}").trim_end_matches(".0").to_owned(),
        };
        match self {
            Self::AtMost(most) => format!("≤ {}", digits(most)),
            Self::AtLeast(least) if reads == Reads::Ohms => format!("≥ {:.0} MΩ", least / 1e6),
            Self::AtLeast(least) => format!("≥ {}", digits(least)),
            Self::Between(least, most) => format!("{} to {}", digits(least), digits(most)),
            Self::Within(_) => "± what parts allow".to_owned(),
            Self::Yes => "yes".to_owned(),
            Self::Anything => String::new(),
        }
    }
}

/// A line of the test sheet with how it is answered.
#[derive(Debug, Clone, PartialEq)]
pub struct TestRow {
    /// The line.
    pub line: TestLine,
    /// What it is answered with.
    pub reads: Reads,
    /// What passes.
    pub passes: Passes,
    /// What it rests on, each with how that is now: where one of them changes, the row is due again.
    pub rests: Vec<(String, String)>,
}

/// An answer.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// A figure in the unit of the row; infinite where the meter shows no connection.
    Figure(f64),
    /// A level with what is said beside it, how far it may be from nothing among it.
    Level {
        /// In dB; −∞ where there is none.
        db: f64,
        /// The most, where it is said.
        within: Option<f64>,
        /// All of it, as it is kept.
        words: String,
    },
    /// Yes or no.
    Is(bool),
    /// Words.
    Words(String),
}

/// Every row of the test sheet, in its order.
pub fn test_rows(design: &Design) -> Vec<TestRow> {
    rows_of(design, tests(design))
}

/// Every row that a recording of the finished board may fill. They stand on the sheet as far as something was recorded.
pub fn recorded_rows(design: &Design) -> Vec<TestRow> {
    rows_of(design, crate::recorded::lines(design))
}

fn rows_of(design: &Design, lines: Vec<TestLine>) -> Vec<TestRow> {
    let rests = Rests::new(design);
    lines
        .into_iter()
        .map(|line| {
            let (reads, passes) = answered(&line);
            TestRow { reads, passes, rests: rests.of(&line), line }
        })
        .collect()
}

/// A limit as the sheet shows it: nobody is judged by a digit that is not printed.
fn shown(reads: Reads, value: f64) -> f64 {
    let steps = if reads == Reads::Ohms { 100.0 } else { 10.0 };
    (value * steps).round() / steps
}

/// How a line is answered, and what passes.
fn answered(line: &TestLine) -> (Reads, Passes) {
    let key = line.id.split(':').next().unwrap_or_default();
    match (&line.expected, key) {
        (_, "recorded-response") => (Reads::Decibels, Passes::Within(RESPONSE_DB)),
        (_, "recorded-noise") if line.passes.is_empty() => (Reads::Decibels, Passes::Anything),
        (_, "recorded-noise") => (Reads::Decibels, Passes::AtMost(crate::recorded::NOISE_OVER_DB)),
        (_, "recorded-hum") if line.passes.is_empty() => (Reads::Dbu, Passes::Anything),
        (_, "recorded-hum") => (Reads::Dbu, Passes::AtMost(crate::recorded::HUM_DBU)),
        (_, "leak") => (Reads::Ohms, Passes::AtLeast(OPEN_OHMS)),
        (Expected::Figure { value, unit, .. }, _) => {
            let at_most = |reads, most| (reads, Passes::AtMost(shown(reads, most)));
            let about = |reads, share: f64| {
                let (least, most) = (value * (1.0 - share), value * (1.0 + share));
                (reads, Passes::Between(shown(reads, least), shown(reads, most)))
            };
            match *unit {
                "Ω" => at_most(Reads::Ohms, value + JOINTS_OHMS),
                "pF" => about(Reads::Picofarads, FARADS_SHARE),
                "mA" => at_most(Reads::Milliamps, value * (1.0 + DRAW_SHARE)),
                _ => about(Reads::Volts, VOLTS_SHARE),
            }
        }
        (Expected::Unknown(unit), _) => {
            let reads = match *unit {
                "Ω" => Reads::Ohms,
                "pF" => Reads::Picofarads,
                "mA" => Reads::Milliamps,
                _ => Reads::Volts,
            };
            (reads, Passes::Anything)
        }
        (Expected::Words(words), _) if words.contains("write it down") || words.contains("write down") => {
            (Reads::Words, Passes::Anything)
        }
        (Expected::Words(_), _) => (Reads::YesNo, Passes::Yes),
    }
}

impl TestRow {
    /// Reads an answer as a person types it: with its unit, `open`, `yes` or `no`.
    ///
    /// # Errors
    /// What was found and what may be written.
    pub fn read(&self, text: &str) -> Result<Answer, String> {
        let text = text.trim();
        let of = |error: &ParseError| error.to_string();
        let figure = match self.reads {
            Reads::Ohms if ["open", "OL", "ol"].contains(&text) => f64::INFINITY,
            Reads::Ohms => text.parse::<Ohms>().map_err(|error| of(&error))?.get(),
            Reads::Picofarads => text.parse::<Farads>().map_err(|error| of(&error))?.get() * 1e12,
            Reads::Volts => text.parse::<Volts>().map_err(|error| of(&error))?.get(),
            Reads::Milliamps => text.parse::<Milliamps>().map_err(|error| of(&error))?.get(),
            Reads::Decibels | Reads::Dbu => return level(text, self.reads.unit()),
            Reads::YesNo => {
                let text = &self.as_said(text);
                return match text.to_lowercase().as_str() {
                    "yes" | "y" => Ok(Answer::Is(true)),
                    "no" | "n" => Ok(Answer::Is(false)),
                    _ => Err(format!(
                        "`{text}` is no answer here: `yes` where it is as the sheet says, else `no`"
                    )),
                };
            }
            Reads::Words if text.is_empty() => {
                return Err("nothing is written: say what was found".to_owned());
            }
            Reads::Words if WORDS < text.chars().count() => {
                return Err(format!("at most {WORDS} letters fit into the row"));
            }
            Reads::Words => return Ok(Answer::Words(text.split_whitespace().collect::<Vec<_>>().join(" "))),
        };
        Ok(Answer::Figure(figure))
    }

    /// At a row that expects a wave up or down, either is an answer too.
    fn as_said(&self, text: &str) -> String {
        let Expected::Words(expected) = &self.line.expected else { return text.to_owned() };
        let way = |words: &str| ["up", "down"].into_iter().find(|way| words.to_lowercase().starts_with(way));
        match (way(expected), way(text).filter(|way| text.trim().eq_ignore_ascii_case(way))) {
            (Some(expected), Some(found)) => if expected == found { "yes" } else { "no" }.to_owned(),
            _ => text.to_owned(),
        }
    }

    /// An answer as it is kept, which reads back the same, with its unit.
    pub fn written(&self, answer: &Answer) -> String {
        match answer {
            Answer::Figure(value) if value.is_infinite() => "open".to_owned(),
            Answer::Figure(value) if self.reads == Reads::Ohms && KILO <= *value => {
                let (over, unit) = if MEGA <= *value { (MEGA, "MΩ") } else { (KILO, "kΩ") };
                format!("{} {unit}", self.plain(value / over))
            }
            Answer::Figure(value) => format!("{} {}", self.plain(*value), self.reads.unit()),
            Answer::Is(true) => "yes".to_owned(),
            Answer::Is(false) => "no".to_owned(),
            Answer::Level { words, .. } | Answer::Words(words) => words.clone(),
        }
    }

    /// A figure with the digits that a meter shows.
    fn plain(&self, value: f64) -> String {
        let digits = match self.reads {
            Reads::Ohms => 3,
            Reads::Volts => 2,
            _ => 1,
        };
        let text = format!("{value:.digits$}");
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    }

    /// Whether an answer passes.
    pub fn judge(&self, answer: &Answer) -> Verdict {
        // No more than what powers of ten leave behind the last digit.
        let near = |limit: f64| limit.abs() * ROUNDING;
        let passes = match (self.passes, answer) {
            (Passes::Anything, _) => return Verdict::Noted,
            (Passes::AtMost(most), Answer::Figure(value)) => *value <= most + near(most),
            (Passes::AtLeast(least), Answer::Figure(value)) => least - near(least) <= *value,
            (Passes::Between(least, most), Answer::Figure(value)) => {
                least - near(least) <= *value && *value <= most + near(most)
            }
            (Passes::AtMost(most), Answer::Level { db, .. }) => *db <= most + near(most),
            (Passes::Within(most), Answer::Level { db, within, .. }) => {
                let most = within.unwrap_or(most);
                db.is_infinite() || db.abs() <= most + near(most)
            }
            (Passes::Yes, Answer::Is(is)) => *is,
            _ => false,
        };
        if passes { Verdict::Passed } else { Verdict::Failed }
    }

    /// What the row rests on, as it is kept beside an answer.
    pub fn rests_text(&self) -> String {
        let plain = |text: &str| text.replace(['\t', '\n'], " ");
        let add =
            |out: String, (name, is): &(String, String)| out + &format!("{}\t{}\n", plain(name), plain(is));
        self.rests.iter().fold(String::new(), add)
    }

    /// The limit in words.
    pub fn limit_words(&self) -> String {
        self.passes.words(self.reads)
    }
}

/// Reads a level: `−0.3 dB at 3 kHz, ± 1.2 dB`, `−98.2 dBu at 100 Hz`, `none`.
fn level(text: &str, unit: &str) -> Result<Answer, String> {
    let words: String = text.split_whitespace().collect::<Vec<_>>().join(" ").chars().take(WORDS).collect();
    if words == "none" {
        return Ok(Answer::Level { db: f64::NEG_INFINITY, within: None, words });
    }
    let figure = |text: &str| -> Option<f64> {
        let (number, rest) = text.trim().split_once(' ')?;
        let is_unit = rest.strip_prefix(unit).is_some_and(|rest| !rest.starts_with(char::is_alphanumeric));
        number.replace('−', "-").parse().ok().filter(|value: &f64| is_unit && value.is_finite())
    };
    let Some(db) = figure(&words) else {
        return Err(format!("`{text}` is no level: write for example −0.5 {unit}, or none"));
    };
    let within = words.split_once('±').and_then(|(_, rest)| figure(rest));
    Ok(Answer::Level { db, within, words })
}

/// How an answer stands against its limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// It passes.
    Passed,
    /// It does not.
    Failed,
    /// It has no limit and is written down.
    Noted,
}

/// An answer as it is kept, whatever keeps it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept {
    /// The id of its row; [`SIGNATURE`] where the whole sheet was signed.
    pub row: String,
    /// What was found, as [`TestRow::written`] has it; nothing where an answer was taken back.
    pub said: String,
    /// By whom.
    pub by: Option<String>,
    /// The day, as it was given.
    pub on: String,
    /// The revision of the document.
    pub revision: String,
    /// What the row rested on then.
    pub rests: String,
    /// Why it may stand although it does not pass.
    pub answer: Option<String>,
}

/// The row of a signature.
pub const SIGNATURE: &str = "signature";

/// How a row stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum TestState {
    /// Nothing is found yet, or what was found is of other leads or devices: what changed since, in words.
    Due(Vec<String>),
    /// It passes.
    Passed,
    /// It does not pass.
    Failed,
    /// It does not pass, and somebody answers for it.
    AnsweredFor,
    /// Written down, without a limit.
    Noted,
}

impl TestState {
    /// A word for other programs.
    pub fn word(&self) -> &'static str {
        match self {
            Self::Due(_) => "due",
            Self::Passed => "passed",
            Self::Failed => "failed",
            Self::AnsweredFor => "answered-for",
            Self::Noted => "noted",
        }
    }

    /// Whether nothing is left to do at the row.
    pub fn is_settled(&self) -> bool {
        matches!(self, Self::Passed | Self::AnsweredFor | Self::Noted)
    }
}

/// A row with what was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Tested {
    /// The row.
    pub row: TestRow,
    /// The last answer, also where it does not count any more.
    pub found: Option<Kept>,
    /// How it stands.
    pub state: TestState,
}

/// The test sheet with what was found.
#[derive(Debug, Clone, PartialEq)]
pub struct TestRecord {
    /// Every row.
    pub rows: Vec<Tested>,
    /// The signature, where it is of these very answers.
    pub signed: Option<Kept>,
    /// The last signature, also where answers have changed since.
    pub last_signed: Option<Kept>,
}

impl TestRecord {
    /// The sheet of a design with answers, oldest first.
    pub fn new(design: &Design, kept: &[Kept]) -> Self {
        let last = |id: &str| kept.iter().rev().find(|one| one.row == id).filter(|one| !one.said.is_empty());
        // What nobody recorded is not asked for.
        let is_kept = |row: &TestRow| last(&row.line.id).is_some();
        let has_recorded = kept.iter().any(|one| one.row.starts_with("recorded-"));
        let recorded = if has_recorded { recorded_rows(design) } else { Vec::new() };
        let (mut all, recorded) = (test_rows(design), recorded.into_iter().filter(is_kept));
        let before = all.iter().position(|row| TestPart::Recordings < row.line.part).unwrap_or(all.len());
        all.splice(before..before, recorded);
        let rows = all.into_iter().map(|row| {
            let found = last(&row.line.id).cloned();
            let state = found.as_ref().map_or(TestState::Due(Vec::new()), |found| state(&row, found));
            Tested { row, found, state }
        });
        let mut record = Self { rows: rows.collect(), signed: None, last_signed: last(SIGNATURE).cloned() };
        let of = record.signs();
        record.signed = record.last_signed.clone().filter(|signed| signed.rests == of);
        record
    }

    /// What a signature is of: every row with what was found.
    pub fn signs(&self) -> String {
        let line = |one: &Tested| {
            let found = one.found.as_ref().filter(|_| !matches!(one.state, TestState::Due(_)));
            let said = found.map(|found| format!("{}, {}", found.said, found.on)).unwrap_or_default();
            format!("{}\t{}, {}\n", one.row.line.id, one.state.word(), said)
        };
        self.rows.iter().map(line).collect()
    }

    /// How many rows stand so.
    pub fn count(&self, is: impl Fn(&TestState) -> bool) -> usize {
        self.rows.iter().filter(|one| is(&one.state)).count()
    }

    /// Whether it may be signed: nothing due, nothing failed that nobody answers for.
    pub fn can_be_signed(&self) -> bool {
        self.rows.iter().all(|one| one.state.is_settled())
    }

    /// The row with this id.
    pub fn row(&self, id: &str) -> Option<&Tested> {
        self.rows.iter().find(|one| one.row.line.id == id)
    }
}

fn state(row: &TestRow, found: &Kept) -> TestState {
    let now = row.rests_text();
    if now != found.rests {
        return TestState::Due(changed(&found.rests, &now));
    }
    // What was kept is judged at the limit of today.
    match row.read(&found.said).map(|answer| row.judge(&answer)) {
        Ok(Verdict::Passed) => TestState::Passed,
        Ok(Verdict::Noted) => TestState::Noted,
        Ok(Verdict::Failed) if found.answer.is_some() => TestState::AnsweredFor,
        Ok(Verdict::Failed) => TestState::Failed,
        // The row asks for another kind of answer by now.
        Err(_) => TestState::Due(vec!["the row asks for another reading now".to_owned()]),
    }
}

/// What of the things that a row rests on became another, in words.
fn changed(then: &str, now: &str) -> Vec<String> {
    let pairs = |text: &str| -> Vec<(String, String)> {
        let two = |line: &str| line.split_once('\t').map(|(name, is)| (name.to_owned(), is.to_owned()));
        text.lines().filter_map(two).collect()
    };
    let (then, now) = (pairs(then), pairs(now));
    let of = |all: &[(String, String)], name: &str| {
        all.iter().find(|(own, _)| own == name).map(|(_, is)| is.clone())
    };
    let mut out: Vec<String> = Vec::new();
    for (name, is) in &now {
        match of(&then, name) {
            None => out.push(format!("{name} is new")),
            Some(was) if was != *is => {
                // Only the parts that differ are told.
                let (was, is): (Vec<&str>, Vec<&str>) = (was.split("; ").collect(), is.split("; ").collect());
                let parts = |own: &[&str], other: &[&str]| {
                    own.iter().filter(|part| !other.contains(part)).copied().collect::<Vec<_>>().join(", ")
                };
                out.push(format!("{name}: was {}, is {}", parts(&was, &is), parts(&is, &was)));
            }
            Some(_) => {}
        }
    }
    out.extend(
        then.iter().filter(|(name, _)| of(&now, name).is_none()).map(|(name, _)| format!("{name} is gone")),
    );
    out
}

/// What rows rest on, worked out once.
struct Rests<'a> {
    design: &'a Design,
    leads: Vec<(String, String)>,
    devices: Vec<(String, String)>,
}

impl<'a> Rests<'a> {
    fn new(design: &'a Design) -> Self {
        let leads = design.leads.iter().map(|one| (one.tag.clone(), lead(one))).collect();
        let devices = design.rig.devices.iter().map(|one| (one.tag.clone(), device(one))).collect();
        Self { design, leads, devices }
    }

    fn of(&self, line: &TestLine) -> Vec<(String, String)> {
        let rig = &self.design.rig;
        let some = |own: &dyn Fn(&str) -> bool| {
            let all = self.leads.iter().chain(&self.devices);
            all.filter(|(name, _)| own(name)).cloned().collect::<Vec<_>>()
        };
        let signal = |tag: &str| {
            self.design
                .leads
                .iter()
                .any(|lead| lead.tag == tag && !lead.class.is_supply() && lead.class != LeadClass::Mains)
        };
        let is_device = |tag: &str| rig.device(tag).is_some();
        match line.part {
            TestPart::Leads => some(&|tag| tag == line.subject),
            TestPart::Outlets => {
                let of = line.subject.split('.').next().unwrap_or_default();
                some(&|tag| tag == of)
            }
            TestPart::Ends | TestPart::Draw => {
                let feeds = |tag: &str| {
                    self.design.leads.iter().any(|lead| lead.tag == tag && lead.feeds(&line.subject))
                };
                some(&|tag| tag == line.subject || feeds(tag))
            }
            TestPart::Inserts => {
                let of = line.subject.split(['.', ' ']).next().unwrap_or_default();
                let at = |tag: &str| {
                    let own = self.design.leads.iter().filter(|lead| lead.tag == tag);
                    own.flat_map(|lead| &lead.ends).any(|end| end.port.device == of)
                };
                some(&|tag| tag == of || signal(tag) && at(tag))
            }
            TestPart::States | TestPart::Outputs => some(&|tag| signal(tag) || is_device(tag)),
            TestPart::Recordings => {
                let mut own = some(&|tag| signal(tag) || is_device(tag));
                own.extend(rig.devices.iter().map(|one| (format!("circuit of {}", one.tag), circuit(one))));
                own.extend(rig.sources.iter().map(|one| (one.id.clone(), format!("{:?}", one.pickup))));
                own
            }
            TestPart::Control => {
                let run = rig.runs.iter().find(|run| run.name == line.subject);
                let on = |tag: &str| {
                    run.is_some_and(|run| {
                        run.stops
                            .iter()
                            .flat_map(|stop| [&stop.arrives, &stop.leaves])
                            .flatten()
                            .any(|at| at.device == tag)
                    })
                };
                let of = |tag: &str| {
                    self.design
                        .leads
                        .iter()
                        .any(|lead| lead.tag == tag && lead.run.as_deref() == Some(line.subject.as_str()))
                };
                some(&|tag| on(tag) || of(tag))
            }
            TestPart::Whole => some(&|_| true),
            TestPart::Brief => vec![(line.subject.clone(), line.what.clone())],
        }
    }
}

/// What makes a lead the one that it is: its ends, its cable, its length.
fn lead(lead: &Lead) -> String {
    let mut parts: Vec<String> = lead
        .ends
        .iter()
        .map(|end| {
            let plug = end.plug.plug.as_ref().map_or("", |plug| plug.id.as_str());
            format!("end at {} {plug} {:?}", end.port, end.fitting)
        })
        .collect();
    if let Some(cable) = &lead.cable {
        parts.push(format!("cable {}", cable.id));
    }
    if let Some(cut) = lead.cut.value {
        parts.push(format!("cut {cut}"));
    }
    parts.extend(lead.legs.iter().filter_map(|leg| leg.cut.value).map(|cut| format!("leg {cut}")));
    parts.join("; ")
}

/// What makes a device the one that it is, for what it draws and does to signal; not where it stands.
fn device(device: &Device) -> String {
    fn is<T: std::fmt::Debug>(name: &str, known: &Known<T>) -> Option<String> {
        known.value.as_ref().map(|value| format!("{name} {value:?}"))
    }
    let power = &device.power;
    let mut parts = vec![device.title.clone()];
    parts.extend(device.kind.iter().map(|kind| format!("kind {kind}")));
    parts.extend(device.serial.iter().map(|serial| format!("serial {serial}")));
    parts.extend(power.volts.value.map(|volts| format!("runs on {volts}")));
    parts.extend(power.current.value.map(|current| format!("draws {current}")));
    parts.extend(is("polarity", &power.sign));
    parts.extend(is("bypass", &device.signal.bypass));
    parts.extend(is("inverts", &device.signal.inverts));
    for outlet in &device.outlets {
        parts.extend(outlet.set.value.map(|volts| format!("outlet {} at {volts}", outlet.name)));
    }
    parts.join("; ")
}

/// What of a device's signal makes what is expected of a recording.
fn circuit(device: &Device) -> String {
    let mut parts = Vec::new();
    for port in &device.ports {
        let is = [port.z.value, port.z_bypassed.value]
            .into_iter()
            .flatten()
            .map(|ohms| format!("{} {ohms}", port.name));
        parts.extend(is);
        parts.extend(port.capacitance.value.map(|farads| format!("{} {farads}", port.name)));
    }
    parts.extend(device.signal.gain.value.map(|gain| format!("gain {gain}")));
    parts.extend(device.signal.travel.value.map(|share| format!("travel {share}")));
    parts.join("; ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use rig::Provenance;

    fn row(id: &str, value: f64, unit: &'static str) -> TestRow {
        let expected = Expected::Figure { value, unit, decimals: 0, from: Provenance::Measured };
        let line = TestLine {
            id: id.to_owned(),
            part: TestPart::Leads,
            subject: String::new(),
            what: String::new(),
            expected,
            passes: String::new(),
        };
        let (reads, passes) = answered(&line);
        TestRow { line, reads, passes, rests: Vec::new() }
    }

    /// What the sheet shows as the limit passes, and one digit beyond it does not.
    #[test]
    fn a_reading_at_the_limit_that_is_shown_passes() {
        for (row, at, beyond) in [
            (row("draw:A", 3.0, "mA"), "3.6 mA", "3.7 mA"),
            (row("pf:A", 70.0, "pF"), "77 pF", "77.1 pF"),
            (row("pf:A", 70.0, "pF"), "63 pF", "62.9 pF"),
            (row("ohm:A", 0.05, "Ω"), "0.25 ohm", "0.26 ohm"),
            (row("outlet:A", 9.0, "V"), "9.5 V", "9.6 V"),
            (row("leak:A", 1.0, "Ω"), "20 Mohm", "19.9 Mohm"),
        ] {
            let judged = |text| row.judge(&row.read(text).expect("it is read"));
            assert_eq!((judged(at), judged(beyond)), (Verdict::Passed, Verdict::Failed), "{at}, {beyond}");
            let again = row.written(&row.read(at).expect("it is read"));
            assert_eq!(row.judge(&row.read(&again).expect("it reads back")), Verdict::Passed, "{again}");
        }
    }
}

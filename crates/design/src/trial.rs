//! What is tested before a board leaves the bench, each line with what should be found.

use quantity::{Volts, Window};
use rig::{
    Bypass, Carries, ConnectorFamily, Device, FeedKind, LeadClass, Nature, PortRef, Provenance, Sign, State,
};

use crate::insert::{Heard, InsertTable};
use crate::{
    Design, Making, conductor_capacitances, feed_state, insert_tables, lead_capacitance, lead_resistance,
    outlet_words,
};

/// Above so many volts a supply lead harms what is made for the usual nine.
pub(crate) const USUAL_VOLTS: f64 = 9.5;
/// How much more than its plate says a small transformer may give with nothing on it. *Common practice, no source.*
const UNLOADED_AC: f64 = 1.4;

/// How the id of a state begins that has no name: what is on in it follows.
const SET: &str = "set:";

/// The part of the test sheet a line stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum TestPart {
    /// Each lead by itself.
    Leads,
    /// Each outlet with nothing on it.
    Outlets,
    /// Each supply lead at its far end, before it is plugged.
    Ends,
    /// What each device draws.
    Draw,
    /// Inserts in their four cases.
    Inserts,
    /// The named switching states.
    States,
    /// Expression, switches, MIDI.
    Control,
    /// The outputs: which half of the wave comes out up.
    Outputs,
    /// What recordings of the finished board say.
    Recordings,
    /// The whole board.
    Whole,
    /// What the brief asks for.
    Brief,
}

impl TestPart {
    /// Its head on paper and on screen.
    pub fn title(self) -> &'static str {
        match self {
            Self::Leads => "Leads",
            Self::Outlets => "Outlets",
            Self::Ends => "Supply ends",
            Self::Draw => "Draw",
            Self::Inserts => "Inserts",
            Self::States => "Switching states",
            Self::Control => "Control",
            Self::Outputs => "Polarity of the outputs",
            Self::Recordings => "Recordings",
            Self::Whole => "The whole board",
            Self::Brief => "What the brief asks for",
        }
    }
}

/// What should be found.
#[derive(Debug, Clone, PartialEq)]
pub enum Expected {
    /// A figure.
    Figure {
        /// The number in `unit`.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// How many decimals it is shown with.
        decimals: usize,
        /// Where it comes from.
        from: Provenance,
    },
    /// Words.
    Words(String),
    /// Nobody knows.
    Unknown(&'static str),
}

/// One line of the test sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct TestLine {
    /// An id that survives edits of other things.
    pub id: String,
    /// Where it stands.
    pub part: TestPart,
    /// The lead, outlet, device or state.
    pub subject: String,
    /// What is done or looked at.
    pub what: String,
    /// What should be found.
    pub expected: Expected,
    /// What still passes, in words.
    pub passes: String,
}

impl TestLine {
    /// What is on in the state that the line is about; `None` where it is about none.
    pub fn engaged(&self, rig: &rig::Rig) -> Option<Vec<String>> {
        if self.part != TestPart::States {
            return None;
        }
        let added = self.id.strip_prefix(SET);
        if let Some(added) = added {
            return Some(added.split('+').filter(|name| !name.is_empty()).map(str::to_owned).collect());
        }
        rig.states.iter().find(|state| state.name == self.subject).map(|state| state.engaged.clone())
    }
}

/// Every line, in the order of the sheet.
pub fn tests(design: &Design) -> Vec<TestLine> {
    let mut out = Vec::new();
    leads(design, &mut out);
    outlets(design, &mut out);
    ends(design, &mut out);
    draws(design, &mut out);
    inserts(design, &mut out);
    states(design, &mut out);
    control(design, &mut out);
    outputs(design, &mut out);
    whole(design, &mut out);
    brief(design, &mut out);
    out
}

fn line(part: TestPart, id: String, subject: &str, what: &str, expected: Expected, passes: &str) -> TestLine {
    // What nobody knows has no bounds either: what is found is written down.
    let passes = if matches!(expected, Expected::Unknown(_)) { "" } else { passes };
    TestLine {
        id,
        part,
        subject: subject.to_owned(),
        what: what.to_owned(),
        expected,
        passes: passes.to_owned(),
    }
}

fn leads(design: &Design, out: &mut Vec<TestLine>) {
    for lead in design.leads.iter().filter(|lead| lead.making == Making::Made) {
        let ohms = lead_resistance(&design.rig, lead);
        let expected = match ohms.value {
            Some(value) => Expected::Figure { value: value.get(), unit: "Ω", decimals: 2, from: ohms.from },
            None => Expected::Unknown("Ω"),
        };
        // Acceptance of each conductor: common practice, no source.
        let id = format!("ohm:{}", lead.tag);
        out.push(line(
            TestPart::Leads,
            id,
            &lead.tag,
            "each conductor, end to end",
            expected,
            "≤ 0.2 + cable",
        ));
        // Leakage between conductors: common practice, no source.
        let (between, least) =
            if lead.class.is_supply() { ("plus to minus", "open") } else { ("tip to sleeve", "> 20 MΩ") };
        let id = format!("leak:{}", lead.tag);
        out.push(line(TestPart::Leads, id, &lead.tag, between, Expected::Words(least.to_owned()), ""));
        if lead.class.is_supply() || lead.class == LeadClass::Mains {
            continue;
        }
        let cores = conductor_capacitances(&design.rig, lead);
        if cores.len() < 2 {
            let id = format!("pf:{}", lead.tag);
            let expected = picofarads(lead_capacitance(lead));
            out.push(line(TestPart::Leads, id, &lead.tag, "core to screen", expected, "± 10 %"));
            continue;
        }
        // Each core is another wire, with a leg of its own.
        for (core, farads) in cores {
            let branch = core.ends.iter().rfind(|end| **end != lead.trunk).copied().unwrap_or_default();
            let name = format!("{} to leg {}", core.contact.word(), lead.ends[branch].letter);
            let id = format!("pf:{}:{}", lead.tag, core.contact.word());
            let what = format!("core to screen, {name}");
            out.push(line(TestPart::Leads, id, &lead.tag, &what, picofarads(farads), "± 10 %"));
        }
    }
}

fn picofarads(farads: rig::Known<quantity::Farads>) -> Expected {
    match farads.value {
        Some(value) => {
            Expected::Figure { value: value.get() * 1e12, unit: "pF", decimals: 0, from: farads.from }
        }
        None => Expected::Unknown("pF"),
    }
}

fn outlets(design: &Design, out: &mut Vec<TestLine>) {
    for device in &design.rig.devices {
        for outlet in &device.outlets {
            if outlet.nature.value == Some(Nature::Mains) {
                continue;
            }
            let name = PortRef::new(&device.tag, &outlet.name).to_string();
            let what = format!("{}, nothing plugged", outlet_words(device, outlet));
            let expected = match outlet.set.value {
                Some(volts) => {
                    Expected::Figure { value: volts.get(), unit: "V", decimals: 1, from: outlet.set.from }
                }
                None => Expected::Unknown("V"),
            };
            out.push(line(TestPart::Outlets, format!("outlet:{name}"), &name, &what, expected, "± 5 %"));
        }
    }
}

/// What the loose end of an AC lead must show: more than its plate says, because nothing loads it.
pub(crate) fn ac_words(device: &Device) -> String {
    match device.power.volts.value {
        Some(window) => {
            let least = window.low().get();
            format!("AC, {least:.1} to {:.1} V with nothing on it", window.high().get() * UNLOADED_AC)
        }
        None => "AC volts: find out first what it runs on".to_owned(),
    }
}

/// What a device runs on, where that is not what arrives.
pub(crate) fn unsuited(device: &Device, arrives: Volts) -> Option<Window> {
    let wants = device.power.volts.value?;
    // A meter reads, and a supply keeps, no finer than this.
    let near = 0.05 * arrives.get();
    let fits = wants.low().get() - near <= arrives.get() && arrives.get() <= wants.high().get() + near;
    (!fits).then_some(wants)
}

fn ends(design: &Design, out: &mut Vec<TestLine>) {
    for device in &design.rig.devices {
        let Some(feed) = &device.feed else { continue };
        let id = format!("end:{}", device.tag);
        let is_ac = device.power.nature.value == Some(Nature::Ac);
        let state = feed_state(&design.rig, device);
        if feed.kind == FeedKind::Adaptor && state.is_none() {
            let (words, passes) = if is_ac {
                (ac_words(device), "no polarity")
            } else {
                ("volts and polarity as printed on the device".to_owned(), "both agree")
            };
            let words = Expected::Words(words);
            out.push(line(TestPart::Ends, id, &device.tag, "end of its own adaptor", words, passes));
            continue;
        }
        let state = state.unwrap_or_default();
        let tags: Vec<&str> = design
            .leads
            .iter()
            .filter(|lead| lead.feeds(&device.tag))
            .map(|lead| lead.tag.as_str())
            .collect();
        let sign = match state.sign.value {
            _ if state.is_settled => "plus to plus",
            Some(Sign::CentreNegative) => "centre −",
            Some(Sign::CentrePositive) => "centre +",
            None => "polarity: find out first",
        };
        let mut what = format!("end of {}, {}", tags.join(" + "), if is_ac { "AC" } else { sign });
        let wants = state.volts.value.and_then(|volts| unsuited(device, volts));
        let (expected, passes) = match (state.volts.value, wants) {
            (Some(volts), Some(wants)) => {
                let words = format!("{volts} arrives, runs on {wants}: do not plug, find out first");
                (Expected::Words(words), "")
            }
            (Some(_), None) if is_ac => (Expected::Words(ac_words(device)), ""),
            (Some(volts), None) => (
                Expected::Figure { value: volts.get(), unit: "V", decimals: 1, from: state.volts.from },
                "± 5 %",
            ),
            (None, _) => (Expected::Unknown("V"), ""),
        };
        if state.volts.value.is_some_and(|volts| USUAL_VOLTS < volts.get()) {
            what.push_str(", into no other device");
        }
        out.push(line(TestPart::Ends, id, &device.tag, &what, expected, passes));
    }
}

fn draws(design: &Design, out: &mut Vec<TestLine>) {
    for device in &design.rig.devices {
        let power = &device.power;
        if device.feed.is_none() || !matches!(power.nature.value, Some(Nature::Dc | Nature::Ac) | None) {
            continue;
        }
        let expected = match power.current.value {
            Some(current) => {
                Expected::Figure { value: current.get(), unit: "mA", decimals: 0, from: power.current.from }
            }
            None => Expected::Unknown("mA"),
        };
        let id = format!("draw:{}", device.tag);
        out.push(line(TestPart::Draw, id, &device.tag, "draw, all on", expected, "≤ 120 %"));
    }
}

/// What is heard, in words.
pub fn heard_words(heard: Heard) -> &'static str {
    match heard {
        Heard::Through => "heard, as without the insert",
        Heard::ThroughAndSend => "heard, and a copy at the send",
        Heard::SendAlone => "silent; signal at the send only",
        Heard::ReturnAlone => "only what comes in at the return",
        Heard::Inserted => "heard through what is inserted",
        Heard::Silence => "silent",
        Heard::Unknown => "normal unknown: find out",
    }
}

fn inserts(design: &Design, out: &mut Vec<TestLine>) {
    for table in insert_tables(design) {
        for (case, heard) in crate::CASES.into_iter().zip(table.heard) {
            let subject = format!("{} {}", table.device, table.name);
            let id = format!("insert:{subject}:{}{}", u8::from(case.send), u8::from(case.back));
            let (what, heard) =
                if table.is_on_one_jack() { on_one_jack(&table, case, heard) } else { (case.words(), heard) };
            let expected = Expected::Words(heard_words(heard).to_owned());
            out.push(line(TestPart::Inserts, id, &subject, what, expected, ""));
        }
    }
    for found in crate::breaks(design) {
        let subject = found.jack.to_string();
        for (what, heard, key) in [
            ("nothing plugged", format!("{} is heard", found.empty), 0),
            ("a lead plugged", format!("the lead is heard, {} is cut off", found.empty), 1),
        ] {
            let id = format!("break:{subject}:{key}");
            out.push(line(TestPart::Inserts, id, &subject, what, Expected::Words(heard), ""));
        }
    }
}

/// The four cases of a jack that sends and returns: by the legs of its lead, since one plug opens both of its contacts.
fn on_one_jack(table: &InsertTable, case: crate::Plugged, heard: Heard) -> (&'static str, Heard) {
    match (case.send, case.back) {
        (false, false) => ("nothing plugged", heard),
        (true, false) => ("insert lead in, return leg loose", Heard::SendAlone),
        (false, true) => ("insert lead in, send leg loose", Heard::ReturnAlone),
        (true, true) => (table.case_words(case), heard),
    }
}

/// What a state must do: a muted one is silent, and one that tunes may be.
fn state_words(design: &Design, state: &State) -> &'static str {
    let says = |text: &str, words: &[&str]| {
        let text = text.to_lowercase();
        text.split(|c: char| !c.is_alphanumeric()).any(|word| words.contains(&word))
    };
    let silent = ["mute", "mutes", "muted", "silent", "silence"];
    // What its switch is said to do counts more than what a title may mean.
    let is_mute = says(&state.name, &silent)
        || state
            .engaged
            .iter()
            .filter_map(|tag| design.rig.device(tag))
            .flat_map(|device| &device.switches)
            .any(|switch| switch.does.as_deref().is_some_and(|does| says(does, &silent)));
    let tunes = says(&state.name, &["tune", "tuner", "tuning"])
        || state
            .engaged
            .iter()
            .filter_map(|tag| design.rig.device(tag))
            .any(|device| says(&device.title, &["tuner", "mute"]));
    match (is_mute, tunes) {
        (true, _) => "silent at every output; no pop",
        (false, true) => "silent, or through, as the tuner is set: write down which; no pop",
        (false, false) => "plays; no pop, hum or crackle",
    }
}

fn states(design: &Design, out: &mut Vec<TestLine>) {
    let rig = &design.rig;
    for state in &rig.states {
        let what = if state.engaged.is_empty() {
            "everything bypassed".to_owned()
        } else {
            format!("engaged: {}", state.engaged.join(", "))
        };
        let expected = Expected::Words(state_words(design, state).to_owned());
        out.push(line(TestPart::States, format!("state:{}", state.name), &state.name, &what, expected, ""));
    }
    // What no named state has on, or off, is exercised in as few states more as can be.
    for (index, engaged) in crate::exercise(design, true).states.into_iter().enumerate() {
        let what = if engaged.is_empty() {
            "everything bypassed".to_owned()
        } else {
            format!("engaged: {}", engaged.join(", "))
        };
        let state = State { name: String::new(), engaged };
        let expected = Expected::Words(state_words(design, &state).to_owned());
        let id = format!("{SET}{}", state.engaged.join("+"));
        out.push(line(
            TestPart::States,
            id,
            &format!("{}{}", crate::exercise::ADDED, index + 1),
            &what,
            expected,
            "",
        ));
    }
}

fn control(design: &Design, out: &mut Vec<TestLine>) {
    for run in &design.rig.runs {
        let (what, expected) = match run.carries {
            Carries::Expression => ("heel to toe and back", "moves all the way, the right way round"),
            Carries::Control => ("press every switch", "does what its name says"),
            Carries::Midi => ("send each change", "arrives, nothing hangs"),
            Carries::Usb => ("plug a computer", "is seen; no hum with audio running"),
            Carries::Signal | Carries::Mains => continue,
        };
        let id = format!("run:{}", run.name);
        out.push(line(TestPart::Control, id, &run.name, what, Expected::Words(expected.to_owned()), ""));
    }
}

fn whole(design: &Design, out: &mut Vec<TestLine>) {
    let mut say = |id: &str, subject: &str, what: &str, expected: &str| {
        out.push(line(
            TestPart::Whole,
            format!("whole:{id}"),
            subject,
            what,
            Expected::Words(expected.to_owned()),
            "",
        ));
    };
    say("shake", "shake and tip", "tip over, shake, tap every box", "nothing moves, rattles or crackles");
    say("wiggle", "every plug", "move each plug while it plays", "no crackle, no drop");
    say(
        "noise",
        "noise",
        "everything bypassed, against guitar straight to amp",
        "no louder; write down both",
    );
    phantom(design, &mut say);
    let has_mains = design.leads.iter().any(|lead| lead.class == LeadClass::Mains && lead.run.is_some())
        || design.rig.devices.iter().any(|device| !device.outlets.is_empty());
    if has_mains {
        say(
            "mains",
            "mains safety",
            "by a competent person (licensed where required)",
            "as local rules want; their record attached",
        );
    }
    let unknown = design.mass.items.iter().filter(|item| item.mass.is_unknown()).count();
    let expected = match unknown {
        0 => crate::travel_mass(&design.mass),
        1 => "write it down: 1 mass is not known".to_owned(),
        count => format!("write it down: {count} masses are not known"),
    };
    say("mass", "mass", "on the scale, as it travels", &expected);
}

/// Phantom power is switched on only into what is known to stand it.
fn phantom(design: &Design, say: &mut impl FnMut(&str, &str, &str, &str)) {
    let rig = &design.rig;
    for sink in rig.sinks.iter().filter(|sink| sink.phantom.value != Some(false)) {
        let mut open: Vec<String> = Vec::new();
        let mut is_asked = sink.phantom.value == Some(true);
        for way in rig::way::ways(rig).into_iter().filter(|way| way.end() == sink.id) {
            let last = way.steps.iter().rev().skip(1).find_map(|step| {
                let device = rig.device(step.name).filter(|device| device.role != rig::Role::Panel)?;
                Some((step.leaves?, device))
            });
            let Some((at, device)) = last else { continue };
            let Some(port) = rig.port(at) else { continue };
            let xlr = port.connector.as_ref().is_some_and(|kind| kind.family == ConnectorFamily::Xlr);
            is_asked |= xlr;
            let stands =
                device.signal.transformer.value == Some(true) || port.phantom_safe.value == Some(true);
            if !stands && !open.contains(&at.to_string()) {
                open.push(at.to_string());
            }
        }
        if !is_asked {
            continue;
        }
        let name = if sink.title.is_empty() { &sink.id } else { &sink.title };
        let subject = format!("phantom power, {name}");
        let id = format!("phantom:{}", sink.id);
        if open.is_empty() {
            say(&id, &subject, "desk muted, phantom on, then unmute", "no noise, nothing fails");
        } else {
            let what = format!("off at the desk; nobody knows whether {} stands it", open.join(", "));
            say(&id, &subject, &what, "stays off until that is found out");
        }
    }
}

/// What a battery shows at an output: the kick of a source that is tapped.
const UP: &str = "up: as it goes in";
const DOWN: &str = "down: inverted";

/// Which half of the wave comes out up, at each output, with everything bypassed: what hangs in a loop is out.
fn outputs(design: &Design, out: &mut Vec<TestLine>) {
    let rig = &design.rig;
    let looped = crate::carried::looped(design);
    for sink in &rig.sinks {
        let mut ways = rig::way::ways(rig).into_iter().filter(|way| way.end() == sink.id).peekable();
        if ways.peek().is_none() {
            continue;
        }
        let mut found: Vec<Option<bool>> = ways
            .map(|way| {
                let devices = way.steps.iter().filter_map(|step| rig.device(step.name));
                let on = devices.filter(|device| {
                    matches!(device.signal.bypass.value, Some(Bypass::AlwaysOn) | None)
                        && !device.signal.passive
                        && !matches!(device.role, rig::Role::Panel)
                        && !looped.contains(device.tag.as_str())
                });
                on.map(|device| device.signal.inverts.value)
                    .try_fold(false, |sum, inverts| Some(sum ^ inverts?))
            })
            .collect();
        found.dedup();
        let expected = match found[..] {
            [Some(false)] => UP,
            [Some(true)] => DOWN,
            _ => "write it down: up or down",
        };
        let name = if sink.title.is_empty() { &sink.id } else { &sink.title };
        let what = "battery tapped on the input, plus to tip: first kick; all bypassed";
        let id = format!("polarity:{}", sink.id);
        out.push(line(TestPart::Outputs, id, name, what, Expected::Words(expected.to_owned()), ""));
    }
}

/// Each requirement of the brief, shown to the player.
fn brief(design: &Design, out: &mut Vec<TestLine>) {
    for wanted in &design.rig.brief.requirements {
        let id = format!("brief:{}", wanted.id);
        let expected = Expected::Words("shown to the player; he agrees".to_owned());
        out.push(line(TestPart::Brief, id, &wanted.id, &wanted.text, expected, ""));
    }
}

//! What is tested before a board leaves the bench, each line with what should be found.

use rig::geometry::EndKind;
use rig::{Carries, FeedKind, LeadClass, Nature, PortRef, Provenance, Sign};

use crate::insert::Heard;
use crate::{
    Design, Making, conductor_capacitances, feed_state, insert_tables, lead_capacitance, lead_resistance,
    outlet_words,
};

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
    /// The whole board.
    Whole,
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
    whole(design, &mut out);
    out
}

fn line(part: TestPart, id: String, subject: &str, what: &str, expected: Expected, passes: &str) -> TestLine {
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
        out.push(line(TestPart::Leads, id, &lead.tag, "each conductor, end to end", expected, "≤ 0.2"));
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

fn ends(design: &Design, out: &mut Vec<TestLine>) {
    for device in &design.rig.devices {
        let Some(feed) = &device.feed else { continue };
        if feed.kind == FeedKind::Adaptor {
            let words = Expected::Words("volts and polarity as printed on the device".to_owned());
            let id = format!("end:{}", device.tag);
            out.push(line(TestPart::Ends, id, &device.tag, "end of its own adaptor", words, "both agree"));
            continue;
        }
        let state = feed_state(&design.rig, device).unwrap_or_default();
        let tags: Vec<&str> = design
            .leads
            .iter()
            .filter(|lead| {
                lead.run.is_none()
                    && lead.ends.iter().any(|end| end.kind == EndKind::To && end.port.device == device.tag)
            })
            .map(|lead| lead.tag.as_str())
            .collect();
        let sign = match state.sign.value {
            _ if state.is_settled => "plus to plus",
            Some(Sign::CentreNegative) => "centre −",
            Some(Sign::CentrePositive) => "centre +",
            None => "polarity: find out first",
        };
        let is_ac = device.power.nature.value == Some(Nature::Ac);
        let what = format!("end of {}, {}", tags.join(" + "), if is_ac { "AC" } else { sign });
        let expected = match state.volts.value {
            Some(volts) => {
                Expected::Figure { value: volts.get(), unit: "V", decimals: 1, from: state.volts.from }
            }
            None => Expected::Unknown("V"),
        };
        out.push(line(TestPart::Ends, format!("end:{}", device.tag), &device.tag, &what, expected, "± 5 %"));
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
        out.push(line(TestPart::Draw, id, &device.tag, "draw, everything switched on", expected, "≤ 120 %"));
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
        for (case, heard) in table.cases() {
            let subject = format!("{} {}", table.device, table.name);
            let id = format!("insert:{subject}:{}{}", u8::from(case.send), u8::from(case.back));
            let expected = Expected::Words(heard_words(heard).to_owned());
            out.push(line(TestPart::Inserts, id, &subject, table.case_words(case), expected, ""));
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

fn states(design: &Design, out: &mut Vec<TestLine>) {
    let rig = &design.rig;
    for state in &rig.states {
        let what = if state.engaged.is_empty() {
            "everything bypassed".to_owned()
        } else {
            format!("engaged: {}", state.engaged.join(", "))
        };
        let expected = Expected::Words("plays; no pop, hum or crackle".to_owned());
        out.push(line(TestPart::States, format!("state:{}", state.name), &state.name, &what, expected, ""));
    }
    for device in rig.devices.iter().filter(|device| !device.switches.is_empty()) {
        let on = rig.states.iter().filter(|state| state.engaged.contains(&device.tag)).count();
        let missing = match (on, rig.states.len()) {
            (0, _) => "on and off: no named state has it on",
            (on, all) if on == all => "on and off: every named state has it on",
            _ => continue,
        };
        let expected = Expected::Words("plays in both; no pop".to_owned());
        out.push(line(
            TestPart::States,
            format!("switch:{}", device.tag),
            &device.tag,
            missing,
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
    if design.rig.sinks.iter().any(|sink| sink.phantom.value != Some(false)) {
        say("phantom", "phantom power", "desk muted, phantom on, then unmute", "no noise, nothing fails");
    }
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
    say("mass", "mass", "on the scale, as it travels", &crate::travel_mass(&design.mass));
}

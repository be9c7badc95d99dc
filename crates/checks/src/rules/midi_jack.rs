//! MIDI on 3.5 mm jacks of two kinds.

use design::Design;
use finding::{Evidence, Finding, Severity};
use rig::{Carries, ConnectorFamily, MidiJack};

use crate::asked::{Asked, port_field};
use crate::way::is_crossed;
use crate::{Page, Rule};

const ID: &str = "midi-jack";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "3.5 mm MIDI jacks of two kinds",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[53],
    limits: &[],
    page: Page {
        what: "Both ends of a MIDI lead that are jacks: they must be of one kind, type A (tip to pin 5, ring to pin 4), \
               type B (the other way), or tip alone.",
        why: "With tip and ring the wrong way round nothing is received, and nothing is broken either.",
        source: "MIDI Association RP-054 (2018) for type A; type B is common practice, no source",
        example: "The delay is type A, the modulation type B.",
        remedy: "make the lead with tip and ring crossed and tag both ends",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    for (from, to) in rig.runs.iter().filter(|run| run.carries == Carries::Midi).flat_map(rig::Run::steps) {
        let (Some(a), Some(b)) = (rig.port(from), rig.port(to)) else { continue };
        let is_jack =
            |port: &rig::Port| port.connector.as_ref().is_some_and(|c| c.family == ConnectorFamily::Jack);
        if !is_jack(a) || !is_jack(b) {
            continue;
        }
        let devices = [&from.device, &to.device];
        let mut asked = Asked::default();
        let kinds = (
            asked.value(a.midi_jack, port_field(from, "midi_jack")),
            asked.value(b.midi_jack, port_field(to, "midi_jack")),
        );
        match kinds {
            (Some(x), Some(y)) if (x != y) != is_crossed(rig, from, to) => out.push(
                Finding::new(
                    ID,
                    Severity::Stop,
                    format!("{from} is MIDI {}, {to} is {}", words(x), words(y)),
                )
                .about(devices)
                .at(port_field(from, "midi_jack"), "")
                .at(port_field(to, "midi_jack"), "")
                .with(Evidence::words(words(x), words(y)))
                .assuming(asked.assumed),
            ),
            _ => out.extend(asked.cannot_judge(
                ID,
                &format!("whether {from} and {to} are wired alike"),
                devices,
            )),
        }
    }
    out
}

/// What it is called beside the jack.
fn words(jack: MidiJack) -> &'static str {
    match jack {
        MidiJack::TypeA => "type A",
        MidiJack::TypeB => "type B",
        MidiJack::TipOnly => "tip alone",
    }
}

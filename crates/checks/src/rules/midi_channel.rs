//! Two units on one MIDI channel.

use std::collections::BTreeMap;

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::{Carries, Device};

use crate::asked::Together;
use crate::words::list;
use crate::{Page, Rule};

const ID: &str = "midi-channel";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "two units on one MIDI channel",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[52],
    limits: &[],
    page: Page {
        what: "Devices that MIDI runs reach, by channel. Two on one channel are a stop, one that listens to all of them \
               beside others is a look.",
        why: "A change meant for the delay changes the reverb too.",
        source: "MIDI 1.0 Detailed Specification, channel messages: 16 channels, omni mode",
        example: "The modulation and the reverb both listen to channel 3.",
        remedy: "give each unit a channel of its own and write it on the control sheet",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut listeners: Vec<&Device> = Vec::new();
    for (_, to) in rig.runs.iter().filter(|run| run.carries == Carries::Midi).flat_map(rig::Run::steps) {
        if let Some(device) = rig.device(&to.device)
            && !listeners.iter().any(|known| known.tag == device.tag)
        {
            listeners.push(device);
        }
    }
    let mut out = Vec::new();
    let mut unknown = Together::default();
    let mut by_channel: BTreeMap<u32, Vec<&str>> = BTreeMap::new();
    for device in &listeners {
        let Some(midi) = &device.midi else {
            unknown.add(&device.tag, Field::device(&device.tag, "midi"));
            continue;
        };
        match midi.channel.value {
            Some(channel) => by_channel.entry(channel).or_default().push(&device.tag),
            None => unknown.add(&device.tag, Field::device(&device.tag, "midi.channel")),
        }
        if midi.omni.value == Some(true) && 1 < listeners.len() {
            out.push(
                Finding::new(
                    ID,
                    Severity::Look,
                    format!("{} listens to every MIDI channel beside others", device.tag),
                )
                .about([&device.tag])
                .at(Field::device(&device.tag, "midi.omni"), "")
                .with(Evidence::words("omni", "one channel")),
            );
        }
    }
    for (channel, tags) in by_channel.into_iter().filter(|(_, tags)| 1 < tags.len()) {
        let mut finding =
            Finding::new(ID, Severity::Stop, format!("{} listen to MIDI channel {channel}", list(&tags)))
                .about(tags.clone())
                .with(Evidence::words(format!("channel {channel} twice"), "one unit to a channel"));
        for tag in tags {
            finding = finding.at(Field::device(tag, "midi.channel"), "");
        }
        out.push(finding);
    }
    if 1 < listeners.len() {
        out.extend(unknown.finding(ID, "the MIDI channels of"));
    }
    out
}

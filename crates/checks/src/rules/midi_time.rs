//! Changes that take too long to send.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use quantity::Seconds;
use rig::Carries;

use crate::compare::over;
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "midi-time";

/// Ten bits at 31 250 baud (MIDI 1.0, hardware): one byte takes 0.32 ms.
const BYTE: f64 = 10.0 / 31_250.0;

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "time to send one change of sound",
    severity: Severity::Look,
    since: "0.1",
    pains: &[54],
    limits: &["midi_time_look"],
    page: Page {
        what: "Bytes that one change sends to all units of a MIDI run, at 0.32 ms each, where they are written down.",
        why: "The last unit changes late, or misses the change.",
        source: "MIDI 1.0 Detailed Specification: 31.25 kbaud, ten bits to a byte",
        example: "36 bytes take 11.5 ms.",
        remedy: "send less in one change, or feed the units from two outputs",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    for run in rig.runs.iter().filter(|run| run.carries == Carries::Midi) {
        let mut tags: Vec<&str> = Vec::new();
        let mut bytes = 0;
        for (_, to) in run.steps() {
            let Some(device) = rig.device(&to.device) else { continue };
            if let Some(count) = device.midi.as_ref().and_then(|midi| midi.bytes.value)
                && !tags.contains(&device.tag.as_str())
            {
                bytes += count;
                tags.push(&device.tag);
            }
        }
        let time = Seconds::of(f64::from(bytes) * BYTE);
        let limit = design.limits.midi_time_look;
        if over(time, limit) {
            let says = format!("run {} sends {bytes} bytes in one change, {}", run.name, shown(time));
            out.push(
                Finding::new(ID, Severity::Look, says)
                    .about(tags)
                    .at(Field::run(&run.name, "stops"), "")
                    .with(Evidence::at_most(time, limit)),
            );
        }
    }
    out
}

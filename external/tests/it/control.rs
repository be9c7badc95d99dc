//! MIDI against its standard, by what `check` says.

use finding::{Evidence, Finding, Severity};
use quantity::Seconds;

use crate::chain::near;

/// What a rule says of a switcher that sends MIDI to a delay, with no time allowed.
fn said(rule: &str, bytes: u32, jacks: [&str; 2]) -> Option<Finding> {
    let text = format!(
        "format = 1\njob = {{ title = \"t\" }}\n\
         [[device]]\ntag = \"SW\"\n\
         port.MIDI = {{ role = \"midi-out\", connector = \"jack-3.5-trs\", midi_jack = \"{}\" }}\n\
         [[device]]\ntag = \"DLY\"\nmidi = {{ channel = 1, bytes = {bytes} }}\n\
         port.MIDI = {{ role = \"midi-in\", connector = \"jack-3.5-trs\", midi_jack = \"{}\" }}\n\
         [[run]]\nname = \"control\"\ncarries = \"midi\"\nstops = [\"SW.MIDI\", \"DLY.MIDI\"]\n",
        jacks[0], jacks[1]
    );
    let job = document::read_text("rig.toml", &text, None).unwrap_or_else(|error| panic!("{error}"));
    let limits = rig::Limits { midi_time_look: Seconds::ZERO, ..job.limits };
    checks::check(&design::derive(job.rig, limits)).into_iter().find(|finding| finding.rule == rule)
}

#[test]
fn midi_takes_320_microseconds_a_byte() {
    // [src:MIDI-1.0] 31.25 kbaud, ten bits a byte: 320 µs; a program change of two bytes 640 µs, a note of three 960 µs.
    for (bytes, milliseconds) in [(1, 0.32), (2, 0.64), (3, 0.96), (100, 32.0)] {
        let finding = said("midi-time", bytes, ["type-a", "type-a"]).expect("no time is allowed");
        let Some(Evidence::Number { found, .. }) = finding.evidence else { panic!("a figure") };
        assert_eq!(found.unit, "ms");
        near(found.value, milliseconds, 1e-9);
    }
}

#[test]
fn midi_jacks_of_two_kinds_do_not_hear_each_other() {
    // MIDI Association RP-054 (2018) has one kind, type A; what is wired otherwise needs a lead with tip and ring crossed.
    for (jacks, stops) in [
        (["type-a", "type-a"], false),
        (["type-b", "type-b"], false),
        (["type-a", "type-b"], true),
        (["type-b", "type-a"], true),
        (["type-a", "tip-only"], true),
    ] {
        let finding = said("midi-jack", 2, jacks);
        assert_eq!(finding.map(|finding| finding.severity), stops.then_some(Severity::Stop), "{jacks:?}");
    }
}

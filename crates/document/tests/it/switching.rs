//! What one switch works, values by supply voltage and turns: read, refused with what to write, renamed.

use document::edit::apply;
use document::{ReadError, read_text};
use finding::{Change, Edit, Field};
use rig::SwitchingWay;

use crate::refusals::told;

/// A job of two pedals, a switcher with two loops and a passive transformer, and what is written after it.
fn job(more: &str) -> Result<document::Job, ReadError> {
    read_text("rig.toml", &text(more), None)
}

fn text(more: &str) -> String {
    format!(
        "format = 1
[job]
title = \"t\"
[[device]]
tag = \"A1\"
[[device]]
tag = \"A2\"
[[device]]
tag = \"SW\"
port.S1 = {{ role = \"send\" }}
port.R1 = {{ role = \"return\" }}
port.S2 = {{ role = \"send\" }}
port.R2 = {{ role = \"return\" }}
loop.L1 = {{ send = \"S1\", return = \"R1\" }}
loop.L2 = {{ send = \"S2\", return = \"R2\" }}
{more}"
    )
}

/// What is said of a job that is refused.
fn refused(more: &str) -> String {
    match job(more) {
        Ok(_) => "reads".to_owned(),
        Err(error) => told(&error),
    }
}

fn entry(name: &str, way: &str, devices: &str) -> String {
    format!("[[switching]]\nname = \"{name}\"\nway = \"{way}\"\ndevices = [{devices}]\n")
}

#[test]
fn what_one_switch_works_is_read() {
    let both = entry("solo", "together", "\"A1\", \"SW.L1\"")
        + &entry("presets", "one-at-a-time", "\"SW.L1\", \"SW.L2\"");
    let rig = job(&both).expect("it reads").rig;
    let told: Vec<_> =
        rig.switching.iter().map(|one| (one.name.as_str(), one.way, one.devices.join(" "))).collect();
    assert_eq!(
        told,
        [
            ("solo", SwitchingWay::Together, "A1 SW.L1".to_owned()),
            ("presets", SwitchingWay::OneAtATime, "SW.L1 SW.L2".to_owned()),
        ]
    );
}

#[test]
fn a_state_is_not_called_what_means_another() {
    let state = |name: &str| format!("[[state]]\nname = \"{name}\"\nengaged = [\"A1\"]\n");
    for name in ["solo", "solo, loud", "A1 loud", "A1,solo"] {
        assert_eq!(refused(&state(name)), "reads", "{name}");
    }
    for (name, why) in [
        ("everything off", "that state is answered for anyway"),
        ("everything on", "that state is answered for anyway"),
        ("A2", "that asks for the state in which just those devices are on"),
        ("A1, A2", "that asks for the state in which just those devices are on"),
    ] {
        let told = refused(&state(name));
        assert!(told.contains(&format!("a state is called {name}: {why}")), "{told}");
    }
}

#[test]
fn slips_of_switching_are_told_with_what_to_write() {
    for (more, said) in [
        (
            entry("solo", "together", "\"A1\", \"A3\""),
            "rig.toml:19:18: `A3` is not a device of this rig\n    did you mean `A1`?\n",
        ),
        (
            entry("solo", "together", "\"A1\", \"SW.L3\""),
            "rig.toml:19:18: SW has no loop `L3`\n    write one of `SW.L1`, `SW.L2`\n",
        ),
        (
            entry("solo", "together", "\"A1\", \"A2.L1\""),
            "rig.toml:19:18: A2 has no loop `L1`\n    it has no loops; write its tag alone\n",
        ),
        (
            entry("solo", "together", "\"A1\", \"SW\""),
            "rig.toml:19:18: SW switches loops, and is not switched itself\n    write one of `SW.L1`, `SW.L2`\n",
        ),
        (
            entry("solo", "together", "\"A1\""),
            "rig.toml:19:11: switch solo works only one device\n    name two or more: `devices = [\"A1\", \"A2\"]`; what is switched by itself needs no entry\n",
        ),
        (
            entry("solo", "together", ""),
            "rig.toml:19:11: switch solo works nothing\n    name two or more: `devices = [\"A1\", \"A2\"]`; what is switched by itself needs no entry\n",
        ),
        (
            entry("solo", "one-at-a-time", "\"A1\", \"A2\", \"A1\""),
            "rig.toml:19:24: switch solo names A1 twice\n    name it once\n",
        ),
        (
            entry("solo", "together", "\"A1\", \"A2\"") + &entry("clean", "together", "\"SW.L1\", \"A2\""),
            "rig.toml:23:21: A2 is worked together by two switches, solo and clean\n    write all that go on and off with it in one entry\n",
        ),
        (
            entry("solo", "together", "\"A1\", \"A2\"") + &entry("clean", "one-at-a-time", "\"A1\", \"A2\""),
            "rig.toml:23:18: A1 and A2 are one at a time by switch clean, and together by switch solo\n    take one of them out of one of the two entries\n",
        ),
    ] {
        assert_eq!(refused(&more), said, "{more}");
    }
    let way = refused(&entry("solo", "both", "\"A1\", \"A2\""));
    assert!(
        way.contains("rig.toml:18:7") && way.contains("together") && way.contains("one-at-a-time"),
        "{way}"
    );
    // One thing may be in several entries that are not for things worked together.
    let twice =
        entry("a", "one-at-a-time", "\"A1\", \"A2\"") + &entry("b", "one-at-a-time", "\"A1\", \"SW.L1\"");
    assert_eq!(refused(&twice), "reads");
}

#[test]
fn a_renamed_device_keeps_what_switches_it() {
    let before = text(&(entry("solo", "together", "\"A1\", # the drive\n  \"SW.L1\"")));
    let rename = |text: &str, from: &str, to: &str| {
        apply(text, &Edit::new("x", [Change::rename(Field::of("device", from, ""), to)])).expect("applies")
    };
    let after = rename(&rename(&before, "SW", "LOOPS"), "A1", "DRV");
    assert!(after.contains("devices = [\"DRV\", # the drive\n  \"LOOPS.L1\"]"), "{after}");
    assert!(read_text("rig.toml", &after, None).is_ok());
}

#[test]
fn values_by_voltage_and_turns_are_read_and_their_slips_told() {
    let device = |signal: &str| format!("[[device]]\ntag = \"T\"\nsignal = {{ {signal} }}\n");
    let reads = device(
        "passive = true, transformer = true, turns = \"12:1\", noise = \"5 µV\", at = [{ volts = \"9 V\", gain = { is = \"20 dB\", from = \"measured\" } }]",
    );
    let rig = job(&reads).expect("it reads").rig;
    let own = &rig.device("T").expect("it is there").signal;
    assert_eq!(own.turns.value.map(|turns| turns.to_string()), Some("12:1".to_owned()));
    assert_eq!(own.noise.value, Some(quantity::Volts::of(5e-6)));
    let [at] = own.at.as_slice() else { panic!("one entry") };
    assert_eq!((at.volts, at.max_input), (quantity::Volts::of(9.0), None));
    assert_eq!(
        at.gain.map(|gain| (gain.value, gain.from)),
        Some((quantity::Decibels::new(20.0), rig::Provenance::Measured))
    );
    for (signal, said) in [
        (
            "turns = \"12:1\", transformer = true",
            "rig.toml:18:20: T has `turns`, and is no passive transformer\n    write `passive = true` and `transformer = true`, or take `turns` out\n",
        ),
        (
            "at = [{ volts = \"9 V\", gain = \"20 dB\" }, { volts = \"9 V\", max_input = \"3 V\" }]",
            "rig.toml:18:53: T has two entries at 9 V\n    write one entry at 9 V, with `gain` and `max_input` in it\n",
        ),
        (
            "at = [{ volts = \"9 V\" }]",
            "rig.toml:18:18: the entry of T at 9 V says nothing\n    write `gain`, `max_input` or both, or take the entry out\n",
        ),
    ] {
        assert_eq!(refused(&device(signal)), said, "{signal}");
    }
    assert!(
        refused(&device("turns = \"12\", passive = true, transformer = true"))
            .contains("`12` is no turns ratio")
    );
    assert_eq!(refused(&device("turns = \"unknown\"")), "reads");
}

//! The rows of the test sheet: what an output's battery shows, what recordings fill, which leads no switch takes out of the way.

use design::{
    Kept, RecordedOf, TestRecord, TestState, exercise, recorded_row, recorded_rows, recorded_states, tests,
};

use crate::faults::example;

const LOOPED: &str = r#"
format = 1
[job]
title = "A loop"
[source.guitar]
pickup = "humbucker"
lead = "4 m"
cable = "instrument"
[sink.amp]
kind = "amp"
lead = "4 m"
cable = "instrument"
[[device]]
tag = "S1"
kind = "switcher-420x112x62"
signal = { bypass = "hard", inverts = false }
[[device]]
tag = "D1"
kind = "compact-66x122x50"
port.IN = { z = "500 kΩ" }
port.OUT = { z = "1 kΩ" }
signal = { bypass = "always-on", inverts = true, gain = "20 dB" }
[[run]]
name = "main"
stops = ["guitar", "S1.IN", "S1.S1", "D1", "S1.R1", "S1.OUT_L", "amp"]
"#;

fn read(text: &str) -> design::Design {
    let job = document::read_text("rig.toml", text, None).expect("it reads");
    design::derive(job.rig, job.limits)
}

fn looped() -> design::Design {
    read(LOOPED)
}

#[test]
fn what_hangs_in_a_loop_that_is_out_turns_no_output() {
    let expected = |text: &str| {
        let row = tests(&read(text)).into_iter().find(|line| line.id == "polarity:amp").expect("a row");
        match row.expected {
            design::Expected::Words(words) => words,
            other => panic!("{other:?}"),
        }
    };
    assert_eq!(expected(LOOPED), "up: as it goes in");
    // The same device in the way itself.
    let chained = LOOPED.replace("\"S1.IN\", \"S1.S1\", \"D1\", \"S1.R1\", \"S1.OUT_L\"", "\"D1\"");
    assert_ne!(chained, LOOPED);
    assert_eq!(expected(&chained), "down: inverted");
}

#[test]
fn a_wave_that_goes_down_is_an_answer_where_one_goes_up() {
    let design = looped();
    let row =
        design::test_rows(&design).into_iter().find(|row| row.line.id == "polarity:amp").expect("a row");
    let judged = |text| row.judge(&row.read(text).expect("it is read"));
    assert_eq!((judged("up"), judged("yes")), (design::Verdict::Passed, design::Verdict::Passed));
    assert_eq!((judged("Down"), judged("no")), (design::Verdict::Failed, design::Verdict::Failed));
    assert!(row.read("sideways").is_err());
}

#[test]
fn what_was_recorded_is_a_row_and_due_again_when_a_device_is_another_one() {
    let mut design = looped();
    let state = recorded_states(&design).remove(0);
    let id = |of| recorded_row(of, &state, "amp");
    let rows = recorded_rows(&design);
    let kept = |design: &design::Design, of, said: &str| {
        let row = recorded_rows(design).into_iter().find(|row| row.line.id == id(of)).expect("its row");
        Kept {
            row: id(of),
            said: said.to_owned(),
            by: None,
            on: String::new(),
            revision: String::new(),
            rests: row.rests_text(),
            answer: None,
        }
    };
    assert!(RecordedOf::ALL.iter().all(|of| rows.iter().any(|row| row.line.id == id(*of))), "{rows:?}");
    let blank = TestRecord::new(&design, &[]);
    assert!(blank.row(&id(RecordedOf::Response)).is_none(), "what nobody recorded is not asked for");
    let state_of = |design: &design::Design, kept: &[Kept], of| {
        TestRecord::new(design, kept).row(&id(of)).expect("its row").state.clone()
    };
    for (of, said, passes) in [
        (RecordedOf::Response, "−0.4 dB at 3 kHz to 6 kHz, ± 1.3 dB", true),
        (RecordedOf::Response, "−4.1 dB at 3 kHz to 6 kHz, ± 1.3 dB", false),
        (RecordedOf::Response, "+0.6 dB at 2.2 kHz", false),
        (RecordedOf::Polarity, "yes", true),
        (RecordedOf::Polarity, "no", false),
        (RecordedOf::Noise, "+5.9 dB", true),
        (RecordedOf::Noise, "+6.1 dB", false),
        (RecordedOf::Hum, "none", true),
        (RecordedOf::Hum, "−96.4 dBu at 50 Hz, magnetic", true),
        (RecordedOf::Hum, "−88.9 dBu at 100 Hz, rectifier", false),
    ] {
        let all = [kept(&design, of, said)];
        let wanted = if passes { TestState::Passed } else { TestState::Failed };
        assert_eq!(state_of(&design, &all, of), wanted, "{said}");
    }
    let all = [kept(&design, RecordedOf::Noise, "+5.9 dB")];
    design.rig.devices[1].title = "another drive".to_owned();
    assert!(matches!(state_of(&design, &all, RecordedOf::Noise), TestState::Due(_)));
}

#[test]
fn leads_outside_of_every_loop_are_off_only_when_they_are_unplugged() {
    let design = looped();
    let found = exercise(&design, true);
    let number = |name: &str| design.lead_number(name).expect("a lead");
    let outside = ["guitar > S1.IN", "S1.OUT_L > amp"].map(number);
    let inside = ["S1.S1 > D1.IN", "D1.OUT > S1.R1"].map(number);
    assert!(outside.iter().all(|lead| found.always.contains(lead)), "{:?}", found.always);
    assert!(inside.iter().all(|lead| !found.always.contains(lead)), "{:?}", found.always);
    assert_eq!(found.states.len(), 2, "once in and once out: {:?}", found.states);
    for name in ["wet-dry-touring-corrected", "session-two-deck-corrected", "church-bass-corrected"] {
        let design = example(name);
        let found = exercise(&design, true);
        assert!(!found.always.is_empty(), "{name}: a lead from the guitar is always on");
        let states = design.rig.states.len() + found.states.len();
        assert!(0 < states, "{name}: some state has them on");
    }
}

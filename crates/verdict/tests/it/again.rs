//! What is written costs what it cost before: feeds of every mix of plugs, written and sought again, stay as they are, and no
//! plug of theirs is stopped.

use std::fmt::Write;
use std::path::Path;

const SIZES: [(&str, &str); 3] = [
    ("barrel-5.5-2.1", "barrel-2.1-angled"),
    ("barrel-5.5-2.5", "barrel-2.5-angled"),
    ("jack-3.5-ts", "jack-3.5-ts"),
];

/// Two outlets of these connectors, the second much stronger, and two devices of these inlets, each with what its document says
/// besides.
fn board(usual: Option<&str>, outlets: [&str; 2], inlets: [&str; 2], besides: [&str; 2]) -> String {
    let mut text = String::from(
        "format = 1\n[job]\ntitle = \"plugs\"\nmains = { volts = \"230 V\", hertz = \"50 Hz\" }\n[board]\nkind = \"flat-560x330\"\n",
    );
    if let Some(plug) = usual {
        let _ = writeln!(text, "[leads]\ndc = {{ cable = \"dc-0.22\", plug = \"{plug}\" }}");
    }
    text.push_str("[[device]]\ntag = \"S\"\nrole = \"brick\"\npower = { type = \"mains\", volts = \"100 V to 240 V\" }\n");
    for (number, (connector, current)) in outlets.iter().zip(["100 mA", "500 mA"]).enumerate() {
        let _ = writeln!(
            text,
            "outlet.{} = {{ type = \"dc\", setting = [{{ volts = \"9 V\", current = \"{current}\" }}], sign = \"centre-negative\", isolation = \"isolated\", connector = \"{connector}\" }}",
            number + 1
        );
    }
    let devices = ["A", "B"].iter().zip(inlets).zip(besides);
    for (((tag, connector), besides), current) in devices.zip(["60 mA", "20 mA"]) {
        let _ = writeln!(
            text,
            "[[device]]\ntag = \"{tag}\"\npower = {{ type = \"dc\", volts = \"9 V\", current = \"{current}\", sign = \"centre-negative\", class = \"digital\", positive_ground = false }}\nport.DC = {{ role = \"power\", connector = \"{connector}\" }}\n{besides}"
        );
    }
    text
}

#[test]
fn feeds_that_are_written_are_found_again() {
    let any = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/presses/one-polarity.toml");
    let job = document::read(&any, None).expect("it is there");
    let mut written = 0;
    for usual in [None, Some(SIZES[0].1), Some(SIZES[1].1)] {
        for all in 0..81_usize {
            let at = |place: u32| SIZES[all / 3_usize.pow(place) % 3].0;
            let text = board(usual, [at(0), at(1)], [at(2), at(3)], ["", ""]);
            let job = job.with_text(&text).unwrap_or_else(|error| panic!("{error:?}\n{text}"));
            let design = design::derive(job.rig.clone(), job.limits.clone());
            let outcome = design.allocation();
            assert!(outcome.unserved.is_empty(), "{text}");
            let text = document::edit::apply(job.text(), &outcome.edit).expect("it can be written");
            let again = job.with_text(&text).unwrap_or_else(|error| panic!("{error:?}\n{text}"));
            let then = design::derive(again.rig.clone(), again.limits.clone());
            assert_eq!(then.allocation().objective, outcome.objective, "{text}");
            assert_eq!(then.allocation().edit.changes, [], "{text}");
            let stops: Vec<String> = checks::check_stated(&then)
                .into_iter()
                .filter(|finding| finding.rule == "supply-barrel" && finding.is_open_stop())
                .map(|finding| finding.message)
                .collect();
            assert!(stops.is_empty(), "{stops:?}\n{text}");
            written += 1;
        }
    }
    assert_eq!(written, 243);
}

/// Inlets of every family that a usual lead may not fit.
const INLETS: [&str; 5] = ["barrel-5.5-2.1", "barrel-5.5-2.5", "jack-3.5-ts", "snap-9v", "terminals"];

#[test]
fn a_feed_that_stays_gets_the_plugs_that_it_lacks_locked_or_not() {
    let any = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/presses/one-polarity.toml");
    let job = document::read(&any, None).expect("it is there");
    for usual in [None, Some(SIZES[0].1), Some(SIZES[1].1)] {
        for (outlet, _) in SIZES {
            for inlet in INLETS {
                for feed in
                    ["feed = { outlets = [\"S.1\"] }", "feed = { outlets = [\"S.1\"], locked = true }"]
                {
                    let text = board(usual, [outlet, outlet], [inlet, inlet], [feed, ""]);
                    let job = job.with_text(&text).unwrap_or_else(|error| panic!("{error:?}\n{text}"));
                    let design = design::derive(job.rig.clone(), job.limits.clone());
                    let outcome = design.allocation();
                    let text = document::edit::apply(job.text(), &outcome.edit).expect("it can be written");
                    let again = job.with_text(&text).unwrap_or_else(|error| panic!("{error:?}\n{text}"));
                    let then = design::derive(again.rig.clone(), again.limits.clone());
                    let now =
                        again.rig.device("A").and_then(|device| device.feed.as_ref()).expect("it is fed");
                    let locked = feed.contains("locked");
                    assert_eq!(now.locked, locked, "{text}");
                    assert!(!locked || now.outlets[0].port == "1", "{text}");
                    assert_eq!(then.allocation().edit.changes, [], "{text}");
                    let stops: Vec<String> = checks::check_stated(&then)
                        .into_iter()
                        .filter(|finding| finding.rule == "supply-barrel" && finding.is_open_stop())
                        .map(|finding| finding.message)
                        .collect();
                    assert!(stops.is_empty(), "{stops:?}\n{text}");
                }
            }
        }
    }
}

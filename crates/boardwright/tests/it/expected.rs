//! Every planted trouble is found by its rule, and the corrected twins have nothing of severity *stop*.
//!
//! `expected.toml` beside an example was written by hand before the rules could produce it.

use finding::Severity;

use crate::jobs::{example, findings, names, text};

struct Expectation {
    rule: String,
    severity: String,
    devices: Vec<String>,
}

fn expectations(name: &str) -> Vec<Expectation> {
    let text = std::fs::read_to_string(example(name).join("expected.toml")).unwrap_or_default();
    let document: toml_edit::DocumentMut = text.parse().expect("expected.toml is TOML");
    let Some(entries) = document.get("expect").and_then(toml_edit::Item::as_array_of_tables) else {
        return Vec::new();
    };
    entries
        .iter()
        .map(|entry| {
            let mut devices: Vec<String> = entry["devices"]
                .as_array()
                .expect("devices")
                .iter()
                .map(|tag| tag.as_str().expect("a tag").to_owned())
                .collect();
            devices.sort();
            Expectation {
                rule: entry["rule"].as_str().expect("rule").to_owned(),
                severity: entry["severity"].as_str().expect("severity").to_owned(),
                devices,
            }
        })
        .collect()
}

#[test]
fn planted_troubles_are_found_and_nothing_else_stops() {
    let mut planted = 0;
    for name in names().iter().filter(|name| !name.ends_with("-corrected")) {
        let expected = expectations(name);
        assert!(!expected.is_empty(), "{name} says what is planted");
        let findings = findings(&text(name)).unwrap_or_else(|error| panic!("{name}: {error}"));
        for want in &expected {
            planted += 1;
            // Told alone, or as one of the cases that a cause touches.
            let found = findings.iter().filter(|finding| finding.rule == want.rule).any(|finding| {
                finding
                    .cases()
                    .iter()
                    .any(|case| case.severity.word() == want.severity && case.devices == want.devices)
            });
            assert!(found, "{name}: {} {} {:?} is not found", want.severity, want.rule, want.devices);
        }
        for finding in &findings {
            for case in finding.cases().iter().filter(|case| case.severity == Severity::Stop) {
                let wanted =
                    expected.iter().any(|want| want.rule == finding.rule && want.devices == case.devices);
                assert!(wanted, "{name}: nobody planted {}: {}", finding.rule, case.message);
            }
        }
    }
    assert!(10 <= planted, "the examples have troubles planted: {planted}");
}

#[test]
fn corrected_twins_do_not_stop() {
    let twins: Vec<String> = names().into_iter().filter(|name| name.ends_with("-corrected")).collect();
    assert!(2 <= twins.len());
    for name in twins {
        let job = document::read_text("rig.toml", &text(&name), None)
            .unwrap_or_else(|error| panic!("{name}: {error}"));
        assert!(
            job.rig.acceptances.iter().all(|answer| 20 <= answer.reason.len() && answer.by.is_some()),
            "{name}: every answer has its reason, and somebody who gives it"
        );
        let own = document::read_text("rig.toml", &text(name.trim_end_matches("-corrected")), None);
        let pedals = |rig: &rig::Rig| {
            let mut tags: Vec<String> =
                rig.devices.iter().filter(|d| d.role == rig::Role::Pedal).map(|d| d.tag.clone()).collect();
            tags.sort();
            tags
        };
        assert_eq!(
            pedals(&job.rig),
            pedals(&own.unwrap_or_else(|error| panic!("{error}")).rig),
            "{name}: same devices"
        );
        let findings = checks::check(&design::derive(job.rig, job.limits).laid());
        let stops: Vec<&str> =
            findings.iter().filter(|f| f.severity == Severity::Stop).map(|f| f.message.as_str()).collect();
        assert!(stops.is_empty(), "{name}: {stops:?}");
    }
}

//! Merging, sorting and acceptances.

use std::collections::BTreeSet;

use finding::Severity;
use quantity::Milliamps;
use rig::{Known, Rig};

use crate::build::{clean, device, found, know, outlet_of, port_of};
use crate::cases::{accept, firing};

/// The rig of all faults at once that a small rig can have.
fn bad() -> Rig {
    let mut rig = clean();
    device(&mut rig, "A1").power.current = know(Milliamps::of(600.0));
    device(&mut rig, "A2").feed = None;
    port_of(&mut rig, "A2", "IN").z = Known::default();
    outlet_of(&mut rig, "1").sign = Known::default();
    device(&mut rig, "A1").place = crate::build::at("main", 560, 40);
    rig
}

#[test]
fn no_two_findings_share_an_identity() {
    for rig in firing().into_iter().map(|case| case.rig).chain([bad()]) {
        let found = found(rig);
        let identities: BTreeSet<_> = found.iter().map(finding::Finding::identity).collect();
        assert_eq!(identities.len(), found.len());
    }
}

#[test]
fn findings_are_sorted_by_severity_rule_and_devices() {
    let found = found(bad());
    let keys: Vec<_> = found.iter().map(|f| (f.severity, f.rule, f.devices.clone())).collect();
    let mut sorted = keys.clone();
    sorted.sort();
    assert_eq!(keys, sorted);
    assert!(4 <= found.len());
}

#[test]
fn the_same_rig_gives_the_same_findings() {
    assert_eq!(found(bad()), found(bad()));
}

#[test]
fn findings_of_one_identity_are_merged_and_the_worst_speaks() {
    // Outlet 1 feeds both: too much for it, and analogue devices that draw much together.
    let mut rig = clean();
    device(&mut rig, "A2").feed = Some(crate::build::feed(&["1"]));
    device(&mut rig, "A2").signal.gain = know(quantity::Decibels::of(40.0));
    let found = found(rig);
    let own: Vec<_> = found.iter().filter(|f| f.rule == "shared-outlet").collect();
    assert_eq!(own.len(), 1);
    assert!(
        own[0].touched.iter().any(|case| case.message.starts_with("A2 has 40 dB of gain")),
        "{:?}",
        own[0].touched
    );
}

#[test]
fn an_accepted_finding_keeps_its_severity_and_says_why() {
    let mut rig = bad();
    accept(&mut rig, "no-feed", &["A2"]);
    let found = found(rig);
    let own = found.iter().find(|f| f.rule == "no-feed").expect("the case is whole");
    assert_eq!(own.severity, Severity::Stop);
    assert_eq!(own.accepted.as_ref().expect("the case is whole").reason, "seen on the bench");
    assert!(!own.is_open_stop());
    assert!(!found.iter().any(|f| f.rule == "acceptance"));
}

#[test]
fn an_acceptance_must_name_what_is_there() {
    let said = |rule: &str, devices: &[&str]| {
        let mut rig = bad();
        accept(&mut rig, rule, devices);
        let found = found(rig);
        let own: Vec<_> =
            found.iter().filter(|f| f.rule == "acceptance").map(|f| f.message.clone()).collect();
        own.join("; ")
    };
    assert_eq!(
        said("outlet-laod", &["A1", "SUP"]),
        "the answer names rule outlet-laod, which does not exist, perhaps outlet-load is meant"
    );
    assert_eq!(said("no-feed", &["A9"]), "the answer to no-feed names A9, a device not in this rig");
    assert_eq!(
        said("no-feed", &["A1"]),
        "the answer to no-feed for A1 matches nothing that is found; it is found on A2"
    );
    // The order in which devices are written does not matter.
    assert_eq!(said("outlet-load", &["SUP", "A1"]), "");
    assert_eq!(said("outlet-load", &["A1", "SUP"]), "");
}

#[test]
fn an_acceptance_without_a_reason_or_given_twice_does_not_count() {
    let mut rig = bad();
    accept(&mut rig, "no-feed", &["A2"]);
    rig.acceptances[0].reason = " ".into();
    let all = found(rig.clone());
    assert!(all.iter().find(|f| f.rule == "no-feed").expect("the case is whole").is_open_stop());
    assert!(
        all.iter().any(|f| f.message == "the answer to no-feed for A2 gives no reason, so it does not count")
    );
    rig.acceptances[0].reason = "runs on a battery".into();
    accept(&mut rig, "no-feed", &["A2"]);
    let all = found(rig);
    assert!(all.iter().any(|f| f.message == "no-feed for A2 is answered twice"));
}

#[test]
fn assumed_values_are_named() {
    let mut rig = clean();
    device(&mut rig, "A1").power.current = Known::new(Milliamps::of(600.0), rig::Provenance::Assumed);
    let found = found(rig);
    let own = found.iter().find(|f| f.rule == "outlet-load").expect("the case is whole");
    assert_eq!(own.assumed.iter().map(ToString::to_string).collect::<Vec<_>>(), ["device.A1.power.current"]);
    let margin = own.evidence.as_ref().expect("the case is whole").margin().expect("the case is whole");
    assert_eq!(margin.to_string(), "−100 mA");
}

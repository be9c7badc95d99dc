//! What one more device would do, against rigs that have it.

use rig::{Bypass, Rig};
use signal::{BufferSearch, Config, OneMoreEverywhere, Outcome, answers, asked, solve_with};

use crate::rigs::{device, input, string, volume};

fn solved(rig: &Rig) -> (Outcome, OneMoreEverywhere) {
    // The rigs' own leads on the board are of half a metre.
    let (input, config) = (input(rig), Config { lead: 0.5, ..Config::default() });
    let outcome = solve_with(&input, &config, BufferSearch::Skip);
    let found = answers(&input, &config, &outcome).remove(0).one_more.expect("exact");
    (outcome, found)
}

/// Hard-bypass devices in a row, with a buffer at a place where that is asked for.
fn row(count: usize, extra: Option<(usize, Bypass)>) -> Rig {
    let mut devices: Vec<_> =
        (1..=count).map(|number| device(&format!("A{number}"), Bypass::Hard, 1e6, 1e3)).collect();
    if let Some((at, bypass)) = extra {
        devices.insert(at, device("X", bypass, 1e6, 100.0));
    }
    string(devices)
}

#[test]
fn a_device_at_every_place_comes_to_what_a_rig_that_has_it_comes_to() {
    for count in [1, 3, 6] {
        let (outcome, found) = solved(&row(count, None));
        let worst = |outcome: &Outcome| outcome.ways[0].judged().worst.change_at_4k_db.abs();
        assert!((found.now.change_at_4k_db - worst(&outcome)).abs() < 1e-9);
        assert!(found.complete && found.at.len() == count + 1, "{found:?}");
        for (index, one) in found.at.iter().enumerate() {
            // The first place is before the first device, the last behind the last.
            let (with, _) = solved(&row(count, Some((index, Bypass::Hard))));
            assert!(
                (one.bypassed.change_at_4k_db - worst(&with)).abs() < 0.02,
                "{count}, {}: {} for {}",
                one.place,
                one.bypassed.change_at_4k_db,
                worst(&with)
            );
            assert!(one.bypassed.change_at_4k_db >= found.now.change_at_4k_db - 1e-9);
            let (with, _) = solved(&row(count, Some((index, Bypass::AlwaysOn))));
            let buffered = one.buffered.expect("nothing wants the bare pickup").change_at_4k_db;
            assert!((buffered - worst(&with)).abs() < 0.1, "{count}, {}: {buffered}", one.place);
        }
    }
}

#[test]
fn no_buffer_is_weighed_before_a_device_that_wants_the_bare_pickup() {
    let mut rig = row(3, None);
    rig.devices[1].signal.bare_pickup = crate::rigs::known(true);
    let (outcome, found) = solved(&rig);
    let told: Vec<(String, bool)> =
        found.at.iter().map(|one| (one.place.to_string(), one.buffered.is_some())).collect();
    let wanted =
        [("before A1.IN", false), ("after A1.OUT", false), ("after A2.OUT", true), ("after A3.OUT", true)];
    assert_eq!(told, wanted.map(|(place, may)| (place.to_owned(), may)));
    let (input, config) = (input(&rig), Config::default());
    let answers = answers(&input, &config, &outcome).remove(0);
    let said: Vec<String> = asked(&answers, &outcome.ways[0]).into_iter().map(|said| said.question).collect();
    assert_eq!(
        said,
        [
            "longest lead from guitar",
            "longest lead to amp",
            "one more device, hard bypass",
            "one more device, buffered"
        ]
    );
}

#[test]
fn a_volume_pedal_counts_over_its_whole_travel() {
    let rig = |extra: Option<usize>| {
        let mut devices = vec![
            device("A1", Bypass::Hard, 1e6, 1e3),
            volume("V", Bypass::AlwaysOn, 1e6),
            device("A2", Bypass::Hard, 1e6, 1e3),
        ];
        if let Some(at) = extra {
            devices.insert(at, device("X", Bypass::Hard, 1e6, 100.0));
        }
        string(devices)
    };
    let worst = |outcome: &Outcome| outcome.ways[0].treble().expect("exact").0.abs();
    let (outcome, found) = solved(&rig(None));
    // With the pedal where it stands less is lost than with it half way.
    assert!(outcome.ways[0].turned_worst().is_some());
    assert!((found.now.change_at_4k_db - worst(&outcome)).abs() < 1e-9);
    assert_eq!(found.at.len(), 4);
    for (index, one) in found.at.iter().enumerate() {
        let (with, _) = solved(&rig(Some(index)));
        let bypassed = one.bypassed.change_at_4k_db;
        assert!((bypassed - worst(&with)).abs() < 0.05, "{}: {bypassed} for {}", one.place, worst(&with));
    }
}

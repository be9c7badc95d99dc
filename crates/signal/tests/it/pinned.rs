//! Cases that a model of boundaries alone gets wrong: each device there is a wall with an impedance on either side,
//! each switch its own, and what is off is not there.
//!
//! The pinned levels come from a nodal solver written apart, fed element by element by hand, state by state.

use rig::{Bypass, Rig};
use signal::{Band, BufferSearch, Config, Input, grid, solve_with};

use crate::rigs::{add_run, amp, device, guitar, input, string, switcher, volume};

fn band(input: &Input<'_>) -> Band {
    let outcome = solve_with(input, &Config::default(), BufferSearch::Skip);
    let band = outcome.ways[0].band.clone();
    assert!(band.exact);
    band
}

fn near(found: f64, pinned: f64) {
    assert!((found - pinned).abs() < 0.0001, "found {found}, pinned {pinned}");
}

#[test]
fn a_switchable_passive_volume_is_no_wall() {
    let mut rig = string(vec![volume("VOL", Bypass::Hard, 250e3), device("DRV", Bypass::Hard, 500e3, 10e3)]);
    let exact = {
        let mut input = input(&rig);
        input.travel.insert("VOL".into(), 0.5);
        band(&input)
    };
    // As a wall it would show 250 kΩ to the coil and 62.5 kΩ to the drive, and hide the one from the other.
    rig.devices[0].signal.passive = false;
    let wall = band(&input(&rig));
    near(exact.lower_db[grid::AT_4K], -6.8054);
    near(exact.upper_db[grid::AT_4K], 3.3677);
    let apart = wall.lower_db[grid::AT_4K] - exact.lower_db[grid::AT_4K];
    assert!(6.0 < apart, "{apart}");
}

#[test]
fn one_switch_for_two_devices_is_not_two_switches() {
    let rig = string(vec![device("BUF", Bypass::Hard, 1e6, 100.0), device("LOW", Bypass::Hard, 20e3, 1e3)]);
    let together = {
        let mut input = input(&rig);
        input.together.push(vec!["BUF".into(), "LOW".into()]);
        band(&input)
    };
    let apart = band(&input(&rig));
    // LOW on with BUF off is a state that only two switches have.
    near(apart.lower_db[grid::AT_4K], -10.4729);
    near(together.lower_db[grid::AT_4K], 1.6489);
    let state = together.lower_state[grid::AT_4K].expect("exact");
    assert!(together.states[state].is_empty() || together.states[state] == ["BUF", "LOW"]);
}

#[test]
fn devices_that_are_off_inside_a_loop_still_hang_their_leads_on_the_coil() {
    let mut rig = Rig { sources: vec![guitar("guitar")], sinks: vec![amp("amp")], ..Rig::default() };
    rig.devices = vec![
        switcher("SW", 1, false),
        device("A", Bypass::Hard, 1e6, 1e3),
        device("B", Bypass::Hard, 1e6, 1e3),
        device("C", Bypass::Hard, 1e6, 1e3),
    ];
    add_run(&mut rig, "main", &["guitar", "SW.IN", "SW.S1", "A", "B", "C", "SW.R1", "SW.OUT", "amp"]);
    let band = band(&input(&rig));
    let state = band.lower_state[grid::AT_4K].expect("exact");
    // The worst is the loop in with nothing on in it, which no boundary shows.
    assert_eq!(band.states[state], ["SW.L1"]);
    near(band.lower_db[grid::AT_4K], -1.5711);
    near(band.upper_db[grid::AT_4K], 4.2136);
}

/// A stereo switcher of one loop: two conductors, each with its own way in, loop and way out.
fn stereo_switcher() -> rig::Device {
    let mut device = switcher("SW", 2, false);
    for (old, new) in [("IN", "IN_R"), ("OUT", "OUT_R")] {
        let mut port = device.port(old).expect("it has one").clone();
        port.name = new.into();
        device.ports.push(port);
    }
    device
}

fn reached(outcome: &signal::Outcome) -> Vec<(&str, &str)> {
    outcome.ways.iter().map(|way| (way.source.as_str(), way.sink.as_str())).collect()
}

#[test]
fn the_two_conductors_of_a_stereo_switcher_do_not_meet() {
    let pedals = || ["A", "B"].map(|tag| device(tag, Bypass::Hard, 500e3, 1e3));
    let mut rig = Rig { sources: vec![guitar("left"), guitar("right")], ..Rig::default() };
    rig.sinks = vec![amp("amp l"), amp("amp r")];
    rig.devices = vec![stereo_switcher()];
    rig.devices.extend(pedals());
    add_run(&mut rig, "l", &["left", "SW.IN", "SW.S1", "A", "SW.R1", "SW.OUT", "amp l"]);
    add_run(&mut rig, "r", &["right", "SW.IN_R", "SW.S2", "B", "SW.R2", "SW.OUT_R", "amp r"]);
    let mut both = input(&rig);
    both.together.push(vec!["SW.L1".into(), "SW.L2".into()]);
    let both = solve_with(&both, &Config::default(), BufferSearch::Skip);
    assert_eq!(reached(&both), [("left", "amp l"), ("right", "amp r")]);
    assert!(both.branches.is_empty(), "{:?}", both.branches);
    // Each is what it is in a switcher of its own.
    let mut alone = Rig { sources: vec![guitar("left")], sinks: vec![amp("amp l")], ..Rig::default() };
    alone.devices = vec![switcher("SW", 1, false)];
    alone.devices.extend(pedals().into_iter().take(1));
    add_run(&mut alone, "l", &["left", "SW.IN", "SW.S1", "A", "SW.R1", "SW.OUT", "amp l"]);
    let alone = band(&input(&alone));
    for (ours, alone) in both.ways[0].band.lower_db.iter().zip(&alone.lower_db) {
        assert!((ours - alone).abs() < 1e-9, "{ours} {alone}");
    }
}

#[test]
fn mono_into_a_stereo_loop_reaches_both_sides() {
    let mut rig = Rig { sources: vec![guitar("guitar")], ..Rig::default() };
    rig.sinks = vec![amp("amp l"), amp("amp r")];
    rig.devices = vec![stereo_switcher()];
    rig.devices.extend(["A", "B"].map(|tag| device(tag, Bypass::Hard, 500e3, 1e3)));
    add_run(&mut rig, "l", &["guitar", "SW.IN", "SW.S1", "A", "SW.R1", "SW.OUT", "amp l"]);
    add_run(&mut rig, "r", &["SW.S2", "B", "SW.R2", "SW.OUT_R", "amp r"]);
    let outcome = solve_with(&input(&rig), &Config::default(), BufferSearch::Skip);
    assert_eq!(reached(&outcome), [("guitar", "amp l"), ("guitar", "amp r")]);
}

#[test]
fn exclusive_devices_are_never_on_together() {
    let rig = string(vec![device("A", Bypass::Hard, 20e3, 50e3), device("B", Bypass::Hard, 20e3, 50e3)]);
    let mut input = input(&rig);
    let both = band(&input);
    input.exclusive.push(vec!["A".into(), "B".into()]);
    let one = band(&input);
    assert!(both.lower_db[grid::AT_1K] < one.lower_db[grid::AT_1K] - 3.0);
    assert!(one.states.iter().all(|state| state.len() < 2));
}

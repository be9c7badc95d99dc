//! A loop beside the sound: what comes in goes out and to the send, and what the return brings is mixed in.

use quantity::Seconds;
use rig::{Bypass, Purpose, Rig, State};
use signal::{BufferSearch, Config, Outcome, solve_with};

use crate::rigs::{add_run, amp, device, guitar, input, known, port, without_pots};

/// A box that blends, by its jacks' roles alone, with a pedal of as high an input and as low an output in its loop.
fn blend(bypass: Bypass, inverts: bool, in_one_run: bool) -> Rig {
    let mut rig = Rig { sources: vec![guitar("guitar")], sinks: vec![amp("amp")], ..Rig::default() };
    let mut boxed = device("BL", bypass, 1e6, 1.0);
    boxed.ports.push(port("SEND", rig::PortRole::Send, Some(1.0)));
    boxed.ports.push(port("RET", rig::PortRole::Return, Some(1e6)));
    let mut wet = device("WET", Bypass::AlwaysOn, 1e6, 1.0);
    wet.signal.inverts = known(inverts);
    rig.devices = vec![boxed, wet];
    if in_one_run {
        add_run(&mut rig, "main", &["guitar", "BL.IN", "BL.SEND", "WET", "BL.RET", "BL.OUT", "amp"]);
    } else {
        add_run(&mut rig, "main", &["guitar", "BL.IN", "BL.OUT", "amp"]);
        add_run(&mut rig, "wet", &["BL.SEND", "WET", "BL.RET"]);
    }
    rig.states.push(State { name: "on".into(), engaged: vec!["BL".into()] });
    rig
}

fn solved(rig: &Rig) -> Outcome {
    solve_with(&input(rig), &Config::default(), BufferSearch::Skip)
}

/// The largest and the smallest level of a state over that of the box without its loop, as a ratio.
fn over_dry(rig: &Rig, state: usize) -> [f64; 2] {
    let mut dry = rig.clone();
    dry.runs.clear();
    add_run(&mut dry, "main", &["guitar", "BL.IN", "BL.OUT", "amp"]);
    let [wet, dry] = [rig, &dry].map(|rig| solved(rig).ways[0].states[state].response.clone());
    let ratios = wet.iter().zip(&dry).map(|(wet, dry)| wet.size() / dry.size());
    ratios.fold([f64::INFINITY, 0.0], |[least, most], ratio| [least.min(ratio), most.max(ratio)])
}

#[test]
fn what_a_loop_beside_the_sound_brings_back_adds_to_what_goes_through() {
    for in_one_run in [false, true] {
        let rig = blend(Bypass::AlwaysOn, false, in_one_run);
        let outcome = solved(&rig);
        // A return never drives its own send.
        assert_eq!(outcome.rings, []);
        let [least, most] = over_dry(&rig, 0);
        // Two alike are twice one, less what 1 Ω and some metres of lead lose into 1 MΩ and 200 pF.
        assert!(1.999 < least && most < 2.001, "{least} to {most}");
        let sum = outcome.branches.iter().find(|one| one.meets.as_deref() == Some("BL")).expect("they meet");
        assert_eq!(sum.opposite, Some(false));
    }
}

#[test]
fn an_inverting_loop_beside_the_sound_cancels_it() {
    let rig = blend(Bypass::AlwaysOn, true, false);
    let [_, most] = over_dry(&rig, 0);
    assert!(most < 1e-2, "{most}");
    let sum = &solved(&rig).branches[0];
    assert_eq!((sum.meets.as_deref(), sum.opposite), (Some("BL"), Some(true)));
}

#[test]
fn a_late_loop_beside_the_sound_adds_as_the_cosine_of_half_its_phase() {
    // |1 + e^(−jωΔt)| = 2·|cos(ωΔt/2)|.
    let mut rig = blend(Bypass::AlwaysOn, false, false);
    rig.devices[1].signal.latency = known(Seconds::of(1e-3));
    let outcome = solved(&rig);
    let alone = solved(&blend(Bypass::AlwaysOn, false, false));
    let pairs = outcome.ways[0].states[0].response.iter().zip(&alone.ways[0].states[0].response);
    for ((hertz, late), prompt) in
        outcome.frequencies.iter().zip(pairs.clone().map(|pair| pair.0)).zip(pairs.map(|pair| pair.1))
    {
        let wanted = libm::cos(std::f64::consts::PI * hertz * 1e-3).abs();
        assert!((late.size() / prompt.size() - wanted).abs() < 2e-3, "{hertz} Hz");
    }
    assert_eq!(outcome.branches[0].notch.map(f64::round), Some(500.0));
}

#[test]
fn bypassed_a_box_that_blends_hands_on_the_dry_sound_alone() {
    for bypass in [Bypass::Hard, Bypass::Relay, Bypass::Buffered] {
        let rig = blend(bypass, false, false);
        let [least, most] = over_dry(&rig, 0);
        assert!(0.999 < least && most < 1.001, "{bypass:?} bypassed: {least} to {most}");
        let [least, most] = over_dry(&rig, 1);
        assert!(1.999 < least && most < 2.001, "{bypass:?} engaged: {least} to {most}");
    }
}

#[test]
fn the_gain_of_a_box_that_blends_counts_once_in_its_loop() {
    // 20 dB at the output, none at the send: twice the dry sound whatever that gain is.
    let mut rig = blend(Bypass::AlwaysOn, false, false);
    rig.devices[0].signal.gain = known(quantity::Decibels::of(20.0));
    rig.devices[1].ports[0].z = known(quantity::Ohms::of(1e6));
    let at = |outcome: &Outcome, port: &str| {
        outcome.levels.iter().find(|level| level.port == port).expect("told").db
    };
    let outcome = solved(&rig);
    assert!((at(&outcome, "WET.IN") - at(&outcome, "BL.IN")).abs() < 0.01);
    assert!((at(&outcome, "amp") - at(&outcome, "BL.IN") - 26.02).abs() < 0.05);
}

#[test]
fn an_insert_says_that_what_comes_back_replaces_what_went_out() {
    let mut rig = blend(Bypass::AlwaysOn, false, false);
    rig.devices[0].inserts.push(rig::Insert {
        name: "L".into(),
        send: "SEND".into(),
        back: "RET".into(),
        normal: known(rig::Normal::Full),
        wiring: rig::Known::default(),
        return_z: rig::Known::default(),
    });
    let [least, most] = over_dry(&rig, 0);
    assert!(0.999 < least && most < 1.001, "{least} to {most}");
}

#[test]
fn a_source_that_joins_in_a_mixer_goes_on_as_the_run_it_joins() {
    let mut rig = Rig {
        sources: vec![guitar("one"), guitar("two")],
        sinks: vec![amp("amp"), amp("desk")],
        ..Rig::default()
    };
    without_pots(&mut rig.sources[1], rig::PickupKind::Active);
    let mut mix = device("MX", Bypass::AlwaysOn, 1e6, 1e3);
    mix.ports.push(port("IN_B", rig::PortRole::In, Some(1e6)));
    let mut pre = device("PRE", Bypass::AlwaysOn, 1e6, 1e3);
    pre.ports.push(port("XLR", rig::PortRole::Out, Some(5e3)));
    rig.devices = vec![mix, pre];
    add_run(&mut rig, "one", &["one", "MX", "PRE", "amp"]);
    add_run(&mut rig, "two", &["two", "MX.IN_B"]);
    add_run(&mut rig, "desk", &["PRE.XLR", "desk"]);
    let aside = |rig: &Rig| -> Vec<(String, String, bool)> {
        let ways = solved(rig).ways.into_iter();
        ways.map(|way| (way.source, way.sink, way.aside)).collect()
    };
    let of = |found: &[(String, String, bool)], sink: &str| -> Vec<bool> {
        found.iter().filter(|way| way.1 == sink).map(|way| way.2).collect()
    };
    rig.runs[2].purpose = Some(Purpose::DryFeed);
    let found = aside(&rig);
    assert_eq!((of(&found, "desk"), of(&found, "amp")), (vec![true, true], vec![false, false]));
    // What branches off behind an effect is none, whoever joins it.
    rig.runs[2].purpose = None;
    rig.devices[1].signal.bypass = known(Bypass::Hard);
    assert_eq!(of(&aside(&rig), "desk"), [false, false]);
}

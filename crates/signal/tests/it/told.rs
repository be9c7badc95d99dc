//! What an answer rests on, what clips before it is reached, and what helps where nothing is enough.

use quantity::{Decibels, Length, Ohms, Volts, Window};
use rig::{Bypass, Nature, PortRole, Purpose, Rig};
use signal::{AdviceStatus, BufferSearch, Config, Longest, answers, asked, lacks_words, solve, solve_with};

use crate::rigs::{add_run, amp, device, guitar, input, known, port, string, volume};

#[test]
fn a_junction_names_what_always_stands_between_and_what_stands_in_for_it() {
    let giver = device("CO", Bypass::AlwaysOn, 1e6, 30e3);
    let mut di = device("DI", Bypass::AlwaysOn, 1e6, 150.0);
    di.ports = vec![port("IN", PortRole::In, None), port("OUT", PortRole::Out, None)];
    di.signal.passive = true;
    di.signal.transformer = known(true);
    di.signal.turns = known("12:1".parse().expect("turns"));
    let mut rig = string(vec![giver, di]);
    rig.sinks[0].z = known(Ohms::of(2e3));
    let outcome = solve_with(&input(&rig), &Config::default(), BufferSearch::Skip);
    let found =
        outcome.junctions.iter().find(|one| one.from == "CO.OUT" && one.to == "amp").expect("they meet");
    assert_eq!(found.through, ["DI"]);
    let lacks =
        outcome.lacks.iter().find(|field| field.to_string() == "device.DI.port.OUT.z").expect("lacks");
    let words = lacks_words(lacks, outcome.stand_ins.get(lacks).copied());
    assert_eq!(words, "impedance of jack OUT on DI (150 Ω stands in)");
}

/// Three boosts of 20 dB one after the other; the first takes 0.5 V, none is fed by more than 9 V.
fn boosts() -> Rig {
    let mut boosts: Vec<rig::Device> =
        ["A", "B", "C"].iter().map(|tag| device(tag, Bypass::AlwaysOn, 1e6, 100.0)).collect();
    for boost in &mut boosts {
        boost.signal.gain = known(Decibels::of(20.0));
        boost.power.nature = known(Nature::Dc);
        boost.power.volts = known(Window::exactly(Volts::of(9.0)));
    }
    string(boosts)
}

#[test]
fn a_level_beyond_what_comes_before_it_says_what_clips_first() {
    let mut rig = boosts();
    let before = |rig: &Rig, port: &str| {
        let outcome = solve_with(&input(rig), &Config::default(), BufferSearch::Skip);
        let level = outcome.levels.into_iter().find(|level| level.port == port).expect("told");
        level.clips_before.map(|found| (found.tag, found.volts, found.supply))
    };
    // A peak of 1 V comes to some 10 V behind the first: its 9 V give 4.5 V either way.
    assert_eq!(before(&rig, "A.IN"), None);
    assert_eq!(before(&rig, "B.IN"), Some(("A".into(), 4.5, Some(9.0))));
    assert_eq!(before(&rig, "amp"), Some(("A".into(), 4.5, Some(9.0))));
    // One that takes less than what comes in clips before that.
    rig.devices[0].signal.max_input = known(Volts::of(0.5));
    assert_eq!(before(&rig, "A.IN"), None);
    assert_eq!(before(&rig, "C.IN"), Some(("A".into(), 0.5, None)));
    // On 24 V the first has room, the second not.
    rig.devices[0].signal.max_input = rig::Known::default();
    rig.devices[0].power.volts = known(Window::exactly(Volts::of(24.0)));
    assert_eq!(before(&rig, "B.IN"), None);
    assert_eq!(before(&rig, "C.IN"), Some(("B".into(), 4.5, Some(9.0))));
}

#[test]
fn what_a_device_takes_at_another_supply_stands_beside_what_it_takes_now() {
    let mut rig = boosts();
    let at = |volts: f64, most: f64| rig::AtVolts {
        volts: Volts::of(volts),
        gain: None,
        max_input: Some(known(Volts::of(most))),
    };
    rig.devices[0].signal.at = vec![at(9.0, 1.0), at(18.0, 2.0)];
    let outcome = solve_with(&input(&rig), &Config::default(), BufferSearch::Skip);
    let level = outcome.levels.iter().find(|level| level.port == "A.IN").expect("told");
    let peak = level.peak.expect("known");
    let room = |most: f64| 20.0 * libm::log10(most / peak);
    let wanted = [(9.0, room(1.0)), (18.0, room(2.0))];
    // Nobody has said what feeds it: both are told.
    assert_eq!(level.at_other_supply.len(), 2);
    for (found, wanted) in level.at_other_supply.iter().zip(wanted) {
        assert!(found.0.total_cmp(&wanted.0).is_eq() && (found.1 - wanted.1).abs() < 1e-9);
    }
}

#[test]
fn no_lead_is_measured_against_limits_that_are_not_held() {
    let mut rig = string(vec![device("A", Bypass::Hard, 1e6, 1e3)]);
    rig.runs[0].purpose = Some(Purpose::DryFeed);
    let outcome = solve(&input(&rig), &Config::default());
    let way = &outcome.ways[0];
    assert!(way.aside);
    let found = answers(&input(&rig), &Config::default(), &outcome);
    assert_eq!((&found[0].lead_in, &found[0].one_more), (&Longest::NotFound, &None));
    assert_eq!(asked(&found[0], way), []);
    assert!(found[0].on.is_ok());
}

#[test]
fn with_a_volume_pedal_the_one_figure_is_called_what_it_is() {
    let rig = string(vec![volume("VP", Bypass::AlwaysOn, 250e3), device("A", Bypass::Hard, 1e6, 1e3)]);
    let outcome = solve(&input(&rig), &Config::default());
    let way = &outcome.ways[0];
    let found = answers(&input(&rig), &Config::default(), &outcome);
    let said = asked(&found[0], way);
    let one_more = said.iter().find(|said| said.question.starts_with("one more")).expect("answered");
    // What it says of now is what the rules hold against the limits.
    let now = found[0].one_more.as_ref().expect("known").now.change_at_4k_db;
    assert!((now - way.treble().expect("known").0.abs()).abs() < 1e-6);
    assert!(one_more.answer.contains("of tone with VP turned down"), "{}", one_more.answer);
    let lead = said.iter().find(|said| said.question.starts_with("longest lead from")).expect("answered");
    assert!(
        lead.answer.contains("held to 2 dB of treble, 1.5 dB of level and 20 % of resonance"),
        "{}",
        lead.answer
    );
}

#[test]
fn where_no_buffer_is_enough_the_one_that_helps_most_is_told() {
    let mut fuzz = device("FZ", Bypass::Hard, 10e3, 10e3);
    fuzz.signal.bare_pickup = known(true);
    let hard = |tag: &str| device(tag, Bypass::Hard, 1e6, 1e3);
    let mut rig = Rig { sources: vec![guitar("guitar")], sinks: vec![amp("amp")], ..Rig::default() };
    rig.devices = vec![hard("A"), hard("B"), fuzz, hard("C"), hard("D")];
    add_run(&mut rig, "main", &["guitar", "A", "B", "FZ", "C", "D", "amp"]);
    let mut input = input(&rig);
    for lead in &mut input.leads {
        lead.length = known(Length::from_mm(5000));
    }
    let advice = solve(&input, &Config::default()).advice;
    assert_eq!((advice.status, advice.alternatives.len()), (AdviceStatus::NoneFound, 0));
    let helps = advice.helps.expect("one helps");
    assert_eq!(helps.places.iter().map(ToString::to_string).collect::<Vec<_>>(), ["after FZ.OUT"]);
    assert!(helps.after.change_at_4k_db + 1.0 < advice.before.change_at_4k_db);
    assert!(Config::default().change_limit < helps.after.change_at_4k_db);
}

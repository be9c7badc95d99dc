//! What the outcome says of small rigs: levels, parity, delay, silence, what is lacking, JSON and circuit files.

use quantity::{Decibels, Seconds, Volts};
use rig::{Bypass, Normal, PortRole, Rig, State};
use signal::{BufferSearch, Config, EVERYTHING_OFF, circuit, grid, json, solve, solve_with, spice};

use crate::rigs::{add_run, amp, device, guitar, input, known, panel, port, string};

fn on(name: &str, tags: &[&str]) -> State {
    State { name: name.into(), engaged: tags.iter().map(|&tag| tag.to_owned()).collect() }
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let mut rig = string((1..=6).map(|n| device(&format!("D{n}"), Bypass::Hard, 1e6, 1e3)).collect());
    rig.states.push(on("solo", &["D2", "D5"]));
    let input = input(&rig);
    let config = Config::default();
    let told = || serde_json::to_string(&json(&solve(&input, &config), &input, &config)).expect("JSON");
    assert_eq!(told(), told());
}

#[test]
fn json_holds_what_outside_checkers_need() {
    let mut rig = string((1..=3).map(|n| device(&format!("D{n}"), Bypass::Hard, 1e6, 1e3)).collect());
    rig.states.push(on("solo", &["D2"]));
    let input = input(&rig);
    let config = Config::default();
    let value = serde_json::to_value(json(&solve(&input, &config), &input, &config)).expect("JSON");
    let sink = &value["sinks"][0];
    for key in [
        "frequencies_hz",
        "reference_db",
        "exact",
        "envelope",
        "states",
        "worst",
        "resonance_hz",
        "network",
        "noise",
        "advice",
    ] {
        assert!(!sink[key].is_null(), "{key}");
    }
    for key in ["upper_db", "lower_db", "upper_state", "lower_state"] {
        assert_eq!(sink["envelope"][key].as_array().expect("a list").len(), 241, "{key}");
    }
    for key in ["level_db", "re", "im"] {
        assert_eq!(sink["states"]["solo"][key].as_array().expect("a list").len(), 241, "{key}");
    }
    for key in ["change_at_4k_db", "tone_change_db", "insertion_loss_1k_db"] {
        assert!(sink["worst"][key].is_number(), "{key}");
    }
    assert!(sink["worst"]["state"].is_array() && sink["resonance_hz"]["reference"].is_number());
    let elements = sink["network"]["states"]["solo"]["elements"].as_array().expect("a list");
    assert!(
        elements.iter().all(|element| ["R", "L", "C"].contains(&element["kind"].as_str().expect("a word")))
    );
}

#[test]
fn the_reference_is_the_same_guitar_without_the_board() {
    // A lead of 5 m into 1 MΩ with nothing between is the reference itself.
    let rig = string(Vec::new());
    let mut input = input(&rig);
    input.leads[0].length = rig.sources[0].lead;
    let way = solve_with(&input, &Config::default(), BufferSearch::Skip).ways.remove(0);
    for (own, reference) in way.states[0].level_db().iter().zip(&way.reference_db) {
        assert!((own - reference).abs() < 1e-9);
    }
    assert_eq!(way.states[0].name, EVERYTHING_OFF);
    assert!(way.band.worst.change_at_4k_db.abs() < 1e-9 && way.band.worst.insertion_loss_1k_db.abs() < 1e-9);
    assert_eq!(way.resonance.worst, way.resonance.reference);
}

#[test]
fn levels_carry_gains_and_leave_headroom() {
    let mut rig =
        string(vec![device("BOOST", Bypass::Hard, 1e6, 100.0), device("NEXT", Bypass::Buffered, 1e6, 100.0)]);
    rig.devices[0].signal.gain = known(Decibels::of(20.0));
    rig.devices[1].signal.max_input = known(Volts::of(4.5));
    rig.states.push(on("boost", &["BOOST"]));
    let outcome = solve_with(&input(&rig), &Config::default(), BufferSearch::Skip);
    let at = |state: &str| {
        let found = outcome.levels.iter().find(|level| level.state == state && level.port == "NEXT.IN");
        found.expect("there is one").clone()
    };
    let (off, boosted) = (at(EVERYTHING_OFF), at("boost"));
    let volts = |level: &signal::Level| level.dbu.expect("its peak is known");
    assert!((volts(&boosted) - volts(&off) - 20.0).abs() < 0.5, "{boosted:?} {off:?}");
    assert!((boosted.db - off.db - 20.0).abs() < 0.5, "{boosted:?} {off:?}");
    // With the gain of BOOST at 0 dB it does not clip.
    assert!(0.0 < boosted.least_headroom_db.expect("known"), "{boosted:?}");
    assert!(0.0 < off.headroom_db.expect("known") && boosted.headroom_db.expect("known") < -5.0);
    // The envelope leaves gain out.
    assert!(outcome.ways[0].states[1].level_db()[grid::AT_1K] < 1.0);
    // What NEXT gives is unknown in gain, and said so.
    let amp =
        outcome.levels.iter().find(|level| level.state == "boost" && level.port == "amp").expect("there");
    assert!(amp.lacks.iter().any(|field| field.to_string() == "device.NEXT.signal.gain"));
}

/// A splitter into two branches that meet in a mixer.
fn wet_and_dry() -> Rig {
    let mut rig = Rig { sources: vec![guitar("guitar")], sinks: vec![amp("amp")], ..Rig::default() };
    let mut split = device("SPLIT", Bypass::AlwaysOn, 1e6, 100.0);
    split.ports.push(port("OUT_2", PortRole::Out, Some(100.0)));
    let mut mix = device("MIX", Bypass::AlwaysOn, 1e6, 100.0);
    mix.ports = vec![
        port("IN_1", PortRole::In, Some(1e6)),
        port("IN_2", PortRole::In, Some(1e6)),
        port("OUT", PortRole::Out, Some(100.0)),
    ];
    let mut wet = device("WET", Bypass::Buffered, 1e6, 100.0);
    wet.signal.inverts = known(true);
    wet.signal.latency = known(Seconds::of(1e-3));
    rig.devices = vec![split, wet, mix];
    add_run(&mut rig, "dry", &["guitar", "SPLIT", "MIX.IN_1", "MIX.OUT", "amp"]);
    add_run(&mut rig, "wet", &["SPLIT.OUT_2", "WET", "MIX.IN_2"]);
    rig.states.push(on("wet", &["WET"]));
    rig
}

#[test]
fn branches_that_meet_are_compared() {
    let rig = wet_and_dry();
    let outcome = solve_with(&input(&rig), &Config::default(), BufferSearch::Skip);
    let [only] = outcome.branches.as_slice() else { panic!("{:?}", outcome.branches) };
    assert_eq!(only.sinks, ["amp", "amp"]);
    assert_eq!(only.opposite, Some(true));
    assert!((only.latency.expect("known") - 1e-3).abs() < 1e-12);
    // Opposite polarity: they cancel at nought and at multiples of 1/Δt.
    assert!((only.notch.expect("they sum") - 1000.0).abs() < 1e-6);
    assert_eq!(only.meets.as_deref(), Some("MIX"));
    // Two equal halves in phase, as the small-signal network has it: 6 dB above one.
    let level = outcome.ways[0].states[0].level_db()[grid::AT_1K];
    assert!((5.5..6.5).contains(&level), "{level}");
    assert!(outcome.ways[0].band.exact);
}

#[test]
fn an_open_normal_is_silent_and_says_so() {
    for (normal, passes) in [(Normal::Full, true), (Normal::Half, true), (Normal::Open, false)] {
        let mut rig = Rig { sources: vec![guitar("guitar")], sinks: vec![amp("amp")], ..Rig::default() };
        // Wired from behind: what is plugged in front would lift the normal.
        rig.devices = ["A", "B"].map(|tag| device(tag, Bypass::Hard, 1e6, 1e3)).into();
        rig.devices.push(panel("PNL", normal));
        add_run(&mut rig, "main", &["guitar", "A", "PNL.S", "PNL.R", "B", "amp"]);
        let outcome = solve_with(&input(&rig), &Config::default(), BufferSearch::Skip);
        assert_eq!(!outcome.ways.is_empty(), passes, "{normal:?}");
        assert_eq!(outcome.notes.iter().any(|note| note.contains("PNL.S is open")), !passes);
    }
}

#[test]
fn something_plugged_into_an_insert_takes_the_place_of_its_normal() {
    let mut rig = Rig { sources: vec![guitar("guitar")], sinks: vec![amp("amp")], ..Rig::default() };
    rig.devices = vec![panel("PNL", Normal::Full), device("X", Bypass::AlwaysOn, 1e6, 1e3)];
    add_run(&mut rig, "main", &["guitar", "PNL.S", "PNL.R", "amp"]);
    add_run(&mut rig, "inserted", &["PNL.S", "X", "PNL.R"]);
    let outcome = solve_with(&input(&rig), &Config::default(), BufferSearch::Skip);
    assert!(outcome.junctions.iter().any(|junction| junction.from == "X.OUT" && junction.to == "amp"));
    assert!(!outcome.junctions.iter().any(|junction| junction.from == "guitar" && junction.to == "amp"));
}

#[test]
fn what_is_unknown_is_assumed_and_named() {
    let mut rig = string(vec![device("A", Bypass::Hard, 1e6, 1e3)]);
    rig.devices[0].ports[0].z = rig::Known::default();
    rig.devices[0].signal.bypass = rig::Known::default();
    rig.sources[0].pickup = rig::Pickup::default();
    let outcome = solve(&input(&rig), &Config::default());
    let lacks: Vec<String> = outcome.lacks.iter().map(ToString::to_string).collect();
    for field in ["device.A.port.IN.z", "device.A.signal.bypass", "source.guitar.electrics.inductance"] {
        assert!(lacks.iter().any(|lacking| lacking == field), "{field}: {lacks:?}");
    }
    assert!(!outcome.ways.is_empty());
}

#[test]
fn an_empty_rig_and_odd_ones_are_no_failure() {
    let empty = Rig::default();
    assert!(solve(&input(&empty), &Config::default()).ways.is_empty());
    let mut odd = string(vec![device("A", Bypass::Hard, 0.0, 0.0)]);
    odd.sinks[0].z = known(quantity::Ohms::of(0.0));
    // A run that comes back to where it was.
    add_run(&mut odd, "back", &["A.OUT", "A.IN"]);
    let outcome = solve(&input(&odd), &Config::default());
    assert!(outcome.frequencies.len() == 241);
}

#[test]
fn a_device_that_wants_the_bare_pickup_is_spared() {
    let mut rig = string(vec![device("FUZZ", Bypass::Hard, 8e3, 10e3), device("A", Bypass::Hard, 1e6, 1e3)]);
    rig.devices[0].signal.bare_pickup = known(true);
    let way = solve_with(&input(&rig), &Config::default(), BufferSearch::Skip).ways.remove(0);
    assert!(way.band.worst.change_at_4k_db < -10.0);
    assert!(-4.0 < way.judged().worst.change_at_4k_db);
}

#[test]
fn a_circuit_file_has_every_element_once() {
    let rig = string(vec![device("A\nB", Bypass::Hard, 1e6, 1e3)]);
    let input = input(&rig);
    let circuit = circuit(&input, &Config::default(), &["A\nB".to_owned()]);
    let text = spice(&circuit, "title\n.end", 0);
    let lines = |letter: char| text.lines().filter(|line| line.starts_with(letter)).count();
    assert_eq!(lines('R') + lines('C') + lines('L'), circuit.elements.len());
    assert_eq!((lines('V'), lines('E')), (1, 1));
    // Text of the document ends no comment.
    assert_eq!(text.lines().filter(|line| line.trim() == ".end").count(), 1);
}

#[test]
fn an_input_that_nothing_follows_has_its_level() {
    let mut split = device("S", Bypass::AlwaysOn, 1e6, 100.0);
    split.ports.push(port("OUT_2", PortRole::Out, Some(100.0)));
    let mut rig = string(vec![split]);
    let mut tuner = device("T", Bypass::AlwaysOn, 1e6, 1e3);
    tuner.signal.max_input = known(Volts::of(0.1));
    rig.devices.push(tuner);
    add_run(&mut rig, "tap", &["S.OUT_2", "T.IN"]);
    let outcome = solve_with(&input(&rig), &Config::default(), BufferSearch::Skip);
    let level = outcome.levels.iter().find(|level| level.port == "T.IN").expect("it is told");
    // 1 V of the source, less what its coil and lead take at 1 kHz, against 0.1 V.
    assert!((-21.0..-18.0).contains(&level.headroom_db.expect("known")), "{level:?}");
    let junction = outcome.junctions.iter().find(|junction| junction.to == "T.IN").expect("it meets");
    assert!(junction.listens);
}

#[test]
fn in_a_ring_that_howls_no_level_is_told() {
    let mut mix = device("M", Bypass::AlwaysOn, 1e6, 100.0);
    mix.ports = vec![
        port("IN_1", PortRole::In, Some(1e6)),
        port("IN_2", PortRole::In, Some(1e6)),
        port("OUT", PortRole::Out, Some(100.0)),
    ];
    // 100 kΩ into 1 MΩ: bypassed the ring stays below 0 dB.
    let mut split = device("S", Bypass::AlwaysOn, 1e6, 100.0);
    split.ports.push(port("OUT_2", PortRole::Out, Some(100e3)));
    let mut back = device("A", Bypass::Hard, 1e6, 1e3);
    back.signal.gain = known(quantity::Decibels::of(6.0));
    let mut rig = string(vec![mix, split]);
    rig.devices.push(back);
    rig.runs.clear();
    add_run(&mut rig, "main", &["guitar", "M.IN_1", "M.OUT", "S.IN", "S.OUT", "amp"]);
    add_run(&mut rig, "back", &["S.OUT_2", "A", "M.IN_2"]);
    rig.states = vec![rig::State { name: "fb".into(), engaged: vec!["A".into()] }];
    let outcome = solve_with(&input(&rig), &Config::default(), BufferSearch::Skip);
    assert!(outcome.rings.iter().any(signal::Ring::howls), "{:?}", outcome.rings);
    assert!(outcome.levels.iter().all(|level| level.state != "fb"), "{:?}", outcome.levels);
    assert!(outcome.levels.iter().any(|level| level.state == signal::EVERYTHING_OFF));
}

#[test]
fn what_takes_too_much_work_is_not_told_as_silence() {
    // Sixty devices in two runs, the second in another order.
    let devices: Vec<_> = (0..60).map(|at| device(&format!("D{at}"), Bypass::Hard, 1e6, 1e3)).collect();
    let mut rig = string(devices);
    let order = (0..60).map(|at| format!("D{}", at * 37 % 60));
    let stops: Vec<String> =
        std::iter::once("guitar".to_owned()).chain(order).chain(["amp".to_owned()]).collect();
    let second = crate::rigs::run(&rig, "second", &stops);
    rig.runs.push(second);
    let outcome = solve_with(&input(&rig), &Config::default(), BufferSearch::Skip);
    let states = outcome.ways.iter().flat_map(|way| &way.states);
    for state in states.filter(|state| state.response.is_empty()) {
        assert_eq!(state.silence, Some(signal::WhyNot::NotWorkedOut), "{}", state.name);
    }
}

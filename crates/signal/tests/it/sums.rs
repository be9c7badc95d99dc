//! Branches that meet: levels against closed forms, notches, rings of passive boxes, leads with a joint, and what buffered
//! devices show on and off.

use quantity::{Decibels, Farads, Length, Ohms, Seconds};
use rig::{Bypass, LeadSpec, PlugSpec, PortRef, PortRole, Rig, State};
use signal::model::Part;
use signal::{AdviceStatus, BufferSearch, Config, Sweep, enumerate, envelope, network, solve, solve_with};

use crate::rigs::{add_run, amp, device, guitar, input, known, port, string, volume};

/// A splitter into two branches that meet in a mixer; the wet one late, and turned over where that is asked for.
fn wet_and_dry(inverts: bool, late: f64) -> Rig {
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
    wet.signal.inverts = known(inverts);
    wet.signal.latency = known(Seconds::of(late));
    // The same on both sides, so that the two are as loud as each other.
    let dry = device("DRY", Bypass::Buffered, 1e6, 100.0);
    rig.devices = vec![split, wet, dry, mix];
    add_run(&mut rig, "dry", &["guitar", "SPLIT", "DRY", "MIX.IN_1", "MIX.OUT", "amp"]);
    add_run(&mut rig, "wet", &["SPLIT.OUT_2", "WET", "MIX.IN_2"]);
    rig.states.push(State { name: "wet".into(), engaged: vec!["WET".into()] });
    rig
}

#[test]
fn equal_branches_add_as_the_cosine_of_half_their_phase() {
    // |1 ± e^(−jx)|/2 is |cos(x/2)| for equal and |sin(x/2)| for opposite polarity; x = ωΔt.
    for (inverts, late) in [(false, 1e-3), (true, 1e-3), (true, 2.3e-3), (false, 0.4e-3)] {
        let rig = wet_and_dry(inverts, late);
        let outcome = solve_with(&input(&rig), &Config::default(), BufferSearch::Skip);
        let way = &outcome.ways[0];
        assert!(way.band.exact);
        let [off, wet] = way.states.as_slice() else { panic!("two states") };
        for ((hertz, off), wet) in outcome.frequencies.iter().zip(&off.response).zip(&wet.response) {
            let half = std::f64::consts::PI * hertz * late;
            let wanted = if inverts { libm::sin(half) } else { libm::cos(half) }.abs();
            assert!((wet.size() / off.size() - wanted).abs() < 1e-9, "{inverts} {late} at {hertz} Hz");
        }
        // The notches lie where that is nought.
        let branches = &outcome.branches[0];
        assert_eq!((branches.meets.as_deref(), branches.opposite), (Some("MIX"), Some(inverts)));
        assert!(branches.louder_db.expect("known").abs() < 1e-6);
        for hertz in &branches.notches {
            let half = std::f64::consts::PI * hertz * late;
            let size = if inverts { libm::sin(half) } else { libm::cos(half) }.abs();
            assert!(size < 1e-9, "{hertz} Hz");
        }
    }
}

#[test]
fn a_flat_rise_where_branches_sum_is_no_change_of_treble() {
    // The mixer adds its inputs and halves neither: two alike come out 6 dB above one, at every frequency.
    let rig = wet_and_dry(false, 0.0);
    let outcome = solve_with(&input(&rig), &Config::default(), BufferSearch::Skip);
    let way = &outcome.ways[0];
    assert!(5.0 < way.judged().worst.change_at_4k_db);
    assert!(way.is_judged_by_tone() && way.treble().expect("exact").0.abs() < 0.5);
    assert!(solve(&input(&rig), &Config::default()).advice.before.change_at_4k_db < 0.5);
    // One branch alone adds nothing up.
    let mut one = rig.clone();
    one.runs.pop();
    assert!(!solve(&input(&one), &Config::default()).ways[0].adds_up);
}

/// A splitter into two buffers whose outputs a passive box joins through a resistor for each.
fn joined(outputs: [f64; 2], series: f64) -> Rig {
    let mut rig = Rig { sources: vec![guitar("guitar")], sinks: vec![amp("amp")], ..Rig::default() };
    let mut split = device("SPLIT", Bypass::AlwaysOn, 1e6, 100.0);
    split.ports.push(port("OUT_2", PortRole::Out, Some(100.0)));
    let mut join = device("JOIN", Bypass::AlwaysOn, 1e6, 100.0);
    join.signal.passive = true;
    join.ports = vec![
        port("IN_1", PortRole::In, None),
        port("IN_2", PortRole::In, None),
        port("OUT", PortRole::Out, Some(series)),
    ];
    let [a, b] = outputs;
    rig.devices =
        vec![split, device("A", Bypass::Buffered, 1e6, a), device("B", Bypass::Buffered, 1e6, b), join];
    add_run(&mut rig, "one", &["guitar", "SPLIT", "A", "JOIN.IN_1", "JOIN.OUT", "amp"]);
    add_run(&mut rig, "other", &["SPLIT.OUT_2", "B", "JOIN.IN_2"]);
    rig
}

#[test]
fn passive_parts_that_join_two_branches_weigh_them_by_their_resistances() {
    // By superposition each adds what the other's resistance leaves of it: the one is louder by R_other / R_own.
    for (outputs, series) in [([1e3, 10e3], 10e3), ([1e3, 1e3], 22e3), ([22e3, 100.0], 4.7e3)] {
        let outcome = solve_with(&input(&joined(outputs, series)), &Config::default(), BufferSearch::Skip);
        let met: Vec<_> = outcome.branches.iter().filter(|one| one.meets.is_some()).collect();
        let [met] = met.as_slice() else { panic!("told once: {met:?}") };
        let wanted = 20.0 * libm::log10((outputs[1] + series) / (outputs[0] + series));
        let found = met.louder_db.expect("worked out");
        let sign = if met.own[0].contains(&"A".to_owned()) { 1.0 } else { -1.0 };
        assert!((found - sign * wanted).abs() < 0.01, "{outputs:?} {series}: {found} for {wanted}, {met:?}");
    }
}

#[test]
fn what_nobody_knows_of_one_way_says_nothing_of_another() {
    let mut rig = string(vec![device("A", Bypass::Hard, 1e6, 1e3)]);
    rig.sources.push(guitar("bass"));
    rig.sinks.push(amp("stack"));
    let mut other = device("B", Bypass::Hard, 1e6, 1e3);
    other.ports[0].z = rig::Known::default();
    rig.devices.push(other);
    add_run(&mut rig, "other", &["bass", "B", "stack"]);
    let outcome = solve_with(&input(&rig), &Config::default(), BufferSearch::Skip);
    let lacks = |source: &str| {
        let way = outcome.ways.iter().find(|way| way.source == source).expect("it arrives");
        way.lacks.iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    assert_eq!(lacks("guitar"), Vec::<String>::new());
    assert_eq!(lacks("bass"), ["device.B.port.IN.z"]);
}

#[test]
fn switches_behind_a_sum_are_not_visited_state_by_state() {
    // What lies up to the mixer is visited state by state; the eight switches behind it are paths.
    let mut rig = wet_and_dry(true, 1e-3);
    let mut stops = vec!["guitar".to_owned()];
    for number in 1..=8 {
        rig.devices.push(device(&format!("A{number}"), Bypass::Hard, 470e3, 10e3));
        stops.push(format!("A{number}"));
    }
    stops.extend(["SPLIT".into(), "DRY".into(), "MIX.IN_1".into(), "MIX.OUT".into()]);
    for number in 1..=8 {
        rig.devices.push(device(&format!("B{number}"), Bypass::Hard, 470e3, 10e3));
        stops.push(format!("B{number}"));
    }
    stops.push("amp".into());
    rig.runs[0] = crate::rigs::run(&rig, "dry", &stops);
    let model = network(&input(&rig), &Config::default());
    let sweep = Sweep::new(vec![100.0, 1000.0, 4000.0]);
    let band = envelope(&model, 0, 0, &sweep, Some((1, 2)));
    assert!(band.exact && band.work.states <= 1 << 9, "{:?}", band.work);
    // The states named do reach the extremes.
    for (k, extreme) in band.upper.iter().enumerate().chain(band.lower.iter().enumerate()) {
        let state = &band.states[extreme.state.expect("exact")];
        let single = Sweep::new(vec![sweep.hertz[k]]);
        let level = signal::respond(&model, state, 0, 0, &single).expect("it arrives")[0].decibels();
        assert!((level - extreme.db).abs() < 1e-9, "{level} {}", extreme.db);
    }
}

#[test]
fn a_ring_of_passive_boxes_is_what_visiting_every_state_gives() {
    let mut rig = Rig { sources: vec![guitar("guitar")], sinks: vec![amp("amp")], ..Rig::default() };
    let mut split = device("SPLIT", Bypass::AlwaysOn, 1e6, 100.0);
    split.signal.passive = true;
    split.ports = ["IN", "OUT", "OUT_2"]
        .map(|name| port(name, if name == "IN" { PortRole::In } else { PortRole::Out }, None))
        .into();
    let mut join = device("JOIN", Bypass::AlwaysOn, 1e6, 100.0);
    join.signal.passive = true;
    join.ports = ["IN_1", "IN_2", "OUT"]
        .map(|name| port(name, if name == "OUT" { PortRole::Out } else { PortRole::In }, None))
        .into();
    let boxes = ["P", "Q"].map(|tag| {
        let mut one = device(tag, Bypass::Hard, 100e3, 22e3);
        one.signal.passive = true;
        one
    });
    rig.devices = vec![split, join];
    rig.devices.extend(boxes);
    add_run(&mut rig, "one", &["guitar", "SPLIT", "P", "JOIN.IN_1", "JOIN.OUT", "amp"]);
    add_run(&mut rig, "other", &["SPLIT.OUT_2", "Q", "JOIN.IN_2"]);
    let model = network(&input(&rig), &Config::default());
    let sweep = Sweep::new(vec![100.0, 1000.0, 4000.0, 12e3]);
    let (fast, slow) =
        (envelope(&model, 0, 0, &sweep, None), enumerate(&model, 0, 0, &sweep, None).expect("few"));
    assert!(fast.exact && fast.arrives);
    for (a, b) in fast.upper.iter().chain(&fast.lower).zip(slow.upper.iter().chain(&slow.lower)) {
        assert!((a.db - b.db).abs() < 1e-9, "{} {}", a.db, b.db);
    }
}

#[test]
fn a_plug_that_several_ways_share_counts_once() {
    let mut rig = Rig { sources: vec![guitar("guitar")], sinks: vec![amp("amp")], ..Rig::default() };
    rig.devices = ["A", "B", "C"].map(|tag| device(tag, Bypass::Buffered, 1e6, 1e3)).into();
    add_run(&mut rig, "main", &["guitar", "A", "B", "amp"]);
    add_run(&mut rig, "tap", &["A.OUT", "C.IN"]);
    let farads = |rig: &Rig| {
        let model = network(&input(rig), &Config::default());
        let at = |name: &str| name.contains("A.OUT") || name.contains("B.IN") || name.contains("C.IN");
        let own = model.fixed.elements.iter().filter(|one| at(&one.name) && !one.name.contains("stray"));
        own.map(|one| if let Part::Capacitor(farads) = one.part { farads } else { 0.0 }).sum::<f64>()
    };
    // Two leads of half a metre, four plugs.
    assert!((farads(&rig) - (2.0 * 0.5 * 100e-12 + 4.0 * 15e-12)).abs() < 1e-18, "{}", farads(&rig));
    let end = |tag: &str, port: &str| PortRef::new(tag, port);
    let mut joined = LeadSpec::between(end("A", "OUT"), end("B", "IN"));
    joined.branches.push((end("C", "IN"), PlugSpec::default()));
    joined.legs = ["A.OUT", "B.IN", "C.IN"]
        .map(|name| {
            let (tag, port) = name.split_once('.').expect("a port");
            (end(tag, port), Length::from_mm(200))
        })
        .into();
    rig.leads.push(joined);
    // One lead of three legs, three plugs.
    assert!((farads(&rig) - (3.0 * 0.2 * 100e-12 + 3.0 * 15e-12)).abs() < 1e-18, "{}", farads(&rig));
}

#[test]
fn a_buffered_device_shows_other_impedances_off_than_on() {
    let mut rig = string(vec![device("A", Bypass::Buffered, 100e3, 1e3)]);
    let change = |rig: &Rig| {
        solve_with(&input(rig), &Config::default(), BufferSearch::Skip).ways[0].band.worst.change_at_4k_db
    };
    let alike = change(&rig);
    rig.devices[0].ports[0].z_bypassed = known(Ohms::of(20e3));
    let worse = change(&rig);
    assert!(worse < alike - 3.0, "{worse} {alike}");
    // And it is the state with it off that is worst.
    let outcome = solve_with(&input(&rig), &Config::default(), BufferSearch::Skip);
    assert_eq!(outcome.ways[0].band.worst.state.as_deref(), Some(&[][..]));
}

#[test]
fn input_capacitance_and_coupling_load_as_the_formulas_have_it() {
    // 10 kΩ into 1 MΩ with 1 nF across: a corner at 15.9 kHz; behind 1 µF of coupling nothing else in the middle.
    let mut rig =
        string(vec![device("A", Bypass::AlwaysOn, 1e6, 10e3), device("B", Bypass::AlwaysOn, 1e6, 1e3)]);
    rig.devices[1].ports[0].capacitance = known(Farads::of(1e-9));
    let config = Config { cable_capacitance: 0.0, plug: 0.0, stray: 0.0, ..Config::default() };
    let level = |rig: &Rig, hertz: f64| {
        let mut input = input(rig);
        for lead in input.leads.iter_mut().filter(|lead| lead.from.device == "A") {
            lead.length = known(Length::from_mm(1));
        }
        let model = network(&input, &config);
        signal::respond(&model, &model.at_rest(), 0, 0, &Sweep::new(vec![hertz])).expect("it arrives")[0]
            .decibels()
    };
    let with = level(&rig, 10e3);
    rig.devices[1].ports[0].capacitance = rig::Known::default();
    let without = level(&rig, 10e3);
    // Source of 10 kΩ in parallel with 1 MΩ.
    let wanted = crate::forms::low_pass(10e3, crate::forms::corner(1e10 / 1.01e6, 1e-9));
    assert!((with - without - wanted).abs() < 1e-4, "{} for {wanted}", with - without);
}

#[test]
fn what_listens_behind_a_coupling_capacitor_hears_what_passes_it() {
    // 10 kΩ through 4.7 nF into 68 kΩ: a corner at 434 Hz, and the same in a box that is passive.
    let config = Config { cable_capacitance: 0.0, plug: 0.0, stray: 0.0, ..Config::default() };
    let hertz = 50.0;
    for passive in [false, true] {
        let mut rig = string(vec![
            device("A", Bypass::AlwaysOn, 1e6, 10e3),
            device("B", Bypass::AlwaysOn, 68e3, if passive { 1.0 } else { 1e-3 }),
        ]);
        rig.devices[1].signal.passive = passive;
        rig.sinks[0].z = known(Ohms::of(1e12));
        let level = |rig: &Rig| {
            let mut input = input(rig);
            for lead in &mut input.leads {
                lead.length = known(Length::from_mm(1));
            }
            let model = network(&input, &config);
            let sweep = Sweep::new(vec![hertz]);
            signal::respond(&model, &model.at_rest(), 0, 0, &sweep).expect("it arrives")[0].decibels()
        };
        let without = level(&rig);
        rig.devices[1].ports[0].coupling = known(Farads::of(4.7e-9));
        let with = level(&rig);
        let x = 1.0 / (std::f64::consts::TAU * hertz * 4.7e-9);
        let wanted = 20.0 * libm::log10(78e3 / libm::hypot(78e3, x));
        assert!((with - without - wanted).abs() < 1e-3, "{passive}: {} for {wanted}", with - without);
    }
}

#[test]
fn devices_that_feed_each_other_are_told_with_their_loop_gain() {
    let mut mixer = device("M", Bypass::AlwaysOn, 1e6, 1e3);
    mixer.ports.push(port("IN_2", PortRole::In, Some(1e6)));
    let mut split = device("S", Bypass::AlwaysOn, 1e6, 1e3);
    split.ports.push(port("OUT_2", PortRole::Out, Some(1e3)));
    let mut rig = string(vec![mixer, split, device("D", Bypass::AlwaysOn, 1e6, 1e3)]);
    rig.runs.clear();
    add_run(&mut rig, "main", &["guitar", "M.IN", "M.OUT", "S.IN", "S.OUT", "amp"]);
    add_run(&mut rig, "round", &["S.OUT_2", "D", "M.IN_2"]);
    for (gain, howls) in [(-6.0, false), (0.0, true), (12.0, true)] {
        for device in &mut rig.devices {
            device.signal.gain = known(Decibels::ZERO);
        }
        rig.devices[2].signal.gain = known(Decibels::of(gain));
        let outcome = solve_with(&input(&rig), &Config::default(), BufferSearch::Skip);
        let [ring] = outcome.rings.as_slice() else { panic!("{:?}", outcome.rings) };
        let mut among = ring.devices.clone();
        among.sort();
        assert_eq!((among, ring.howls()), (vec!["D".to_owned(), "M".into(), "S".into()], howls));
        // Three outputs of 1 kΩ into 1 MΩ take a little off.
        let wanted = gain + 60.0 * libm::log10(1e6 / 1.001e6);
        assert!((ring.gain_db - wanted).abs() < 0.01, "{} for {wanted}", ring.gain_db);
        assert!(outcome.notes.iter().any(|note| *note == ring.words()));
        // What howls has no level.
        assert_eq!(outcome.levels.iter().any(|level| level.port == "M.IN"), !howls);
    }
}

#[test]
fn a_low_input_whose_wish_is_unknown_is_asked_for_first() {
    let mut rig = string((1..=5).map(|n| device(&format!("D{n}"), Bypass::Hard, 1e6, 1e3)).collect());
    rig.devices[3].ports[0].z = known(Ohms::of(8e3));
    rig.devices[3].signal.bare_pickup = rig::Known::default();
    let mut input = input(&rig);
    for lead in &mut input.leads {
        lead.length = known(Length::from_mm(2000));
    }
    let advice = solve(&input, &Config::default()).advice;
    let asks: Vec<String> = advice.asks.iter().map(ToString::to_string).collect();
    assert_eq!(asks, ["device.D4.signal.bare_pickup"]);
    for place in advice.alternatives.iter().flat_map(|one| &one.places) {
        assert!(["D4", "D5"].contains(&place.from.device.as_str()), "{place}");
    }
}

#[test]
fn forty_devices_are_advised_within_the_budget() {
    let mut rig = string((1..=40).map(|n| device(&format!("D{n}"), Bypass::Hard, 500e3, 10e3)).collect());
    rig.devices[0].signal.bare_pickup = known(false);
    let input = input(&rig);
    let advice = solve(&input, &Config::default()).advice;
    // What is told keeps the limits, and no answer is called impossible that was not proven so.
    assert!(
        matches!(advice.status, AdviceStatus::Proven | AdviceStatus::NotProven | AdviceStatus::CutShort),
        "{:?}",
        advice.status
    );
    for alternative in &advice.alternatives {
        assert!(alternative.after.change_at_4k_db <= Config::default().change_limit);
    }
}

#[test]
fn a_volume_pedal_is_told_at_its_travels() {
    let rig = string(vec![volume("VOL", Bypass::AlwaysOn, 250e3)]);
    let input = input(&rig);
    let config = Config::default();
    let outcome = solve_with(&input, &config, BufferSearch::Skip);
    let answers = signal::answers(&input, &config, &outcome);
    let travel = &answers[0].travel;
    assert_eq!(travel.iter().map(|one| one.share).collect::<Vec<_>>(), [0.1, 0.5, 1.0]);
    let loss: Vec<f64> =
        travel.iter().map(|one| one.figures.expect("it arrives").insertion_loss_1k_db).collect();
    assert!(loss.windows(2).all(|pair| pair[1] < pair[0]), "{loss:?}");
    // Half the resistance is about half the level; the coil is loaded no differently.
    assert!((loss[1] - loss[2] - 6.0).abs() < 1.0, "{loss:?}");
}

#[test]
fn two_sums_one_after_the_other_are_told_once_each() {
    let mut rig = wet_and_dry(true, 1e-3);
    let mut second = wet_and_dry(false, 2e-3);
    for device in &mut second.devices {
        device.tag = format!("{}_B", device.tag);
    }
    rig.devices.append(&mut second.devices);
    rig.runs.clear();
    let stops = [
        "guitar",
        "SPLIT",
        "DRY",
        "MIX.IN_1",
        "MIX.OUT",
        "SPLIT_B",
        "DRY_B",
        "MIX_B.IN_1",
        "MIX_B.OUT",
        "amp",
    ];
    add_run(&mut rig, "dry", &stops);
    add_run(&mut rig, "wet", &["SPLIT.OUT_2", "WET", "MIX.IN_2"]);
    add_run(&mut rig, "wet_b", &["SPLIT_B.OUT_2", "WET_B", "MIX_B.IN_2"]);
    rig.states = vec![State { name: "both".into(), engaged: vec!["WET".into(), "WET_B".into()] }];
    let outcome = solve_with(&input(&rig), &Config::default(), BufferSearch::Skip);
    let told: Vec<(&str, Option<bool>, Option<f64>)> = outcome
        .branches
        .iter()
        .map(|one| (one.meets.as_deref().expect("they meet"), one.opposite, one.latency))
        .collect();
    assert_eq!(told, [("MIX_B", Some(false), Some(2e-3)), ("MIX", Some(true), Some(1e-3))]);
}

#[test]
fn a_ring_that_no_source_reaches_is_told_too() {
    let mut rig = string(vec![device("A", Bypass::Hard, 1e6, 1e3)]);
    for tag in ["B", "C"] {
        let mut device = device(tag, Bypass::AlwaysOn, 1e6, 1e3);
        device.signal.gain = known(Decibels::of(3.0));
        rig.devices.push(device);
    }
    add_run(&mut rig, "there", &["B.OUT", "C.IN"]);
    add_run(&mut rig, "back", &["C.OUT", "B.IN"]);
    let outcome = solve_with(&input(&rig), &Config::default(), BufferSearch::Skip);
    let [ring] = outcome.rings.as_slice() else { panic!("{:?}", outcome.rings) };
    let mut among = ring.devices.clone();
    among.sort();
    assert_eq!((among, ring.howls()), (vec!["B".to_owned(), "C".into()], true));
    // What the source reaches has its levels all the same.
    assert!(outcome.ways[0].states.iter().all(|state| !state.response.is_empty()));
}

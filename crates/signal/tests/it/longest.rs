//! The longest leads against every length one by one, with every limit that the rules hold a way against.

use quantity::{Farads, Henries, Length, Ohms};
use rig::{Bypass, PortRef, PortRole, Rig};
use signal::{AdviceStatus, BufferSearch, Config, Limit, Longest, answers, solve, solve_with};

use crate::rigs::{add_run, device, input, known, port, string, volume};

/// Whether every limit is kept with the outer lead of so many tenths of a metre.
fn holds(rig: &Rig, tenths: u32, is_in: bool) -> bool {
    let config = Config::default();
    let mut input = input(rig);
    let end = if is_in { "guitar" } else { "amp" };
    for lead in &mut input.leads {
        let at: &PortRef = if is_in { &lead.from } else { &lead.to };
        if at.device == end {
            lead.length = known(Length::from_mm_rounded(f64::from(tenths) * 100.0));
        }
    }
    let outcome = solve_with(&input, &config, BufferSearch::Skip);
    let way = &outcome.ways[0];
    let worst = &way.judged().worst;
    assert!(way.band.exact);
    worst.change_at_4k_db.abs() <= config.change_limit
        && worst.insertion_loss_1k_db <= config.loss_limit
        && way.resonance.lost.is_none()
        && way.resonance.shift.is_none_or(|shift| shift.abs() <= config.shift_limit)
}

fn bright(mut rig: Rig) -> Rig {
    let pickup = &mut rig.sources[0].pickup;
    pickup.inductance = known(Henries::of(1.2));
    pickup.resistance = known(Ohms::of(4e3));
    pickup.capacitance = known(Farads::of(80e-12));
    pickup.volume_pot = known(Ohms::of(1e6));
    pickup.tone_pot = known(Ohms::of(1e6));
    rig
}

#[test]
fn the_longest_lead_is_the_last_before_any_limit_breaks() {
    let buffer = || string(vec![device("B", Bypass::AlwaysOn, 1e6, 100.0)]);
    let bare = || string(vec![device("A", Bypass::Hard, 1e6, 1e3)]);
    let soft = || string(vec![device("A", Bypass::AlwaysOn, 1e6, 47e3)]);
    for (name, rig) in [
        ("bright", bright(buffer())),
        ("usual", buffer()),
        ("bright and bare", bright(bare())),
        ("bare", bare()),
        ("soft", soft()),
    ] {
        let input = input(&rig);
        let config = Config::default();
        let outcome = solve_with(&input, &config, BufferSearch::Skip);
        let found = answers(&input, &config, &outcome).remove(0);
        for (is_in, found) in [(true, found.lead_in), (false, found.lead_out)] {
            let kept: Vec<bool> = (1..=300).map(|tenths| holds(&rig, tenths, is_in)).collect();
            // The guitar's lead is 5 m, that of the amp 3 m.
            let given = if is_in { 50 } else { 30 };
            let wanted = if kept[given - 1] {
                (given..300).find(|at| !kept[*at]).map_or(Longest::Beyond(30.0), metres)
            } else {
                (0..given - 1)
                    .rev()
                    .find(|at| kept[*at])
                    .map_or_else(|| Longest::None(Vec::new()), |at| metres(at + 1))
            };
            assert!(found == wanted, "{name}, in: {is_in}: {found:?} for {wanted:?}");
        }
    }
}

fn metres(tenths: usize) -> Longest {
    Longest::Metres(f64::from(u32::try_from(tenths).expect("small")) / 10.0)
}

#[test]
fn no_length_is_claimed_where_something_else_breaks_a_limit() {
    // An output of 470 kΩ into the amp of 1 MΩ loses 3.3 dB, whatever the leads are.
    let rig = string(vec![device("B", Bypass::AlwaysOn, 1e6, 470e3)]);
    let input = input(&rig);
    let config = Config::default();
    let outcome = solve_with(&input, &config, BufferSearch::Skip);
    let found = answers(&input, &config, &outcome).remove(0);
    for lead in [found.lead_in, found.lead_out] {
        let Longest::None(limits) = lead else { panic!("{lead:?}") };
        assert!(limits.contains(&Limit::Level), "{limits:?}");
    }
}

#[test]
fn a_pedal_that_is_turned_down_is_judged_by_its_tone() {
    let rig = string(vec![volume("VOL", Bypass::AlwaysOn, 250e3), device("B", Bypass::AlwaysOn, 1e6, 100.0)]);
    let mut input = input(&rig);
    input.travel.insert("VOL".into(), 0.3);
    let config = Config::default();
    let outcome = solve(&input, &config);
    assert!(
        outcome.ways[0].is_judged_by_tone() && 10.0 < outcome.ways[0].judged().worst.insertion_loss_1k_db
    );
    // The level is judged with the pedal at the toe, where next to nothing is lost.
    let lost = outcome.advice.before.loss_1k_db;
    assert!(
        0.0 < lost
            && lost < 0.5
            && outcome.ways[0].loss().is_some_and(|(loss, _)| (loss - lost).abs() < 1e-6)
    );
    assert!(outcome.advice.before.change_at_4k_db < 5.0, "{:?}", outcome.advice.before);
}

#[test]
fn a_band_beyond_the_budget_is_that_of_the_states_visited() {
    // Fourteen passive boxes in two branches that are tied at both ends: a ring in 2^14 states.
    let mut rig = string(Vec::new());
    let mut split = device("SPLIT", Bypass::AlwaysOn, 1e6, 100.0);
    split.signal.passive = true;
    split.ports = vec![
        port("IN", PortRole::In, None),
        port("OUT", PortRole::Out, None),
        port("OUT_2", PortRole::Out, None),
    ];
    let mut join = device("JOIN", Bypass::AlwaysOn, 1e6, 100.0);
    join.signal.passive = true;
    join.ports = vec![
        port("IN_1", PortRole::In, None),
        port("IN_2", PortRole::In, None),
        port("OUT", PortRole::Out, None),
    ];
    rig.devices = vec![split, join];
    let mut runs = [vec!["guitar".to_owned(), "SPLIT".into()], vec!["SPLIT.OUT_2".to_owned()]];
    for number in 0..14 {
        let tag = format!("P{number}");
        let mut one = device(&tag, Bypass::Hard, 220e3, 22e3);
        one.signal.passive = true;
        rig.devices.push(one);
        runs[number % 2].push(tag);
    }
    runs[0].extend(["JOIN.IN_1", "JOIN.OUT", "amp"].map(str::to_owned));
    runs[1].push("JOIN.IN_2".into());
    rig.runs.clear();
    for (name, stops) in ["one", "other"].into_iter().zip(&runs) {
        let stops: Vec<&str> = stops.iter().map(String::as_str).collect();
        add_run(&mut rig, name, &stops);
    }
    let input = input(&rig);
    let outcome = solve_with(&input, &Config::default(), BufferSearch::Skip);
    let way = &outcome.ways[0];
    assert!(!way.band.exact && way.band.visited.is_some_and(|count| 2 <= count), "{:?}", way.band.visited);
    assert!(way.band.upper_db.iter().chain(&way.band.lower_db).all(|db| db.is_finite()));
    assert!(way.band.doubt().is_some_and(|doubt| doubt.contains("others may go beyond")));
    // Every extreme is that of a state that can be named.
    let at = way.band.lower_state[signal::grid::AT_4K].expect("named");
    let state = signal::in_state(&input, &Config::default(), &way.band.states[at], "guitar", "amp")
        .expect("it is there");
    let level = state.level_db()[signal::grid::AT_4K];
    assert!((level - way.band.lower_db[signal::grid::AT_4K]).abs() < 1e-6);
    assert!(outcome.work.steps <= 3 * signal::BUDGET, "{}", outcome.work.steps);
}

#[test]
fn nothing_is_said_to_be_enough_where_nothing_arrives() {
    let mut rig = string(vec![device("A", Bypass::Hard, 1e6, 1e3)]);
    rig.runs[0].stops.pop();
    rig.leads = Vec::new();
    let advice = solve(&input(&rig), &Config::default()).advice;
    assert_eq!(advice.status, AdviceStatus::NothingArrives);
}

#[test]
fn one_buffer_before_forty_devices_is_found_and_proven() {
    for z in [500e3, 1e6] {
        let mut rig = string((1..=40).map(|n| device(&format!("D{n}"), Bypass::Hard, z, 1e3)).collect());
        for device in &mut rig.devices {
            device.signal.bare_pickup = known(false);
        }
        let advice = solve(&input(&rig), &Config::default()).advice;
        assert_eq!(advice.status, AdviceStatus::Proven, "{z}: {} sets", advice.tried);
        assert_eq!(advice.alternatives[0].places[0].to_string(), "before D1.IN");
    }
}

//! What one switch works, and states that say otherwise.

use quantity::Length;
use rig::{Bypass, State};
use signal::{AdviceStatus, BufferSearch, Config, grid, solve, solve_with};

use crate::rigs::{add_run, device, draw, input, known, string, switcher};

#[test]
fn states_that_part_what_one_switch_works_are_told() {
    let mut rig = string(vec![
        device("A", Bypass::Hard, 47e3, 10e3),
        device("B", Bypass::Hard, 1e6, 1e3),
        device("C", Bypass::Hard, 1e6, 1e3),
    ]);
    let state = |name: &str, engaged: &[&str]| State {
        name: name.into(),
        engaged: engaged.iter().map(|&tag| tag.into()).collect(),
    };
    rig.states = vec![state("half", &["A"]), state("whole", &["A", "B"]), state("none", &["C"])];
    let mut input = input(&rig);
    let plain = solve_with(&input, &Config::default(), BufferSearch::Skip);
    assert_eq!(plain.notes, Vec::<String>::new());
    input.together.push(vec!["A".into(), "B".into()]);
    let outcome = solve_with(&input, &Config::default(), BufferSearch::Skip);
    assert_eq!(
        outcome.notes,
        ["state half puts on A without B, which one switch works together: B is taken as on too"]
    );
    // What is told is what was solved.
    let level = |name: &str| {
        let state = outcome.ways[0].states.iter().find(|state| state.name == name).expect("the state");
        state.level_db()[grid::AT_1K]
    };
    assert!((level("half") - level("whole")).abs() < 1e-12);
}

#[test]
fn with_one_at_a_time_each_is_on_in_a_state_of_its_own() {
    let mut rig = string(vec![
        device("A", Bypass::Hard, 47e3, 10e3),
        device("B", Bypass::Hard, 1e6, 1e3),
        device("C", Bypass::Hard, 1e6, 1e3),
    ]);
    let mut both = input(&rig);
    both.exclusive.push(vec!["A".into(), "B".into()]);
    let outcome = solve_with(&both, &Config::default(), BufferSearch::Skip);
    let states: Vec<(&str, &[String])> =
        outcome.ways[0].states.iter().map(|state| (state.name.as_str(), state.engaged.as_slice())).collect();
    let on = |tags: [&str; 2]| tags.map(str::to_owned);
    assert_eq!(
        states,
        [
            ("everything off", &[][..]),
            ("everything on but B", &on(["A", "C"])[..]),
            ("everything on but A", &on(["B", "C"])[..])
        ]
    );
    assert!(outcome.levels.iter().all(|level| level.state != signal::EVERYTHING_ON));
    // A named state that puts on both is none.
    drop(both);
    rig.states = vec![State { name: "ab".into(), engaged: vec!["A".into(), "B".into()] }];
    let mut both = input(&rig);
    both.exclusive.push(vec!["A".into(), "B".into()]);
    let outcome = solve_with(&both, &Config::default(), BufferSearch::Skip);
    assert_eq!(outcome.answered, ["everything off"]);
    assert!(outcome.notes.iter().any(|note| note.starts_with("state ab puts on what excludes each other")));
}

/// A relay loop whose device is worked together with one behind it.
fn parted() -> rig::Rig {
    let mut rig = string(vec![device("A", Bypass::Hard, 1e6, 100.0), device("B", Bypass::Hard, 33e3, 100.0)]);
    rig.devices.insert(0, switcher("W", 1, false));
    rig.runs.clear();
    add_run(&mut rig, "main", &["guitar", "W.IN", "W.S1", "A", "W.R1", "W.OUT", "B", "amp"]);
    rig
}

#[test]
fn a_state_with_a_loop_out_though_its_device_is_on_says_so_and_can_be_named_back() {
    let rig = parted();
    let mut input = input(&rig);
    input.together.push(vec!["A".into(), "B".into()]);
    let outcome = solve_with(&input, &Config::default(), BufferSearch::Skip);
    let worst = &outcome.ways[0].band.worst;
    assert_eq!(worst.state.as_deref(), Some(&["A", "B", "W.L1 out"].map(str::to_owned)[..]));
    assert!(worst.change_at_4k_db < -5.0, "{worst:?}");
    let named = |on: &[String]| {
        let state = signal::in_state(&input, &Config::default(), on, "guitar", "amp").expect("the way");
        state.figures(&outcome.ways[0]).expect("it arrives").change_at_4k_db
    };
    let on = worst.state.clone().unwrap_or_default();
    assert!((named(&on) - worst.change_at_4k_db).abs() < 1e-9);
    // Without the word the loop is in, and A stands before B.
    assert!(-2.0 < named(&["A".to_owned(), "B".to_owned()]));
    assert_eq!(signal::engaged_words(&on), "A and B engaged, W.L1 out");
}

#[test]
fn every_state_that_a_band_names_has_the_levels_it_is_named_for() {
    let mut compared = 0;
    for seed in 7000..7120 {
        let drawn = draw(seed, 8);
        let input = drawn.input();
        let outcome = solve_with(&input, &Config::default(), BufferSearch::Skip);
        for way in &outcome.ways {
            for (index, state) in way.band.states.iter().enumerate() {
                let found = signal::in_state(&input, &Config::default(), state, &way.source, &way.sink);
                let levels = found.expect("the way").level_db();
                let edges = [
                    (&way.band.upper_db, &way.band.upper_state),
                    (&way.band.lower_db, &way.band.lower_state),
                ];
                for (db, of) in edges {
                    for k in (0..db.len()).filter(|k| of[*k] == Some(index)) {
                        assert!((levels[k] - db[k]).abs() < 1e-6, "seed {seed}, {state:?}");
                        compared += 1;
                    }
                }
            }
        }
    }
    assert!(20_000 < compared, "{compared}");
}

#[test]
fn of_many_groups_with_one_at_a_time_the_band_is_still_exact() {
    // Six groups of four, 24 switches: 15 625 states. What is told is held against each group's states by hand.
    let devices: Vec<_> = (0..24).map(|at| device(&format!("D{at}"), Bypass::Hard, 1e6, 10e3)).collect();
    let rig = string(devices);
    let mut whole = input(&rig);
    whole.exclusive = (0..6).map(|group| (0..4).map(|at| format!("D{}", group * 4 + at)).collect()).collect();
    let outcome = solve_with(&whole, &Config::default(), BufferSearch::Skip);
    let band = &outcome.ways[0].band;
    assert!(band.exact);
    let config = Config::default();
    let all = signal::network(&whole, &config);
    for state in &band.states {
        assert!(signal::can_be(&whole, &config, state), "{state:?}");
    }
    // No state by lot goes beyond it.
    let mut lot = crate::rigs::Lot::new(1);
    for _ in 0..300 {
        let on: Vec<String> = (0..6)
            .filter_map(|group| {
                (0..5).map(|at| (at < 4).then(|| format!("D{}", group * 4 + at))).nth(lot.below(5))?
            })
            .collect();
        let state = signal::in_state(&whole, &config, &on, "guitar", "amp").expect("the way");
        for (k, level) in state.level_db().iter().enumerate() {
            assert!(band.lower_db[k] - 1e-6 < *level && *level < band.upper_db[k] + 1e-6, "{on:?}");
        }
    }
    assert_eq!(all.exclusive.len(), 6);
}

#[test]
fn the_worst_of_a_switcher_with_too_many_states_is_climbed_to() {
    // Twelve loops of contacts with a pedal in hard bypass each, by leads of two metres: the worst is every loop in with
    // every pedal off.
    let mut rig = string(Vec::new());
    rig.runs.clear();
    rig.devices.push(switcher("W", 12, false));
    let mut stops = vec!["guitar".to_owned(), "W.IN".into()];
    for number in 1..=12 {
        rig.devices.push(device(&format!("D{number}"), Bypass::Hard, 1e6, 100.0));
        stops.extend([format!("W.S{number}"), format!("D{number}"), format!("W.R{number}")]);
    }
    stops.extend(["W.OUT".into(), "amp".into()]);
    let main = crate::rigs::run(&rig, "main", &stops);
    rig.runs.push(main);
    let mut input = input(&rig);
    let on_board = |lead: &&mut signal::LeadLength| lead.from.device != "guitar" && lead.to.device != "amp";
    for lead in input.leads.iter_mut().filter(on_board) {
        lead.length = known(Length::from_mm(2000));
    }
    let config = Config::default();
    let outcome = solve(&input, &config);
    let way = &outcome.ways[0];
    assert!(!way.band.exact && way.band.visited.is_some());
    let level = |on: &[String]| {
        let state = signal::in_state(&input, &config, on, "guitar", "amp").expect("the way");
        state.figures(way).expect("it arrives")
    };
    let loops: Vec<String> = (1..=12).map(|number| format!("W.L{number}")).collect();
    assert!((way.band.worst.change_at_4k_db - level(&loops).change_at_4k_db).abs() < 1e-9);
    // None by lot is worse in what limits are held against.
    let all = signal::switches(&input, &config);
    let mut lot = crate::rigs::Lot::new(5);
    for _ in 0..200 {
        let share = lot.below(101);
        let mut on: Vec<String> = all.iter().filter(|_| lot.chance(share)).cloned().collect();
        // What is on in a loop would put it in.
        let out: Vec<String> =
            loops.iter().filter(|name| !on.contains(name)).map(|name| format!("{name} out")).collect();
        on.extend(out);
        let found = level(&on);
        assert!(way.band.worst.change_at_4k_db - 0.02 < found.change_at_4k_db, "{on:?}");
        assert!(found.insertion_loss_1k_db < way.band.worst.insertion_loss_1k_db + 0.02, "{on:?}");
    }
    // One buffer ahead of it all is enough, and is told as held against the states found.
    let advice = &outcome.advice;
    assert_eq!(advice.status, AdviceStatus::NotProven);
    assert!(advice.by_states_tried);
    let places: Vec<String> = advice.alternatives[0].places.iter().map(ToString::to_string).collect();
    assert_eq!(places, ["before W.IN"]);
}

#[test]
fn a_device_listed_twice_takes_no_more_work_than_a_question_may() {
    let devices: Vec<_> = (0..60).map(|at| device(&format!("D{at}"), Bypass::Hard, 1e6, 1e3)).collect();
    let mut rig = string(devices);
    let mut stops: Vec<String> = rig.runs[0].stops.iter().map(|stop| stop.text.clone()).collect();
    stops.insert(37, "D30".to_owned());
    rig.runs[0] = crate::rigs::run(&rig, "main", &stops);
    let outcome = solve(&input(&rig), &Config::default());
    // A step is some 10 ns.
    assert!(outcome.work.steps < 60_000_000, "{}", outcome.work.steps);
    assert!(!outcome.ways.is_empty());
}

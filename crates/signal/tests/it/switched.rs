//! What one switch works, and states that say otherwise.

use rig::{Bypass, State};
use signal::{BufferSearch, Config, grid, solve_with};

use crate::rigs::{device, input, string};

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

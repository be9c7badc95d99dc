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

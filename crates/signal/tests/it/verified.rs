//! The verifier finds nothing in what the engine says, and finds what is planted.

use rig::{Bypass, State};
use signal::verify::{Breach, What, verify};
use signal::{BufferSearch, Complex, Config, Input, Outcome, grid, solve_with};

use crate::rigs::{device, draw, input, string, volume};

fn judged(input: &Input<'_>, outcome: &Outcome) -> Vec<Breach> {
    verify(input, &Config::default(), outcome).breaches
}

#[test]
fn nothing_is_found_in_rigs_by_lot() {
    let mut compared = 0;
    for seed in 5000..5200 {
        let mut drawn = draw(seed, 8);
        let tags: Vec<String> = drawn.rig.devices.iter().map(|device| device.tag.clone()).collect();
        for (name, step) in [("all", 1), ("second", 2), ("third", 3)] {
            let engaged = tags.iter().step_by(step).cloned().collect();
            drawn.rig.states.push(State { name: name.into(), engaged });
        }
        let input = drawn.input();
        let outcome = solve_with(&input, &Config::default(), BufferSearch::Skip);
        let verdict = verify(&input, &Config::default(), &outcome);
        assert_eq!(verdict.breaches, [], "seed {seed}");
        assert_eq!(verdict.left, 0, "seed {seed}");
        compared += verdict.compared;
    }
    assert!(3000 < compared, "{compared}");
}

#[test]
fn what_is_planted_is_found() {
    let mut rig = string(vec![
        volume("VOL", Bypass::Hard, 250e3),
        device("A", Bypass::Hard, 470e3, 10e3),
        device("B", Bypass::Buffered, 1e6, 1e3),
    ]);
    rig.states.push(State { name: "one".into(), engaged: vec!["VOL".into()] });
    let input = input(&rig);
    let outcome = solve_with(&input, &Config::default(), BufferSearch::Skip);
    assert_eq!(judged(&input, &outcome), []);
    let planted = |plant: &dyn Fn(&mut signal::Way)| {
        let mut outcome = outcome.clone();
        plant(&mut outcome.ways[0]);
        judged(&input, &outcome).into_iter().map(|breach| breach.what).collect::<Vec<_>>()
    };
    let one = || What::State("one".into());
    // A level wrong by 0.01 dB, a wrong phase, silence where there is signal.
    let scaled = |way: &mut signal::Way| {
        let value = &mut way.states[1].response[grid::AT_4K];
        *value = value.times(1.001_2);
    };
    assert_eq!(planted(&scaled), [one()]);
    let turned = |way: &mut signal::Way| {
        let value = &mut way.states[1].response[grid::AT_1K];
        *value = *value * Complex::new(libm::cos(0.01), libm::sin(0.01));
    };
    assert_eq!(planted(&turned), [one()]);
    let silenced = |way: &mut signal::Way| {
        way.states[1].response.clear();
        way.states[1].silence = Some(signal::WhyNot::Silent);
    };
    assert_eq!(planted(&silenced), [one(), one(), one(), one()]);
    assert_eq!(planted(&|way| way.reference_db[grid::AT_1K] += 0.01), [What::Reference]);
    // An edge that its state does not reach, and one that a named state goes beyond.
    let [edge] = planted(&|way| way.band.upper_db[grid::AT_4K] += 0.01).try_into().expect("one");
    assert!(matches!(edge, What::Edge(_)));
    let beyond = planted(&|way| way.band.lower_db[10] = 0.0);
    assert_eq!(beyond, [What::Beyond("everything off".into()), What::Beyond("one".into())]);
}

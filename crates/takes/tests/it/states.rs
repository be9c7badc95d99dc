//! Several recordings of one board: each finds its state, and together they tell what one alone does not.

use signal::Config;
use signal::grid::frequencies;
use takes::signals::{Side, played};
use takes::{Heard, MatchedBy, Named, Question};

use crate::recorded::{Lot, curve, heard, straight, through, with_noise};
use crate::rigs::{Chain, Dry, Pedal};

fn chain(on: &[usize]) -> Chain {
    let pedal = |ohms: f64, bypass| Pedal { bypass, ohms, out: 1e3, inverts: false, travel: None };
    Chain {
        pedals: vec![
            pedal(220e3, rig::Bypass::Hard),
            pedal(1e6, rig::Bypass::Hard),
            pedal(470e3, rig::Bypass::Hard),
        ],
        cuts: vec![5e3, 400.0, 900.0, 6e3],
        on: on.to_vec(),
        dry: Dry::None,
    }
}

/// A recording of a board as it was built.
fn recorded(built: &Chain, lot: &mut Lot) -> Heard {
    let rate = 44_100;
    let board = built.board();
    let own = board.response(&built.engaged()).expect("signal arrives");
    let over: Vec<signal::Complex> = own.iter().zip(board.straight()).map(|(a, b)| *a / b).collect();
    let signal = through(&played(rate, Side::Left), rate, curve(frequencies(), over));
    heard(rate, &[&with_noise(signal, 1e-5, lot)]).expect("it is read")
}

fn states() -> Vec<rig::State> {
    let state = |name: &str, engaged: &[&str]| rig::State {
        name: name.to_owned(),
        engaged: engaged.iter().map(|tag| (*tag).to_owned()).collect(),
    };
    vec![state("bypassed", &[]), state("first", &["D1"]), state("second", &["D2"]), state("third", &["D3"])]
}

#[test]
fn a_recording_finds_its_state_by_its_name_or_by_what_fits() {
    let mut lot = Lot(3);
    let planned = chain(&[]).board();
    let (input, config) = (planned.input(), Config::default());
    let way = Question { input: &input, config: &config, source: "guitar", sink: "amp" };
    let reference = heard(44_100, &[&straight(44_100, &mut lot)]).expect("it is read");
    let states = states();
    let mut by_fit = 0;
    for (at, on) in [&[][..], &[0], &[1], &[2]].into_iter().enumerate() {
        let heard = recorded(&chain(on), &mut lot);
        let named = |name| Named { name, heard: &heard, state: None };
        let (judged, suspects) = way.judged(&[named(&states[at].name)], &reference, &states).expect("judged");
        assert_eq!((&judged[0].matched.state, &judged[0].matched.by), (&states[at], &MatchedBy::Name));
        assert_eq!(suspects, None, "a board that is built as planned is as expected");
        let (judged, _) = way.judged(&[named("recording 7")], &reference, &states).expect("judged");
        let MatchedBy::Fit { off_db, or } = &judged[0].matched.by else { panic!("its name says nothing") };
        assert!(*off_db < 0.3, "{off_db}");
        let is_it = judged[0].matched.state == states[at] || or.contains(&states[at].name);
        assert!(is_it, "{:?} of {}", judged[0].matched, states[at].name);
        by_fit += usize::from(judged[0].matched.state == states[at]);
    }
    assert!(3 <= by_fit, "only where two states sound alike may another be named first: {by_fit}");
}

#[test]
fn two_states_tell_which_lead_where_one_does_not() {
    let mut lot = Lot(5);
    let planned = chain(&[]).board();
    let (input, config) = (planned.input(), Config::default());
    let way = Question { input: &input, config: &config, source: "guitar", sink: "amp" };
    let reference = heard(44_100, &[&straight(44_100, &mut lot)]).expect("it is read");
    let faulty = |on: &[usize]| {
        let mut built = chain(on);
        // The lead from D2 to D3 is six metres too long.
        built.cuts[2] += 6e3;
        built
    };
    let [bypassed, second] = [&[][..], &[1]].map(|on| recorded(&faulty(on), &mut lot));
    let states = states();
    let alone = [Named { name: "bypassed", heard: &bypassed, state: None }];
    let (_, one) = way.judged(&alone, &reference, &states).expect("judged");
    let both = [alone[0], Named { name: "second", heard: &second, state: None }];
    let (_, two) = way.judged(&both, &reference, &states).expect("judged");
    let places = |found: Option<takes::Suspects>| {
        let found = found.expect("it is not as expected");
        found.list[0].or.len()
    };
    let (one, two) = (places(one), places(two));
    assert!(two < one, "places that it may be at: {one} by one recording, {two} by two");
}

//! Boards and devices without measure are answered, and in little memory.

use leads::{Body, Input, Rules, solve, verify::verify};
use rig::LeadClass;

use crate::ends::{end, lead};

fn board(width_mm: f64, depth_mm: f64, bodies: Vec<Body>) -> Input {
    let mut input = Input::empty(width_mm, depth_mm, Rules::customary());
    input.bodies = bodies;
    let (from, to) = ([100.0, 100.0, 20.0], [340.0, 150.0, 20.0]);
    input.leads.push(lead(
        "L01",
        LeadClass::Signal,
        end("A.OUT", from, [1.0, 0.0, 0.0]),
        end("B.IN", to, [-1.0, 0.0, 0.0]),
        24.0,
    ));
    input
}

fn wall(low: [f64; 3], high: [f64; 3]) -> Body {
    Body { low, high, what: "body", owner: "WALL".to_owned(), keep_off: high[2] }
}

#[test]
fn a_board_of_ten_kilometres_is_answered() {
    let input = board(1e7, 1e7, vec![wall([200.0, 0.0, 0.0], [220.0, 400.0, 60.0])]);
    let outcome = solve(&input);
    assert_eq!(outcome.leads.len() + outcome.failed.len(), 1);
    assert_eq!(verify(&input, &outcome).breaches, []);
}

#[test]
fn a_device_of_a_kilometre_is_no_way_and_says_so() {
    let input = board(600.0, 400.0, vec![wall([200.0, -1e6, -1e6], [220.0, 1e6, 1e6])]);
    let outcome = solve(&input);
    assert!(outcome.failed[0].why.contains("WALL"), "{:?}", outcome.failed);
}

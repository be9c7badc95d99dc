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

#[test]
fn thousands_of_bodies_are_answered() {
    // Posts of 10 mm all over a board of 3 m by 2 m, 40 mm apart, with a lane left free around the lead's ends.
    let posts = (0..4000)
        .map(|post| (f64::from(post % 80) * 40.0, f64::from(post / 80) * 40.0))
        .filter(|(x, y)| !((60.0..380.0).contains(x) && (60.0..200.0).contains(y)))
        .map(|(x, y)| wall([x, y, 0.0], [x + 10.0, y + 10.0, 60.0]))
        .collect::<Vec<_>>();
    assert!(3900 < posts.len(), "{} posts", posts.len());
    let mut input = board(3200.0, 2000.0, posts);
    input.leads.push(lead(
        "L02",
        LeadClass::Dc,
        end("C.OUT", [120.0, 170.0, 20.0], [1.0, 0.0, 0.0]),
        end("D.IN", [3190.0, 1985.0, 80.0], [0.0, 0.0, 1.0]),
        16.0,
    ));
    let outcome = solve(&input);
    assert_eq!(outcome.leads.len() + outcome.failed.len(), 2);
    assert!(outcome.leads.iter().any(|laid| laid.id == "L01"), "{:?}", outcome.failed);
    assert_eq!(verify(&input, &outcome).breaches, []);
}

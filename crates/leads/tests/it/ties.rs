//! A lead that is pulled over tie points passes them in order.

use leads::{Body, Input, Rules, solve, verify::verify};
use rig::LeadClass;

use crate::ends::{end, lead};

fn tied(ties: &[[f64; 2]], bodies: Vec<Body>) -> (Input, leads::Outcome) {
    let mut input = Input::empty(600.0, 400.0, Rules::customary());
    input.bodies = bodies;
    let mut wanted = lead(
        "L01",
        LeadClass::Signal,
        end("A1.OUT", [100.0, 100.0, 20.0], [1.0, 0.0, 0.0]),
        end("A2.IN", [500.0, 100.0, 20.0], [-1.0, 0.0, 0.0]),
        16.0,
    );
    wanted.ties = ties.to_vec();
    input.leads.push(wanted);
    let outcome = solve(&input);
    (input, outcome)
}

#[test]
fn a_tie_makes_the_lead_longer_by_its_detour() {
    let (_, straight) = tied(&[], Vec::new());
    let (input, outcome) = tied(&[[300.0, 300.0]], Vec::new());
    assert_eq!(verify(&input, &outcome).breaches, []);
    let least = 2.0 * libm::hypot(200.0, 200.0);
    let long = outcome.leads[0].route_mm;
    assert!((straight.leads[0].route_mm - 400.0).abs() < 0.01);
    // Bends cut corners at the tie and at the plugs.
    assert!(least - 40.0 < long && long < least + 60.0, "{long} mm for {least} mm along the corners");
    assert!((outcome.leads[0].tightest_mm - 16.0).abs() < 1e-6, "{:?}", outcome.leads[0]);
}

#[test]
fn ties_are_passed_in_their_order() {
    let ties = [[450.0, 250.0], [150.0, 250.0]];
    let (input, outcome) = tied(&ties, Vec::new());
    assert_eq!(verify(&input, &outcome).breaches, []);
    // There, back and there again.
    assert!(900.0 < outcome.leads[0].route_mm, "{} mm", outcome.leads[0].route_mm);
    let (mut turned, mut other) = (input, outcome);
    turned.leads[0].ties = vec![ties[1], ties[0]];
    other.leads[0].id = "L01".into();
    let breaches = verify(&turned, &other).breaches;
    assert!(breaches.iter().any(|breach| breach.what.contains("tie point")), "{breaches:?}");
}

#[test]
fn a_tie_within_a_body_leaves_no_way() {
    let block = Body {
        low: [250.0, 250.0, -50.0],
        high: [350.0, 350.0, 400.0],
        what: "body",
        owner: "A3".into(),
        keep_off: 400.0,
    };
    let (input, outcome) = tied(&[[300.0, 300.0]], vec![block]);
    assert_eq!(verify(&input, &outcome).breaches, []);
    assert!(outcome.leads.is_empty());
    assert_eq!(outcome.failed[0].why, "no route from A1.OUT to A2.IN over its tie points");
}

//! On an empty deck the way is the closed form: a straight line, quarter arcs, half circles.

use std::f64::consts::PI;

use leads::{Input, Outcome, Point, Rules, solve, verify::verify};
use rig::LeadClass;

use crate::ends::{end, lead};

const RIGHT: Point = [1.0, 0.0, 0.0];
const LEFT: Point = [-1.0, 0.0, 0.0];
const BACK: Point = [0.0, 1.0, 0.0];

fn laid(from: (Point, Point), to: (Point, Point), radius: f64) -> Outcome {
    let mut input = Input::empty(600.0, 400.0, Rules::customary());
    input.leads.push(lead(
        "L01",
        LeadClass::Signal,
        end("A.OUT", from.0, from.1),
        end("B.IN", to.0, to.1),
        radius,
    ));
    let outcome = solve(&input);
    let verdict = verify(&input, &outcome);
    assert_eq!((verdict.breaches, verdict.sharp), (vec![], vec![]));
    outcome
}

#[track_caller]
fn is_long(outcome: &Outcome, wanted: f64) {
    let found = outcome.leads[0].route_mm;
    assert!((found - wanted).abs() < 1e-3, "{found} mm, {wanted} mm by the closed form");
}

#[test]
fn plugs_that_face_each_other_are_joined_by_a_straight_line() {
    is_long(&laid(([100.0, 100.0, 20.0], RIGHT), ([340.0, 100.0, 20.0], LEFT), 24.0), 240.0);
}

#[test]
fn a_corner_is_two_legs_and_a_quarter_arc() {
    let outcome = laid(([100.0, 100.0, 20.0], RIGHT), ([300.0, 300.0, 20.0], [0.0, -1.0, 0.0]), 24.0);
    // Along the axes, 200 mm each way: the arc takes a radius of either leg and is a quarter of a circle long.
    is_long(&outcome, 400.0 - 2.0 * 24.0 + 24.0 * PI / 2.0);
}

#[test]
fn neighbours_that_look_the_same_way_are_joined_by_two_quarter_arcs() {
    // 70 mm apart, radius 24: a half circle of 75.40 mm and 22 mm straight.
    is_long(&laid(([100.0, 100.0, 20.0], BACK), ([170.0, 100.0, 20.0], BACK), 24.0), 75.398_223_686 + 22.0);
}

#[test]
fn the_semicircle_of_jacks_70_mm_apart_is_109_96_mm() {
    is_long(&laid(([100.0, 100.0, 20.0], BACK), ([170.0, 100.0, 20.0], BACK), 35.0), 109.955_742_876);
}

#[test]
fn a_cut_length_is_the_way_both_plugs_and_the_slack_rounded_up() {
    let outcome = laid(([100.0, 100.0, 20.0], RIGHT), ([340.0, 100.0, 20.0], LEFT), 24.0);
    let laid = &outcome.leads[0];
    // 240 + 20 + 20 + 25 = 305; 100 pF/m and 15 pF for each plug; 0.1 Ω/m.
    assert!((laid.cut_mm - 305.0).abs() < 1e-9);
    assert!((laid.capacitance_pf.expect("known") - 60.5).abs() < 1e-9);
    assert!((laid.resistance_ohm.expect("known") - 0.0305).abs() < 1e-9);
}

#[test]
fn a_crossing_is_told_with_its_angle() {
    let mut input = Input::empty(600.0, 400.0, Rules::customary());
    let supply = |id: &str, from: Point, to: Point, out: Point| {
        let back = out.map(|way| -way);
        lead(id, LeadClass::Dc, end("SUP.1", from, out), end("A1.DC", to, back), 16.0)
    };
    // Straight across: the signal runs to the right, one supply to the back.
    input.leads.push(lead(
        "L01",
        LeadClass::Signal,
        end("A1.OUT", [100.0, 200.0, 20.0], RIGHT),
        end("A2.IN", [500.0, 200.0, 20.0], LEFT),
        16.0,
    ));
    input.leads.push(supply("D01", [300.0, 50.0, 26.0], [300.0, 350.0, 26.0], [0.0, 1.0, 0.0]));
    let outcome = solve(&input);
    assert_eq!(outcome.crossings.len(), 1, "{:?}", outcome.crossings);
    let crossing = &outcome.crossings[0];
    assert_eq!((crossing.one.as_str(), crossing.other.as_str()), ("D01", "L01"));
    assert!((crossing.angle_deg - 90.0).abs() < 1e-6, "{crossing:?}");
    assert!((crossing.at[0] - 300.0).abs() < 1e-6 && (crossing.at[1] - 200.0).abs() < 1e-6, "{crossing:?}");
    // The judge finds a crossing kept back, one at another place, and one at another angle.
    assert_eq!(verify(&input, &outcome).breaches, []);
    let spoilt = |change: &dyn Fn(&mut leads::Outcome)| {
        let mut other = outcome.clone();
        change(&mut other);
        verify(&input, &other).breaches.into_iter().map(|breach| breach.what).collect::<Vec<_>>()
    };
    let (kept_back, made_up) =
        ("it crosses L01, and that is not told", "it does not cross L01 where it is told to");
    assert_eq!(spoilt(&|other| other.crossings.clear()), [kept_back]);
    assert_eq!(spoilt(&|other| other.crossings[0].at[1] += 1.0), [made_up, kept_back]);
    assert_eq!(spoilt(&|other| other.crossings[0].angle_deg = 60.0), [made_up]);
    // Far enough above it is no crossing.
    input.leads[1] = supply("D01", [300.0, 50.0, 60.0], [300.0, 350.0, 60.0], [0.0, 1.0, 0.0]);
    assert_eq!(solve(&input).crossings, []);
}

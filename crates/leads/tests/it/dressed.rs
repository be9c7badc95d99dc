//! What dressed leads promise: square crossings, and holes that do what is said of them.

use leads::{Body, Hole, Input, Rules, proposed_holes, solve, verify::verify};
use rig::LeadClass;

use crate::boards::board;
use crate::ends::{end, lead};

/// What crosses within 15° of square crosses square.
const SQUARE_DEG: f64 = 75.0;
const DEPTH: f64 = 400.0;

#[test]
fn leads_that_keep_apart_cross_square_but_for_a_few() {
    let (mut all, mut flat) = (0, 0);
    for seed in 0..30 {
        let outcome = solve(&board(seed, 8, 1 + usize::try_from(seed % 2).expect("small")));
        all += outcome.crossings.len();
        flat += outcome.crossings.iter().filter(|crossing| crossing.angle_deg < SQUARE_DEG).count();
    }
    println!("{flat} of {all} crossings are flat");
    assert!(flat * 5 <= all, "{flat} of {all} crossings are flatter than {SQUARE_DEG}°");
}

/// A deck of 900 mm with some holes, as left, front, right, back: all that is not hole, column by column.
fn deck(holes: &[[f64; 4]]) -> Input {
    let mut input = Input::empty(900.0, DEPTH, Rules::customary());
    input.low[2] = -45.0;
    let mut edges: Vec<f64> = holes.iter().flat_map(|hole| [hole[0], hole[2]]).chain([0.0, 900.0]).collect();
    edges.sort_by(f64::total_cmp);
    for column in edges.windows(2) {
        let middle = f64::midpoint(column[0], column[1]);
        let mut front = 0.0;
        for hole in holes.iter().filter(|hole| hole[0] < middle && middle < hole[2]) {
            sheet(&mut input, [column[0], front, column[1], hole[1]]);
            front = hole[3];
        }
        sheet(&mut input, [column[0], front, column[1], DEPTH]);
    }
    for (at, hole) in holes.iter().enumerate() {
        input.holes.push(Hole {
            name: format!("main.{at}"),
            low: [hole[0], hole[1], -4.0],
            high: [hole[2], hole[3], 0.0],
        });
    }
    for (index, x) in [600.0, 640.0, 680.0].into_iter().enumerate() {
        let from = end(&format!("SUP.{index}"), [x, 150.0, -20.0], [0.0, 1.0, 0.0]);
        let to = end(&format!("P{index}.DC"), [x + 40.0, 300.0, 25.0], [1.0, 0.0, 0.0]);
        input.leads.push(lead(&format!("D{index}"), LeadClass::Dc, from, to, 16.0));
    }
    input
}

fn sheet(input: &mut Input, [left, front, right, back]: [f64; 4]) {
    input.bodies.push(Body {
        low: [left, front, -4.0],
        high: [right, back, 0.0],
        what: "sheet",
        owner: "main".to_owned(),
        keep_off: 0.0,
    });
}

const FAR_HOLE: [f64; 4] = [10.0, 150.0, 50.0, 190.0];

fn whole(input: &Input) -> f64 {
    let outcome = solve(input);
    assert_eq!(verify(input, &outcome).breaches, []);
    assert_eq!(outcome.leads.len(), input.leads.len());
    outcome.leads.iter().map(|laid| laid.route_mm).sum()
}

#[test]
fn a_hole_that_is_proposed_saves_what_is_said() {
    let far = deck(&[FAR_HOLE]);
    let proposed = proposed_holes(&far, &solve(&far));
    assert_eq!(proposed.len(), 1, "{proposed:?}");
    let hole = &proposed[0];
    assert_eq!(hole.leads, ["D0", "D1", "D2"]);
    let cut = [hole.low[0], hole.low[1], hole.high[0], hole.high[1]];
    let saved = whole(&far) - whole(&deck(&[FAR_HOLE, cut]));
    // Alone they save so much; laid together they make way for one another.
    assert!(1_500.0 < hole.saves_mm && 0.8 * hole.saves_mm < saved, "{saved} of {}", hole.saves_mm);
}

#[test]
fn a_deck_without_a_hole_gets_one_that_keeps_its_leads_on_the_board() {
    let none = deck(&[]);
    let proposed = proposed_holes(&none, &solve(&none));
    assert_eq!(proposed.len(), 1, "{proposed:?}");
    assert_eq!(proposed[0].mends, ["D0", "D1", "D2"]);
}

#[test]
fn no_hole_is_proposed_where_one_is_near() {
    let near = deck(&[[640.0, 200.0, 680.0, 240.0]]);
    assert_eq!(proposed_holes(&near, &solve(&near)), []);
}

#[test]
fn the_order_of_the_leads_does_not_matter_to_a_hole() {
    let (far, mut turned) = (deck(&[FAR_HOLE]), deck(&[FAR_HOLE]));
    turned.leads.reverse();
    assert_eq!(proposed_holes(&far, &solve(&far)), proposed_holes(&turned, &solve(&turned)));
}

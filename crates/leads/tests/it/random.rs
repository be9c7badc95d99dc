//! Random boards keep the rules that the judge knows, and do not depend on the order of their leads.

use leads::{Body, Rules, preview, solve, verify::verify};
use rig::LeadClass;

use crate::boards::board;

fn budget() -> u64 {
    std::env::var("BOARDWRIGHT_SOAK").ok().and_then(|text| text.parse().ok()).unwrap_or(100)
}

fn first() -> u64 {
    std::env::var("BOARDWRIGHT_SEED").ok().and_then(|text| text.parse().ok()).unwrap_or(0)
}

#[test]
fn random_boards_keep_the_rules_of_routing() {
    let (mut laid, mut failed, mut sharp) = (0, 0, 0);
    for seed in first()..first() + budget() {
        let input = board(
            seed,
            6 + usize::try_from(seed % 7).expect("small"),
            1 + usize::try_from(seed % 2).expect("small"),
        );
        let outcome = solve(&input);
        let verdict = verify(&input, &outcome);
        assert_eq!(verdict.breaches, [], "board {seed}");
        laid += outcome.leads.len();
        failed += outcome.failed.len();
        sharp += verdict.sharp.len();
    }
    println!(
        "soak: {} boards, {laid} leads laid, {sharp} of them sharper than wanted, {failed} without a way",
        budget()
    );
    assert!(failed * 10 < laid, "{failed} of {laid} leads have no way");
    assert!(sharp * 20 < laid, "{sharp} of {laid} leads are bent too sharply");
}

#[test]
fn the_order_of_the_leads_does_not_matter() {
    for seed in 0..12 {
        let input = board(seed, 8, 2);
        let mut turned = input.clone();
        turned.leads.reverse();
        turned.leads.rotate_left(3);
        let (one, other) = (solve(&input), solve(&turned));
        assert_eq!(one.leads.len(), other.leads.len());
        for (a, b) in one.leads.iter().zip(&other.leads) {
            assert_eq!((&a.id, &a.path, a.loom, a.batch), (&b.id, &b.path, b.loom, b.batch), "board {seed}");
        }
    }
}

#[test]
fn a_preview_after_no_move_is_the_answer_itself_marked_as_estimated() {
    let input = board(3, 8, 2);
    let outcome = solve(&input);
    let again = preview(&input, &outcome, "nobody");
    for (a, b) in outcome.leads.iter().zip(&again.leads) {
        assert_eq!((&a.path, a.cut_mm.to_bits()), (&b.path, b.cut_mm.to_bits()));
        assert!(b.estimated && !a.estimated);
    }
}

#[test]
fn a_lead_that_is_walled_in_names_the_wall() {
    let mut input = board(1, 6, 1);
    input.rules = Rules::customary();
    let at = input.leads[0].from.at;
    let out = input.leads[0].from.out;
    let front = [0, 1, 2].map(|i| at[i] + out[i] * 3.0);
    input.bodies.push(Body {
        low: front.map(|v| v - 3.0),
        high: front.map(|v| v + 3.0),
        what: "body",
        owner: "WALL".to_owned(),
        keep_off: front[2] + 3.0,
    });
    let outcome = solve(&input);
    let id = &input.leads[0].id;
    let why = outcome.failed.iter().find(|failed| failed.id == *id).map(|failed| failed.why.as_str());
    assert!(why.is_some_and(|why| why.contains("WALL")), "{why:?}");
    assert!(input.leads.iter().any(|lead| lead.class == LeadClass::Signal));
}

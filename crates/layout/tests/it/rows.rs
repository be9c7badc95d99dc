//! Rows: the terms agree with the judge's count, arranged boards have the rows of those laid by hand, panels keep their edge.

use layout::verify::{Rows, rows};
use layout::{Config, NeverCancelled, NoProgress, Outcome, Terms, measure, solve};
use quantity::Length;
use rig::{Rig, Role};

use crate::boards::{self, EXAMPLES};

fn config(moves: u64) -> Config {
    Config { moves, alternatives: 1, relax: false, ..Config::standard() }
}

/// The terms of the search against the count that shares no code with it.
fn agrees(about: &str, rig: &Rig, terms: &Terms) -> Rows {
    let anew = rows(rig);
    let whole = |count: usize| format!("{count}");
    assert_eq!(terms.rows.to_string(), whole(anew.lines), "{about}: lines");
    assert_eq!(terms.near_misses.to_string(), whole(anew.near_misses), "{about}: near misses");
    assert!((terms.gaps - anew.uneven.as_mm()).abs() < 1e-6, "{about}: gaps");
    anew
}

#[test]
fn rows_are_counted_as_the_judge_counts_them() {
    let mut near = 0;
    for seed in 0..60 {
        let input = boards::input(&boards::read(&boards::random(seed)));
        let outcome = solve(&input, &config(1_500), &NoProgress, &NeverCancelled);
        near += agrees(&format!("seed {seed}"), &outcome.rig, &outcome.terms).near_misses;
        for other in &outcome.alternatives {
            near += agrees(&format!("seed {seed}"), &other.rig, &other.terms).near_misses;
        }
    }
    assert!(0 < near, "some of them miss a line");
}

#[test]
fn a_board_that_is_only_straightened_stays_as_it_was_laid() {
    let mut mended = 0;
    for name in EXAMPLES.map(|name| format!("{name}-corrected")) {
        let input = boards::input(&boards::job(&name));
        let now = measure(&input, &config(0));
        let then = layout::straightened(&input, &config(0));
        assert!(then.feasible && then.total <= now.total, "{name}: {:?}", then.breaches);
        let (was, is) = (rows(&now.rig), rows(&then.rig));
        assert!(is.near_misses <= was.near_misses && is.lines <= was.lines, "{name}: {was:?}, then {is:?}");
        mended += usize::from(is != was);
        for (was, is) in now.placements.iter().zip(&then.placements) {
            assert_eq!(
                (&was.deck, was.under, was.quarters, &was.plugs),
                (&is.deck, is.under, is.quarters, &is.plugs)
            );
            assert!(
                (was.x - is.x).abs().max((was.y - is.y).abs()) < Length::from_mm(100),
                "{name}: {}",
                was.device
            );
        }
    }
    assert!(0 < mended, "some of them want it");
}

/// The edges that the panels of a rig face, by tag.
fn edges(rig: &Rig) -> Vec<(String, u8)> {
    let panels = rig.devices.iter().filter(|device| device.role == Role::Panel);
    panels.filter_map(|panel| Some((panel.tag.clone(), panel.place.as_ref()?.quarters))).collect()
}

#[test]
fn arranged_boards_have_the_rows_of_those_laid_by_hand() {
    let mut told = String::new();
    for name in EXAMPLES.map(|name| format!("{name}-corrected")) {
        let input = boards::input(&boards::job(&name));
        let by_hand = measure(&input, &config(0));
        let hand = agrees(&name, &by_hand.rig, &by_hand.terms);
        let outcome: Outcome =
            solve(&input.clone().unplaced(), &config(320_000), &NoProgress, &NeverCancelled);
        let found = agrees(&name, &outcome.rig, &outcome.terms);
        assert_eq!(edges(&input.rig), edges(&outcome.rig), "{name}: a panel turned to another edge");
        for (what, rows) in [("by hand", hand), ("arranged", found)] {
            told += &format!(
                "{name} {what}: {} pairs in {} lines, {} near misses\n",
                rows.pairs, rows.lines, rows.near_misses
            );
        }
    }
    insta::assert_snapshot!(told);
}

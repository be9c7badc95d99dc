//! The numbered gaps: worst first, the same numbers in list and drawings.

use drawing::{GapKind, Scale, gaps, plan};
use quantity::Length;

use super::{groups, of, rigs, small};

#[test]
fn gaps_are_worst_first_and_at_most_ten() {
    let gaps = gaps(&of(rigs::two_decks()));
    assert!(gaps.len() <= 10, "ten at most");
    assert!(gaps.windows(2).all(|pair| pair[0].spare <= pair[1].spare), "the worst is first");
    let numbers: Vec<usize> = gaps.iter().map(|gap| gap.number).collect();
    assert_eq!(numbers, (1..=gaps.len()).collect::<Vec<_>>(), "numbers run from one");
    for gap in &gaps {
        assert_eq!(gap.spare, gap.found - gap.least, "what is spare is what is left");
    }
}

#[test]
fn a_conflict_is_the_first_gap() {
    let gaps = gaps(&of(rigs::two_decks()));
    let (a, b) = gaps[0].ends();
    assert_eq!((a.as_str(), b.as_str()), ("FUZ", "OCT"), "their plugs meet");
    assert!(gaps[0].is_too_tight(), "there is less than nothing to spare");
}

#[test]
fn the_lid_is_among_them() {
    let gaps = gaps(&of(rigs::two_decks()));
    let lid = gaps.iter().find(|gap| matches!(&gap.kind, GapKind::Lid { device } if device == "DRV"));
    // 200 inside, 90 to the deck, 12 of riser, 55 of body, 14 of knobs.
    assert_eq!(lid.map(|gap| gap.found), Some(Length::from_mm(29)), "the highest device counts");
}

#[test]
fn the_plan_carries_the_numbers_of_the_list() {
    let design = of(rigs::two_decks());
    let drawing = plan(&design, None, Scale::one_to(5));
    let on_plan: Vec<String> = groups(&drawing)
        .iter()
        .filter_map(|group| group.id.strip_prefix("plan-gap-").map(str::to_owned))
        .collect();
    let listed: Vec<String> = gaps(&design)
        .iter()
        .filter(|gap| matches!(gap.kind, GapKind::Boxes { .. }))
        .map(|gap| gap.number.to_string())
        .collect();
    assert_eq!(on_plan, listed, "every gap of the plan is on it under its number");
}

#[test]
fn a_board_without_trouble_has_no_conflict_mark() {
    let drawing = plan(&of(small::one("TUN", "tuner")), None, Scale::one_to(2));
    assert!(drawing.texts().iter().all(|text| text.content != "Stop"), "nothing to stop for");
}
